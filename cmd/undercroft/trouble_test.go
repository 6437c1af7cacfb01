package main

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"undercroft/survey"
	"undercroft/survey/store/disktest"
)

// refusals counts what was refused to all clients.
func refusals(list []*caller) int {
	n := int64(0)
	for _, c := range list {
		n += c.refused.Load()
	}
	return int(n)
}

// wantRefused sends a photo and wants 507, with a message for people that names no file and no folder.
func wantRefused(t *testing.T, p *process, c *caller, dir string) {
	t.Helper()
	_, _, body, err := c.call(http.MethodPut, "/api/surveys/"+c.now.ID+"/photos/"+survey.NewID(), c.newPhoto(), nil, http.StatusInsufficientStorage)
	if err != nil {
		t.Error(err)
		return
	}
	var problem struct {
		Status int
		Detail string
	}
	if err := json.Unmarshal(body, &problem); err != nil || problem.Status != http.StatusInsufficientStorage || strings.Count(problem.Detail, ".") < 2 || strings.Contains(string(body), dir) {
		t.Errorf("refused with %s (%v)", body, err)
	}
	t.Logf("refused with: %s", problem.Detail)
}

// wantReading wants that what was acknowledged is read while nothing can be written, and that the program says that it lives.
func wantReading(t *testing.T, p *process, list []*caller) {
	t.Helper()
	settleAll(t, p, list, true)
	wantPages(t, p)
}

func wantPages(t *testing.T, p *process) {
	t.Helper()
	for _, path := range []string{"/healthz", "/surveys"} {
		if status, _ := fetch(t, p.address+path); status != http.StatusOK {
			t.Errorf("%s: status %d while nothing can be written", path, status)
		}
	}
}

// wantWorking wants that the same program, not started anew, takes changes again and refuses none.
func wantWorking(t *testing.T, p *process, list []*caller) {
	t.Helper()
	refused := refusals(list)
	drive(t, p, list, func() { awaitMore(t, p, acknowledged, list, 8*callers) })
	settleAll(t, p, list, true)
	if n := refusals(list) - refused; n > 0 {
		t.Errorf("%d requests were refused although there is space", n)
	}
}

// TestDiskFull fills the disk under the real program in the middle of its work: what does not fit is refused with 507, nothing that was acknowledged is lost, reading goes on, and
// it works again once there is space. Once as it is, when the program refuses before the disk is full, and once to the last byte, when writes fail in their middle.
func TestDiskFull(t *testing.T) {
	for name, flags := range map[string][]string{"some kept free": nil, "to the last byte": {"-keep-free", "0"}} {
		t.Run(name, func(t *testing.T) {
			dir, list := disktest.Memory(t, "size=64m"), newCallers(t)
			p := launchWith(t, flags, dir)
			if !p.serves() {
				t.Fatal(p.said(t))
			}
			wantWorking(t, p, list)
			ballast := ""
			drive(t, p, list, func() {
				ballast = disktest.Fill(t, dir)
				awaitMore(t, p, refusals, list, 8*callers)
			})
			wantRefused(t, p, list[0], dir)
			wantReading(t, p, list)
			if err := os.Remove(ballast); err != nil {
				t.Fatal(err)
			}
			wantWorking(t, p, list)
			checkStopped(t, p, dir, list)
		})
	}
}

// TestFileSizeLimit injects a write error that is real: with a limit on the size of files the system cuts a write off in its middle and answers EFBIG (setrlimit(2)), for the
// database's log as for a photo.
func TestFileSizeLimit(t *testing.T) {
	dir, list := filepath.Join(t.TempDir(), "data"), newCallers(t)
	p := start(t, dir)
	limit := func(bytes uint64) {
		if err := unix.Prlimit(p.cmd.Process.Pid, unix.RLIMIT_FSIZE, &unix.Rlimit{Cur: bytes, Max: unix.RLIM_INFINITY}, nil); err != nil {
			t.Fatal(err)
		}
	}
	wantWorking(t, p, list)
	for _, bytes := range []uint64{1_000_000, 20_000, 3} {
		drive(t, p, list, func() {
			limit(bytes)
			awaitMore(t, p, refusals, list, 4*callers)
		})
		wantReading(t, p, list)
		limit(unix.RLIM_INFINITY)
		wantWorking(t, p, list)
	}
	checkStopped(t, p, dir, list)
}

// TestReadOnly lets the disk turn read-only under the real program, in the middle of its work: what was acknowledged before is read, nothing more is taken in, and all is there when the
// disk is mounted again. A program that was just then told that a sync failed must end instead. One that is started on a read-only folder says so and ends.
func TestReadOnly(t *testing.T) {
	disk, list := disktest.NewImage(t, "errors=remount-ro"), newCallers(t)
	dir := filepath.Join(disk.Dir, "data")
	p := start(t, dir)
	wantWorking(t, p, list)
	drive(t, p, list, func() {
		cutFrom(list)
		disk.Break(t)
	})
	select {
	case <-p.ended:
		wantDiskFailure(t, p)
	case <-time.After(time.Second):
		for range 3 {
			wantRefused(t, p, list[0], dir)
		}
		wantPages(t, p)
		p.kill()
	}
	disk.Remount(t, "") // it recovers, which a read-only disk cannot
	disk.Remount(t, "ro")
	status, said := runBinary(t, "serve", "-data", dir, "-addr", "127.0.0.1:0")
	if status != exitFailed || !strings.Contains(said, "read-only") || strings.Count(strings.TrimSpace(said), "\n") > 0 {
		t.Errorf("on a read-only folder: status %d, %q", status, said)
	}
	disk.Remount(t, "")
	p = start(t, dir)
	settleAll(t, p, list, true)
	wantWorking(t, p, list)
	checkStopped(t, p, dir, list)
}

// wantDiskFailure wants that a program ended by itself because of the disk, and not well.
func wantDiskFailure(t *testing.T, p *process) {
	t.Helper()
	if err := p.end(t); err == nil || !strings.Contains(p.said(t), errDisk.Error()) {
		t.Errorf("it ended with %v\n%s", err, p.said(t))
	}
}
