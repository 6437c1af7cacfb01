package main

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

const (
	callers        = 4  // clients that send at once
	answersBetween = 80 // the most that is acknowledged between two kills, and a little more
)

// newCallers makes clients with ledgers of their own.
func newCallers(t *testing.T) []*caller {
	t.Helper()
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	picture := smallPicture(t)
	list := make([]*caller, callers)
	for i := range list {
		list[i] = newCaller(seed+uint64(i), picture)
	}
	return list
}

// smallPicture is a JPEG of 160 by 120.
func smallPicture(t *testing.T) []byte {
	t.Helper()
	picture := image.NewRGBA(image.Rect(0, 0, 160, 120))
	for i := range 160 * 120 {
		picture.Set(i%160, i/160, color.RGBA{uint8(i), uint8(i / 160), 90, 255})
	}
	var body bytes.Buffer
	if err := jpeg.Encode(&body, picture, nil); err != nil {
		t.Fatal(err)
	}
	return body.Bytes()
}

// drive lets all clients work at a server until do returns, which stops it in one way or another. It fails the test when the server answered what it must not, or
// ended by itself before.
func drive(t *testing.T, p *process, list []*caller, do func()) {
	t.Helper()
	stop := make(chan struct{})
	var working sync.WaitGroup
	for _, c := range list {
		c.address = p.address
		c.cut.Store(false)
		working.Go(func() {
			if err := c.work(stop); err != nil {
				t.Error(err)
			}
		})
	}
	do()
	close(stop)
	working.Wait()
	for _, c := range list {
		c.http.CloseIdleConnections()
	}
	if t.Failed() {
		t.Fatal(p.said(t))
	}
}

// settleAll holds what a server has against what was acknowledged to each client.
func settleAll(t *testing.T, p *process, list []*caller, past bool) {
	t.Helper()
	for _, c := range list {
		c.address = p.address
		if err := c.settleAll(past); err != nil {
			t.Error(err)
		}
	}
	if t.Failed() {
		t.Fatal(p.said(t))
	}
}

// acknowledged counts the answers of all clients.
func acknowledged(list []*caller) int {
	n := int64(0)
	for _, c := range list {
		n += c.answers.Load()
	}
	return int(n)
}

// awaitAny waits until a random number of answers more have come, up to most, then a random moment. A program that ends meanwhile fails the test.
func awaitAny(t *testing.T, p *process, list []*caller, most int) {
	t.Helper()
	awaitMore(t, p, acknowledged, list, 1+rand.IntN(most))
	time.Sleep(time.Duration(rand.IntN(20_000)) * time.Microsecond)
}

// awaitMore waits until so many more are counted of what clients got.
func awaitMore(t *testing.T, p *process, count func([]*caller) int, list []*caller, more int) {
	t.Helper()
	enough, patience := count(list)+more, time.After(5*time.Minute)
	for count(list) < enough && !t.Failed() {
		select {
		case <-p.ended:
			t.Error("the program ended by itself: ", p.err)
		case <-patience:
			t.Error("nothing is answered any more")
		case <-time.After(time.Millisecond):
		}
	}
}

// TestKilled kills the real program by SIGKILL at random moments, while it starts too, and each time wants all that it had acknowledged from the next one.
func TestKilled(t *testing.T) {
	dir, list := filepath.Join(t.TempDir(), "data"), newCallers(t)
	kills, logs := rounds(), 0
	for i := range kills {
		if i > 0 && rand.IntN(8) == 0 {
			killStarting(t, dir)
		}
		p := start(t, dir)
		wantNoTemporaries(t, dir)
		settleAll(t, p, list, false)
		drive(t, p, list, func() {
			awaitAny(t, p, list, answersBetween)
			p.kill()
		})
		if info, err := os.Stat(filepath.Join(dir, "undercroft.db-wal")); err == nil && info.Size() > 0 {
			logs++
		}
	}
	checkStopped(t, start(t, dir), dir, list)
	t.Logf("%d kills, %d acknowledgements, all found; %d times a log was left to recover from", kills, acknowledged(list), logs)
	if logs < kills/2 {
		t.Error("too few logs: this proves little of recovering")
	}
}

// killStarting kills the program while it starts.
func killStarting(t *testing.T, dir string) {
	t.Helper()
	p := launch(t, dir)
	time.Sleep(time.Duration(rand.IntN(120)) * time.Millisecond)
	p.kill()
}

// checkStopped holds all surveys against what was acknowledged, stops the program cleanly, looks at what lies in the folder then, and has the program check and tidy it: what no row
// names is what a crash left between a photo and its row, and must go without anything else going.
func checkStopped(t *testing.T, p *process, dir string, list []*caller) {
	t.Helper()
	settleAll(t, p, list, true)
	p.stop(t)
	wantCleanFolder(t, dir)
	makeOld(t, dir)
	status, said := runBinary(t, "check", "-delete-orphans", "-data", dir)
	if _, removed, found := strings.Cut(said, "removed "); status != exitOK || !found {
		t.Errorf("check -delete-orphans: status %d\n%s", status, said)
	} else {
		t.Logf("check removed %s", strings.TrimSpace(removed))
	}
	status, said = runBinary(t, "check", "-data", dir)
	if status != exitOK || !strings.Contains(said, "Everything is as it should be") || strings.Contains(said, "nothing names") {
		t.Errorf("check: status %d\n%s", status, said)
	}
	p = start(t, dir)
	settleAll(t, p, list, true)
	p.stop(t)
}

// makeOld makes every stored file two days old, so that those that nothing names may be removed.
func makeOld(t *testing.T, dir string) {
	t.Helper()
	old := time.Now().Add(-48 * time.Hour)
	for _, path := range storedFiles(t, dir) {
		if err := os.Chtimes(path, old, old); err != nil {
			t.Fatal(err)
		}
	}
}

// storedFiles lists the paths of the stored files.
func storedFiles(t *testing.T, dir string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(dir, "blobs", "*", "*"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no stored files: %v", err)
	}
	return paths
}

func wantNoTemporaries(t *testing.T, dir string) {
	t.Helper()
	left, err := filepath.Glob(filepath.Join(dir, "temp", "*"))
	if err != nil || len(left) > 0 {
		t.Errorf("temporary files are left: %q, %v", left, err)
	}
}

// wantCleanFolder looks at a folder that nobody serves after a clean stop: no log, nothing temporary, and every stored file has the bytes that its name says.
func wantCleanFolder(t *testing.T, dir string) {
	t.Helper()
	wantNoTemporaries(t, dir)
	for _, suffix := range []string{"-wal", "-shm", "-journal"} {
		if _, err := os.Stat(filepath.Join(dir, "undercroft.db"+suffix)); !os.IsNotExist(err) {
			t.Errorf("after a clean stop undercroft.db%s is there: %v", suffix, err)
		}
	}
	for _, path := range storedFiles(t, dir) {
		body, err := os.ReadFile(path)
		if err != nil || sumOf(body) != filepath.Base(path) {
			t.Errorf("the stored file %s has the sum %s, %v", path, sumOf(body), err)
		}
	}
}
