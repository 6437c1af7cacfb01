package web

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"

	"undercroft/survey"
)

// issue issues the next revision of a survey by the form.
func (w *site) issue(in survey.SurveyID, number int, form url.Values) answer {
	form.Set("number", fmt.Sprint(number))
	return w.post(surveyPath(in)+"/revisions", form)
}

func TestIssueRevision(t *testing.T) {
	w := newSite(t)
	house := w.demo()
	w.facts(house.ID, map[string]string{"cover.rot": ""}) // a question that nobody has answered stops the crew
	home := surveyPath(house.ID)
	page := w.get(home + "/revisions").wants(http.StatusOK).page()
	if got := page.Find("#issued").Text(); !strings.Contains(got, "Nothing was issued yet") {
		t.Errorf("at first the page says %q", got)
	}
	stops := page.Find(".revstops .caut").Length()
	if stops == 0 {
		t.Fatal("the deck of this test has something that stops it; the page shows nothing")
	}
	bare := w.issue(house.ID, 1, url.Values{"f.by": {"Ana"}}).wants(http.StatusUnprocessableEntity).page()
	if bare.Find("#issue .bad, #issue [aria-invalid=true]").Length() == 0 || len(w.revisions(house.ID)) != 0 {
		t.Error("it was issued without a reason, or nothing says that a reason is wanted")
	}
	w.issue(house.ID, 1, url.Values{"f.by": {"Ana"}, "f.although": {"the rest is looked at on Monday"}}).wants(http.StatusSeeOther)
	w.issue(house.ID, 1, url.Values{"f.by": {"Ben"}, "f.although": {"twice"}}).wants(http.StatusConflict)
	issued := w.revisions(house.ID)
	if len(issued) != 1 || issued[0].By != "Ana" || issued[0].Although != "the rest is looked at on Monday" {
		t.Fatalf("issued %+v", issued)
	}
	page = w.get(home + "/revisions?saved=issued").wants(http.StatusOK).page()
	if got := page.Find("#issued").Text(); !strings.Contains(got, survey.Fingerprint(issued[0].SHA256)) || !strings.Contains(page.Find("#changes").Text(), "Nothing.") {
		t.Errorf("the page does not show the fingerprint, or tells of changes: %s %s", got, page.Find("#changes").Text())
	}

	// A change is told, and the next revision follows the first.
	w.facts(house.ID, map[string]string{"fall.per_foot": `1/4"`})
	changes := w.get(home + "/revisions").wants(http.StatusOK).page().Find("#changes tbody tr")
	if !strings.Contains(changes.Text(), "Fall per foot") {
		t.Errorf("the changes are %q", changes.Text())
	}
	w.issue(house.ID, 2, url.Values{"f.by": {"Ben"}, "f.although": {"the same"}}).wants(http.StatusSeeOther)
	if second := w.revisions(house.ID)[1]; second.Prev != issued[0].SHA256 {
		t.Errorf("the second revision follows %s", second.Prev)
	}
}

func (w *site) revisions(in survey.SurveyID) []survey.Revision {
	w.t.Helper()
	list, err := w.store.Revisions(w.t.Context(), in)
	if err != nil {
		w.t.Fatal(err)
	}
	return list
}

