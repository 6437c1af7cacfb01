package web

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"undercroft/annotate"
	"undercroft/survey"
	"undercroft/survey/store"
)

// TestMain lets this test program be the child process that opens photos, as the server's own program is.
func TestMain(m *testing.M) {
	if len(os.Args) > 2 && os.Args[1] == "photo" && os.Args[2] == "-worker" {
		os.Exit(annotate.RunWorker(os.Args[3:], os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
}

// site is a server on a real store, with what it has logged.
type site struct {
	t       *testing.T
	dir     string // of the data
	store   *store.Store
	server  *Server
	handler http.Handler
	log     *bytes.Buffer
	now     time.Time
}

func newSite(t *testing.T) *site {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return newSiteWith(t, annotate.Child{Exe: exe})
}

func newSiteWith(t *testing.T, reader PhotoReader) *site {
	t.Helper()
	return newSiteAt(t, t.TempDir(), reader)
}

// newSiteAt keeps its data in the folder dir.
func newSiteAt(t *testing.T, dir string, reader PhotoReader) *site {
	t.Helper()
	w := &site{t: t, dir: dir, log: &bytes.Buffer{}, now: time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)}
	clock := func() time.Time { return w.now }
	s, err := store.Open(context.Background(), store.Config{Dir: dir, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	server, err := New(Config{Store: s, Photos: reader, Now: clock, Log: slog.New(slog.NewJSONHandler(w.log, nil))})
	if err != nil {
		t.Fatal(err)
	}
	w.store, w.server, w.handler = s, server, server.Handler()
	return w
}

// answer is what came back.
type answer struct {
	*httptest.ResponseRecorder
	t *testing.T
}

// page parses the answer as HTML.
func (a answer) page() *goquery.Document {
	a.t.Helper()
	doc, err := goquery.NewDocumentFromReader(bytes.NewReader(a.Body.Bytes()))
	if err != nil {
		a.t.Fatal(err)
	}
	return doc
}

// wants checks the status.
func (a answer) wants(status int) answer {
	a.t.Helper()
	if a.Code != status {
		a.t.Fatalf("got status %d, want %d; body: %.600s", a.Code, status, a.Body.String())
	}
	return a
}

// json reads the answer.
func (a answer) json(v any) {
	a.t.Helper()
	if err := json.Unmarshal(a.Body.Bytes(), v); err != nil {
		a.t.Fatalf("%v in %s", err, a.Body.String())
	}
}

func (w *site) do(r *http.Request) answer {
	rec := httptest.NewRecorder()
	w.handler.ServeHTTP(rec, r)
	return answer{rec, w.t}
}

func (w *site) get(path string) answer {
	return w.do(httptest.NewRequest(http.MethodGet, path, nil))
}

func (w *site) post(path string, form url.Values) answer {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return w.do(r)
}

func (w *site) put(path string, body io.Reader, header ...string) answer {
	r := httptest.NewRequest(http.MethodPut, path, body)
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	return w.do(r)
}

// survey adds a survey to the store.
func (w *site) survey(title string) survey.Survey {
	w.t.Helper()
	v, err := w.store.CreateSurvey(context.Background(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: title})
	if err != nil {
		w.t.Fatal(err)
	}
	return v
}

// facts saves facts of a survey, whatever their versions are.
func (w *site) facts(id survey.SurveyID, texts map[string]string) {
	w.t.Helper()
	r := w.record(id)
	var facts []survey.Fact
	for key, text := range texts {
		facts = append(facts, survey.Fact{Survey: id, Key: key, Text: text, Version: r.Facts[key].Version})
	}
	if _, err := w.store.PutFacts(context.Background(), id, facts); err != nil {
		w.t.Fatal(err)
	}
}

func (w *site) record(id survey.SurveyID) survey.Record {
	w.t.Helper()
	r, err := w.store.Record(context.Background(), id)
	if err != nil {
		w.t.Fatal(err)
	}
	return r
}

// pin saves a pin on a photo.
func (w *site) pin(p survey.Pin) survey.Pin {
	w.t.Helper()
	p.ID = survey.PinID(survey.NewID())
	saved, err := w.store.PutPin(context.Background(), p)
	if err != nil {
		w.t.Fatal(err)
	}
	return saved
}

// photo adds a picture of one colour to a survey.
func (w *site) photo(in survey.SurveyID) survey.Photo {
	w.t.Helper()
	id := survey.NewID()
	w.put("/api/surveys/"+string(in)+"/photos/"+id, bytes.NewReader(gradient(w.t))).wants(http.StatusCreated)
	p, ok := w.record(in).Photo(survey.PhotoID(id))
	if !ok {
		w.t.Fatal("the photo is not there")
	}
	return p
}

// gradient is a JPEG of 400 by 300 pixels.
func gradient(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for y := range 300 {
		for x := range 400 {
			img.Set(x, y, color.RGBA{uint8(x), uint8(y), 90, 255})
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// formOf reads the controls of a page's form as a browser would send them.
func formOf(form *goquery.Selection) url.Values {
	values := url.Values{}
	form.Find("input, textarea, select").Each(func(_ int, control *goquery.Selection) {
		name, ok := control.Attr("name")
		if !ok {
			return
		}
		switch {
		case control.Is("select"):
			v, _ := control.Find("option[selected]").Attr("value")
			values.Set(name, v)
		case control.Is("textarea"):
			values.Set(name, strings.TrimPrefix(control.Text(), "\n"))
		case control.Is("[type=radio]") && !control.Is("[checked]"):
		default:
			values.Set(name, control.AttrOr("value", ""))
		}
	})
	return values
}

func requestWithBody(method, path string, body io.Reader) *http.Request {
	return httptest.NewRequest(method, path, body)
}
