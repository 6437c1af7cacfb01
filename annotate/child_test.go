package annotate

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

func TestChildReadsPhoto(t *testing.T) {
	out := t.TempDir()
	path := writeTemp(t, "-odd name.jpg", withJPEGExif(encodeJPEG(t, noise(2000, 1000, 10)), exifTIFF(binary.BigEndian, 6)))
	res, err := testChild(t, "work").Read(t.Context(), path, out)
	if err != nil {
		t.Fatal(err)
	}
	m := res.Meta
	if m.Problem != "" || m.Width != 1000 || m.Height != 2000 || m.Make != "Canary" || m.Quality == nil {
		t.Errorf("read %+v", m)
	}
	if res.Screen != filepath.Join(out, "screen.jpg") || res.Thumb != filepath.Join(out, "thumb.jpg") {
		t.Errorf("paths %q, %q", res.Screen, res.Thumb)
	}
	checkClean(t, res.Screen, res.Thumb)
}

// What a child can do wrong becomes a sentence, in good time, and what it had read before is kept.
func TestChildGoesWrong(t *testing.T) {
	for _, c := range []struct {
		mode, problem, maker string
	}{
		{"early-panic", "reading it stopped unexpectedly", "Early"},
		{"done-panic", "reading it stopped unexpectedly", "Early"}, // its pictures are not trusted
		{"hang", "it took longer than 2s", ""},
		{"eat", "it needs too much memory", ""},
		{"flood", "it took longer than 2s", ""},
	} {
		if c.mode == "eat" && raceBuild {
			continue
		}
		child := testChild(t, c.mode)
		child.Timeout = 2 * time.Second
		if c.mode == "eat" {
			child.Timeout = 20 * time.Second
		}
		out, start := t.TempDir(), time.Now()
		if err := os.WriteFile(filepath.Join(out, screenName), []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
		res, err := child.Read(t.Context(), hostile("ok_reference_le.jpg"), out)
		if err != nil {
			t.Errorf("%s: error %v", c.mode, err)
		}
		if want := "This picture could not be opened safely: " + c.problem; !strings.HasPrefix(res.Meta.Problem, want) {
			t.Errorf("%s: problem %q", c.mode, res.Meta.Problem)
		}
		if res.Meta.Make != c.maker || res.Screen != "" || res.Thumb != "" || res.Meta.Orientation < 1 {
			t.Errorf("%s: %+v", c.mode, res)
		}
		if _, err := os.Stat(filepath.Join(out, screenName)); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s: half a derivative is left: %v", c.mode, err)
		}
		if took := time.Since(start); took > child.Timeout+5*time.Second {
			t.Errorf("%s: took %s", c.mode, took)
		}
	}
}

// A child that works for too long is ended by its processor time, long before its time as such is over; one that has to wait, as on a busy machine, is not.
func TestChildWorksTooLong(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("processor time is limited on Linux only")
	}
	child := testChild(t, "spin")
	child.Timeout, child.Work = 10*time.Minute, time.Second
	res, state, err := child.run(t.Context(), hostile("ok_reference_le.jpg"), t.TempDir())
	if want := "This picture could not be opened safely: it took longer than 1s"; err != nil || !strings.HasPrefix(res.Meta.Problem, want) {
		t.Errorf("got %q, %v", res.Meta.Problem, err)
	}
	if worked := state.UserTime() + state.SystemTime(); worked > 5*time.Second {
		t.Errorf("it worked for %s", worked)
	}
	waiting := testChild(t, "work")
	waiting.Timeout, waiting.Work = 10*time.Minute, 20*time.Second
	if res, err := waiting.Read(t.Context(), hostile("ok_reference_le.jpg"), t.TempDir()); err != nil || res.Meta.Problem != "" {
		t.Errorf("a good photo: %q, %v", res.Meta.Problem, err)
	}
}

func TestChildCancelled(t *testing.T) {
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	start := time.Now()
	_, state, err := testChild(t, "hang").run(ctx, hostile("ok_reference_le.jpg"), t.TempDir())
	if !errors.Is(err, context.DeadlineExceeded) || time.Since(start) > 5*time.Second {
		t.Errorf("after %s: %v", time.Since(start), err)
	}
	if state == nil || state.Success() {
		t.Errorf("the child was not killed: %v", state)
	}
}

