package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"testing"

	"undercroft/annotate"
	"undercroft/survey"
)

// heldReader opens no photo until it is let go.
type heldReader struct {
	begun chan struct{}
	let   chan struct{}
}

// Read waits.
func (r heldReader) Read(ctx context.Context, _, _ string) (annotate.Result, error) {
	r.begun <- struct{}{}
	select {
	case <-r.let:
	case <-ctx.Done():
	}
	return annotate.Result{Meta: annotate.Meta{Problem: "It was held."}}, nil
}

// TestPhotosWaitInAQueue: two are opened and 64 wait; the next one is refused before its bytes are read, one that is whole already keeps them, and both are taken once there is a place. Nothing
// is lost.
func TestPhotosWaitInAQueue(t *testing.T) {
	reader := heldReader{make(chan struct{}, 100), make(chan struct{})}
	w := newSiteWith(t, reader)
	v := w.survey("Larkmoor house")
	last, whole := survey.NewID(), []byte("the last of many")
	w.keepPieces(v.ID, last, whole, 5)
	var sending sync.WaitGroup
	for i := range 66 {
		sending.Go(func() {
			w.put(photoAPI(v.ID, survey.NewID()), strings.NewReader(fmt.Sprint("photo ", i))).wants(http.StatusCreated)
		})
	}
	<-reader.begun
	<-reader.begun
	for !w.server.intake.full() {
		runtime.Gosched()
	}
	var p problem
	a := w.put(photoAPI(v.ID, survey.NewID()), unread{t})
	a.wantWait(http.StatusServiceUnavailable)
	a.json(&p)
	if !strings.Contains(p.Detail, "again") {
		t.Errorf("the problem document says %q", p.Detail)
	}
	w.sendPiece(v.ID, last, whole, len(whole)-1, 1).wantWait(http.StatusServiceUnavailable)
	if n := len(w.server.intake.turns); n != readersAtOnce {
		t.Errorf("%d are opened at once", n)
	}
	close(reader.let)
	sending.Wait()
	w.sendPiece(v.ID, last, whole, len(whole)-1, 1).wants(http.StatusCreated)
	if r := w.record(v.ID); len(r.Photos) != 67 {
		t.Errorf("%d photos, want 67", len(r.Photos))
	}
}

// TestOnePhotoTakesOnePlace: six senders of the same photo have it opened once, and each gets it.
func TestOnePhotoTakesOnePlace(t *testing.T) {
	reader := heldReader{make(chan struct{}, 100), make(chan struct{})}
	w := newSiteWith(t, reader)
	v, id, body := w.survey("Larkmoor house"), survey.NewID(), []byte("a photo that is sent again and again")
	var sending sync.WaitGroup
	for range 6 {
		sending.Go(func() {
			a := w.put(photoAPI(v.ID, id), bytes.NewReader(body))
			if a.Code != http.StatusCreated && a.Code != http.StatusOK || !strings.Contains(a.Body.String(), fmt.Sprintf("%x", sha256.Sum256(body))) {
				t.Errorf("got %d %s", a.Code, a.Body)
			}
		})
	}
	<-reader.begun
	close(reader.let)
	sending.Wait()
	if n := 1 + len(reader.begun); n != 1 {
		t.Errorf("it was opened %d times", n)
	}
}

// TestFormsOfThoseWhoAreNotSignedIn: eight are read at once, the ninth is asked to wait; a name and a password need few bytes.
func TestFormsOfThoseWhoAreNotSignedIn(t *testing.T) {
	w := newSite(t)
	w.person("R. Vance", survey.RoleOffice)
	v := w.survey("Larkmoor house")
	long := strings.Repeat("x", 9<<10)
	w.as(nil, http.MethodPost, "/signin", "name=R.+Vance&password="+long, "Content-Type", "application/x-www-form-urlencoded").wants(http.StatusRequestEntityTooLarge)
	save := func() answer {
		return w.as(nil, http.MethodPost, surveyPath(v.ID)+"/site", "f.notes="+long, "Content-Type", "application/x-www-form-urlencoded")
	}
	form := save().wants(http.StatusUnauthorized).page().Find("main form")
	if got := form.AttrOr("action", ""); got != "/signin/form" || !strings.Contains(formOf(form).Get("carry"), long) {
		t.Errorf("a form that comes along goes to %q", got)
	}
	for range 8 {
		w.server.forms <- struct{}{}
	}
	save().wantWait(http.StatusServiceUnavailable)
	w.post("/signin/form", formOf(form)).wantWait(http.StatusServiceUnavailable)
	w.signIn("R. Vance", longPassword).wants(http.StatusSeeOther)
	<-w.server.forms
	save().wants(http.StatusUnauthorized)
	if len(w.server.forms) != 7 {
		t.Errorf("%d forms are being read, want the 7 of this test", len(w.server.forms))
	}
}
