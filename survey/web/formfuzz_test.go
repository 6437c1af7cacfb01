package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"undercroft/survey"
	"undercroft/survey/store"
)

// FuzzForms: whatever is sent to a form's address, the answer is no fault of the server's, and what is kept prints: no control characters, no marks that turn
// the reading direction.
func FuzzForms(f *testing.F) {
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
	fill := strings.NewReplacer(":survey", string(house.ID), ":number", "1", ":photo", survey.NewID(), ":pin", survey.NewID(), ":question", survey.NewID(), ":link", survey.NewID(), ":verification", survey.NewID(), ":token", guess(linkBytes))
	var paths []string
	for _, route := range server.engine.Routes() {
		if route.Method == http.MethodPost && !strings.HasSuffix(route.Path, "/erase") { // which would take the survey away
			paths = append(paths, fill.Replace(route.Path))
		}
	}
	slices.Sort(paths)
	for i := range paths {
		for _, form := range []url.Values{
			{"f.title": {"\x1b[31mred\u202e"}, "was.title": {"Larkmoor house"}, "f.width": {`28' 3 5/8"`}, "was.width": {""}, "settle": {"width=typed"}, "step": {"width"}, "version": {"1"}, "id": {survey.NewID()}, "kind": {"note"}},
			{"do": {"corner"}, "state": {`{"Facts":{"outline":"0,0 1,1"}}`}, "side": {"-1"}, "f.cover.wiring": {"yes"}, "ready": {"yes"}, "reason": {"\r\nSet-Cookie: x=1"}, "version": {"-9223372036854775808"}},
			{"f.scope.price": {"$9,999,999,999.99"}, "number": {"1"}, "f.by": {"\x00"}, "name": {"a"}, "password": {"b"}, "to": {"//evil.example"}, "strokes": {"[[[1,2]]]"}, "sha256": {strings.Repeat("0", 64)}},
		} {
			f.Add(uint8(i), form.Encode()+"&%zz=1;&=&f.=x&was.=%ff")
		}
	}
	handler := server.Handler()
	f.Fuzz(func(t *testing.T, which uint8, body string) {
		path := paths[int(which)%len(paths)]
		r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(body))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		rec := httptest.NewRecorder()
		handler.ServeHTTP(rec, r)
		if rec.Code >= 500 {
			t.Fatalf("%s: got status %d: %s", path, rec.Code, rec.Body)
		}
		record, err := kept.Record(t.Context(), house.ID)
		if err != nil {
			t.Fatal(err)
		}
		texts := []string{record.Survey.Title, record.Survey.Notes, record.Survey.Address}
		for _, fact := range record.Facts {
			texts = append(texts, fact.Text)
		}
		for _, text := range texts {
			if !utf8.ValidString(text) || strings.ContainsFunc(text, unprintable) {
				t.Errorf("%s: %q is kept", path, text)
			}
		}
	})
}

// unprintable is what no kept text has: control characters but the line's end, and the marks of UAX 9 that turn the reading direction.
func unprintable(r rune) bool {
	return unicode.IsControl(r) && r != '\n' || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}
