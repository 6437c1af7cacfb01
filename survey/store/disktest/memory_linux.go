package disktest

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sys/unix"
)

// Memory mounts a file system in memory with these options, "size=24m", for as long as the test runs, and gives its folder. The test is given up where that is not allowed.
func Memory(t *testing.T, options string) string {
	t.Helper()
	needRoot(t)
	dir := t.TempDir()
	if err := unix.Mount("tmpfs", dir, "tmpfs", 0, options); errors.Is(err, unix.EPERM) {
		Unable(t, "mounting is not allowed here")
	} else if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(dir, 0); err != nil {
			t.Error("unmount:", err)
		}
	})
	return dir
}

// Fill writes a file into the folder until nothing more fits on its disk, and gives its path: removing it or cutting it short makes room.
func Fill(t *testing.T, dir string) string {
	t.Helper()
	path := filepath.Join(dir, "ballast")
	f, err := os.Create(path) // #nosec G304 -- in a test's own folder
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := io.Copy(f, endless{}); !errors.Is(err, unix.ENOSPC) {
		t.Fatal("the disk does not fill:", err)
	}
	return path
}

// endless reads as zeros without an end.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}
