package web

import (
	"bytes"
	"io"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
	"undercroft/survey/web/internal/browser"
)

// TestChangeKeepsThePlaceAndMarksWhatMoved changes the fall in a browser: the page stays where it was, and only figures that moved are
// marked.
func TestChangeKeepsThePlaceAndMarksWhatMoved(t *testing.T) {
	b := browser.Open(t)
	w := newSite(t)
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	v := w.demo()
	tab := b.Tab(deskWidth, deskHeight, false)
	tab.Go(server.URL + surveyPath(v.ID) + "/ceiling")
	browser.Eval[bool](tab, `(scrollTo({top: 150, behavior: 'instant'}), document.querySelector('#c-f-fall-per_foot').value = '1/4', document.querySelector('form.change').requestSubmit(), true)`)
	tab.Wait(`location.search === '?saved=ceiling' && document.readyState === 'complete' && document.querySelector('.moved')`)
	if y := browser.Eval[float64](tab, `scrollY`); y < 149 || y > 151 {
		t.Errorf("after the change the page stands at %v, want 150", y)
	}
	for key, want := range map[string]bool{"row-1-1-build": true, "furring": true, "area": false, "row-1-1-from": false} {
		if got := browser.Eval[bool](tab, `document.querySelector('[data-figure="`+key+`"]').classList.contains('moved')`); got != want {
			t.Errorf("figure %s is marked: %v, want %v", key, got, want)
		}
	}
	if got := browser.Eval[string](tab, `document.querySelector('[data-figure="row-1-1-build"]').title`); got != "was 1/2″" {
		t.Errorf("the mark says %q", got)
	}
	tab.Wait(`!document.querySelector('.moved')`)
	tab.Reload()
	if browser.Eval[bool](tab, `Boolean(document.querySelector('.moved'))`) {
		t.Error("loading the page again marks figures again")
	}
}

// TestNoSidewaysScroll opens the pages on a phone, empty and full: nothing is wider than the screen, and no policy is violated.
func TestNoSidewaysScroll(t *testing.T) {
	b := browser.Open(t)
	w := newSite(t)
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	tab := b.Tab(phoneWidth, phoneHeight, true)
	for _, id := range []survey.SurveyID{w.demo().ID, w.survey("Empty house").ID} {
		for _, page := range []string{"ceiling", "plan", "sheets", "report"} {
			tab.Go(server.URL + surveyPath(id) + "/" + page)
			if got := browser.Eval[float64](tab, `document.documentElement.scrollWidth`); got > phoneWidth {
				t.Errorf("%s is %v px wide on a phone", page, got)
			}
		}
	}
}

// TestFileOpensWithoutANetwork writes the self-contained file and opens it in a browser that is offline.
func TestFileOpensWithoutANetwork(t *testing.T) {
	b := browser.Open(t)
	w := newSite(t)
	r := w.record(w.demo().ID)
	var out bytes.Buffer
	doc := report.Build(r, survey.Compute(r), report.WithinReport(), w.now).Document(document.Crew, "en", report.Options{})
	err := report.WriteHTML(&out, doc, "letter", func(sha string) ([]byte, error) {
		f, err := w.store.OpenBlob(sha)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		return io.ReadAll(f)
	})
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "report.html")
	if err := os.WriteFile(path, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	tab := b.Tab(deskWidth, deskHeight, false)
	tab.Offline(true)
	tab.Go("file://" + path)
	if n := browser.Eval[float64](tab, `performance.getEntriesByType('resource').filter(e => !e.name.startsWith('data:')).length`); n != 0 {
		t.Errorf("the file fetched %v things", n)
	}
	if !browser.Eval[bool](tab, `[...document.images].length === 1 && [...document.images].every(i => i.complete && i.naturalWidth === 400)`) {
		t.Error("the photo is not shown")
	}
	if got := browser.Eval[string](tab, `getComputedStyle(document.querySelector('.sheet > h2')).borderBottomWidth`); got != "2px" {
		t.Errorf("the styles do not reach the page: the rule under a head is %s", got)
	}
}
