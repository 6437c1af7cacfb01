package web

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
)

// wantWait wants an answer that says how long to wait, and gives that.
func (a answer) wantWait(status int) time.Duration {
	a.t.Helper()
	a.wants(status)
	seconds, err := strconv.Atoi(a.Header().Get("Retry-After"))
	if err != nil || seconds < 1 {
		a.t.Errorf("Retry-After is %q", a.Header().Get("Retry-After"))
	}
	return time.Duration(seconds) * time.Second
}

// sendPieceAs sends the first piece of a new photo.
func (w *site) sendPieceAs(cookie *http.Cookie, in survey.SurveyID, id string, body []byte, length int) answer {
	w.t.Helper()
	r := httptest.NewRequest(http.MethodPatch, photoAPI(in, id)+"/upload", bytes.NewReader(body))
	for key, value := range map[string]string{"Content-Type": pieceType, headerOffset: "0", headerLength: fmt.Sprint(length), headerChecksum: pieceSum(body), "Sec-Fetch-Site": "same-origin"} {
		r.Header.Set(key, value)
	}
	r.AddCookie(cookie)
	return w.do(r)
}

// TestAPhoneThatComesBackIsNotHeldUp: 40 pins, 40 facts and ten photos of 5 MB in pieces of 256 KiB, all in one moment of the server's clock, as a phone sends what has waited on it (the
// figures are issue 8's, the pieces' size that of templates/offline/outbox.js). The pieces are counted here by what lets them through; none is refused.
func TestAPhoneThatComesBackIsNotHeldUp(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	photo, person := w.photo(v.ID), w.person("R. Vance", survey.RoleSurveyor)
	cookie := w.session(person)
	for i := range 40 {
		body := fmt.Sprintf(`{"photo":"%s","kind":"note","x":0.5,"y":0.5,"note":"%d"}`, photo.ID, i)
		w.as(cookie, http.MethodPut, "/api/surveys/"+string(v.ID)+"/pins/"+survey.NewID(), body, "Content-Type", "application/json").wants(http.StatusOK)
		w.as(cookie, http.MethodGet, "/api/length?text=10", "").wants(http.StatusOK)
	}
	for range 10 {
		w.sendPieceAs(cookie, v.ID, survey.NewID(), []byte("abc"), 6).wants(http.StatusNoContent)
		for range 19 {
			if err := w.server.within(w.server.rates.pieces, limitPieces, person); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestCallsOfOnePersonAreLimited: 240 in a row, whatever they ask, then a wait that the answer names; after it they go on. Somebody else is not held up, nor are pages.
func TestCallsOfOnePersonAreLimited(t *testing.T) {
	w := newSite(t)
	vance, moss := w.session(w.person("R. Vance", survey.RoleSurveyor)), w.session(w.person("K. Moss", survey.RoleSurveyor))
	call := func(cookie *http.Cookie) answer { return w.as(cookie, http.MethodGet, "/api/length?text=10", "") }
	for range 240 {
		call(vance).wants(http.StatusOK)
	}
	var p problem
	a := call(vance)
	wait := a.wantWait(http.StatusTooManyRequests)
	a.json(&p)
	if !strings.Contains(p.Detail, "again") || p.Request == "" || p.Status != http.StatusTooManyRequests {
		t.Errorf("the problem document says %+v", p)
	}
	call(moss).wants(http.StatusOK)
	w.as(vance, http.MethodGet, "/surveys", "").wants(http.StatusOK)
	w.now = w.now.Add(wait)
	call(vance).wants(http.StatusOK)
}

// TestNewPhotosOfOnePersonAreLimited: 300 in a row over all surveys, then one each six seconds, 600 an hour (reliability demand 79). A photo that has begun goes on.
func TestNewPhotosOfOnePersonAreLimited(t *testing.T) {
	w := newSite(t)
	v, person := w.survey("Larkmoor house"), w.person("R. Vance", survey.RoleSurveyor)
	cookie, begun := w.session(person), survey.NewID()
	w.sendPieceAs(cookie, v.ID, begun, []byte("abc"), 6).wants(http.StatusNoContent)
	ctx := survey.WithPerson(t.Context(), person)
	for range 299 {
		if err := w.server.mayBeginPhoto(ctx); err != nil {
			t.Fatal(err)
		}
	}
	if wait := w.sendPieceAs(cookie, v.ID, survey.NewID(), []byte("abc"), 6).wantWait(http.StatusTooManyRequests); wait != 6*time.Second {
		t.Errorf("to wait %s, want 6 s", wait)
	}
	w.as(cookie, http.MethodPut, photoAPI(v.ID, survey.NewID()), "x").wantWait(http.StatusTooManyRequests)
	w.sendPieceAs(cookie, v.ID, begun, []byte("abc"), 6).wants(http.StatusConflict) // it is there: not held up, and told to go on
	w.now = w.now.Add(6 * time.Second)
	w.sendPieceAs(cookie, v.ID, survey.NewID(), []byte("abc"), 6).wants(http.StatusNoContent)
}

// TestASurveyTakes300Photos, and then refuses the next before it reads its bytes, by every way in, and says so.
func TestASurveyTakes300Photos(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	blob, err := w.store.ReceiveBlob(t.Context(), strings.NewReader("not a picture"), 100)
	if err != nil {
		t.Fatal(err)
	}
	var last survey.Photo
	for range 300 {
		if last, err = w.store.AddPhoto(t.Context(), survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: v.ID, SHA256: blob.SHA256, Bytes: blob.Bytes}); err != nil {
			t.Fatal(err)
		}
	}
	for name, a := range map[string]answer{
		"whole":     w.put(photoAPI(v.ID, survey.NewID()), unread{t}),
		"in pieces": w.sendPiece(v.ID, survey.NewID(), []byte("abcdef"), 0, 3),
	} {
		var p problem
		a.wants(http.StatusRequestEntityTooLarge).json(&p)
		if !strings.Contains(p.Detail, "300 photos") {
			t.Errorf("%s: %q", name, p.Detail)
		}
	}
	w.put(photoAPI(v.ID, string(last.ID)), strings.NewReader("not a picture")).wants(http.StatusOK) // sent again
}

// unread is a body that must not be read.
type unread struct{ t *testing.T }

// Read fails the test.
func (u unread) Read([]byte) (int, error) {
	u.t.Error("the body was read before it was refused")
	return 0, http.ErrBodyReadAfterClose
}
