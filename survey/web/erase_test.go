package web

import (
	"bytes"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
	"undercroft/survey/store"
)

// TestErase takes a survey from the visit to the client's sign-off, erases it by the form, and searches every byte of the data folder for what a homeowner could be known by.
func TestErase(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	v := w.record(house.ID).Survey
	v.Client, v.Address, v.Contact = "Wilhelmina Quillfeather", "1147 Larkmoor Crescent", "555-0187-22"
	if _, err := w.store.UpdateSurvey(t.Context(), v); err != nil {
		t.Fatal(err)
	}
	w.facts(house.ID, map[string]string{"scope.price": "The ceiling $4,200.50\nGutter $960"})
	w.issue(house.ID, 2, url.Values{"f.by": {"Ana"}}).wants(http.StatusSeeOther)
	at := w.link(house.ID, 2)
	question := w.get(at).form(`#questions form`)
	question.Set("question", "May the third flowerpot stay?")
	w.post(at+"/ask", question).wants(http.StatusSeeOther)
	approve := w.get(at).form(approveForm)
	approve.Set("name", "Wilhelmina Quillfeather")
	w.post(at+"/decide", approve).wants(http.StatusSeeOther)
	w.get(at + "/receipt.pdf").wants(http.StatusOK)
	w.get(surveyPath(house.ID) + "/report.pdf").wants(http.StatusOK)
	photo := w.record(house.ID).Photos[0]
	original := w.get(photoPath(photo) + "/original").wants(http.StatusOK).Body.Bytes()
	words := [][]byte{[]byte("Wilhelmina Quillfeather"), []byte("1147 Larkmoor Crescent"), []byte("555-0187-22"), []byte("third flowerpot"), original[len(original)/2 : len(original)/2+200]}
	for _, word := range words {
		if len(w.holding(word)) == 0 {
			t.Fatalf("before, %.20q is nowhere: the test searches in vain", word)
		}
	}

	page := w.get(surveyPath(house.ID) + "/erase").wants(http.StatusOK).page()
	said := plainText(page.Find(".page"))
	for _, want := range []string{"2 revisions with their contents and reports", "1 decision with its name", "1 question of the homeowner", "Price$5160.50", "Area of the ceiling", "Backups made before this still hold it"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page does not say %q: %s", want, said)
		}
	}
	form := formOf(page.Find(`form[action$="/erase"]`))
	again := w.post(surveyPath(house.ID)+"/erase", form).wants(http.StatusUnprocessableEntity).page()
	if again.Find(".bad").Length() != 2 || !strings.Contains(again.Find(".problem").Text(), "Nothing was erased") {
		t.Errorf("without a word and a reason it says %s", plainText(again.Find(".problem")))
	}
	form.Set("f.confirm", "Larkmoor hose")
	form.Set("f.reason", "asked")
	again = w.post(surveyPath(house.ID)+"/erase", form).wants(http.StatusUnprocessableEntity).page()
	kept := formOf(again.Find(`form[action$="/erase"]`))
	if kept.Get("f.confirm") != "Larkmoor hose" || kept.Get("f.reason") != "asked" {
		t.Errorf("what was typed is lost: %v", kept)
	}
	w.get(surveyPath(house.ID)).wants(http.StatusOK)
	form.Set("f.confirm", " larkmoor  House")
	if to := w.post(surveyPath(house.ID)+"/erase", form).wants(http.StatusSeeOther).Header().Get("Location"); to != "/surveys?saved=erased" {
		t.Errorf("led to %q", to)
	}

	w.get(surveyPath(house.ID)).wants(http.StatusNotFound)
	w.get(at).wants(http.StatusNotFound)
	if found := w.holding(words...); len(found) > 0 {
		t.Errorf("still found: %v", found)
	}
	if bytes.Contains(w.log.Bytes(), words[0]) || bytes.Contains(w.log.Bytes(), words[1]) {
		t.Error("the log holds the name or the address")
	}
	erased := plainText(w.get("/surveys/erased").wants(http.StatusOK).page().Find(".page"))
	for _, want := range []string{"the homeowner asked for it", "Price$5160.50", "Revisions issued2", "Decisions1"} {
		if !strings.Contains(erased, want) {
			t.Errorf("what stays does not say %q: %s", want, erased)
		}
	}
	if strings.Contains(erased, "Larkmoor") {
		t.Errorf("the house's name stays: %s", erased)
	}
	// A phone that still has the survey does not bring it back.
	w.put("/api/surveys/"+string(house.ID)+"/photos/"+survey.NewID(), bytes.NewReader(gradient(t))).wants(http.StatusNotFound)
	sent := formOf(w.get("/surveys/new").page().Find(`form[action="/surveys"]`))
	sent.Set("id", string(house.ID))
	sent.Set("f.title", "Larkmoor house")
	if got := w.post("/surveys", sent).wants(http.StatusNotFound).page().Find(".problem").Text(); !strings.Contains(got, "erased for good") {
		t.Errorf("made anew under the old number: %q", got)
	}
}

