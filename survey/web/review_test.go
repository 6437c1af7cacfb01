package web

import (
	"bytes"
	"fmt"
	"math"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
	"undercroft/survey/report"
)

// plainText is the text of what was found, on one line, with plain spaces.
func plainText(s *goquery.Selection) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(s.Text(), "\u00a0", " ")), " ")
}

// TestReviewPage: what the page lists is what report and Before you leave say; the mark is of the state that was shown; a change afterwards is told line by line.
func TestReviewPage(t *testing.T) {
	w := newSite(t)
	header, _ := w.photographedDemo()
	in := header.Survey
	home := surveyPath(in)
	r := w.record(in)
	ceiling := survey.Compute(r)
	model, leave := report.Build(r, ceiling, report.WithinReport(), w.now), survey.Leave(r, ceiling)
	page := w.get(home + "/review").wants(http.StatusOK).page()
	for _, part := range []struct {
		selector string
		want     int
	}{
		{"#uncertain .unsure > li", len(model.Verify)}, {"#missing .caut", leave.Count(survey.SeverityMissing)}, {"#hazards .haz", len(model.Cautions)}, {"#notches .nlist > li", len(model.Notches.Rows)},
		{"#bring ul", len(model.Bring())}, {"#bring .facts > div", len(model.Takeoff.Rows)},
	} {
		if got := page.Find(part.selector).Length(); got != part.want {
			t.Errorf("%s: %d, want %d", part.selector, got, part.want)
		}
	}
	if len(model.Verify) == 0 || len(model.Notches.Rows) == 0 || len(model.Cautions) == 0 || len(model.Bring()) == 0 {
		t.Fatal("the demo has nothing to show on this page")
	}
	located := page.Find("#uncertain li").FilterFunction(func(_ int, li *goquery.Selection) bool { return li.Find(".pm").Length() > 0 }).First()
	for _, selector := range []string{`.src a[href*="/photos/"]`, `a[href*="/verified?pin="]`, `a[href*="/questions?about=pin"]`} {
		if located.Find(selector).Length() != 1 {
			t.Errorf("a located thing has no %s: %s", selector, plainText(located))
		}
	}
	if got := plainText(page.Find(`[aria-label="State"] .state`)); got != "nobody has marked it as reviewed yet" {
		t.Errorf("at first the state is %q", got)
	}
	if got := plainText(w.get(home).page().Find(".reviewed")); got != "not reviewed by the crew yet" {
		t.Errorf("the first page says %q", got)
	}

	form := formOf(page.Find("#tick form"))
	if got := w.post(home+"/review", form).wants(http.StatusUnprocessableEntity).page(); got.Find("#tick .bad").Length() != 1 {
		t.Error("a mark without a name does not ask for one")
	}
	form.Set("f.by", "B. Quill")
	stale := url.Values{"f.by": {"B. Quill"}, "state": {strings.Repeat("0", 64)}}
	if got := w.post(home+"/review", stale).wants(http.StatusConflict).page(); got.Find(`#tick [name="f.by"]`).AttrOr("value", "") != "B. Quill" {
		t.Error("the typed name is lost")
	}
	w.post(home+"/review", form).wants(http.StatusSeeOther)
	reviews := w.record(in).Reviews
	if len(reviews) != 1 || reviews[0].By != "B. Quill" || reviews[0].Revision != 0 || reviews[0].SHA256 != form.Get("state") {
		t.Fatalf("got %+v", reviews)
	}
	page = w.get(home + "/review").page()
	if got := plainText(page.Find(`[aria-label="State"]`)); !strings.HasPrefix(got, "reviewed by B. Quill") || !strings.Contains(got, survey.Fingerprint(reviews[0].SHA256)) || page.Find(".changes").Length() != 0 {
		t.Errorf("the state is %q", got)
	}
	if got := plainText(w.get(home).page().Find(".reviewed")); !strings.HasPrefix(got, "reviewed by B. Quill") {
		t.Errorf("the first page says %q", got)
	}
	w.now = w.now.Add(60e9)
	w.facts(in, map[string]string{survey.ScopePrice: "Gutters $960.00"}) // is none of the crew's
	if page = w.get(home + "/review").page(); page.Find(".changes").Length() != 0 {
		t.Error("a price counts as a change")
	}
	w.change(in, w.numbered(header, survey.PinHanger).Number, map[string]string{"drop": "1 1/4"})
	page = w.get(home + "/review").page()
	if got := plainText(page.Find(`[aria-label="State"] .state`)); !strings.HasPrefix(got, "changed since reviewed by B. Quill") {
		t.Errorf("after a change the state is %q", got)
	}
	if got := plainText(page.Find(".changes tbody")); !strings.Contains(got, "Hangs below the joists") || !strings.Contains(got, "1 1/4″") || !strings.Contains(got, "Notch on carrier") {
		t.Errorf("the changes are %q", got)
	}
	if got := plainText(w.get(home).page().Find(".reviewed")); got != "changed since reviewed by B. Quill" {
		t.Errorf("the first page says %q", got)
	}
}

