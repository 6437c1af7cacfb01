package web

import (
	"bytes"
	"database/sql"

	"fmt"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"undercroft/annotate"
	"undercroft/survey"
)

// offered is a survey of the demo's deck without anything that stops it, with one revision.
func (w *site) offered() survey.Survey {
	w.t.Helper()
	house := w.demo()
	if _, err := w.store.SaveCompany(w.t.Context(), survey.Company{Name: "Alder & Moss", Phone: "555 0100"}); err != nil {
		w.t.Fatal(err)
	}
	w.issue(house.ID, 1, url.Values{"f.by": {"Ana"}}).wants(http.StatusSeeOther)
	return house
}

// link makes a link by the form and gives its path, /s/ and the token.
func (w *site) link(in survey.SurveyID, number int) string {
	w.t.Helper()
	page := w.post(fmt.Sprintf("%s/revisions/%d/links", surveyPath(in), number), url.Values{"days": {"60"}}).wants(http.StatusOK).page()
	address, err := url.Parse(page.Find("#made-link").AttrOr("value", ""))
	if err != nil || !regexp.MustCompile(`^/s/[A-Za-z0-9_-]{22}$`).MatchString(address.Path) || address.Host != "example.com" {
		w.t.Fatalf("the link is %v, %v", address, err)
	}
	return address.Path
}

// form reads a form of the homeowner's page; its ticks are set.
func (a answer) form(selector string) url.Values {
	a.t.Helper()
	form := a.page().Find(selector)
	if form.Length() != 1 {
		a.t.Fatalf("%s: %d forms in %.300s", selector, form.Length(), a.Body.String())
	}
	return formOf(form)
}

const (
	approveForm = `form[data-form="approve"]`
	declineForm = `form[data-form="decline"]`
)