// TestKeptLongEnough: the office is shown finished and declined surveys that are older than the company keeps them, erases none without a click, and others are not shown them.
func TestKeptLongEnough(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	at := w.link(house.ID, 1)
	decline := w.get(at).form(declineForm)
	decline.Set("reason", "Too dear.")
	decline.Set("name", "J. Quill")
	w.post(at+"/decide", decline).wants(http.StatusSeeOther)
	w.survey("Orchard row 5") // is never due
	settings := formOf(w.get("/settings").page().Find("#company"))
	settings.Set("f.keep_years", "none")
	if got := w.post("/settings", settings).wants(http.StatusUnprocessableEntity).page().Find(".problem").Text(); !strings.Contains(got, "whole years from 1 to 50") {
		t.Errorf("a wrong number of years: %q", got)
	}
	settings.Set("f.keep_years", "3")
	w.post("/settings", settings).wants(http.StatusSeeOther)
	if n := w.get("/surveys").page().Find(".wrap > .caut").Length(); n != 0 {
		t.Error("something is due at once")
	}
	w.now = w.now.AddDate(3, 0, 0)
	list := w.get("/surveys").page()
	if got := plainText(list.Find(".wrap > .caut")); !strings.Contains(got, "1 survey was kept for 3 years or longer") {
		t.Errorf("the office is told %q", got)
	}
	due := w.get(list.Find(".wrap > .caut a").AttrOr("href", "")).wants(http.StatusOK).page().Find(".list li")
	if due.Length() != 1 || !strings.Contains(due.Text(), "declined") {
		t.Errorf("shown are %s", plainText(due))
	}
	form := formOf(w.get(due.Find("a").AttrOr("href", "")).wants(http.StatusOK).page().Find(`form[action$="/erase"]`))
	if form.Get("f.reason") != string(survey.ErasedKept) {
		t.Errorf("the reason is %q", form.Get("f.reason"))
	}
	if n, err := w.server.eraseOverdue(t.Context()); n != 0 || err != nil {
		t.Errorf("%d erased without a click (%v)", n, err)
	}
	cookie := w.session(w.person("Ana", survey.RoleSurveyor))
	if n := w.as(cookie, http.MethodGet, "/surveys", "").page().Find(".wrap > .caut").Length(); n != 0 {
		t.Error("a surveyor is asked what may be erased")
	}
}

// TestEraseBesideABackup: while the files are read by a backup they stay, the page says so, and the next look removes them.
func TestEraseBesideABackup(t *testing.T) {
	w := newSite(t)
	house := w.survey("Larkmoor house")
	photo := w.photo(house.ID)
	original := w.get(photoPath(photo) + "/original").wants(http.StatusOK).Body.Bytes()
	aside, err := store.OpenAside(t.Context(), w.dir)
	if err != nil {
		t.Fatal(err)
	}
	to := w.post(surveyPath(house.ID)+"/erase", url.Values{"f.confirm": {"Larkmoor house"}, "f.reason": {"asked"}}).wants(http.StatusSeeOther).Header().Get("Location")
	if got := w.get(to).page().Find(".done").Text(); !strings.Contains(got, "within the hour") {
		t.Errorf("%s says %q", to, got)
	}
	if len(w.holding(original)) == 0 {
		t.Error("the photo is gone while it is read")
	}
	if err := aside.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := w.server.eraseOverdue(t.Context()); err != nil {
		t.Fatal(err)
	}
	if found := w.holding(original); len(found) > 0 {
		t.Errorf("still found: %v", found)
	}
	if left, err := w.store.Unswept(t.Context()); err != nil || len(left) > 0 {
		t.Errorf("unswept are %v, %v", left, err)
	}
}
