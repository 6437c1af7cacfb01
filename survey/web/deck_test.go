package web

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
)

func TestSiteForm(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	form := formOf(w.get(path).wants(http.StatusOK).page().Find("form#site"))
	form.Set("f.client", "R. Lark")
	form.Set("f.notes", "first\r\nsecond")
	if to := w.post(path+"/site", form).wants(http.StatusSeeOther).Header().Get("Location"); to != path+"?saved=site#site" {
		t.Errorf("led to %q", to)
	}
	if r := w.record(v.ID); r.Survey.Client != "R. Lark" || r.Survey.Notes != "first\nsecond" || r.Survey.Title != "Larkmoor house" {
		t.Errorf("stored %+v", r.Survey)
	}
	doc := w.get(path + "?saved=site").page()
	if text := doc.Find("form#site .done[role=status]").Text(); !strings.Contains(text, "saved") {
		t.Errorf("the page does not confirm: %q", text)
	}
	form = formOf(doc.Find("form#site"))
	form.Set("f.title", "")
	doc = w.post(path+"/site", form).wants(http.StatusUnprocessableEntity).page()
	if doc.Find(`form#site [name="f.title"][aria-invalid=true]`).Length() != 1 {
		t.Error("the empty title is not marked")
	}
	if got := doc.Find(`form#site [name="f.notes"]`).Text(); strings.TrimPrefix(got, "\n") != "first\nsecond" {
		t.Errorf("the notes became %q", got)
	}
}

// TestTwoPeopleAtTheSite: different fields are both kept; about the same field the person is asked, and nothing is lost.
func TestTwoPeopleAtTheSite(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	mine := formOf(w.get(path).page().Find("form#site"))
	theirs := formOf(w.get(path).page().Find("form#site"))
	theirs.Set("f.client", "R. Lark")
	theirs.Set("f.contact", "555 0100")
	w.post(path+"/site", theirs).wants(http.StatusSeeOther)

	mine.Set("f.surveyor", "M. Sand")
	mine.Set("f.client", "Rita Lark")
	doc := w.post(path+"/site", mine).wants(http.StatusConflict).page()
	if r := w.record(v.ID); r.Survey.Surveyor != "" || r.Survey.Client != "R. Lark" {
		t.Errorf("a conflict saved something: %+v", r.Survey)
	}
	two := doc.Find("form#site fieldset.two")
	if two.Length() != 1 || !strings.Contains(two.Text(), "Rita Lark") || !strings.Contains(two.Text(), "R. Lark") || two.Find("input[type=radio][checked]").Length() != 0 {
		t.Fatalf("the two values are not shown side by side: %q", two.Text())
	}
	again := formOf(doc.Find("form#site"))
	if again.Get("f.surveyor") != "M. Sand" || again.Get("f.contact") != "555 0100" {
		t.Errorf("the form lost something: %v", again)
	}
	w.post(path+"/site", again).wants(http.StatusConflict) // no choice was made yet
	again.Set("pick.client", "mine")
	w.post(path+"/site", again).wants(http.StatusSeeOther)
	if s := w.record(v.ID).Survey; s.Client != "Rita Lark" || s.Surveyor != "M. Sand" || s.Contact != "555 0100" {
		t.Errorf("stored %+v", s)
	}
}

func TestDeckForm(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	doc := w.get(path).wants(http.StatusOK).page()
	for _, f := range survey.FactFields(w.record(v.ID)) {
		control := doc.Find(`form#deck [name="f.` + f.Key + `"]`)
		if control.Length() == 0 {
			t.Errorf("no control for %s", f.Key)
			continue
		}
		id := control.First().AttrOr("id", "none")
		if doc.Find(`label[for="`+id+`"]`).Length()+control.First().Closest("fieldset").Find("legend").Length() == 0 {
			t.Errorf("the control for %s has no label", f.Key)
		}
	}
	form := formOf(doc.Find("form#deck"))
	form.Set("f.width", "28' 4")
	form.Set("f.projection", "14'")
	form.Set("f.joist.depth", "235 mm")
	form.Set("f.joist.direction", "y")
	form.Set("f.built_before_1978", "no")
	w.post(path+"/deck", form).wants(http.StatusSeeOther)
	facts := w.record(v.ID).Facts
	if facts["width"].Text != "28' 4" || facts["joist.depth"].Text != "235 mm" || len(facts) != 5 {
		t.Errorf("stored %v", facts)
	}
	doc = w.get(path).page()
	read := func(key string) string { return doc.Find("#" + controlID("f."+key) + "-read").Text() }
	if got := read("width"); !strings.Contains(got, "read as 28′\u00a04″") || !strings.Contains(got, "typed") {
		t.Errorf("the width's line is %q", got)
	}
	if got := read("joist.depth"); !strings.Contains(got, "read as 9\u00a01/4″ (9.252 in)") {
		t.Errorf("the depth's line is %q", got)
	}
	if got := read("base"); !strings.Contains(got, "assumed 0″") || doc.Find("#c-f-base-read use[href='#s-assumed']").Length() != 1 {
		t.Errorf("the base's line is %q", got)
	}
	if got := doc.Find(".nav .house small").Text(); got != "28′\u00a04″ × 14′\u00a00″ deck" {
		t.Errorf("the rail says %q", got)
	}
}

