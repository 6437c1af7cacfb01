package store

import (
	"bufio"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"undercroft/survey/store/disktest"
)

// cutsEnv is the number of power cuts to make; without it there are only a few. A missing sync of the database, of a file or of a folder
// showed within 40.
const cutsEnv = "STORE_TEST_CUTS"

// TestPowerCut cuts the disk off from a writing process at random moments, lets the file system recover and looks for everything that was acknowledged
// before the cut. Unlike a kill this sees a sync that is missing.
func TestPowerCut(t *testing.T) {
	d := disktest.NewImage(t, "")
	cuts := 3
	if n, err := strconv.Atoi(os.Getenv(cutsEnv)); err == nil {
		cuts = n
	}
	acknowledged := 0
	for i := range cuts {
		lines := cutOne(t, d)
		acknowledged += len(lines)
		d.Remount(t, "")
		s := openAt(t, filepath.Join(d.Dir, "data"))
		checkAcknowledged(t, s, lines)
		checkWhole(t, s)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if t.Failed() {
			t.Fatalf("after cut %d", i)
		}
	}
	t.Logf("%d cuts, %d acknowledgements, all found", cuts, acknowledged)
	if acknowledged < 20*cuts {
		t.Errorf("only %d acknowledgements: this proves little", acknowledged)
	}
}

// cutOne lets the writing child run, cuts the disk and gives the lines that had come before.
func cutOne(t *testing.T, d disktest.Image) []string {
	t.Helper()
	cmd := exec.Command(must(os.Executable())(t), filepath.Join(d.Dir, "data"))
	cmd.Env = append(os.Environ(), childEnv+"=write")
	out := must(cmd.StdoutPipe())(t)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var lines []string
	first, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for scan := bufio.NewScanner(out); scan.Scan(); {
			mu.Lock()
			if lines = append(lines, scan.Text()); len(lines) == 1 {
				close(first)
			}
			mu.Unlock()
		}
	}()
	select {
	case <-first:
	case <-ended:
		t.Fatal("the child said nothing")
	}
	time.Sleep(time.Duration(60+rand.IntN(300)) * time.Millisecond)
	mu.Lock()
	before := lines[:len(lines):len(lines)]
	mu.Unlock()
	d.Cut(t)
	cmd.Process.Kill()
	<-ended
	cmd.Wait()
	for _, line := range before {
		if strings.HasPrefix(line, "error") {
			t.Fatal(line)
		}
	}
	return before
}
