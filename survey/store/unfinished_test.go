package store

import (
	"bytes"
	"crypto/sha256"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
)

func newPhotoID() survey.PhotoID { return survey.PhotoID(survey.NewID()) }

// A survey that has begun MaxUnfinishedOfSurvey photos begins no other, goes on with those, and begins one again when one is whole; another survey is not held up. The figure is
// counted by hand here: 300 (reliability demand 44, photos a survey may have).
func TestUnfinishedPhotosOfOneSurveyAreLimited(t *testing.T) {
	dir := t.TempDir()
	s := must(Open(t.Context(), Config{Dir: dir, Now: time.Now}))(t)
	whole, first := []byte("a photo in pieces"), newPhotoID()
	must(addPiece(s, first, whole, 0, 5))(t)
	for range 299 {
		must(addPiece(s, newPhotoID(), whole, 0, 5))(t)
	}
	refused := func(s *Store) {
		t.Helper()
		_, err := addPiece(s, newPhotoID(), whole, 0, 5)
		if e := wantKind(t, err, survey.TooOften); !strings.Contains(e.Message, "300 photos") || e.Retry <= 0 {
			t.Errorf("the 301st: %q, wait %s", e.Message, e.Retry)
		}
	}
	refused(s)
	if err := s.Close(); err != nil { // the count is made anew from the folders
		t.Fatal(err)
	}
	s = must(Open(t.Context(), Config{Dir: dir, Now: time.Now}))(t)
	defer s.Close()
	refused(s)
	must(addPiece(s, first, whole, 5, 5))(t)
	other := survey.SurveyID(survey.NewID())
	must(s.AddPiece(t.Context(), other, newPhotoID(), Pieces{0, 17}, sha256.Sum256(whole[:5]), bytes.NewReader(whole[:5])))(t)
	if u := must(s.Usage())(t); u.Unfinished != 301 || u.UnfinishedBytes != 301*5+5 {
		t.Errorf("got %d photos of %d bytes, want 301 of %d", u.Unfinished, u.UnfinishedBytes, 301*5+5)
	}
	if err := s.DropPieces(first); err != nil {
		t.Fatal(err)
	}
	must(addPiece(s, newPhotoID(), whole, 0, 5))(t)
	refused(s)
}

// In all there are at most MaxUnfinished, whatever their surveys, and MaxUnfinishedBytes of them.
func TestUnfinishedPhotosAreLimitedInAll(t *testing.T) {
	var u arriving
	for range MaxUnfinished {
		in := survey.SurveyID(survey.NewID())
		if err := u.admit(in); err != nil {
			t.Fatal(err)
		}
		u.add(in, newPhotoID(), 1)
	}
	wantKind(t, u.admit(survey.SurveyID(survey.NewID())), survey.TooOften)
	var large arriving
	large.add(pieceSurvey, newPhotoID(), MaxUnfinishedBytes-1)
	if err := large.admit(pieceSurvey); err != nil {
		t.Error(err)
	}
	large.add(pieceSurvey, newPhotoID(), 1)
	wantKind(t, large.admit(pieceSurvey), survey.TooOften)
}

// What expires is not counted any more.
func TestExpiredPhotosAreNotCounted(t *testing.T) {
	c := newClock()
	s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: c.Now}))(t)
	defer s.Close()
	must(addPiece(s, newPhotoID(), []byte("a photo"), 0, 5))(t)
	c.move(UnfinishedLife + time.Second)
	if err := s.sweepPieces(); err != nil {
		t.Fatal(err)
	}
	if u := must(s.Usage())(t); u.Unfinished != 0 || u.UnfinishedBytes != 0 {
		t.Errorf("got %+v", u)
	}
}

// A photo that began for one survey takes no piece for another, also after a restart.
func TestPiecesBelongToTheirSurvey(t *testing.T) {
	dir, id, whole := t.TempDir(), newPhotoID(), []byte("a photo in pieces")
	s := must(Open(t.Context(), Config{Dir: dir, Now: time.Now}))(t)
	must(addPiece(s, id, whole, 0, 5))(t)
	for range 2 {
		_, err := s.AddPiece(t.Context(), survey.SurveyID(survey.NewID()), id, Pieces{5, 17}, sha256.Sum256(whole[5:9]), bytes.NewReader(whole[5:9]))
		if e := wantKind(t, err, survey.Conflict); e.Current != nil {
			t.Errorf("told where to go on: %v", e.Current)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s = must(Open(t.Context(), Config{Dir: dir, Now: time.Now}))(t)
	}
	defer s.Close()
	must(addPiece(s, id, whole, 5, 12))(t)
}

// The largest photo may come in 640 pieces; a piece that would need more is refused, and one that is large enough then goes on.
func TestPiecesAreNotTiny(t *testing.T) {
	const length = survey.MaxPhotoBytes
	body := make([]byte, PieceBytes)
	for name, c := range map[string]struct {
		there  int // pieces
		offset int64
		n      int
		small  bool
	}{
		"the first of one byte":          {0, 0, 1, false},
		"as many as can be made up for":  {599, 599, 1, false},
		"one that cannot be made up for": {600, 600, 1, true},
		"a large one instead":            {600, 600, PieceBytes, false},
		"the last of all":                {639, length - 1, 1, false},
		"one more than may be":           {640, length - 1, 1, true},
	} {
		if got := tooSmall(c.there, Pieces{c.offset, length}, int64(c.n)); got != c.small {
			t.Errorf("%s: got %v, want %v", name, got, c.small)
		}
	}
	s, id := newStore(t), newPhotoID()
	add := func(offset int64, n int) error {
		_, err := s.AddPiece(t.Context(), pieceSurvey, id, Pieces{offset, length}, sha256.Sum256(body[:n]), bytes.NewReader(body[:n]))
		return err
	}
	folder := filepath.Join(s.dir, filepath.FromSlash(pieceFolder(id)))
	if err := add(0, 1); err != nil {
		t.Fatal(err)
	}
	for i := int64(1); i < 600; i++ { // as 599 more requests would leave them, without a sync each
		if err := os.WriteFile(filepath.Join(folder, pieceName(piece{Pieces{i, length}, 1})), body[:1], 0o400); err != nil {
			t.Fatal(err)
		}
	}
	wantKind(t, add(600, 1), survey.Invalid)
	if err := add(600, PieceBytes); err != nil {
		t.Error(err)
	}
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
}

// A survey takes 300 photos and no more, and 5 GiB, those that were removed included.
func TestPhotosOfASurveyAreLimited(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	blob := putBlob(t, s, content(1, 100))
	add := func() (survey.Photo, error) {
		return s.AddPhoto(t.Context(), survey.Photo{ID: newPhotoID(), Survey: v.ID, SHA256: blob.SHA256, Bytes: blob.Bytes})
	}
	var last survey.Photo
	for range 300 {
		last = must(add())(t)
	}
	_, err := add()
	wantKind(t, err, survey.TooLarge)
	wantKind(t, s.RoomForPhoto(t.Context(), v.ID, 1), survey.TooLarge)
	if again := must(s.AddPhoto(t.Context(), last))(t); again.Number != 300 {
		t.Errorf("the 300th sent again: %+v", again)
	}
	if err := s.DeletePhoto(t.Context(), v.ID, last.ID, last.Version); err != nil {
		t.Fatal(err)
	}
	taken := int64(300 * 100)
	wantKind(t, s.RoomForPhoto(t.Context(), v.ID, 5<<30-taken+1), survey.TooLarge)
	if err := s.RoomForPhoto(t.Context(), v.ID, 5<<30-taken); err != nil {
		t.Error(err)
	}
	must(add())(t)
}
