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

	"golang.org/x/sys/unix"
)

// cutsEnv is the number of power cuts to make; without it there are only a few. A missing sync of the database, of a file or of a folder
// showed within 40.
const cutsEnv = "STORE_TEST_CUTS"

// diskImage is a file with an ext4 file system and where it is mounted.
type diskImage struct{ image, dir string }

func newDiskImage(t *testing.T) diskImage {
	t.Helper()
	if os.Getuid() != 0 {
		t.Skip("only root can mount a disk to cut off")
	}
	d := diskImage{filepath.Join(t.TempDir(), "disk"), t.TempDir()}
	if err := os.WriteFile(d.image, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(d.image, 512<<20); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("mkfs.ext4", "-q", d.image).CombinedOutput(); err != nil {
		t.Skipf("no ext4 can be made here: %v %s", err, out)
	}
	if out, err := exec.Command("mount", "-o", "loop", d.image, d.dir).CombinedOutput(); err != nil {
		t.Skipf("mounting is not allowed here: %v %s", err, out)
	}
	t.Cleanup(func() { d.run(t, "umount", d.dir) })
	return d
}

func (d diskImage) run(t *testing.T, command ...string) {
	t.Helper()
	if out, err := exec.Command(command[0], command[1:]...).CombinedOutput(); err != nil {
		t.Errorf("%q: %v %s", command, err, out)
	}
}

// cut takes the disk away at once: nothing that was not synced reaches it any more, neither data nor journal (EXT4_IOC_SHUTDOWN with
// EXT4_GOING_FLAGS_NOLOGFLUSH, fs/ext4/ext4.h of the Linux kernel).
func (d diskImage) cut(t *testing.T) {
	t.Helper()
	const shutdown, noLogFlush = 0x8004587d, 2
	f := must(os.Open(d.dir))(t)
	defer f.Close()
	if err := unix.IoctlSetPointerInt(int(f.Fd()), shutdown, noLogFlush); err != nil {
		t.Fatal("cut:", err)
	}
}

// TestPowerCut cuts the disk off from a writing process at random moments, lets the file system recover and looks for everything that was acknowledged
// before the cut. Unlike a kill this sees a sync that is missing.
func TestPowerCut(t *testing.T) {
	d := newDiskImage(t)
	cuts := 3
	if n, err := strconv.Atoi(os.Getenv(cutsEnv)); err == nil {
		cuts = n
	}
	acknowledged := 0
	for i := range cuts {
		lines := cutOne(t, d)
		acknowledged += len(lines)
		d.run(t, "umount", d.dir)
		d.run(t, "mount", "-o", "loop", d.image, d.dir)
		s := openAt(t, filepath.Join(d.dir, "data"))
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
func cutOne(t *testing.T, d diskImage) []string {
	t.Helper()
	cmd := exec.Command(must(os.Executable())(t), filepath.Join(d.dir, "data"))
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
	d.cut(t)
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
