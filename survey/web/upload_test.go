package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/httptest"
	"net/textproto"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"undercroft/annotate"
	"undercroft/survey"
)

func photoAPI(in survey.SurveyID, id string) string {
	return "/api/surveys/" + string(in) + "/photos/" + id
}

func TestPutPhoto(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	id, body := survey.NewID(), gradient(t)
	var got photoJSON
	w.put(photoAPI(v.ID, id), bytes.NewReader(body), "X-Photo-Name", "IMG%20%C3%A9t%C3%A9.jpg").wants(http.StatusCreated).json(&got)
	sum := sha256.Sum256(body)
	if got.ID != survey.PhotoID(id) || got.SHA256 != hex.EncodeToString(sum[:]) || got.Bytes != int64(len(body)) || got.Width != 400 || got.Height != 300 || !got.Shown || got.Number != 1 || got.Name != "IMG été.jpg" {
		t.Errorf("got %+v", got)
	}
	var again photoJSON
	w.put(photoAPI(v.ID, id), bytes.NewReader(body)).wants(http.StatusOK).json(&again)
	if again.Number != 1 || len(w.record(v.ID).Photos) != 1 {
		t.Errorf("sent twice: %+v, %d photos", again, len(w.record(v.ID).Photos))
	}
	var clash problem
	w.put(photoAPI(v.ID, id), strings.NewReader("other bytes")).wants(http.StatusConflict).json(&clash)
	if clash.Status != http.StatusConflict || clash.Current == nil {
		t.Errorf("other bytes under the same id: %+v", clash)
	}
	for _, address := range []string{got.Screen, got.Thumb} {
		a := w.get(address).wants(http.StatusOK)
		if a.Header().Get("Content-Type") != "image/jpeg" || !strings.Contains(a.Header().Get("Cache-Control"), "immutable") || a.Body.Len() == 0 {
			t.Errorf("%s: %v", address, a.Header())
		}
		r := httptest.NewRequest(http.MethodGet, address, nil)
		r.Header.Set("If-None-Match", a.Header().Get("ETag"))
		w.do(r).wants(http.StatusNotModified)
		if plain := w.get(strings.Split(address, "?")[0]).wants(http.StatusOK); strings.Contains(plain.Header().Get("Cache-Control"), "immutable") {
			t.Error("an address that does not name its bytes may be kept for ever")
		}
	}
	original := w.get(got.Page + "/original").wants(http.StatusOK)
	if !bytes.Equal(original.Body.Bytes(), body) {
		t.Error("the original came back changed")
	}
	if got, want := original.Header().Get("Content-Disposition"), `attachment; filename="01-IMG _t_.jpg"; filename*=UTF-8''01-IMG%20%C3%A9t%C3%A9.jpg`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got := original.Header().Get("Content-Security-Policy"); got != "sandbox; default-src 'none'" {
		t.Errorf("the original's policy is %q", got)
	}
}

// TestPutPhotoThatCannotBeShown: bytes that are no picture are kept, and say so; none at all are refused.
func TestPutPhotoThatCannotBeShown(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	half := gradient(t)
	half = half[:len(half)/2]
	for name, body := range map[string]string{"notes.jpg": "measure the ledger again", "half.jpg": string(half), "page.jpg": "<html><script>alert(1)</script>", "one": "x"} {
		t.Run(name, func(t *testing.T) {
			id := survey.NewID()
			var got photoJSON
			w.put(photoAPI(v.ID, id), strings.NewReader(body), "X-Photo-Name", name).wants(http.StatusCreated).json(&got)
			if got.Shown || got.Problem == "" || got.Screen != "" {
				t.Errorf("got %+v", got)
			}
			if back := w.get(got.Page + "/original").wants(http.StatusOK); back.Body.String() != body || back.Header().Get("Content-Type") == "text/html" {
				t.Errorf("the original: %v", back.Header())
			}
			w.get(got.Page + "/screen.jpg").wants(http.StatusNotFound)
		})
	}
	var empty problem
	w.put(photoAPI(v.ID, survey.NewID()), http.NoBody).wants(http.StatusUnprocessableEntity).json(&empty)
	if !strings.Contains(empty.Detail, "empty") {
		t.Errorf("an empty body says %q", empty.Detail)
	}
	if n := len(w.record(v.ID).Photos); n != 4 {
		t.Errorf("%d photos are stored, want 4", n)
	}
}