// TestDeckFormWrongInput: the text stays, the octagon and two spellings that work are shown, and nothing of the form is saved.
func TestDeckFormWrongInput(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	form := formOf(w.get(path).page().Find("form#deck"))
	form.Set("f.width", "28 feet 4")
	form.Set("f.projection", "14'")
	doc := w.post(path+"/deck", form).wants(http.StatusUnprocessableEntity).page()
	input := doc.Find(`[name="f.width"]`)
	if input.AttrOr("value", "") != "28 feet 4" || input.AttrOr("aria-invalid", "") != "true" {
		t.Errorf("the field: %v", input.Nodes[0].Attr)
	}
	line := doc.Find("#" + input.AttrOr("aria-describedby", "none"))
	if !strings.Contains(line.Text(), `"28 feet 4"`) || !strings.Contains(line.Text(), `12' 3 5/8" or 147 5/8`) || line.Find("svg:not([hidden]) use[href='#w-stop']").Length() != 1 {
		t.Errorf("the line is %q", line.Text())
	}
	if doc.Find(`[name="f.projection"]`).AttrOr("value", "") != "14'" || doc.Find("form#deck[data-unsaved]").Length() != 1 {
		t.Error("the rest of the form was lost")
	}
	if doc.Find(`.caut.stop[role=alert] a[href="#c-f-width"]`).Length() != 1 {
		t.Error("the summary does not lead to the field")
	}
	if n := len(w.record(v.ID).Facts); n != 0 {
		t.Errorf("%d facts were saved", n)
	}
}

func TestTwoPeopleAtTheDeck(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	mine := formOf(w.get(path).page().Find("form#deck"))
	w.facts(v.ID, map[string]string{"width": "28' 6", "projection": "14'"})
	mine.Set("f.width", "28' 4")
	mine.Set("f.base", "1/2")
	doc := w.post(path+"/deck", mine).wants(http.StatusConflict).page()
	two := doc.Find("form#deck fieldset.two")
	if two.Length() != 1 || !strings.Contains(two.Text(), "28′\u00a04″") || !strings.Contains(two.Text(), "28′\u00a06″") {
		t.Fatalf("the conflict shows %q", two.Text())
	}
	if doc.Find(`.caut.warn[role=alert] a[href="#`+two.AttrOr("id", "none")+`"]`).Length() != 1 {
		t.Error("the summary does not lead to the conflict")
	}
	again := formOf(doc.Find("form#deck"))
	again.Set("pick.width", "theirs")
	w.post(path+"/deck", again).wants(http.StatusSeeOther)
	facts := w.record(v.ID).Facts
	if facts["width"].Text != "28' 6" || facts["base"].Text != "1/2" || facts["projection"].Text != "14'" {
		t.Errorf("stored %v", facts)
	}
}