// postReply sends the form of an answer with a file, when there is one.
func (w *site) postReply(path string, fields [][2]string, file []byte) answer {
	w.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for _, f := range fields {
		if err := form.WriteField(f[0], f[1]); err != nil {
			w.t.Fatal(err)
		}
	}
	if file != nil {
		part, err := form.CreateFormFile("file", "answer.jpg")
		if err != nil {
			w.t.Fatal(err)
		}
		if _, err := part.Write(file); err != nil {
			w.t.Fatal(err)
		}
	}
	if err := form.Close(); err != nil {
		w.t.Fatal(err)
	}
	return w.do(newRequest(http.MethodPost, path, body.String(), "Content-Type", form.FormDataContentType(), "Sec-Fetch-Site", "same-origin"))
}

// TestQuestions: asked on a pin, answered with a photo that is sent along, asked further, answered with a photo of the survey; each leads to what it is about, and open ones
// stand where they are waited for.
func TestQuestions(t *testing.T) {
	w := newSite(t)
	header, other := w.photographedDemo()
	in := header.Survey
	home := surveyPath(in)
	pin := w.numbered(header, survey.PinHanger)
	ask, _ := w.get(photoPath(header) + "?pin=" + string(pin.ID)).page().Find(`#pin a[href*="/questions?about=pin"]`).Attr("href")
	page := w.get(strings.TrimSuffix(ask, "#ask")).wants(http.StatusOK).page()
	if got := plainText(page.Find(".askabout")); got != "About: "+pinName(pin)+" on photo 1" {
		t.Errorf("it is about %q", got)
	}
	form := formOf(page.Find("#ask form"))
	bad := w.post(home+"/questions", form).wants(http.StatusUnprocessableEntity).page()
	if bad.Find("#ask .bad").Length() != 2 || plainText(bad.Find(".askabout")) == "" {
		t.Error("an empty question does not ask for its text and a name")
	}
	form.Set("f.text", "Is the seat bent?")
	form.Set("f.by", "B. Quill")
	for range 2 { // sending it twice asks once
		w.post(home+"/questions", form).wants(http.StatusSeeOther)
	}
	r := w.record(in)
	if len(r.Remarks) != 1 || r.Remarks[0].Target != string(pin.ID) || r.Remarks[0].About != pinName(pin)+" on photo 1" {
		t.Fatalf("got %+v", r.Remarks)
	}
	for path, selector := range map[string]string{"/questions": "#openlist .thread", "/review": "#open .openq", "/leave": `.caut a[href$="/questions"]`, "/report?for=crew": "#questions li:contains('Is the seat bent?')"} {
		if w.get(home+path).wants(http.StatusOK).page().Find(selector).Length() != 1 {
			t.Errorf("%s does not show the open question", path)
		}
	}
	if got := plainText(w.get(photoPath(header) + "?pin=" + string(pin.ID)).page().Find(`#pin a[href*="/questions?about=pin"]`)); !strings.Contains(got, "1 open question") {
		t.Errorf("the pin says %q", got)
	}
	if w.get(home+"/report?for=scope").page().Find("main:contains('Is the seat bent?')").Length() != 0 {
		t.Error("the homeowner reads what staff ask")
	}

	page = w.get(home + "/questions").page()
	if href := page.Find(".thread h3 a").AttrOr("href", ""); href != photoPath(header)+"?pin="+string(pin.ID)+"#pin" {
		t.Errorf("the question leads to %q", href)
	}
	reply := page.Find("#openlist .thread form")
	to, id := reply.AttrOr("action", ""), reply.Find("[name=id]").AttrOr("value", "")
	empty := w.postReply(to, [][2]string{{"id", id}, {"kind", "answer"}, {"f.text", ""}, {"f.by", "K. Vale"}, {"photo", string(other.ID)}}, nil).wants(http.StatusUnprocessableEntity).page()
	if empty.Find("#openlist .thread .bad").Length() != 1 || empty.Find("#openlist option[selected]").AttrOr("value", "") != string(other.ID) {
		t.Error("an empty answer does not keep what was chosen, or does not say what is wanted")
	}
	photos := len(r.Photos)
	for range 2 {
		w.postReply(to, [][2]string{{"id", id}, {"kind", "answer"}, {"f.text", "No, only rusty."}, {"f.by", "K. Vale"}, {"photo", ""}}, gradient(t)).wants(http.StatusSeeOther)
	}
	r = w.record(in)
	if len(r.Remarks) != 2 || len(r.Photos) != photos+1 || r.Remarks[1].Photo != r.Photos[photos].ID || len(r.OpenThreads()) != 0 {
		t.Fatalf("got %+v with %d photos", r.Remarks, len(r.Photos))
	}
	page = w.get(home + "/questions").page()
	if page.Find("#answered .thread .said.answer img").Length() != 1 || page.Find("#openlist .thread").Length() != 0 {
		t.Error("the answer with its photo does not stand among the answered")
	}
	if w.get(home+"/leave").page().Find(`.caut a[href$="/questions"]`).Length() != 0 {
		t.Error("an answered question is waited for")
	}
	w.postReply(to, [][2]string{{"id", survey.NewID()}, {"kind", "ask"}, {"f.text", "Which one?"}, {"f.by", "B. Quill"}, {"photo", ""}}, nil).wants(http.StatusSeeOther)
	late := [][2]string{{"id", survey.NewID()}, {"kind", "answer"}, {"f.text", "The left."}, {"f.by", "K. Vale"}, {"photo", string(other.ID)}}
	w.postReply(to, late, nil).wants(http.StatusSeeOther)
	r = w.record(in)
	if len(r.Remarks) != 4 || r.Remarks[2].Kind != survey.RemarkAsk || r.Remarks[3].Kind != survey.RemarkAnswer || r.Remarks[3].Photo != other.ID {
		t.Errorf("got %+v", r.Remarks)
	}
	for path, status := range map[string]int{
		"/questions?about=pin&target=" + survey.NewID(): http.StatusNotFound, "/questions?about=line&target=nothing": http.StatusNotFound, "/questions?about=evil&target=x": http.StatusNotFound,
		"/questions?about=line&target=notches": http.StatusOK, "/questions?about=fact&target=width": http.StatusOK, "/questions?about=photo&target=" + string(header.ID): http.StatusOK,
	} {
		w.get(home + path).wants(status)
	}
	w.postReply(home+"/questions/"+survey.NewID()+"/reply", late, nil).wants(http.StatusNotFound)
	w.postReply(to, [][2]string{{"id", "none"}, {"kind", "ask"}, {"f.text", "x"}, {"f.by", "y"}}, gradient(t)).wants(http.StatusUnprocessableEntity)
	if got := plainText(w.get(home + "/questions?about=line&target=notches").page().Find(".askabout")); got != "About: Notches in carriers" {
		t.Errorf("a part of the report is called %q", got)
	}
}

