package store

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"testing"
	"time"

	"undercroft/survey"
)

// The age of a photo that never arrives whole is counted from its last piece, on the store's own clock.
func TestPiecesAreKeptSevenDaysFromTheLast(t *testing.T) {
	c := newClock()
	s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: c.Now}))(t)
	defer s.Close()
	id, whole := survey.PhotoID(survey.NewID()), []byte("a photo in pieces")
	must(addPiece(s, id, whole, 0, 5))(t)
	c.move(6 * 24 * time.Hour)
	must(addPiece(s, id, whole, 5, 5))(t)
	for _, step := range []struct {
		after        time.Duration
		offset, size int64
	}{{6 * 24 * time.Hour, 10, 17}, {23 * time.Hour, 10, 17}, {2 * time.Hour, 0, 0}} {
		c.move(step.after)
		if err := s.sweepPieces(); err != nil {
			t.Fatal(err)
		}
		wantPieces(t, s, id, step.offset, step.size)
	}
}

// Once the disk has refused a sync, no piece is acknowledged any more.
func TestBrokenDiskTakesNoPiece(t *testing.T) {
	s := newStore(t)
	id, whole := survey.PhotoID(survey.NewID()), []byte("a photo in pieces")
	must(addPiece(s, id, whole, 0, 5))(t)
	s.fail(errors.New("the disk refused, for this test"))
	if _, err := addPiece(s, id, whole, 5, 5); !errors.Is(err, errBroken) {
		t.Errorf("got %v, want %v", err, errBroken)
	}
	wantPieces(t, s, id, 5, 17)
}

func TestHasPiece(t *testing.T) {
	s := newStore(t)
	whole := []byte("a photo in pieces")
	blob := putBlob(t, s, whole)
	for name, c := range map[string]struct {
		offset int64
		body   string
		want   bool
	}{
		"the first":            {0, "a photo", true},
		"the last":             {11, "pieces", true},
		"other bytes":          {0, "A photo", false},
		"at another place":     {1, "a photo", false},
		"beyond the file":      {12, "pieces", false},
		"from past its end on": {20, "x", false},
	} {
		body := []byte(c.body)
		got, err := s.HasPiece(t.Context(), blob.SHA256, Pieces{c.offset, 30}, sha256.Sum256(body), bytes.NewReader(body))
		if err != nil || got != c.want {
			t.Errorf("%s: got %v, %v, want %v", name, got, err, c.want)
		}
	}
	body := []byte("a photo")
	if _, err := s.HasPiece(t.Context(), blob.SHA256, Pieces{0, 30}, [sha256.Size]byte{}, bytes.NewReader(body)); !errors.Is(err, ErrPieceSum) {
		t.Errorf("another sum: got %v", err)
	}
	if _, err := s.HasPiece(t.Context(), sumOf(body), Pieces{0, 30}, sha256.Sum256(body), bytes.NewReader(body)); survey.KindOf(err) != survey.NotFound {
		t.Errorf("no such file: got %v", err)
	}
}