// TestHomeownerApproves: reads, asks, is answered, approves, gets a receipt; then a change, a second revision and a second approval, which supersedes the first and leaves it.
func TestHomeownerApproves(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	home := surveyPath(house.ID)
	at := w.link(house.ID, 1)
	page := w.get(at).wants(http.StatusOK).page()
	if got := page.Find(".doc").Text(); !strings.Contains(got, "Larkmoor house") || !strings.Contains(got, "Included") {
		t.Errorf("the scope is not there: %.200s", got)
	}
	for _, word := range []string{"watertight", "waterproof"} {
		if strings.Contains(strings.ToLower(page.Text()), word) {
			t.Errorf("the page says %q", word)
		}
	}
	src, ok := page.Find(".doc img").Attr("src")
	if !ok || !strings.HasPrefix(src, at+"/pictures/") {
		t.Fatalf("the picture is at %q", src)
	}
	w.get(src).wants(http.StatusOK)
	if pdf := w.get(at + "/scope.pdf").wants(http.StatusOK); !strings.HasPrefix(pdf.Body.String(), "%PDF-") {
		t.Error("the scope is no PDF")
	}
	if spanish := w.get(at + "?lang=es").wants(http.StatusOK).page(); spanish.Find("html").AttrOr("lang", "") != "es" || !strings.Contains(spanish.Find("#decision").Text(), "Aprobar la revisión 1") || !strings.Contains(spanish.Find(".doc").Text(), "Incluido") {
		t.Error("it is not in Spanish")
	}

	question := w.get(at).form(`#questions form`)
	question.Set("name", "J. Quill")
	question.Set("question", "Will the light be as bright?")
	for range 2 { // sent twice it stands once
		w.post(at+"/ask", question).wants(http.StatusSeeOther)
	}
	staff := w.get(home + "/revisions").wants(http.StatusOK).page()
	answering := staff.Find(`.asked form`)
	if answering.Length() != 1 || !strings.Contains(staff.Find(".asked").Text(), "Will the light be as bright?") {
		t.Fatal("the question does not reach the staff")
	}
	w.post(answering.AttrOr("action", ""), url.Values{"answer": {""}}).wants(http.StatusUnprocessableEntity)
	w.post(answering.AttrOr("action", ""), url.Values{"answer": {"Yes, it stays where it is."}}).wants(http.StatusSeeOther)
	if again := w.post(answering.AttrOr("action", ""), url.Values{"answer": {"No."}}).wants(http.StatusConflict).page(); !strings.Contains(again.Find(".problem").Text(), "answered already") {
		t.Error("a second answer is not refused in words")
	}
	if got := w.get(at).page().Find("#questions").Text(); !strings.Contains(got, "Yes, it stays where it is.") {
		t.Errorf("the answer does not reach the homeowner: %s", got)
	}

	w.get(at + "/receipt.pdf").wants(http.StatusNotFound)
	approve := w.get(at).form(approveForm)
	approve.Set("name", " J.  Quill ")
	w.post(at+"/decide", approve).wants(http.StatusSeeOther)
	decided := w.get(at).page()
	if got := decided.Find("#decision").Text(); !strings.Contains(got, "Approved by J. Quill") || decided.Find(approveForm).Length()+decided.Find(declineForm).Length() != 0 {
		t.Errorf("once decided the page says %s", got)
	}
	w.post(at+"/decide", approve).wants(http.StatusConflict)
	receipt := w.get(at + "/receipt.pdf").wants(http.StatusOK)
	if !strings.HasPrefix(receipt.Body.String(), "%PDF-") || !bytes.Equal(receipt.Body.Bytes(), w.get(home+"/revisions/1/sign/receipt.pdf").wants(http.StatusOK).Body.Bytes()) {
		t.Error("both sides do not get the same receipt")
	}
	made, err := w.store.Approvals(t.Context(), house.ID)
	if err != nil || len(made) != 1 || made[0].SHA256 != w.revisions(house.ID)[0].SHA256 || made[0].Address == "" || !strings.Contains(made[0].Consent, "555 0100") || made[0].With != "" {
		t.Fatalf("kept: %+v, %v", made, err)
	}

	w.facts(house.ID, map[string]string{"rain.inches_per_hour": "4.1"})
	if got := w.get(home + "/revisions").page().Find("#since-approval").Text(); !strings.Contains(got, "J. Quill approved revision 1") || !strings.Contains(got, "4.1") {
		t.Errorf("the change since the approval is not told: %s", got)
	}
	if crew := w.get(home + "/report?for=crew").page().Find(".doc .cover").Text(); !strings.Contains(crew, "Changed since the homeowner's approval") {
		t.Errorf("the crew is not told: %s", crew)
	}
	w.issue(house.ID, 2, url.Values{"f.by": {"Ana"}}).wants(http.StatusSeeOther)
	if old := w.get(at).page().Find("#decision").Text(); !strings.Contains(old, "Approved by J. Quill") || !strings.Contains(old, "newer revision") {
		t.Errorf("the old link says %s", old)
	}
	second := w.link(house.ID, 2)
	approve = w.get(second).form(approveForm)
	approve.Set("name", "J. Quill")
	w.post(second+"/decide", approve).wants(http.StatusSeeOther)
	list := w.get(home + "/revisions").page()
	if got := list.Find("#issued").Text(); !strings.Contains(got, "superseded by revision 2") || strings.Count(got, "Approved by J. Quill") != 2 || !strings.Contains(list.Find("#since-approval").Text(), "Nothing has changed since") {
		t.Errorf("the list says %s", got)
	}
}

// TestWhatADecisionNeeds: a name, the tick, a reason for a decline, the content that was seen, and a revision that stands.
func TestWhatADecisionNeeds(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	at := w.link(house.ID, 1)
	for name, c := range map[string]struct {
		form, key, value string
		status           int
		says             string
	}{
		"no name":         {approveForm, "name", "", 422, "Write your full name"},
		"a long name":     {approveForm, "name", strings.Repeat("J", 201), 422, "Write your full name"},
		"no tick":         {approveForm, "consent", "", 422, "Tick this"},
		"another content": {approveForm, "sha256", strings.Repeat("0", 64), 409, "Read it again"},
		"another text":    {approveForm, "agreed", strings.Repeat("0", 64), 409, "Read it again"},
		"no text":         {declineForm, "agreed", "", 409, "Read it again"},
		"no reason":       {declineForm, "reason", "", 422, "Say why not"},
		"no name either":  {declineForm, "name", "", 422, "Write your full name"},
		"neither":         {approveForm, "decision", "perhaps", 422, "another look"},
	} {
		form := w.get(at).form(c.form)
		form.Set("name", "J. Quill")
		form.Set("reason", "the gutter is on the wrong side")
		form.Set(c.key, c.value)
		page := w.post(at+"/decide", form).wants(c.status).page()
		if got := page.Find(".problem").Text(); !strings.Contains(got, c.says) {
			t.Errorf("%s: it says %q", name, got)
		}
		if typed := page.Find(c.form+` [name="name"]`).AttrOr("value", ""); c.key != "name" && typed != "J. Quill" && c.status == 422 {
			t.Errorf("%s: what was typed is gone: %q", name, typed)
		}
		page.Find(".problem a").Each(func(_ int, a *goquery.Selection) {
			if page.Find(a.AttrOr("href", "#none")).Length() != 1 {
				t.Errorf("%s: %s leads nowhere", name, a.AttrOr("href", ""))
			}
		})
	}
	if made, err := w.store.Approvals(t.Context(), house.ID); err != nil || len(made) != 0 {
		t.Fatalf("decided: %+v, %v", made, err)
	}
	decline := w.get(at + "?lang=es").form(declineForm)
	decline.Set("name", "J. Quill")
	decline.Set("reason", "the gutter is on the wrong side")
	w.post(at+"/decide?lang=es", decline).wants(http.StatusSeeOther)
	if got := w.get(at + "?lang=es").page().Find("#decision").Text(); !strings.Contains(got, "No aprobado: J. Quill") || !strings.Contains(got, "wrong side") {
		t.Errorf("the page says %s", got)
	}
	if got := w.get(surveyPath(house.ID) + "/revisions").page().Find("#issued").Text(); !strings.Contains(got, "Not approved: J. Quill") || !strings.Contains(got, "wrong side") {
		t.Errorf("the staff reads %s", got)
	}
	w.get(at + "/receipt.pdf?lang=es").wants(http.StatusOK)
}