// TestVerifiedValues: a measured place replaces the located one, says what it changes, and is taken back. The camera of the rendered photo is known exactly, so that the hanger's true
// place is; it is verified under the carrier nearest to it, where it needs a notch.
func TestVerifiedValues(t *testing.T) {
	w := newSite(t)
	header, _ := w.photographedDemo()
	in := header.Survey
	home := surveyPath(in)
	pin := locatedHanger(t, w, header)
	before := survey.Compute(w.record(in))
	located := before.Located[pin.ID]
	href, _ := w.get(photoPath(header) + "?pin=" + string(pin.ID)).page().Find(`#pin a[href*="/verified?pin="]`).Attr("href")
	page := w.get(strings.TrimSuffix(href, "#measure")).wants(http.StatusOK).page()
	if got := plainText(page.Find("#measure .stood")); !strings.Contains(got, "located · photo 1") || !strings.Contains(got, "±") {
		t.Errorf("it says that there stands %q", got)
	}
	form := formOf(page.Find("#measure form"))
	if got := w.post(home+"/verified", form).wants(http.StatusUnprocessableEntity).page(); !strings.Contains(plainText(got.Find(".problem")), "Type at least one length") {
		t.Errorf("nothing measured: %q", plainText(got.Find(".problem")))
	}
	carrier := carrierNear(t, before, located.X)
	form.Set("f.x", lengthText(carrier))
	form.Set("f.drop", "1 1/4")
	form.Set("f.by", "B. Quill")
	if got := w.post(home+"/verified", form).wants(http.StatusUnprocessableEntity).page(); got.Find("#measure .bad").Length() != 1 || got.Find(`[name="f.x"]`).AttrOr("value", "") == "" {
		t.Error("one of two lengths: the other is not asked for, or what was typed is lost")
	}
	form.Set("f.y", lengthText(located.Y))
	to := w.post(home+"/verified", form).wants(http.StatusSeeOther).Header().Get("Location")
	w.post(home+"/verified", form).wants(http.StatusSeeOther) // sent twice
	r := w.record(in)
	after := survey.Compute(r)
	if len(r.Verified) != 1 || after.Sources[survey.InputID(pin.Number)].Kind != survey.SourceVerified {
		t.Fatalf("got %+v, %+v", r.Verified, after.Sources[survey.InputID(pin.Number)])
	}
	page = w.get(to).wants(http.StatusOK).page()
	if got := plainText(page.Find("#result")); !strings.Contains(got, "by B. Quill") || !strings.Contains(got, "located by photo 1, ±") || !strings.Contains(got, "Its photo says") {
		t.Errorf("the result says %q", got)
	}
	notch := fmt.Sprintf("under Hanger %d–", pin.Number)
	if changes := plainText(page.Find("#changed tbody")); !strings.Contains(changes, "Notch on carrier") || !strings.Contains(changes, notch) || strings.Contains(changes, "Along the house") {
		t.Errorf("the changes are %q", changes)
	}
	if got := plainText(w.get(photoPath(header) + "?pin=" + string(pin.ID)).page().Find("#pin")); !strings.Contains(got, "verified at") || !strings.Contains(got, "B. Quill") {
		t.Errorf("the pin says %q", got)
	}
	back := page.Find("#result .vback")
	taken := formOf(back)
	w.post(back.AttrOr("action", ""), taken).wants(http.StatusUnprocessableEntity)
	taken.Set("f.by", "B. Quill")
	to = w.post(back.AttrOr("action", ""), taken).wants(http.StatusSeeOther).Header().Get("Location")
	if got := plainText(w.get(to).wants(http.StatusOK).page().Find("#result")); !strings.Contains(got, "takes back what was measured") {
		t.Errorf("taken back: %q", got)
	}
	if now := survey.Compute(w.record(in)); now.Sources[survey.InputID(pin.Number)].Kind != survey.SourceLocated || len(w.record(in).Verified) != 2 {
		t.Error("it was not taken back")
	}
	w.post(back.AttrOr("action", ""), taken).wants(http.StatusNotFound)
	for path, status := range map[string]int{"?pin=" + survey.NewID(): http.StatusNotFound, "?fact=nothing": http.StatusNotFound, "?fact=joist.wood": http.StatusNotFound, "?fact=width": http.StatusOK, "/" + survey.NewID(): http.StatusNotFound, "": http.StatusOK} {
		w.get(home + "/verified" + path).wants(status)
	}
}

