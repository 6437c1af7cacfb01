package disktest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// imageBytes is the size of a made disk; its file is sparse.
const imageBytes = 512 << 20

// Image is a file with an ext4 file system that is mounted at Dir for as long as its test runs.
type Image struct {
	Dir  string
	file string
}

// NewImage makes and mounts a disk with these mount options besides "loop", or gives the test up where that is not allowed.
func NewImage(t *testing.T, options string) Image {
	t.Helper()
	needRoot(t)
	d := Image{Dir: t.TempDir(), file: filepath.Join(t.TempDir(), "disk")}
	if err := os.WriteFile(d.file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(d.file, imageBytes); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("mkfs.ext4", "-q", d.file).CombinedOutput(); err != nil { // #nosec G204 -- a test's own folder, without a shell
		Unable(t, "no ext4 can be made here:", err, string(out))
	}
	if out, err := d.mount(options); err != nil {
		Unable(t, "mounting is not allowed here:", err, string(out))
	}
	t.Cleanup(func() { d.Unmount(t) })
	return d
}

// Cut takes the disk away at once: nothing that was not synced reaches it any more, neither data nor journal (EXT4_IOC_SHUTDOWN with
// EXT4_GOING_FLAGS_NOLOGFLUSH, fs/ext4/ext4.h of the Linux kernel). Whatever uses it has to end before Remount.
func (d Image) Cut(t *testing.T) {
	t.Helper()
	const shutdown, noLogFlush = 0x8004587d, 2
	f, err := os.Open(d.Dir)
	if err != nil {
		t.Fatal("cut:", err)
	}
	defer f.Close()
	if err := unix.IoctlSetPointerInt(int(f.Fd()), shutdown, noLogFlush); err != nil {
		t.Fatal("cut:", err)
	}
}

// Break reports an error to the file system, which then turns read-only at once, under everybody's feet, as it does when a disk gives it nonsense. It needs the mount option
// "errors=remount-ro" (Linux, Documentation/admin-guide/ext4.rst and Documentation/ABI/testing/sysfs-fs-ext4, trigger_fs_error).
func (d Image) Break(t *testing.T) {
	t.Helper()
	info, err := os.Stat(d.Dir)
	if err != nil {
		t.Fatal("break:", err)
	}
	dev := info.Sys().(*syscall.Stat_t).Dev
	device, err := os.Readlink(fmt.Sprintf("/sys/dev/block/%d:%d", unix.Major(dev), unix.Minor(dev)))
	if err != nil {
		Unable(t, "no such device is listed here:", err)
	}
	trigger := filepath.Join("/sys/fs/ext4", filepath.Base(device), "trigger_fs_error")
	if err := os.WriteFile(trigger, []byte("for a test"), 0); err != nil {
		Unable(t, "an error cannot be reported here:", err)
	}
}

// Remount takes the disk off and mounts it again with these options besides "loop", so that the file system recovers as after a power cut.
func (d Image) Remount(t *testing.T, options string) {
	t.Helper()
	d.Unmount(t)
	if out, err := d.mount(options); err != nil {
		t.Fatalf("mount again: %v %s", err, out)
	}
}

// Unmount takes the disk off. The children of a program that was killed may use it for a moment longer; it waits for them up to a minute.
func (d Image) Unmount(t *testing.T) {
	t.Helper()
	for tries := 0; ; tries++ {
		out, err := exec.Command("umount", d.Dir).CombinedOutput() // #nosec G204 -- a test's own folder, without a shell
		if err == nil {
			return
		}
		if tries == 600 || !strings.Contains(string(out), "busy") {
			t.Fatalf("unmount: %v %s", err, out)
		}
		time.Sleep(100 * time.Millisecond)
	}
}

func (d Image) mount(options string) ([]byte, error) {
	if options != "" {
		options = "," + options
	}
	return exec.Command("mount", "-o", "loop"+options, d.file, d.Dir).CombinedOutput() // #nosec G204 -- a test's own folder, without a shell
}

func needRoot(t *testing.T) {
	t.Helper()
	if os.Getuid() != 0 {
		Unable(t, "only root can mount a disk to spoil")
	}
}
