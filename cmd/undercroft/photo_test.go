package main

import (
	"bytes"
	"encoding/json"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// photoFiles writes a JPEG of 2000 x 1000 pixels and a text, and returns their paths.
func photoFiles(t *testing.T) (photo, text string) {
	t.Helper()
	dir := t.TempDir()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 2000, 1000)), nil); err != nil {
		t.Fatal(err)
	}
	photo, text = filepath.Join(dir, "a photo.jpg"), filepath.Join(dir, "notes.jpg")
	for path, data := range map[string][]byte{photo: b.Bytes(), text: []byte("not a photo\n")} {
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return photo, text
}

func TestPhotoCommand(t *testing.T) {
	photo, text := photoFiles(t)
	for name, c := range map[string]struct {
		args   []string
		status int
		stdout string
		stderr string
	}{
		"table":          {[]string{photo}, 0, "2000 x 1000 pixels, upright", ""},
		"not a photo":    {[]string{photo, text}, 1, "PROBLEM", ""},
		"missing file":   {[]string{photo + "x"}, 1, "", "no such file"},
		"missing, json":  {[]string{"--json", photo + "x"}, 1, `"error":"open photo`, ""},
		"help":           {[]string{"--help"}, 0, "Usage: undercroft photo", ""},
		"no file":        {nil, 2, "", "no FILE given"},
		"unknown flag":   {[]string{"--what", photo}, 2, "", "not defined: -what"},
		"no time":        {[]string{"--timeout", "0s", photo}, 2, "", "more than 0"},
		"worker, no out": {[]string{"--worker", photo}, 2, "", "-out FOLDER"},
	} {
		var stdout, stderr bytes.Buffer
		status := runPhoto(c.args, &stdout, &stderr)
		if status != c.status || !strings.Contains(stdout.String(), c.stdout) || !strings.Contains(stderr.String(), c.stderr) {
			t.Errorf("%s: status %d\nstdout: %s\nstderr: %s", name, status, &stdout, &stderr)
		}
		if c.stderr == "" && stderr.Len() > 0 || c.stdout == "" && stdout.Len() > 0 {
			t.Errorf("%s: more printed than expected\nstdout: %s\nstderr: %s", name, &stdout, &stderr)
		}
	}
}

// With --json there is one object a line, and with --out the pictures are written: of several files into numbered folders.
func TestPhotoCommandWritesPictures(t *testing.T) {
	photo, text := photoFiles(t)
	out := filepath.Join(t.TempDir(), "new", "folder")
	var stdout, stderr bytes.Buffer
	if status := runPhoto([]string{"--json", "--out", out, photo, text}, &stdout, &stderr); status != 1 {
		t.Fatalf("status %d: %s", status, &stderr)
	}
	lines := strings.Split(strings.TrimSpace(stdout.String()), "\n")
	if len(lines) != 2 {
		t.Fatalf("%d lines: %s", len(lines), &stdout)
	}
	var got photoLine
	if err := json.Unmarshal([]byte(lines[0]), &got); err != nil {
		t.Fatal(err)
	}
	if got.File != photo || got.Meta.Width != 2000 || got.Screen != filepath.Join(out, "1", "screen.jpg") {
		t.Errorf("got %+v", got)
	}
	for _, path := range []string{got.Screen, got.Thumb} {
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
	}
	if files, err := os.ReadDir(filepath.Join(out, "2")); err != nil || len(files) != 0 {
		t.Errorf("the text left %d files: %v", len(files), err)
	}
}
