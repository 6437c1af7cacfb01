package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
)

// TestRestoredFolderWaits: in a folder made of a backup, a survey that was deleted long before can be taken back for 30 days from the restore on.
func TestRestoredFolderWaits(t *testing.T) {
	dir, now := t.TempDir(), time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)
	open := func() *Store {
		return must(Open(t.Context(), Config{Dir: dir, Now: func() time.Time { return now }}))(t)
	}
	s := open()
	v := addSurvey(t, s)
	must(s.File(t.Context(), v.ID, survey.Deleted))(t)
	if !s.Restored().IsZero() {
		t.Errorf("a new folder was restored %v", s.Restored())
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	restored := now.AddDate(1, 0, 0)
	root := must(os.OpenRoot(dir))(t)
	defer root.Close()
	if err := NoteRestored(root, restored); err != nil {
		t.Fatal(err)
	}
	now = restored.AddDate(0, 0, 30).Add(-time.Millisecond)
	s = open()
	defer func() { s.Close() }()
	if n, until, err := s.DeletedUntil(t.Context()); n != 1 || !until.Equal(restored.AddDate(0, 0, 30)) || err != nil {
		t.Errorf("%d deleted until %v, %v", n, until, err)
	}
	e := survey.Erasure{Survey: v.ID, Reason: survey.ErasedDeleted}
	wantKind(t, errorOf(s.Erase(t.Context(), e)), survey.Conflict)
	now = restored.AddDate(0, 0, 30)
	must(s.Erase(t.Context(), e))(t)
	if n, until, err := s.DeletedUntil(t.Context()); n != 0 || !until.IsZero() || err != nil {
		t.Errorf("%d deleted until %v, %v", n, until, err)
	}
}

// TestRestoredNoteIsReadOrRefused: a note that says no time keeps the folder shut, with one line that says which file.
func TestRestoredNoteIsReadOrRefused(t *testing.T) {
	for _, text := range []string{"", "yesterday", "2026-05-31", strings.Repeat("x", 5000)} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, restoredName), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Open(t.Context(), Config{Dir: dir, Now: time.Now})
		if err == nil {
			s.Close()
		}
		if err == nil || !strings.Contains(err.Error(), "the file restored must say when") || strings.Contains(err.Error(), "\n") || len(err.Error()) > 500 {
			t.Errorf("%.20q: got %v", text, err)
		}
	}
}
