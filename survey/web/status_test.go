package web

import (
	"bytes"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/store"
)

// siteKeeping is a server that must leave more of the disk free than there is.
func siteKeeping(t *testing.T) *site {
	t.Helper()
	w := &site{t: t, dir: t.TempDir(), log: &bytes.Buffer{}, now: time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)}
	s, err := store.Open(t.Context(), store.Config{Dir: w.dir, Now: func() time.Time { return w.now }, KeepFree: 1 << 60})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	server, err := New(Config{Store: s, Photos: brokenReader{}, Now: func() time.Time { return w.now }})
	if err != nil {
		t.Fatal(err)
	}
	w.store, w.server, w.handler = s, server, server.Handler()
	return w
}

// TestLowSpaceOnTheWeb: with less free than photos must leave, they are refused with 507 before a byte is read, by every way in; what is typed is saved, pages and readiness go on.
func TestLowSpaceOnTheWeb(t *testing.T) {
	w := siteKeeping(t)
	v := w.survey("Larkmoor house")
	for name, a := range map[string]answer{
		"whole":     w.put(photoAPI(v.ID, survey.NewID()), unread{t}),
		"in pieces": w.sendPiece(v.ID, survey.NewID(), []byte("abcdef"), 0, 3),
	} {
		var p problem
		a.wants(http.StatusInsufficientStorage).json(&p)
		if !strings.Contains(p.Detail, "too little space") || strings.Contains(a.Body.String(), w.dir) {
			t.Errorf("%s: %s", name, a.Body)
		}
	}
	body := "--b\r\nContent-Disposition: form-data; name=\"photos\"; filename=\"a.jpg\"\r\n\r\nabc\r\n--b--\r\n"
	a := w.do(newRequest(http.MethodPost, surveyPath(v.ID)+"/photos", body, "Content-Type", "multipart/form-data; boundary=b", "Sec-Fetch-Site", "same-origin")).wants(http.StatusInsufficientStorage)
	if text := a.page().Find("main").Text(); !strings.Contains(text, "too little space") || !strings.Contains(text, a.Header().Get("X-Request-Id")) {
		t.Errorf("the page says %q", text)
	}
	w.facts(v.ID, map[string]string{"width": "20 ft"})
	w.get(surveyPath(v.ID)).wants(http.StatusOK)
	w.get("/readyz").wants(http.StatusOK)
	if n := len(w.record(v.ID).Photos); n != 0 {
		t.Errorf("%d photos", n)
	}
}