// TestWhatStopsIsNotApproved: a revision that was issued although something stopped the job can be read and not approved.
func TestWhatStopsIsNotApproved(t *testing.T) {
	w := newSite(t)
	house := w.demo()
	w.facts(house.ID, map[string]string{"cover.rot": ""})
	w.issue(house.ID, 1, url.Values{"f.by": {"Ana"}, "f.although": {"the rest later"}}).wants(http.StatusSeeOther)
	at := w.link(house.ID, 1)
	page := w.get(at).wants(http.StatusOK).page()
	if page.Find(approveForm).Length() != 0 || !strings.Contains(page.Find("#decision").Text(), "settled first") {
		t.Errorf("it is offered: %s", page.Find("#decision").Text())
	}
	w.post(at+"/decide", url.Values{"name": {"J. Quill"}, "consent": {"yes"}, "decision": {"approved"}, "sha256": {w.revisions(house.ID)[0].SHA256}}).wants(http.StatusConflict)
}

// TestSignedInPerson: on the phone of who is signed in, with a drawn signature, under that person's name.
func TestSignedInPerson(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	cookie := w.session(w.person("R. Vance", survey.RoleSurveyor))
	at := surveyPath(house.ID) + "/revisions/1/sign"
	a := w.as(cookie, http.MethodGet, at, "").wants(http.StatusOK)
	page := a.page()
	if page.Find(`[data-widget="sign-pad"]`).Length() != 1 || page.Find(".nav, .bar").Length() != 0 {
		t.Error("there is nowhere to sign, or a way into the rest")
	}
	w.as(cookie, http.MethodGet, page.Find(".doc img").AttrOr("src", "none"), "").wants(http.StatusOK)
	w.as(cookie, http.MethodGet, at+"/scope.pdf", "").wants(http.StatusSeeOther)
	send := func(signature string) answer {
		form := a.form(approveForm)
		form.Set("name", "J. Quill")
		form.Set("signature", signature)
		return w.as(cookie, http.MethodPost, at+"/decide", form.Encode(), "Content-Type", "application/x-www-form-urlencoded")
	}
	if got := send("[[[9999,1]]]").wants(http.StatusUnprocessableEntity).page().Find(".problem").Text(); !strings.Contains(got, "drawn signature") {
		t.Errorf("it says %q", got)
	}
	send("[[[10,20],[30,40]],[[50,60]]]").wants(http.StatusSeeOther)
	made, err := w.store.Approvals(t.Context(), house.ID)
	if err != nil || len(made) != 1 || made[0].With != "R. Vance" || made[0].Link != "" || made[0].Signature != "[[[10,20],[30,40]],[[50,60]]]" {
		t.Fatalf("kept: %+v, %v", made, err)
	}
	w.as(cookie, http.MethodGet, at+"/receipt.pdf?lang=es", "").wants(http.StatusOK)
}

