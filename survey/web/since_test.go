package web

import (
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestEveryPageSaysWhatChangedSinceTheApproval: line by line on the first page, as a way there on the others, until a later revision is approved; nothing before, and nothing
// when it was changed back.
func TestEveryPageSaysWhatChangedSinceTheApproval(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	home := surveyPath(house.ID)
	said := func(path string) string {
		t.Helper()
		return strings.Join(strings.Fields(w.get(path).wants(http.StatusOK).page().Find(".since").Text()), " ")
	}
	approve := func(number int) {
		t.Helper()
		at := w.link(house.ID, number)
		form := w.get(at).form(approveForm)
		form.Set("name", "J. Quill")
		w.post(at+"/decide", form).wants(http.StatusSeeOther)
	}
	was := w.record(house.ID).Facts["rain.inches_per_hour"].Text
	w.now = w.now.Add(1e9)
	w.facts(house.ID, map[string]string{"rain.inches_per_hour": "5"})
	if got := said(home); got != "" {
		t.Errorf("before anybody approved: %q", got)
	}
	w.facts(house.ID, map[string]string{"rain.inches_per_hour": was})
	approve(1)
	if got := said(home); got != "" {
		t.Errorf("as approved: %q", got)
	}
	w.facts(house.ID, map[string]string{"rain.inches_per_hour": "4.1"})
	got := said(home)
	if !strings.Contains(got, "changed since J. Quill approved revision 1") || !strings.Contains(got, "Rain, 5-minute storm: "+was+" in/h → is now 4.1 in/h") {
		t.Errorf("the first page says %q", got)
	}
	for _, page := range []string{"/walk", "/leave", "/ceiling", "/plan", "/cover", "/review"} {
		if got := said(home + page); !strings.Contains(got, "changed since J. Quill approved revision 1") || strings.Contains(got, "4.1") {
			t.Errorf("%s says %q", page, got)
		}
	}
	page := w.get(home + "/walk").page()
	href, _, _ := strings.Cut(page.Find(".since a").AttrOr("href", ""), "#")
	if lines := w.get(href).wants(http.StatusOK).page().Find("#since-approval").Text(); !strings.Contains(lines, "4.1") {
		t.Errorf("it leads to %q", lines)
	}
	for _, page := range []string{"/photos", "/history", "/report"} {
		if got := said(home + page); got != "" {
			t.Errorf("%s says %q", page, got)
		}
	}
	w.now = w.now.Add(1e9)
	w.issue(house.ID, 2, url.Values{"f.by": {"Ana"}}).wants(http.StatusSeeOther)
	if got := said(home); !strings.Contains(got, "Revision 2 is not approved") {
		t.Errorf("with a second revision: %q", got)
	}
	approve(2)
	if got := said(home); got != "" {
		t.Errorf("once it is approved: %q", got)
	}
	w.facts(house.ID, map[string]string{"rain.inches_per_hour": was})
	w.facts(house.ID, map[string]string{"rain.inches_per_hour": "4.1"})
	if got := said(home); got != "" {
		t.Errorf("changed back: %q", got)
	}
}

// TestWhatWasApprovedIsDamaged: the pages say so and go on working.
func TestWhatWasApprovedIsDamaged(t *testing.T) {
	dir := t.TempDir()
	w := newSiteAt(t, dir, brokenReader{})
	house := w.survey("Larkmoor house")
	v := survey.NextRevision(house.ID, nil)
	b, err := w.store.ReceiveBlob(t.Context(), strings.NewReader("no content"), 100)
	if err != nil {
		t.Fatal(err)
	}
	v.SHA256, v.By, v.At = b.SHA256, "Ana", w.now
	if _, err := w.store.Issue(t.Context(), v); err != nil {
		t.Fatal(err)
	}
	if _, err := w.store.Decide(t.Context(), survey.Approval{Survey: house.ID, Number: 1, SHA256: v.SHA256, Decision: survey.Approved, Name: "J. Quill", Consent: "c", Lang: "en", With: "Ana"}); err != nil {
		t.Fatal(err)
	}
	w.now = w.now.Add(1e9)
	w.facts(house.ID, map[string]string{"width": "28'"})
	if got := w.get(surveyPath(house.ID)).wants(http.StatusOK).page().Find(".since").Text(); !strings.Contains(got, "revision 1 cannot be read") {
		t.Errorf("the page says %q in %s", got, filepath.Base(dir))
	}
	if !strings.Contains(w.log.String(), "what was approved cannot be read") {
		t.Error("the log does not say it")
	}
}
