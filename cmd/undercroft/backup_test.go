package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/store"
)

// TestBackupCheckRestore takes the demo's survey through the commands: each says what it did, and what it refuses.
func TestBackupCheckRestore(t *testing.T) {
	from := demoFolder(t)
	home := t.TempDir()
	target, to := filepath.Join(home, "backups"), filepath.Join(home, "new")
	for _, s := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"check", "-data", filepath.Join(home, "none")}, exitFailed, "no data folder"},
		{[]string{"check", "-data", from, "more"}, exitUsage, "no argument"},
		{[]string{"check", "-data", from}, exitOK, "Everything is as it should be"},
		{[]string{"backup", "-data", from}, exitUsage, "TARGET"},
		{[]string{"backup", "-data", from, "-keep", "0", target}, exitUsage, "at least 1"},
		{[]string{"backup", "-data", from, filepath.Join(from, "backups")}, exitFailed, "apart from the data folder"},
		{[]string{"backup", "-data", from, filepath.Dir(from)}, exitFailed, "apart from the data folder"},
		{[]string{"restore", target, "-list"}, exitFailed, "no backups of Undercroft"},
		{[]string{"backup", "-data", from, target}, exitOK, "1 survey, 8 photos"},
		{[]string{"backup", "-data", from, target}, exitOK, "copied just now: 0 files"},
		{[]string{"restore", target, "-list"}, exitOK, "Larkmoor house"},
		{[]string{"restore", target}, exitUsage, "-data NEWDIR or -list"},
		{[]string{"restore", target, "-data", from}, exitFailed, "not empty"},
		{[]string{"restore", target, "-data", to, "-at", "yesterday"}, exitFailed, "no backup \"yesterday\""},
		{[]string{"restore", target, "-data", to}, exitOK, "newest change"},
		{[]string{"check", "-data", to}, exitOK, "Everything is as it should be"},
		{[]string{"restore", target, "-data", to}, exitFailed, "not empty"},
	} {
		status, out := commandOutput(t, s.args...)
		if status != s.status || !strings.Contains(out, s.says) {
			t.Errorf("%s: got status %d and %q, want %d and %q", strings.Join(s.args, " "), status, out, s.status, s.says)
		}
	}
	damageAndMend(t, from, target)
}

// TestRestoreTellsOfDeleted: restore says how many deleted surveys the backup brings, and until when they can be brought back: 30 days from now.
func TestRestoreTellsOfDeleted(t *testing.T) {
	from, home := t.TempDir(), t.TempDir()
	s, err := store.Open(t.Context(), store.Config{Dir: from, Now: func() time.Time { return time.Now().AddDate(0, -2, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	v, err := s.CreateSurvey(t.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Orchard row 5"})
	if err == nil {
		_, err = s.File(t.Context(), v.ID, survey.Deleted)
	}
	if err := errors.Join(err, s.Close()); err != nil {
		t.Fatal(err)
	}
	target := filepath.Join(home, "backups")
	if status, out := commandOutput(t, "backup", "-data", from, target); status != exitOK {
		t.Fatalf("backup: status %d, %q", status, out)
	}
	before := time.Now()
	status, out := commandOutput(t, "restore", target, "-data", filepath.Join(home, "new"))
	days := map[bool]bool{}
	for _, at := range []time.Time{before, time.Now()} { // midnight may come between
		days[strings.Contains(out, "1 deleted survey in it can be brought back until "+at.Add(30*24*time.Hour).Format("2006-01-02"))] = true
	}
	if status != exitOK || !days[true] {
		t.Errorf("restore: status %d, %q", status, out)
	}
}

// damageAndMend loses a photo of the folder and follows what check says until it is content again, then clears up an orphan.
func damageAndMend(t *testing.T, from, target string) {
	t.Helper()
	lost := oneFile(t, filepath.Join(from, "blobs", "*", "*"))
	name := strings.TrimPrefix(lost, from)
	if err := os.Remove(lost); err != nil {
		t.Fatal(err)
	}
	status, out := commandOutput(t, "check", "-data", from)
	if status != exitFailed || !strings.Contains(out, "is missing") || !strings.Contains(out, "Copy the file from a backup") {
		t.Errorf("check of a folder that lost a photo: status %d, %q", status, out)
	}
	if status, out := commandOutput(t, "backup", "-data", from, target); status != exitFailed || !strings.Contains(out, "the backup has it") {
		t.Errorf("backup of a folder that lost a photo: status %d, %q", status, out)
	}
	kept, err := os.ReadFile(filepath.Join(target, name))
	if err != nil {
		t.Fatal("the backup has it no more:", err)
	}
	if err := os.WriteFile(lost, kept, 0o400); err != nil {
		t.Fatal(err)
	}
	orphan := filepath.Join(from, "blobs", "e3", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855") // of nothing, FIPS 180-4
	if err := os.WriteFile(orphan, nil, 0o400); err != nil {
		t.Fatal(err)
	}
	if status, out := commandOutput(t, "check", "-data", from, "-delete-orphans"); status != exitOK || !strings.Contains(out, "removed 0 files") {
		t.Errorf("a young orphan: status %d, %q", status, out)
	}
	old := time.Now().Add(-25 * time.Hour)
	if err := os.Chtimes(orphan, old, old); err != nil {
		t.Fatal(err)
	}
	if status, out := commandOutput(t, "check", "-data", from); status != exitOK || !strings.Contains(out, "nothing names blobs/e3/") {
		t.Errorf("an old orphan: status %d, %q", status, out)
	}
	if status, out := commandOutput(t, "check", "-data", from, "-delete-orphans"); status != exitOK || !strings.Contains(out, "removed 1 file ") {
		t.Errorf("removing it: status %d, %q", status, out)
	}
	if _, err := os.Stat(orphan); !os.IsNotExist(err) {
		t.Errorf("it is still there: %v", err)
	}
	if status, out := commandOutput(t, "check", "-data", from); status != exitOK || strings.Contains(out, "nothing names") {
		t.Errorf("at the end: status %d, %q", status, out)
	}
}

func oneFile(t *testing.T, pattern string) string {
	t.Helper()
	all, err := filepath.Glob(pattern)
	if err != nil || len(all) == 0 {
		t.Fatalf("no file %s (%v)", pattern, err)
	}
	return all[0]
}
