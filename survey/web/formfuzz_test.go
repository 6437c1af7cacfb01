package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
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
	var paths []string
	for _, part := range []string{"/site", "/deck", "/walk", "/outline", "/ceiling", "/cover", "/ready", "/scope", "/revisions"} {
		paths = append(paths, surveyPath(house.ID)+part)
	}
	paths = append(paths, "/surveys", "/settings", "/signin")
	for i, form := range []url.Values{
		{"f.title": {"\x1b[31mred\u202e"}, "was.title": {"Larkmoor house"}}, {"f.width": {`28' 3 5/8"`}, "was.width": {""}, "settle": {"width=typed"}},
		{"step": {"width"}, "f.width": {"1e999"}}, {"do": {"corner"}, "state": {`{"Facts":{"outline":"0,0 1,1"}}`}, "side": {"-1"}}, {"f.fall.direction": {"out"}, "do": {"row"}},
		{"cover.wiring": {"yes"}, "f.cover.wiring": {"yes"}}, {"ready": {"yes"}, "reason": {"\r\nSet-Cookie: x=1"}}, {"f.price": {"$9,999,999,999.99"}, "f.lang": {"es"}},
		{"number": {"1"}, "f.by": {"\x00"}}, {"id": {"../../x"}, "f.title": {"x"}}, {"f.name": {"a"}, "f.phone": {"javascript:alert(1)"}}, {"name": {"a"}, "password": {"b"}, "to": {"//evil.example"}},
	} {
		f.Add(uint8(i), form.Encode())
		f.Add(uint8(i+1), form.Encode()+"&%zz=1;&=&f.=x&was.=%ff")
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
