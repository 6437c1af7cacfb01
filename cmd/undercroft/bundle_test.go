package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/survey/store"
)

// TestExportVerifyImport takes the demo's survey to another folder by the commands.
func TestExportVerifyImport(t *testing.T) {
	from, to, file := demoFolder(t), filepath.Join(t.TempDir(), "there"), filepath.Join(t.TempDir(), "house.zip")
	steps := []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"export", "-data", from, "no such house", "-o", file}, exitFailed, ""},
		{[]string{"export", "-data", from, "", "-o", "house.txt"}, exitUsage, "FILE.zip"},
		{[]string{"export", "-data", from, "Larkmoor", "-o", file}, exitOK, "for the office"},
		{[]string{"export", "-data", from, "Larkmoor", "-o", file}, exitFailed, "exists"},
		{[]string{"verify", file}, exitOK, "is whole"},
		{[]string{"import", "-data", to, file}, exitOK, "8 photos"},
		{[]string{"import", "-data", to, file}, exitOK, "8 photos"},
		{[]string{"verify"}, exitUsage, "one bundle"},
		{[]string{"verify", filepath.Join(from, "undercroft.db")}, exitFailed, "no zip file"},
	}
	for _, s := range steps {
		status, out := commandOutput(t, s.args...)
		if status != s.status || !strings.Contains(out, s.says) {
			t.Errorf("%s: got status %d and %q, want %d and %q", strings.Join(s.args, " "), status, out, s.status, s.says)
		}
	}
	packed, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	packed[len(packed)/2] ^= 1
	if err := os.WriteFile(file, packed, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, command := range []string{"verify", "import"} {
		args := []string{command, file}
		if command == "import" {
			args = append(args, "-data", filepath.Join(t.TempDir(), "other"))
		}
		if status, out := commandOutput(t, args...); status != exitFailed || !strings.Contains(out, "refused") {
			t.Errorf("%s of a damaged bundle: got status %d and %q", command, status, out)
		}
	}
}

// commandOutput runs a command and joins what it prints.
func commandOutput(t *testing.T, args ...string) (status int, out string) {
	t.Helper()
	status, stdout, stderr := command(t, "", args...)
	return status, stdout + stderr
}

// demoFolder is a data folder that holds the demo's survey.
func demoFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	reader, err := photoReader()
	if err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	_, err = fillDemo(t.Context(), s, reader, environment{stdout: io.Discard})
	if err := errors.Join(err, s.Close()); err != nil {
		t.Fatal(err)
	}
	return dir
}