// TestHeadersOnEveryStatus: each answer that the site can give carries the headers (OWASP ASVS 5.0.0, 3.4.3 to 3.4.8 and 3.5.8), a Cache-Control and the id by which it is found in the log; a refusal
// also says what it is, as a page or as a problem document with the same id.
func TestHeadersOnEveryStatus(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	photo := w.photo(v.ID)
	home, api := surveyPath(v.ID), "/api/surveys/"+string(v.ID)
	thumb := w.get(thumbPath(photo)).wants(http.StatusOK)
	pin := api + "/pins/" + survey.NewID()
	put := func(body string) answer {
		return w.put(pin, strings.NewReader(body), "Content-Type", "application/json")
	}
	put(`{"photo":"` + string(photo.ID) + `","kind":"note","x":0.5,"y":0.5,"note":"one"}`).wants(http.StatusOK)
	rows := []struct {
		status int
		answer func() answer
	}{
		{http.StatusOK, func() answer { return w.get(home) }},
		{http.StatusCreated, func() answer { return w.put(photoAPI(v.ID, survey.NewID()), bytes.NewReader(gradient(t))) }},
		{http.StatusNoContent, func() answer { return w.sendPiece(v.ID, survey.NewID(), []byte("abcdef"), 0, 3) }},
		{http.StatusSeeOther, func() answer { return w.get("/") }},
		{http.StatusNotModified, func() answer {
			return w.do(newRequest(http.MethodGet, thumbPath(photo), "", "If-None-Match", thumb.Header().Get("ETag")))
		}},
		{http.StatusBadRequest, func() answer { return put("{") }},
		{http.StatusForbidden, func() answer {
			return w.do(newRequest(http.MethodPost, home+"/site", "f.title=x", "Content-Type", "application/x-www-form-urlencoded", "Sec-Fetch-Site", "cross-site"))
		}},
		{http.StatusNotFound, func() answer { return w.get("/nowhere") }},
		{http.StatusNotFound, func() answer { return w.get("/api/nowhere") }},
		{http.StatusMethodNotAllowed, func() answer { return w.do(newRequest(http.MethodDelete, "/surveys", "")) }},
		{http.StatusConflict, func() answer {
			return put(`{"photo":"` + string(photo.ID) + `","kind":"note","x":0.5,"y":0.5,"note":"two","version":7}`)
		}},
		{http.StatusRequestEntityTooLarge, func() answer { return put(`{"note":"` + strings.Repeat("x", maxForm) + `"}`) }},
		{http.StatusUnprocessableEntity, func() answer { return put(`{"photo":"` + string(photo.ID) + `","kind":"note","x":7,"y":0.5}`) }},
		{statusChecksum, func() answer {
			return w.sendPieceSaying(v.ID, survey.NewID(), []byte("abc"), "0", "6", pieceSum([]byte("x")))
		}},
		{http.StatusInsufficientStorage, func() answer {
			low := siteKeeping(t)
			return low.put(photoAPI(low.survey("Larkmoor house").ID, survey.NewID()), strings.NewReader("x"))
		}},
		{http.StatusServiceUnavailable, func() answer {
			for range cap(w.server.intake.places) {
				w.server.intake.places <- struct{}{}
			}
			defer func() {
				for range cap(w.server.intake.places) {
					<-w.server.intake.places
				}
			}()
			return w.put(photoAPI(v.ID, survey.NewID()), strings.NewReader("x"))
		}},
		{http.StatusInternalServerError, func() answer { return w.failing(errors.New("something inside")) }},
		{http.StatusUnauthorized, func() answer { // from here on somebody has to sign in
			w.person("R. Vance", survey.RoleOffice)
			return w.get(api)
		}},
		{http.StatusUnauthorized, func() answer { return w.signIn("R. Vance", "wrong") }},
		{http.StatusTooManyRequests, func() answer {
			for range triesByName {
				w.signIn("R. Vance", "wrong")
			}
			return w.signIn("R. Vance", "wrong")
		}},
	}
	seen := map[int]bool{}
	for _, row := range rows {
		a := row.answer().wants(row.status)
		seen[row.status] = true
		checkHeaders(t, http.StatusText(row.status), a.Header())
		id := a.Header().Get("X-Request-Id")
		switch ct := a.Header().Get("Content-Type"); {
		case row.status < 400 || row.status == http.StatusUnauthorized && strings.HasPrefix(ct, "text/html") || row.status == http.StatusTooManyRequests: // the page that asks to sign in
		case strings.HasPrefix(ct, "text/html"):
			if !strings.Contains(a.page().Find("main").Text(), id) {
				t.Errorf("%d: the page does not name the request %s", row.status, id)
			}
		case ct == "application/problem+json":
			var p problem
			if a.json(&p); p.Request != id || p.Status != row.status || p.Title == "" || p.Detail == "" {
				t.Errorf("%d: the problem document is %+v", row.status, p)
			}
		default:
			t.Errorf("%d has the type %q", row.status, ct)
		}
	}
	for _, status := range []int{200, 303, 304, 400, 403, 404, 405, 409, 413, 422, 429, 500, 507} {
		if !seen[status] {
			t.Errorf("no answer had status %d", status)
		}
	}
}

// failing is the answer to a handler that fails, inside of all that surrounds one.
func (w *site) failing(err error) answer {
	rec := httptest.NewRecorder()
	handler := w.server.observe(w.server.secure(http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) { w.server.sendFailure(rw, r, statusOf(err), err) })))
	handler.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/surveys", nil))
	return answer{rec, w.t}
}

// TestRequestIDs: each request has its own, made here: what a client sends as one is not taken over, not into the answer and not into the log.
func TestRequestIDs(t *testing.T) {
	w := newSite(t)
	seen := map[string]bool{}
	for range 20 {
		id := w.do(newRequest(http.MethodGet, "/surveys", "", "X-Request-Id", "client-made\r\nSet-Cookie: x=1")).wants(http.StatusOK).Header().Get("X-Request-Id")
		if len(id) < 20 || seen[id] || strings.Contains(id, "client") {
			t.Errorf("the id is %q", id)
		}
		seen[id] = true
		if !strings.Contains(w.log.String(), `"request":"`+id+`"`) {
			t.Errorf("no line of the log has the id %s", id)
		}
	}
	if strings.Contains(w.log.String(), "client-made") {
		t.Error("the client's id is in the log")
	}
}