// TestLinksThatDoNotWork: unknown, cut short, spelled otherwise, revoked and expired, the answer is the same, whatever is asked for.
func TestLinksThatDoNotWork(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	revoked := w.link(house.ID, 1)
	list := w.get(surveyPath(house.ID) + "/revisions").page()
	w.post(list.Find(".revlink form").AttrOr("action", ""), url.Values{}).wants(http.StatusSeeOther)
	ok := w.link(house.ID, 1)
	body := func(path string) string {
		a := w.get(path).wants(http.StatusNotFound)
		if a.Header().Get("X-Robots-Tag") == "" || a.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s: %v", path, a.Header())
		}
		if links := a.page().Find("a").Length(); links != 0 {
			t.Errorf("%s has %d links", path, links)
		}
		return a.Body.String()
	}
	want := body("/s/" + strings.Repeat("A", 22))
	if !strings.Contains(want, "Ask the contractor") || !strings.Contains(want, "Pida uno nuevo") {
		t.Errorf("it says %s", want)
	}
	last := map[byte]string{'A': "B", 'Q': "R", 'g': "h", 'w': "x"}[ok[len(ok)-1]] // the same bits but those that no byte has (RFC 4648, section 3.5)
	w.get(ok).wants(http.StatusOK)
	for name, path := range map[string]string{"revoked": revoked, "cut short": ok[:len(ok)-1], "another spelling": ok[:len(ok)-1] + last, "nonsense": "/s/%00", "its picture": revoked + "/pictures/" + strings.Repeat("a", 64), "its scope": revoked + "/scope.pdf", "its receipt": revoked + "/receipt.pdf"} {
		if got := body(path); got != want {
			t.Errorf("%s: another answer: %s", name, firstDifference(got, want))
		}
	}
	for _, path := range []string{revoked + "/ask", revoked + "/decide", "/s/nothing/decide"} {
		if got := w.post(path, url.Values{"question": {"Why?"}, "name": {"E"}, "consent": {"yes"}, "decision": {"approved"}, "sha256": {w.revisions(house.ID)[0].SHA256}}).wants(http.StatusNotFound).Body.String(); got != want {
			t.Errorf("%s: another answer", path)
		}
	}
	w.now = w.now.AddDate(0, 0, 60).Add(-time.Second)
	w.get(ok).wants(http.StatusOK)
	w.now = w.now.Add(time.Second)
	if got := body(ok); !strings.Contains(got, "Ask the contractor") {
		t.Errorf("expired: %s", got)
	}
}

// TestLinksAreRateLimited: by address, and by token from many addresses; pictures have a limit of their own.
func TestLinksAreRateLimited(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	at := w.link(house.ID, 1)
	get := func(path, from string) answer {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.RemoteAddr = from + ":1000"
		return w.do(r)
	}
	for i := range sharedBurst {
		if a := get(fmt.Sprintf("/s/%022d", i), "198.51.100.1"); a.Code != http.StatusNotFound {
			t.Fatalf("try %d: got status %d", i, a.Code)
		}
	}
	a := get(at, "198.51.100.1").wants(http.StatusTooManyRequests)
	if a.Header().Get("Retry-After") == "" || !strings.Contains(a.Body.String(), "Wait a minute") {
		t.Errorf("it says %s", a.Body)
	}
	get(at+"/pictures/"+strings.Repeat("a", 64), "198.51.100.1").wants(http.StatusNotFound)
	for i := range sharedBurst {
		get(at, fmt.Sprintf("198.51.101.%d", i)).wants(http.StatusOK)
	}
	get(at, "198.51.102.1").wants(http.StatusTooManyRequests)
	w.now = w.now.Add(sharedEvery)
	get(at, "198.51.102.1").wants(http.StatusOK)
}

