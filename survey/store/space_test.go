package store

import (
	"bytes"
	"crypto/sha256"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/store/disktest"
)

// untouched fails the test when it is read.
type untouched struct{ t *testing.T }

func (r untouched) Read([]byte) (int, error) {
	r.t.Error("bytes were taken although there is no space for them")
	return 0, io.EOF
}

// TestLowSpace: below the first mark photos are refused before a byte of them is read, and edits go on; below the second edits are refused, and reading, signing in and making
// room go on; with space again all goes on without a restart.
func TestLowSpace(t *testing.T) {
	dir := disktest.Memory(t, "size=24m")
	s := must(Open(t.Context(), Config{Dir: dir, Now: time.Now, KeepFree: 8 << 20}))(t)
	defer s.Close()
	photo := addTestPhoto(t, s, addSurvey(t, s).ID, 1)
	pin := addTestPin(t, s, photo)
	person := addPerson(t, s, "R. Vance", survey.RoleOffice)
	edit := func() error {
		pin.Note += "x"
		saved, err := s.PutPin(t.Context(), pin)
		if err == nil {
			pin = saved
		}
		return err
	}
	send := func(r io.Reader, n int64) error {
		_, err := s.AddPiece(t.Context(), photo.Survey, newPhotoID(), Pieces{0, n}, sha256.Sum256(make([]byte, n)), r)
		return err
	}
	if err := send(bytes.NewReader(make([]byte, 100)), 100); err != nil {
		t.Fatal(err)
	}
	wantNoSpace(t, send(untouched{t}, 20<<20), dir) // it would leave less than 8 MiB

	ballast := filepath.Join(dir, "ballast")
	leave := func(bytes int64) {
		t.Helper()
		if err := os.RemoveAll(ballast); err != nil {
			t.Fatal(err)
		}
		free, _, err := diskSpace(dir)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(ballast, make([]byte, free-bytes), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	leave(4 << 20)
	wantNoSpace(t, send(untouched{t}, 100), dir)
	wantNoSpace(t, s.RoomForPhoto(t.Context(), photo.Survey, 100), dir)
	if err := edit(); err != nil {
		t.Errorf("below the first mark: %v", err)
	}
	leave(500 << 10) // under 8 MiB / 16
	wantNoSpace(t, edit(), dir)
	if r := must(s.Record(t.Context(), photo.Survey))(t); len(r.Pins) != 1 {
		t.Errorf("reading: %+v", r.Pins)
	}
	if err := s.BeginSession(t.Context(), person.ID, TokenSum{1}, TokenSum{}); err != nil {
		t.Errorf("signing in: %v", err)
	}
	if err := s.DeletePhoto(t.Context(), photo.Survey, photo.ID, photo.Version); err != nil {
		t.Errorf("making room: %v", err)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	if err := send(bytes.NewReader(make([]byte, 100)), 100); err != nil {
		t.Errorf("with space again: %v", err)
	}
	checkDatabase(t, s)
}

// The default is a twentieth of the disk and at least 1 GiB (reliability demand 125), and at most a quarter of a small one.
func TestDefaultKeepFree(t *testing.T) {
	dir := disktest.Memory(t, "size=24m")
	if got, err := DefaultKeepFree(dir); err != nil || got != 6<<20 {
		t.Errorf("24 MiB: got %d, %v, want 6 MiB", got, err)
	}
	_, size, err := diskSpace(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	got := must(DefaultKeepFree(t.TempDir()))(t)
	if size > 20<<30 && got != size/20 {
		t.Errorf("%d bytes: got %d, want a twentieth", size, got)
	}
	if _, err := DefaultKeepFree("nowhere"); err == nil {
		t.Error("a folder that is not there has a size")
	}
}

func TestUsage(t *testing.T) {
	s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: time.Now, KeepFree: 2 << 30}))(t)
	addSurvey(t, s)
	u := must(s.Usage())(t)
	for name, path := range map[string]string{"database": databaseName, "log": databaseName + "-wal"} {
		info := must(os.Stat(filepath.Join(s.dir, path)))(t)
		if got := map[string]int64{"database": u.Database, "log": u.Log}[name]; got != info.Size() || got == 0 {
			t.Errorf("%s: got %d, want %d", name, got, info.Size())
		}
	}
	if u.Free <= 0 || u.Size < u.Free || u.PhotosKeepFree != 2<<30 || u.EditsKeepFree != 64<<20 {
		t.Errorf("got %+v", u)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Usage(); err == nil {
		t.Error("a closed store tells its usage")
	}
}