// carrierNear is the middle of the carrier that is nearest to a place along the house.
func carrierNear(t *testing.T, c survey.Ceiling, x float64) float64 {
	t.Helper()
	best := math.Inf(1)
	for _, carrier := range c.Plan.Zones[0].Carriers {
		if math.Abs(carrier.X-x) < math.Abs(best-x) {
			best = carrier.X
		}
	}
	if math.IsInf(best, 0) {
		t.Fatal("there is no carrier")
	}
	return best
}

// locatedHanger is a hanger of the photo, one by itself, whose place only the photo gives.
func locatedHanger(t *testing.T, w *site, photo survey.Photo) survey.Pin {
	t.Helper()
	for _, p := range w.record(photo.Survey).PinsOn(photo.ID) {
		if _, row := p.Row(); row || p.Kind != survey.PinHanger && p.Kind != survey.PinBracket || p.Count() > 1 {
			continue
		}
		p = w.change(photo.Survey, p.Number, map[string]string{"x": "", "y": "", "pm": ""})
		if got := survey.Compute(w.record(photo.Survey)).Sources[survey.InputID(p.Number)].Kind; got != survey.SourceLocated {
			t.Fatalf("pin %d is %s", p.Number, got)
		}
		return p
	}
	t.Fatal("the photo has no such hanger")
	return survey.Pin{}
}