// TestALinksSecretIsKeptNowhere: after everything was done by it, neither the data folder nor the log holds the token, no page sends it anywhere, and what the database knows
// opens nothing.
func TestALinksSecretIsKeptNowhere(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	w := newSiteAt(t, dir, annotate.Child{Exe: exe})
	house := w.offered()
	at := w.link(house.ID, 1)
	token := strings.TrimPrefix(at, "/s/")
	first := w.get(at).wants(http.StatusOK)
	first.page().Find("[href], [src], [action]").Each(func(_ int, el *goquery.Selection) {
		for _, name := range []string{"href", "src", "action"} {
			if to := el.AttrOr(name, "#"); !strings.HasPrefix(to, at) && !strings.HasPrefix(to, "#") && !strings.HasPrefix(to, "/static/") {
				t.Errorf("the page leads to %s", to)
			}
		}
	})
	h := first.Header()
	if h.Get("Referrer-Policy") != "no-referrer" || !strings.Contains(h.Get("X-Robots-Tag"), "noindex") || h.Get("Cache-Control") != "no-store" || h.Get("Set-Cookie") != "" {
		t.Errorf("headers: %v", h)
	}
	question := first.form(`#questions form`)
	question.Set("question", "Why?")
	w.post(at+"/ask", question).wants(http.StatusSeeOther)
	approve := first.form(approveForm)
	w.post(at+"/decide", approve).wants(http.StatusUnprocessableEntity)
	approve.Set("name", "J. Quill")
	w.post(at+"/decide", approve).wants(http.StatusSeeOther)
	for _, path := range []string{"", "?lang=es", "/scope.pdf", "/receipt.pdf", "/nothing", "/pictures/x"} {
		if a := w.get(at + path); strings.HasSuffix(path, ".pdf") && strings.Contains(a.Body.String(), token) {
			t.Errorf("%s names the token", path)
		}
	}
	w.do(httptest.NewRequest(http.MethodDelete, at, nil)).wants(http.StatusMethodNotAllowed)
	if page := w.get(surveyPath(house.ID) + "/revisions").Body.String(); strings.Contains(page, token) {
		t.Error("it is shown a second time")
	}
	links, err := w.store.Links(t.Context(), house.ID)
	if err != nil || len(links) != 1 {
		t.Fatal(links, err)
	}
	w.get("/s/" + string(links[0].ID)).wants(http.StatusNotFound)
	if strings.Contains(w.log.String(), token) || !strings.Contains(w.log.String(), "/s/:token") {
		t.Error("the log holds the token, or no line about it")
	}
	read := 0
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, ".db") || strings.HasSuffix(path, "-wal") || strings.HasSuffix(path, "-shm") {
			return err // the database is read once it is closed: see below
		}
		body, err := os.ReadFile(path)
		if read++; bytes.Contains(body, []byte(token)) {
			t.Errorf("%s holds the token", path)
		}
		return err
	})
	if err != nil || read == 0 {
		t.Fatal(read, err)
	}
	if err := w.store.Close(); err != nil {
		t.Fatal(err)
	}
	database, err := os.ReadFile(filepath.Join(dir, "undercroft.db"))
	if err != nil || !bytes.Contains(database, []byte("J. Quill")) || bytes.Contains(database, []byte(token)) {
		t.Errorf("the database holds the token, or not what was done by it: %v", err)
	}
	sum, _ := linkSum(token)
	if !bytes.Contains(database, sum[:]) {
		t.Error("the database does not hold the token's sum: this test looks in the wrong place")
	}
}

// TestDamagedDecisionsAreShown: rows that were changed behind the program's back are told to the staff, and give no receipt.
func TestDamagedDecisionsAreShown(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	w := newSiteAt(t, dir, annotate.Child{Exe: exe})
	house := w.offered()
	at := w.link(house.ID, 1)
	approve := w.get(at).form(approveForm)
	approve.Set("name", "J. Quill")
	w.post(at+"/decide", approve).wants(http.StatusSeeOther)
	w.issue(house.ID, 2, url.Values{"f.by": {"Ana"}}).wants(http.StatusSeeOther)
	second := w.link(house.ID, 2)
	next := w.get(second).form(approveForm)
	next.Set("name", "J. Quill")
	tamper(t, filepath.Join(dir, "undercroft.db"), `DROP TRIGGER approval_is_not_updated`, `UPDATE approval SET name = 'E. Quill'`)
	w.post(second+"/decide", next).wants(http.StatusConflict)
	if made, err := w.store.Approvals(t.Context(), house.ID); err != nil || len(made) != 1 {
		t.Errorf("a decision was added to a damaged record: %+v, %v", made, err)
	}
	if got := w.get(surveyPath(house.ID) + "/revisions").wants(http.StatusOK).page().Find("main").Text(); !strings.Contains(got, "record of the decisions is damaged") {
		t.Error("the staff is not told")
	}
	if got := w.get(at).wants(http.StatusOK).page().Find("#decision").Text(); strings.Contains(got, "E. Quill") || !strings.Contains(got, "damaged") {
		t.Errorf("the homeowner reads %s", got)
	}
	w.get(at + "/receipt.pdf").wants(http.StatusInternalServerError)
	if a := w.get(surveyPath(house.ID) + "/bundle.zip"); a.Code != http.StatusOK {
		t.Errorf("the bundle: status %d", a.Code)
	}
}

// tamper changes a database that is in use as somebody with the file would.
func tamper(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=busy_timeout(5000)")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, s := range statements {
		if _, err := db.ExecContext(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
}
