package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"undercroft/survey"
)

// pieceSurvey is the survey of the photos that arrive in pieces here.
const pieceSurvey survey.SurveyID = "0197a1b2-c3d4-7e5f-8a9b-0c1d2e3f4a5b"

// addPiece adds what lies in whole from offset on, at most n bytes.
func addPiece(s *Store, id survey.PhotoID, whole []byte, offset, n int) (Pieces, error) {
	body := whole[offset:min(len(whole), offset+n)]
	return s.AddPiece(context.Background(), pieceSurvey, id, Pieces{int64(offset), int64(len(whole))}, sha256.Sum256(body), bytes.NewReader(body))
}

func wantPieces(t *testing.T, s *Store, id survey.PhotoID, offset, length int64) {
	t.Helper()
	got, err := s.Pieces(id)
	if err != nil || got != (Pieces{offset, length}) {
		t.Fatalf("got %+v, %v, want %d of %d", got, err, offset, length)
	}
}

func TestPiecesMakeThePhotoAlsoAfterARestart(t *testing.T) {
	dir, id := t.TempDir(), survey.PhotoID(survey.NewID())
	whole := bytes.Repeat([]byte("0123456789abcdef"), 200_000/16)
	for offset, n := 0, 70_001; offset < len(whole); offset += n {
		s, err := Open(context.Background(), Config{Dir: dir, Now: time.Now})
		if err != nil {
			t.Fatal(err)
		}
		if offset > 0 {
			wantPieces(t, s, id, int64(offset), int64(len(whole)))
		}
		if _, err := s.OpenPieces(id); survey.KindOf(err) != survey.NotFound {
			t.Errorf("a photo that is not whole was opened: %v", err)
		}
		if _, err := addPiece(s, id, whole, offset, n); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	s := openAt(t, dir)
	r, err := s.OpenPieces(id)
	if err != nil {
		t.Fatal(err)
	}
	got, err := io.ReadAll(r)
	if err := errors.Join(err, r.Close()); err != nil || !bytes.Equal(got, whole) {
		t.Fatalf("%v: got %d bytes that differ from the %d sent", err, len(got), len(whole))
	}
	if err := s.DropPieces(id); err != nil {
		t.Fatal(err)
	}
	wantPieces(t, s, id, 0, 0)
}

func TestPiecesThatDoNotFit(t *testing.T) {
	s := openAt(t, t.TempDir())
	id, whole := survey.PhotoID(survey.NewID()), []byte("a photo in three pieces")
	if _, err := addPiece(s, id, whole, 0, 8); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256([]byte("x"))
	for name, c := range map[string]struct {
		at   Pieces
		body string
		kind survey.Kind
	}{
		"again":           {Pieces{0, 23}, "x", survey.Conflict},
		"too far on":      {Pieces{9, 23}, "x", survey.Conflict},
		"another length":  {Pieces{8, 24}, "x", survey.Conflict},
		"beyond the end":  {Pieces{23, 23}, "x", survey.Invalid},
		"before the head": {Pieces{-1, 23}, "x", survey.Invalid},
		"of nothing":      {Pieces{0, 0}, "x", survey.Invalid},
		"empty":           {Pieces{8, 23}, "", survey.Invalid},
		"more than left":  {Pieces{22, 23}, "xx", survey.TooLarge},
		"a huge photo":    {Pieces{8, survey.MaxPhotoBytes + 1}, "x", survey.TooLarge},
	} {
		if _, err := s.AddPiece(context.Background(), pieceSurvey, id, c.at, sum, bytes.NewReader([]byte(c.body))); survey.KindOf(err) != c.kind {
			t.Errorf("%s: got %v, want kind %v", name, err, c.kind)
		}
	}
	if _, err := s.AddPiece(context.Background(), pieceSurvey, id, Pieces{8, 23}, sum, bytes.NewReader([]byte("y"))); !errors.Is(err, ErrPieceSum) {
		t.Errorf("got %v, want ErrPieceSum", err)
	}
	broken := iotest.TimeoutReader(iotest.OneByteReader(bytes.NewReader(whole[8:16])))
	if _, err := s.AddPiece(context.Background(), pieceSurvey, id, Pieces{8, 23}, sha256.Sum256(whole[8:16]), broken); !errors.Is(err, iotest.ErrTimeout) {
		t.Errorf("got %v, want the reader's error", err)
	}
	wantPieces(t, s, id, 8, 23)
	if _, err := s.Pieces("../blobs"); survey.KindOf(err) != survey.NotFound {
		t.Errorf("a name that is no id: %v", err)
	}
	if left, err := fs.Glob(s.root.FS(), "temp/*"); err != nil || len(left) > 0 {
		t.Errorf("left in temp: %v, %v", left, err)
	}
}

// TestTwoSendersOfOnePhoto: of two that send the same pieces at once, each piece is taken from one, and the photo is whole.
func TestTwoSendersOfOnePhoto(t *testing.T) {
	s := openAt(t, t.TempDir())
	id, whole := survey.PhotoID(survey.NewID()), bytes.Repeat([]byte("abcdefgh"), 4000)
	const n = 1000
	var taken sync.Map
	var senders sync.WaitGroup
	for sender := range 2 {
		senders.Go(func() {
			for offset := 0; offset < len(whole); {
				now, err := addPiece(s, id, whole, offset, n)
				switch e, _ := errors.AsType[*survey.Error](err); {
				case err == nil:
					if before, twice := taken.LoadOrStore(offset, sender); twice {
						t.Errorf("the piece at %d was taken from %d and %d", offset, before, sender)
					}
				case e != nil && e.Kind == survey.Conflict:
					now = e.Current.(Pieces)
				default:
					t.Error(err)
					return
				}
				offset = int(now.Offset)
			}
		})
	}
	senders.Wait()
	r, err := s.OpenPieces(id)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if got, err := io.ReadAll(r); err != nil || !bytes.Equal(got, whole) {
		t.Errorf("%v: got %d bytes that differ from the %d sent", err, len(got), len(whole))
	}
}

func TestPhotosThatNeverArriveAreRemoved(t *testing.T) {
	dir, old, young := t.TempDir(), survey.PhotoID(survey.NewID()), survey.PhotoID(survey.NewID())
	s := must(Open(t.Context(), Config{Dir: dir, Now: time.Now}))(t)
	for _, id := range []survey.PhotoID{old, young} {
		if _, err := addPiece(s, id, []byte("a piece of a photo"), 0, 5); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	past := time.Now().Add(-UnfinishedLife - time.Minute)
	if err := os.Chtimes(filepath.Join(dir, filepath.FromSlash(pieceFolder(old))), past, past); err != nil {
		t.Fatal(err)
	}
	s = must(Open(t.Context(), Config{Dir: dir, Now: time.Now}))(t)
	defer s.Close()
	wantPieces(t, s, old, 0, 0)
	wantPieces(t, s, young, 5, 18)
}
