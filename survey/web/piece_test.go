package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/store"
)

// keepPieces puts the pieces of a photo into the store and goes no further, as a server that ends before it makes the photo.
func (w *site) keepPieces(in survey.SurveyID, id string, whole []byte, n int) {
	w.t.Helper()
	for offset := 0; offset < len(whole); offset += n {
		body := whole[offset:min(len(whole), offset+n)]
		at := store.Pieces{Offset: int64(offset), Length: int64(len(whole))}
		if _, err := w.store.AddPiece(context.Background(), in, survey.PhotoID(id), at, sha256.Sum256(body), bytes.NewReader(body)); err != nil {
			w.t.Fatal(err)
		}
	}
}

// changed is whole with another last byte.
func changed(whole []byte) []byte {
	other := bytes.Clone(whole)
	other[len(other)-1] ^= 1
	return other
}

// A 2xx answer lets the phone forget its only copy, so it must never be given for bytes that are not kept.
func TestPieceOfAnotherFileIsRefused(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	first := gradient(t)
	others := map[string][]byte{"longer": append(bytes.Clone(first), "more"...), "shorter": first[:len(first)-3], "of other bytes": changed(first)}
	for state, begin := range map[string]func(id string){
		"all pieces are there": func(id string) { w.keepPieces(v.ID, id, first, 2000) },
		"the photo is stored":  func(id string) { w.put(photoAPI(v.ID, id), bytes.NewReader(first)).wants(http.StatusCreated) },
	} {
		for name, other := range others {
			id := survey.NewID()
			begin(id)
			refused := w.sendPiece(v.ID, id, other, 0, len(other)).wants(http.StatusConflict)
			if told := refused.Header().Get(headerOffset); told != "" {
				t.Errorf("%s, a file %s: told to go on at %s", state, name, told)
			}
			var photo photoJSON
			answer := w.sendPiece(v.ID, id, first, 0, 2000)
			if answer.Code != http.StatusOK && answer.Code != http.StatusCreated {
				t.Fatalf("%s: the first file's piece afterwards: %d %s", state, answer.Code, answer.Body)
			}
			answer.json(&photo)
			if want := fmt.Sprintf("%x", sha256.Sum256(first)); photo.SHA256 != want {
				t.Errorf("%s: after a file %s the photo has the sum %s, want %s", state, name, photo.SHA256, want)
			}
		}
	}
}

// A server that ended between the last piece and the photo makes the photo of the next piece that comes, whichever it is.
func TestAnyPieceAgainMakesThePhotoOfAllThatIsThere(t *testing.T) {
	whole := gradient(t)
	for name, offset := range map[string]int{"first": 0, "middle": 2000, "last": (len(whole) - 1) / 2000 * 2000} {
		w := newSite(t)
		v, id := w.survey("Larkmoor house"), survey.NewID()
		w.keepPieces(v.ID, id, whole, 2000)
		if got := w.piecesOf(v.ID, id).wants(http.StatusNoContent).Header().Get(headerOffset); got != fmt.Sprint(len(whole)) {
			t.Errorf("all is there, and the offset is %s", got)
		}
		if n := len(w.record(v.ID).Photos); n != 0 {
			t.Fatalf("%d photos before the photo is made", n)
		}
		w.sendPiece(v.ID, id, whole, offset, 2000).wants(http.StatusCreated)
		if photos := w.record(v.ID).Photos; len(photos) != 1 || photos[0].SHA256 != fmt.Sprintf("%x", sha256.Sum256(whole)) {
			t.Errorf("%s piece: got %+v", name, photos)
		}
	}
}

func TestTwoSendersFinishAtOnce(t *testing.T) {
	w := newSite(t)
	v, id, whole := w.survey("Larkmoor house"), survey.NewID(), gradient(t)
	codes := make([]int, 6)
	var senders sync.WaitGroup
	for i := range codes {
		senders.Go(func() { codes[i] = w.sendPiece(v.ID, id, whole, 0, len(whole)).Code })
	}
	senders.Wait()
	for _, code := range codes {
		if code != http.StatusOK && code != http.StatusCreated {
			t.Errorf("got %v, want the photo for each", codes)
		}
	}
	if n := len(w.record(v.ID).Photos); n != 1 {
		t.Errorf("%d photos, want 1", n)
	}
}