func TestPutPhotoTooLarge(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	large := func() io.Reader { return io.LimitReader(zeros{}, 41<<20) }
	a := w.put(photoAPI(v.ID, survey.NewID()), large()).wants(http.StatusRequestEntityTooLarge)
	if a.Header().Get("Content-Type") != "application/problem+json" || !strings.Contains(a.Body.String(), "40 MB") {
		t.Errorf("got %s", a.Body)
	}
	r := httptest.NewRequest(http.MethodPut, photoAPI(v.ID, survey.NewID()), large())
	r.ContentLength = 41 << 20
	w.do(r).wants(http.StatusRequestEntityTooLarge)
	just := httptest.NewRequest(http.MethodPut, photoAPI(v.ID, survey.NewID()), io.LimitReader(zeros{}, survey.MaxPhotoBytes))
	w.do(just).wants(http.StatusCreated)
	if n := len(w.record(v.ID).Photos); n != 1 {
		t.Errorf("%d photos are stored, want 1", n)
	}
}

// zeros never ends.
type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}

func TestPutPhotoAddresses(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	w.put(photoAPI(survey.SurveyID(survey.NewID()), survey.NewID()), strings.NewReader("x")).wants(http.StatusNotFound)
	for _, id := range []string{"1", "..", "%2e%2e%2fpasswd", strings.ToUpper(survey.NewID()), "00000000-0000-0000-0000-000000000000"} {
		w.put(photoAPI(v.ID, id), strings.NewReader("x")).wants(http.StatusNotFound)
	}
}

// TestTruncatedUpload: a body that ends early is refused and leaves nothing.
func TestTruncatedUpload(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	server := httptest.NewServer(w.handler)
	defer server.Close()
	conn, err := net.Dial("tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := io.WriteString(conn, "PUT "+photoAPI(v.ID, survey.NewID())+" HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100000\r\n\r\nonly this"); err != nil {
		t.Fatal(err)
	}
	if err := conn.(*net.TCPConn).CloseWrite(); err != nil {
		t.Fatal(err)
	}
	reply, err := io.ReadAll(conn)
	if err != nil || !strings.HasPrefix(string(reply), "HTTP/1.1 400 ") {
		t.Errorf("got %.200q, %v; want 400", reply, err)
	}
	if n := len(w.record(v.ID).Photos); n != 0 {
		t.Errorf("%d photos are stored, want none", n)
	}
}

// brokenReader stands for a program that cannot be started: the photo must be kept all the same.
type brokenReader struct{}

func (brokenReader) Read(context.Context, string, string) (annotate.Result, error) {
	return annotate.Result{}, errors.New("start photo reader: no such file /secret/path")
}

func TestPhotoReaderFails(t *testing.T) {
	w := newSiteWith(t, brokenReader{})
	v := w.survey("Larkmoor house")
	var got photoJSON
	a := w.put(photoAPI(v.ID, survey.NewID()), bytes.NewReader(gradient(t))).wants(http.StatusCreated)
	a.json(&got)
	if got.Shown || got.Problem == "" || strings.Contains(a.Body.String(), "secret") {
		t.Errorf("got %s", a.Body)
	}
	if !strings.Contains(w.log.String(), "/secret/path") {
		t.Error("the log does not say why")
	}
}

// countingReader counts how many photos are open at once.
type countingReader struct{ now, most atomic.Int32 }

func (r *countingReader) Read(context.Context, string, string) (annotate.Result, error) {
	n := r.now.Add(1)
	defer r.now.Add(-1)
	for {
		most := r.most.Load()
		if n <= most || r.most.CompareAndSwap(most, n) {
			break
		}
	}
	time.Sleep(20 * time.Millisecond)
	return annotate.Result{Meta: annotate.Meta{Problem: "no picture"}}, nil
}

func TestPhotosAreOpenedTwoAtATime(t *testing.T) {
	reader := &countingReader{}
	w := newSiteWith(t, reader)
	v := w.survey("Larkmoor house")
	done := make(chan int, 8)
	for range 8 {
		go func() { done <- w.put(photoAPI(v.ID, survey.NewID()), strings.NewReader("x")).Code }()
	}
	for range 8 {
		if code := <-done; code != http.StatusCreated {
			t.Errorf("got status %d", code)
		}
	}
	if most := reader.most.Load(); most != readersAtOnce {
		t.Errorf("%d were open at once, want %d", most, readersAtOnce)
	}
}