func TestChildErrors(t *testing.T) {
	good := hostile("ok_reference_le.jpg")
	if _, err := (Child{Exe: filepath.Join(t.TempDir(), "missing")}).Read(t.Context(), good, t.TempDir()); err == nil {
		t.Error("no error for a program that is not there")
	}
	child := testChild(t, "work")
	if _, err := child.Read(t.Context(), filepath.Join(t.TempDir(), "missing.jpg"), t.TempDir()); err == nil {
		t.Error("no error for a photo that is not there")
	}
	if _, err := child.Read(t.Context(), good, filepath.Join(t.TempDir(), "missing")); err == nil {
		t.Error("no error for a folder that is not there")
	}
}

// throughChild reads one hostile file with 5 s and 512 MB, and fails when it is neither a good reading nor a clear problem.
func throughChild(t *testing.T, child Child, path, out string) {
	t.Helper()
	start := time.Now()
	res, err := child.Read(t.Context(), path, out)
	name := filepath.Base(path)
	switch {
	case err != nil:
		t.Errorf("%s: error %v", name, err)
	case (res.Meta.Problem == "") != (res.Screen != ""):
		t.Errorf("%s: problem %q with picture %q", name, res.Meta.Problem, res.Screen)
	case strings.Contains(res.Meta.Problem, "unexpectedly"):
		t.Errorf("%s: crashed: %s", name, res.Meta.Problem)
	}
	if took := time.Since(start); took > 8*time.Second {
		t.Errorf("%s: took %s", name, took)
	}
	if res.Screen != "" {
		checkClean(t, res.Screen, res.Thumb)
	}
	if removeDerivatives(out) != nil {
		t.Errorf("%s: derivatives cannot be removed", name)
	}
}

func TestHostileFilesThroughChild(t *testing.T) {
	if raceBuild {
		t.Skip("hundreds of children of a race build take minutes")
	}
	files, err := filepath.Glob(hostile("*"))
	if err != nil || len(files) < 150 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	child, out := testChild(t, "work"), t.TempDir()
	child.Timeout, child.MemoryBytes = 5*time.Second, 512<<20
	for _, path := range files {
		throughChild(t, child, path, out)
	}
}

func TestCollectedBadFilesThroughChild(t *testing.T) {
	if raceBuild {
		t.Skip("hundreds of children of a race build take minutes")
	}
	child, out := testChild(t, "work"), t.TempDir()
	child.Timeout, child.MemoryBytes = 5*time.Second, 512<<20
	for _, pattern := range []string{"*.bin", "made/*", "collected/*", "fuzz/*"} {
		files, err := filepath.Glob(filepath.Join(photos(t, "bad"), pattern))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %d files, %v", pattern, len(files), err)
		}
		for _, path := range files {
			throughChild(t, child, path, out)
		}
	}
}

func TestWorkerUsage(t *testing.T) {
	for _, args := range [][]string{nil, {"x.jpg"}, {"-out", "d"}, {"-out", "d", "a", "b"}, {"-timeout", "-1s", "-out", "d", "a"}, {"-what"}} {
		var stdout, stderr strings.Builder
		if code := RunWorker(args, &stdout, &stderr); code != workerUsage || stdout.String() != "" || stderr.String() == "" {
			t.Errorf("%q: code %d, %q, %q", args, code, stdout.String(), stderr.String())
		}
	}
}

// A worker that notices by itself that its time is over says so by its exit code, and prints what it had read.
func TestWorkerLate(t *testing.T) {
	var stdout, stderr strings.Builder
	late, cancel := context.WithTimeout(t.Context(), 0)
	defer cancel()
	code := work(late, hostile("ok_reference_le.jpg"), t.TempDir(), &stdout, &stderr)
	if last, found := lastReport([]byte(stdout.String())); code != workerLate || !found || last.Done || last.Meta.Make != "TestMake" {
		t.Errorf("code %d, %q, %q", code, stdout.String(), stderr.String())
	}
}

func TestLastReport(t *testing.T) {
	one, two := `{"meta":{"make":"1"},"done":false}`, `{"meta":{"make":"2"},"done":true}`
	for in, want := range map[string]string{
		one + "\n" + two + "\n":      "2 true",
		one + "\n" + two:             "1 false", // cut off
		one + "\nnoise\n":            "1 false",
		"noise\n":                    " false",
		"":                           " false",
		one + "\n" + two[:20] + "\n": "1 false",
	} {
		last, _ := lastReport([]byte(in))
		if got := fmt.Sprintf("%s %v", last.Meta.Make, last.Done); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}