// TestVerifiedFact: a length that does not suit what it names is asked about, then stands; a deeper hanger is told by its notch.
func TestVerifiedFact(t *testing.T) {
	w := newSite(t)
	header, _ := w.photographedDemo()
	home := surveyPath(header.Survey)
	form := formOf(w.get(home + "/verified?fact=joist.spacing").wants(http.StatusOK).page().Find("#measure form"))
	ask := w.get(home+"/verified?fact=joist.spacing").page().Find("#measure a[href*=\"/questions?about=fact\"]").AttrOr("href", "")
	if got := plainText(w.get(strings.TrimSuffix(ask, "#ask")).wants(http.StatusOK).page().Find(".askabout")); got != "About: Joist spacing" {
		t.Errorf("asked beside the number, it is %q", got)
	}
	form.Set("f.joist.spacing", "60")
	form.Set("f.by", "B. Quill")
	page := w.post(home+"/verified", form).wants(http.StatusUnprocessableEntity).page()
	box := page.Find("#measure .check-length input")
	if box.Length() != 1 {
		t.Fatalf("it is not asked about: %s", plainText(page.Find("#measure")))
	}
	form.Set(box.AttrOr("name", ""), box.AttrOr("value", ""))
	w.post(home+"/verified", form).wants(http.StatusSeeOther)
	if got := survey.ResolveFacts(w.record(header.Survey)).Get("joist.spacing"); got.Value.Number != 60 || got.Source.Kind != survey.SourceVerified {
		t.Errorf("got %+v", got)
	}
	if got := plainText(w.get(home).page().Find(`.field:has([name="f.joist.spacing"]) .src`)); !strings.HasPrefix(got, "verified by B. Quill") {
		t.Errorf("Site and deck says %q", got)
	}
	pin := w.numbered(header, survey.PinHanger)
	form = formOf(w.get(home + "/verified?pin=" + string(pin.ID)).wants(http.StatusOK).page().Find("#measure form"))
	form.Set("f.drop", "1 1/4")
	form.Set("f.by", "B. Quill")
	to := w.post(home+"/verified", form).wants(http.StatusSeeOther).Header().Get("Location")
	if got := plainText(w.get(to).page().Find("#changed tbody")); !strings.Contains(got, "Notch on carrier") {
		t.Errorf("the changes are %q", got)
	}
}