// TestARevisionStaysAsItWasIssued: pages, files and pictures of a revision are the same after the survey has changed, a photo was removed and a year has gone by.
func TestARevisionStaysAsItWasIssued(t *testing.T) {
	w := newSite(t)
	house := w.demo()
	photo := w.photo(house.ID)
	w.pin(survey.Pin{Survey: house.ID, Photo: photo.ID, Kind: survey.PinNote, X: 0.5, Y: 0.5, Note: "a loose board"})
	w.issue(house.ID, 1, url.Values{"f.by": {"Ana"}, "f.although": {"the rest later"}}).wants(http.StatusSeeOther)
	at := surveyPath(house.ID) + "/revisions/1"
	addresses := []string{at + "/report.html?for=crew", at + "/report.pdf?for=crew&lang=es&paper=a4", at + "/report.html?for=scope&lang=es", at + "?for=survey&metric=yes", at + "/pictures/" + photo.Screen}
	before := map[string]string{}
	for _, a := range addresses {
		before[a] = w.get(a).wants(http.StatusOK).Body.String()
	}
	if doc := before[addresses[0]]; !strings.Contains(doc, survey.Fingerprint(w.revisions(house.ID)[0].SHA256)) {
		t.Error("the crew's report does not carry the fingerprint")
	}
	w.facts(house.ID, map[string]string{"fall.per_foot": `1/2"`})
	if err := w.store.DeletePhoto(t.Context(), house.ID, photo.ID, photo.Version); err != nil {
		t.Fatal(err)
	}
	w.now = w.now.AddDate(1, 0, 0)
	main := func(page string) string { // what belongs to the survey around it may change
		_, page, _ = strings.Cut(page, `<article class="doc`)
		page, _, _ = strings.Cut(page, `</main>`)
		return page
	}
	for _, a := range addresses {
		after := w.get(a).wants(http.StatusOK).Body.String()
		if strings.Contains(a, "?for=survey") {
			before[a], after = main(before[a]), main(after)
		}
		if after != before[a] || after == "" {
			t.Errorf("%s is another now: %s", a, firstDifference(before[a], after))
		}
	}
	for _, a := range []string{surveyPath(house.ID) + "/revisions/2", surveyPath(house.ID) + "/revisions/x", at + "/pictures/" + strings.Repeat("a", 64), at + "/pictures/" + photo.SHA256} {
		w.get(a).wants(http.StatusNotFound)
	}
}

// firstDifference shows where two texts begin to differ.
func firstDifference(a, b string) string {
	i := 0
	for i < min(len(a), len(b)) && a[i] == b[i] {
		i++
	}
	cut := func(s string) string { return s[max(0, min(len(s), i-60)):min(len(s), i+60)] }
	return fmt.Sprintf("%q, %q", cut(a), cut(b))
}

// TestADamagedRevisionIsNotShown: bytes that are not those that were issued are an error, and not a report.
func TestADamagedRevisionIsNotShown(t *testing.T) {
	w := newSite(t)
	house := w.demo()
	w.issue(house.ID, 1, url.Values{"f.by": {"Ana"}, "f.although": {"the rest later"}}).wants(http.StatusSeeOther)
	path, err := w.store.BlobPath(w.revisions(house.ID)[0].SHA256)
	if err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(path); err != nil { // the file itself may not be written
		t.Fatal(err)
	}
	if err := os.WriteFile(path, bytes.Replace(body, []byte("Ana"), []byte("Eve"), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	w.get(surveyPath(house.ID) + "/revisions/1").wants(http.StatusInternalServerError)
	w.get(surveyPath(house.ID) + "/revisions/1/report.html").wants(http.StatusInternalServerError)
	if !strings.Contains(w.log.String(), "damaged") {
		t.Error("the log does not say what is wrong")
	}
}

func TestListsAndBundle(t *testing.T) {
	w := newSite(t)
	house := w.demo()
	for name, head := range map[string]string{"takeoff": "Item", "cutting": "Material", "notches": "Zone"} {
		a := w.get(surveyPath(house.ID) + "/lists/" + name + ".csv").wants(http.StatusOK)
		rows, err := csv.NewReader(a.Body).ReadAll()
		if err != nil || len(rows) < 2 || rows[0][0] != head {
			t.Errorf("%s: %v, %d rows, %q", name, err, len(rows), rows[:1])
		}
		if !strings.HasPrefix(a.Header().Get("Content-Type"), "text/csv") || !strings.Contains(a.Header().Get("Content-Disposition"), name+".csv") {
			t.Errorf("%s: %v", name, a.Header())
		}
	}
	w.get(surveyPath(house.ID) + "/lists/secrets.csv").wants(http.StatusNotFound)
	w.get(surveyPath(house.ID) + "/lists/takeoff").wants(http.StatusNotFound)
	a := w.get(surveyPath(house.ID) + "/bundle.zip").wants(http.StatusOK)
	archive, err := zip.NewReader(bytes.NewReader(a.Body.Bytes()), int64(a.Body.Len()))
	if err != nil || len(archive.File) < 2 {
		t.Errorf("the bundle: %v", err)
	}
}
