package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"sync"
	"testing"

	"undercroft/survey/report"
)

// TestThawedKeepsTheLastOnes: at most so many, the last used ones, each under its own sum.
func TestThawedKeepsTheLastOnes(t *testing.T) {
	var kept thawed
	body := func(n int) []byte { return fmt.Appendf(nil, `{"format":1,"number":%d}`, n) }
	for n := range mostThawed + 1 {
		if _, err := kept.read(fmt.Sprint(n), body(n)); err != nil {
			t.Fatal(err)
		}
		if _, err := kept.read("0", body(0)); err != nil { // in use all the time
			t.Fatal(err)
		}
	}
	if len(kept.kept) != mostThawed {
		t.Fatalf("%d are kept", len(kept.kept))
	}
	if _, ok := kept.find("1"); ok {
		t.Error("what was used least is still kept")
	}
	for _, n := range []int{0, mostThawed} {
		if c, ok := kept.find(fmt.Sprint(n)); !ok || c.Number != n {
			t.Errorf("%d: %+v, %t", n, c, ok)
		}
	}
	if _, err := kept.read("broken", []byte(`{`)); err == nil || len(kept.kept) != mostThawed {
		t.Errorf("what cannot be read: %v", err)
	}
}

// TestAThawedRevisionIsOnlyRead: what is kept stays, byte for byte, whatever pages are made of it at once.
func TestAThawedRevisionIsOnlyRead(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	at := w.link(house.ID, 1)
	home := surveyPath(house.ID)
	picture := w.get(at).wants(http.StatusOK).page().Find(".doc img").AttrOr("src", "none")
	before := w.thawedJSON(t)
	var all sync.WaitGroup
	for _, path := range []string{at, at + "?lang=es", picture, at + "/scope.pdf", home + "/revisions", home + "/revisions/1", home + "/revisions/1?for=crew&lang=es&metric=1", home + "/report?for=crew", home + "/revisions/1/report.pdf?for=survey"} {
		all.Go(func() { w.get(path).wants(http.StatusOK) })
	}
	all.Wait()
	w.post(at+"/decide", url.Values{}).wants(http.StatusUnprocessableEntity)
	if !bytes.Equal(before, w.thawedJSON(t)) {
		t.Error("a page has changed what is kept of a revision")
	}
}

// thawedJSON is the one revision that is kept, as JSON.
func (w *site) thawedJSON(t *testing.T) []byte {
	t.Helper()
	kept := w.server.thawed.kept
	if len(kept) != 1 {
		t.Fatalf("%d revisions are kept", len(kept))
	}
	body, err := json.Marshal([]report.Content{kept[0].content})
	if err != nil {
		t.Fatal(err)
	}
	return body
}