// TestSourcesThatDisagree: a typed and a taped width apart by more than half an inch leave the fact unset until a person chooses.
func TestSourcesThatDisagree(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	photo := w.photo(v.ID)
	w.facts(v.ID, map[string]string{"width": "28' 6"})
	end := 0.9
	pin := w.pin(survey.Pin{Survey: v.ID, Photo: photo.ID, Kind: survey.PinDimension, X: .1, Y: .5, X2: &end, Y2: &end, Values: map[string]string{"names": "width", "length": "28' 4"}})
	doc := w.get(path).page()
	rows := doc.Find(`form#deck .ab li`)
	if rows.Length() != 2 {
		t.Fatalf("got %d sources, want 2", rows.Length())
	}
	if link := rows.Last().Find(".src a").AttrOr("href", ""); link != photoPath(photo)+"#p1" {
		t.Errorf("the taped source leads to %q", link)
	}
	if got := doc.Find("form#deck .state.warn").Text(); !strings.Contains(got, "two sources disagree") {
		t.Errorf("the page says %q", got)
	}
	form := formOf(doc.Find("form#deck"))
	form.Set("f.projection", "14'")
	button := rows.Last().Find("button[name=settle]")
	form.Set("settle", button.AttrOr("value", ""))
	w.post(path+"/deck", form).wants(http.StatusSeeOther)
	r := w.record(v.ID)
	if got := survey.ResolveFacts(r).Get("width"); got.State != survey.FactKnown || got.Source.Pin != pin.ID {
		t.Errorf("after choosing the pin: %+v", got)
	}
	if r.Facts["projection"].Text != "14'" {
		t.Error("what was typed beside the choice was lost")
	}
	if used := w.get(path).page().Find(".ab li .state.fine").Length(); used != 1 {
		t.Errorf("%d sources are marked as used, want 1", used)
	}
	form.Set("settle", "width=nonsense")
	w.post(path+"/deck", form).wants(http.StatusConflict)
}

// TestPinnedValueIsShown: a taped length fills the line of a field that nobody typed.
func TestPinnedValueIsShown(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	photo := w.photo(v.ID)
	end := 0.9
	w.pin(survey.Pin{Survey: v.ID, Photo: photo.ID, Kind: survey.PinDimension, X: .1, Y: .5, X2: &end, Y2: &end, Values: map[string]string{"names": "width", "length": "28' 4"}})
	line := w.get(surveyPath(v.ID)).page().Find("#c-f-width-read")
	if !strings.Contains(line.Text(), "is 28′\u00a04″") || line.Find("use[href='#s-taped']").Length() != 1 {
		t.Errorf("the line is %q", line.Text())
	}
}

func TestForms(t *testing.T) {
	w := newSite(t)
	path := surveyPath(w.survey("Larkmoor house").ID)
	r := w.post(path+"/site", url.Values{"f.title": {strings.Repeat("x", maxForm)}})
	r.wants(http.StatusRequestEntityTooLarge)
	req := newRequest(http.MethodPost, path+"/site", "%zz=1", "Content-Type", "application/x-www-form-urlencoded")
	w.do(req).wants(http.StatusBadRequest)
	w.do(newRequest(http.MethodPost, path+"/site", `{"f.title":"x"}`, "Content-Type", "application/json")).wants(http.StatusBadRequest)
	w.post("/surveys/"+survey.NewID()+"/site", url.Values{}).wants(http.StatusNotFound)
	w.post("/surveys/"+survey.NewID()+"/deck", url.Values{}).wants(http.StatusNotFound)
	w.get("/surveys/" + survey.NewID()).wants(http.StatusNotFound)
}

func newRequest(method, path, body string, header ...string) *http.Request {
	r := requestWithBody(method, path, strings.NewReader(body))
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	return r
}

// TestEightPeopleAtOnce: of eight forms that were opened together and say different things about one field, one is saved and seven are
// asked, whether they meet at the form or in the store.
func TestEightPeopleAtOnce(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	deck := formOf(w.get(path).page().Find("form#deck"))
	site := formOf(w.get(path).page().Find("form#site"))
	for _, form := range []struct {
		address, field string
		values         url.Values
	}{{path + "/deck", "f.base", deck}, {path + "/site", "f.client", site}} {
		codes := make(chan int, 8)
		for i := range 8 {
			mine := url.Values{}
			maps.Copy(mine, form.values)
			mine.Set(form.field, fmt.Sprintf("%d/16", i+1))
			go func() { codes <- w.post(form.address, mine).Code }()
		}
		count := map[int]int{}
		for range 8 {
			count[<-codes]++
		}
		if count[http.StatusSeeOther] != 1 || count[http.StatusConflict] != 7 {
			t.Errorf("%s: statuses %v, want one 303 and the rest 409", form.address, count)
		}
	}
}