// The slower of two senders finds the pieces gone and must get the photo, since a phone takes 404 for final.
func TestSlowerSenderGetsThePhoto(t *testing.T) {
	w := newSite(t)
	v, id, whole := w.survey("Larkmoor house"), survey.NewID(), gradient(t)
	before := photoSent{survey: v.ID, id: survey.PhotoID(id)}
	want := w.sendPiece(v.ID, id, whole, 0, len(whole)).wants(http.StatusCreated)
	c, _ := gin.CreateTestContext(httptest.NewRecorder())
	c.Request = httptest.NewRequest(http.MethodPatch, photoAPI(v.ID, id)+"/upload", nil)
	photo, err := w.server.takePieces(c, before, int64(len(whole)))
	if err != nil || photo.Number != 1 || photo.SHA256 != fmt.Sprintf("%x", sha256.Sum256(whole)) {
		t.Errorf("got %+v, %v, want what the faster one got: %s", photo, err, want.Body)
	}
}

// A piece that the disk has cut short makes no photo.
func TestDamagedPieceMakesNoPhoto(t *testing.T) {
	w := newSite(t)
	v, id, whole := w.survey("Larkmoor house"), survey.NewID(), gradient(t)
	w.keepPieces(v.ID, id, whole, 2000)
	some := w.photo(v.ID)
	path, err := w.store.BlobPath(some.SHA256)
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(filepath.Dir(path), "..", "..", "pieces", id, "*-2000-*"))
	if err != nil || len(files) != 1 {
		t.Fatalf("the second piece: %v, %v", files, err)
	}
	if err := os.Chmod(files[0], 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(files[0], 1000); err != nil {
		t.Fatal(err)
	}
	w.sendPiece(v.ID, id, whole, 0, 2000).wants(http.StatusInternalServerError)
	if n := len(w.record(v.ID).Photos); n != 1 {
		t.Errorf("%d photos, want the other one only", n)
	}
}

// Bytes that arrive before the connection is cut are not counted until their piece is whole; the rest follows after a restart, and each byte is the one that was sent.
func TestCutConnectionAndRestart(t *testing.T) {
	h := newHouse(t)
	w := &site{t: t, store: h.store}
	v, id := w.survey("Larkmoor house"), survey.NewID()
	whole := make([]byte, 3*store.PieceBytes/2)
	rand.NewChaCha8([32]byte{7}).Read(whole)
	const n = store.PieceBytes / 2
	if a, err := h.sendPiece(v.ID, id, whole, 0, n); err != nil || a.StatusCode != http.StatusNoContent {
		t.Fatalf("first piece: %v, %v", a, err)
	}
	h.cut.Store(n / 2)
	if a, err := h.sendPiece(v.ID, id, whole, n, n); err == nil {
		t.Fatalf("the connection was to be cut, got %d", a.StatusCode)
	}
	if got, err := h.store.Pieces(survey.PhotoID(id)); err != nil || got.Offset != n {
		t.Errorf("after the cut %+v is there, %v, want the first %d bytes", got, err, n)
	}
	h.stop()
	h.start()
	if a, err := h.sendPiece(v.ID, id, whole, 0, n); err != nil || a.StatusCode != http.StatusConflict || a.Header.Get(headerOffset) != fmt.Sprint(n) {
		t.Errorf("the first piece again: %v, %v, want to be told to go on at %d", a, err, n)
	}
	if a, err := h.sendPiece(v.ID, id, whole, n, n); err != nil || a.StatusCode != http.StatusNoContent {
		t.Fatalf("second piece: %v, %v", a, err)
	}
	if a, err := h.sendPiece(v.ID, id, whole, 2*n, n); err != nil || a.StatusCode != http.StatusCreated {
		t.Fatalf("last piece: %v, %v", a, err)
	}
	photos := h.one().Photos
	if len(photos) != 1 || photos[0].SHA256 != fmt.Sprintf("%x", sha256.Sum256(whole)) {
		t.Errorf("got %+v, want the bytes that were sent", photos)
	}
}

