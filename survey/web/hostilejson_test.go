package web

import (
	"bytes"
	"maps"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/store"
)

// jsonRoutes are the addresses that take a JSON document, each with one that is taken.
func (w *site) jsonRoutes() map[string]string {
	v := w.survey("Larkmoor house")
	photo := w.photo(v.ID)
	return map[string]string{
		"/api/surveys/" + survey.NewID():                           `{"title":"Another house"}`,
		"/api/surveys/" + string(v.ID) + "/facts":                  `{"facts":[{"key":"width","text":"28'","version":0}]}`,
		"/api/surveys/" + string(v.ID) + "/pins/" + survey.NewID(): `{"photo":"` + string(photo.ID) + `","kind":"note","x":0.5,"y":0.5,"values":{},"note":"joist 3"}`,
	}
}

// TestHostileJSON: each document that is broken, ambiguous, too deep or too large is refused by every address that takes one, in words that name what is
// wrong, and nothing is saved (ASVS 5.0.0, 1.5.3; RFC 8259, sections 4 and 8.1).
func TestHostileJSON(t *testing.T) {
	w := newSite(t)
	routes := w.jsonRoutes()
	before := w.dump()
	within := func(document, member string) string { return strings.TrimSuffix(document, "}") + "," + member + "}" }
	for path, good := range routes {
		for name, c := range map[string]struct {
			body   string
			status int
			says   string
		}{
			"nothing":             {"", 400, "too early"},
			"cut off":             {good[:len(good)-1], 400, "too early"},
			"two documents":       {good + good, 400, "after its end"},
			"a key twice":         {within(good, `"version":0,"version":0`), 400, "twice"},
			"a key in two cases":  {within(good, `"title":"x","TITLE":"y"`), 400, "twice"},
			"an unknown key":      {within(good, `"colour":"red"`), 400, "colour"},
			"a very long key":     {within(good, `"`+strings.Repeat("k", 5000)+`":1`), 400, "kkk"},
			"deep":                {strings.Repeat(`[`, 100000), 400, "deeper"},
			"deep in a member":    {within(good, `"deep":`+strings.Repeat(`{"a":`, 5000)+"1"+strings.Repeat("}", 5000)), 400, "deeper"},
			"not UTF-8":           {strings.Replace(good, `"`, "\"\xc0\xaf", 1), 400, "UTF-8"},
			"UTF-16":              {"\xff\xfe{\x00}\x00", 400, "UTF-8"},
			"NUL":                 {"{\x00}", 400, "no JSON"},
			"not a number":        {within(good, `"version":NaN`), 400, "no JSON"},
			"another kind":        {`[` + good + `]`, 400, "cannot be read"},
			"a number for a text": {within(good, `"id":7`), 400, "cannot be read"},
			"beyond every number": {within(good, `"version":1e999`), 400, "cannot be read"},
			"too large":           {good + strings.Repeat(" ", maxForm), 413, "1 MB"},
			"too large in one":    {`{"title":"` + strings.Repeat("a", maxForm) + `"}`, 413, "1 MB"},
		} {
			var p problem
			w.put(path, strings.NewReader(c.body), "Content-Type", "application/json").wants(c.status).json(&p)
			if !strings.Contains(p.Detail, c.says) || len(p.Detail) > 400 || strings.ContainsAny(p.Detail, "\r\n\x00") {
				t.Errorf("%s, %s: it says %.500q, want %q in a line", path, name, p.Detail, c.says)
			}
		}
	}
	if after := w.dump(); !maps.Equal(before, after) {
		t.Errorf("a document that was refused changed %q", differing(before, after))
	}
	for path, good := range routes {
		if a := w.put(path, strings.NewReader(good)); a.Code != http.StatusOK && a.Code != http.StatusCreated {
			t.Errorf("%s: the document that is right got status %d: %s", path, a.Code, a.Body)
		}
	}
	if after := w.dump(); len(differing(before, after)) == 0 {
		t.Error("nothing was saved of what is right: this test compares nothing")
	}
}

// differing names the tables that are not the same.
func differing(a, b map[string]string) []string {
	var names []string
	for _, name := range slices.Sorted(maps.Keys(b)) {
		if a[name] != b[name] {
			names = append(names, name)
		}
	}
	return names
}

// FuzzJSONDocuments: whatever is sent to an address that takes JSON, it is taken, or refused as the client's fault in one line.
func FuzzJSONDocuments(f *testing.F) {
	kept, err := store.Open(f.Context(), store.Config{Dir: f.TempDir(), Now: time.Now})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() {
		if err := kept.Close(); err != nil {
			f.Error(err)
		}
	})
	server, err := New(Config{Store: kept, Photos: brokenReader{}, Now: time.Now})
	if err != nil {
		f.Fatal(err)
	}
	house, err := kept.CreateSurvey(f.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house"})
	if err != nil {
		f.Fatal(err)
	}
	home, handler := "/api/surveys/"+string(house.ID), server.Handler()
	paths := []string{home, home + "/facts", home + "/pins/" + survey.NewID()}
	for i := range paths {
		f.Add(uint8(i), []byte(`{"title":"Another house","version":1}`))
		f.Add(uint8(i), []byte(`{"facts":[{"key":"outline","text":"0,0 1,1","version":0},{"key":"joists.direction","text":"y","version":0}]}`))
		f.Add(uint8(i), []byte(`{"photo":"x","kind":"note","x":0.5,"y":0.5,"values":{"drop":"1"},"version":-1}`))
	}
	f.Fuzz(func(t *testing.T, which uint8, body []byte) {
		rec := httptest.NewRecorder()
		handler.ServeHTTP(rec, httptest.NewRequest(http.MethodPut, paths[int(which)%len(paths)], bytes.NewReader(body)))
		if rec.Code >= 500 || strings.Count(rec.Body.String(), "\n") > 0 {
			t.Fatalf("%s: got status %d: %s", paths[int(which)%len(paths)], rec.Code, rec.Body)
		}
	})
}
