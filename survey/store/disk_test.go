package store

import (
	"bytes"
	"io"
	"os"
	"strings"
	"testing"

	"undercroft/survey"
	"undercroft/survey/store/disktest"
)

// wantNoSpace wants the error of a full disk, with nothing of the server in its message.
func wantNoSpace(t *testing.T, err error, dir string) {
	t.Helper()
	if e := wantKind(t, err, survey.NoSpace); strings.Contains(e.Message, dir) || e.Cause == nil {
		t.Errorf("message %q, cause %v", e.Message, e.Cause)
	}
}

func TestDiskFull(t *testing.T) {
	dir := disktest.Memory(t, "size=24m")
	s := openAt(t, dir)
	photo := addTestPhoto(t, s, addSurvey(t, s).ID, 1)
	pin := addTestPin(t, s, photo)

	_, err := s.ReceiveBlob(t.Context(), io.LimitReader(&zeros{}, 30<<20), survey.MaxPhotoBytes)
	wantNoSpace(t, err, dir)
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("left: %q", left)
	}

	ballast := disktest.Fill(t, dir)
	if _, err := s.ReceiveBlob(t.Context(), bytes.NewReader(content(9, 10_000)), survey.MaxPhotoBytes); err == nil {
		t.Error("a blob was taken by a full disk")
	} else {
		wantNoSpace(t, err, dir)
	}
	if err := os.Truncate(ballast, must(os.Stat(ballast))(t).Size()-512<<10); err != nil { // the database's turn to fill it
		t.Fatal(err)
	}
	last := changeUntilFull(t, s, pin, dir)
	if got, _ := must(s.Record(t.Context(), photo.Survey))(t).Pin(pin.ID); !samePin(got, last) || got.Version != last.Version {
		t.Errorf("when full: the pin reads %+v, want %+v", got, last)
	}

	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	last.Note = "after"
	if last = must(s.PutPin(t.Context(), last))(t); last.Note != "after" {
		t.Errorf("got %+v", last)
	}
	putBlob(t, s, content(9, 10_000))
	checkDatabase(t, s)
	select {
	case <-s.Failed():
		t.Error("a full disk counts as a failed one")
	default:
	}
}

// changeUntilFull changes a pin until there is no room and gives the last one that was acknowledged.
func changeUntilFull(t *testing.T, s *Store, pin survey.Pin, dir string) survey.Pin {
	t.Helper()
	for i := range 10_000 {
		next := pin
		next.Note = strings.Repeat("x", 2000) + string(rune('a'+i%26))
		saved, err := s.PutPin(t.Context(), next)
		if err != nil {
			wantNoSpace(t, err, dir)
			if i < 5 {
				t.Errorf("only %d changes fitted: the log was not cut off in its middle", i)
			}
			return pin
		}
		pin = saved
	}
	t.Fatal("the disk does not fill")
	return pin
}