// sent is a file of a multipart form.
type sent struct{ name, body string }

func (w *site) postPhotos(in survey.SurveyID, formID string, files ...sent) answer {
	w.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	check := func(err error) {
		if err != nil {
			w.t.Fatal(err)
		}
	}
	if formID != "" {
		check(form.WriteField("id", formID))
	}
	for _, f := range files {
		head := textproto.MIMEHeader{}
		head.Set("Content-Disposition", `form-data; name="photos"; filename="`+f.name+`"`)
		head.Set("Content-Type", "image/jpeg")
		part, err := form.CreatePart(head)
		check(err)
		_, err = io.WriteString(part, f.body)
		check(err)
	}
	check(form.Close())
	return w.do(newRequest(http.MethodPost, surveyPath(in)+"/photos", body.String(), "Content-Type", form.FormDataContentType()))
}

func TestPhotoForm(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	formID := survey.NewID()
	files := []sent{{"a.jpg", string(gradient(t))}, {"empty.jpg", ""}, {`C:\fakepath\..\notes<b>.jpg`, "no picture"}, {"big.jpg", strings.Repeat("x", survey.MaxPhotoBytes+1)}, {"", ""}}
	to := w.postPhotos(v.ID, formID, files...).wants(http.StatusSeeOther).Header().Get("Location")
	if !strings.HasPrefix(to, surveyPath(v.ID)+"/photos?sent=") {
		t.Errorf("led to %q", to)
	}
	photos := w.record(v.ID).Photos
	if len(photos) != 2 || !photos[0].Shown() || photos[1].Shown() || photos[1].Name != "notes<b>.jpg" {
		t.Fatalf("stored %+v", photos)
	}
	kept := w.server.outcomes.byKey[strings.TrimPrefix(to, surveyPath(v.ID)+"/photos?sent=")].view
	if kept.Added != 2 || len(kept.Unshown) != 1 || len(kept.Refused) != 2 || kept.Refused[0].Name != "empty.jpg" || !strings.Contains(kept.Refused[1].Why, "40 MB") {
		t.Errorf("the outcome is %+v", kept)
	}
	text := w.get(to).wants(http.StatusOK).page().Find("main").Text()
	for _, want := range []string{"2 photos are saved", "notes<b>.jpg", "empty.jpg", "big.jpg"} {
		if !strings.Contains(text, want) {
			t.Errorf("the photos page does not say %q", want)
		}
	}
	w.postPhotos(v.ID, formID, files[0]).wants(http.StatusSeeOther) // the same form again is harmless
	if n := len(w.record(v.ID).Photos); n != 2 {
		t.Errorf("sending twice made %d photos", n)
	}
	w.postPhotos(v.ID, survey.NewID(), sent{"other.jpg", "another one"}).wants(http.StatusSeeOther)
	if n := len(w.record(v.ID).Photos); n != 3 {
		t.Errorf("another form made %d photos, want 3", n)
	}
	w.postPhotos(v.ID, survey.NewID(), sent{"", ""}).wants(http.StatusUnprocessableEntity)
	w.postPhotos(survey.SurveyID(survey.NewID()), formID, files[0]).wants(http.StatusNotFound)
	w.do(newRequest(http.MethodPost, surveyPath(v.ID)+"/photos", "x=1", "Content-Type", "application/x-www-form-urlencoded")).wants(http.StatusBadRequest)
	w.do(newRequest(http.MethodPost, surveyPath(v.ID)+"/photos", "--b\r\nbroken", "Content-Type", "multipart/form-data; boundary=b")).wants(http.StatusBadRequest)
}

func TestPhotoName(t *testing.T) {
	for name, want := range map[string]string{
		"IMG_1.JPG": "IMG_1.JPG", "../../etc/passwd": "passwd", `C:\x\y.jpg`: "y.jpg", "": "photo", "..": "photo", "/": "photo", "a\x00b\r\n.jpg": "ab .jpg",
		"\u202egpj.exe": "gpj.exe", strings.Repeat("é", 300): strings.Repeat("é", 200), "\xff.jpg": "\uFFFD.jpg",
	} {
		if got := photoName(name); got != want {
			t.Errorf("photoName(%q) = %q, want %q", name, got, want)
		}
	}
}