// sendPiece sends over a connection of its own, as a phone with a new network does.
func (h *house) sendPiece(in survey.SurveyID, id string, whole []byte, offset, n int) (*http.Response, error) {
	body := whole[offset:min(len(whole), offset+n)]
	r, err := http.NewRequest(http.MethodPatch, h.url(photoAPI(in, id)+"/upload"), bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	r.Close = true
	r.GetBody = nil // the client sends nothing again by itself
	r.Header.Set("Content-Type", pieceType)
	r.Header.Set(headerOffset, fmt.Sprint(offset))
	r.Header.Set(headerLength, fmt.Sprint(len(whole)))
	r.Header.Set(headerChecksum, pieceSum(body))
	a, err := (&http.Client{Transport: &http.Transport{DisableKeepAlives: true}}).Do(r)
	if err != nil {
		return nil, err
	}
	_, err = io.Copy(io.Discard, a.Body)
	a.Body.Close()
	return a, err
}

// The sum is the worked example of FIPS 180-4, "abc" (csrc.nist.gov, SHA256.pdf): ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad, in
// base64; status 460 for another is that of tus 1.0, checksum extension (both from memory).
func TestPieceSum(t *testing.T) {
	const abc = "sha256 ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="
	w := newSite(t)
	v, id := w.survey("Larkmoor house"), survey.NewID()
	var p problem
	w.sendPieceSaying(v.ID, id, []byte("abd"), "0", "6", abc).wants(460).json(&p)
	if p.Title == "" || p.Status != 460 || !strings.Contains(p.Detail, "again") {
		t.Errorf("the problem document says %+v", p)
	}
	w.piecesOf(v.ID, id).wants(http.StatusNotFound)
	w.sendPieceSaying(v.ID, id, []byte("abc"), "0", "6", abc).wants(http.StatusNoContent)
}

func TestLongCaptionIsRefusedWithTheFirstPiece(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	for length, status := range map[int]int{maxCaption: http.StatusNoContent, maxCaption + 1: http.StatusUnprocessableEntity} {
		id := survey.NewID()
		r := httptest.NewRequest(http.MethodPatch, photoAPI(v.ID, id)+"/upload?caption="+strings.Repeat("a", length), strings.NewReader("abc"))
		r.Header.Set("Content-Type", pieceType)
		r.Header.Set(headerOffset, "0")
		r.Header.Set(headerLength, "6")
		r.Header.Set(headerChecksum, pieceSum([]byte("abc")))
		if got := w.do(r).Code; got != status {
			t.Errorf("a caption of %d characters: got %d, want %d", length, got, status)
		}
	}
}

// FuzzPieceHeaders: whatever the headers say, they are either refused as unreadable or give numbers that are not negative and the sum that was written.
func FuzzPieceHeaders(f *testing.F) {
	for _, c := range [][4]string{
		{pieceType, "0", "6", "sha256 ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="},
		{pieceType, "-1", "6", "sha256 AAAA"},
		{pieceType, "9223372036854775808", "6", "sha1 qZk+NkcGgWq6PiVxeFDCbJzQ2J0="},
		{"text/plain", "0x1", " 6", "sha256"},
		{"", "", "", ""},
		{pieceType, "0", "6", "sha256 ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAF0a="}, // bits beyond the sum, RFC 4648 section 3.5
		{pieceType, "٣", "+6", "sha256  ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=\n"},
	} {
		f.Add(c[0], c[1], c[2], c[3])
	}
	f.Fuzz(func(t *testing.T, media, offset, length, checksum string) {
		h := http.Header{}
		h.Set("Content-Type", media)
		h.Set(headerOffset, offset)
		h.Set(headerLength, length)
		h.Set(headerChecksum, checksum)
		at, sum, err := readPieceHeaders(h)
		if err != nil {
			if statusOf(err) != http.StatusBadRequest {
				t.Errorf("status %d for %v", statusOf(err), err)
			}
			return
		}
		if media != pieceType || at.Offset < 0 || at.Length < 0 {
			t.Errorf("%q %q %q taken as %+v", media, offset, length, at)
		}
		if written := strings.NewReplacer("\r", "", "\n", "").Replace(checksum); written != "sha256 "+base64.StdEncoding.EncodeToString(sum[:]) {
			t.Errorf("%q taken as %q", checksum, "sha256 "+base64.StdEncoding.EncodeToString(sum[:]))
		}
	})
}
