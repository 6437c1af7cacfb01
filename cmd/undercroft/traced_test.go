package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/survey/store/disktest"
)

// TestSyncRefused lets syncs or renames fail from some point on, as a dying disk does. A photo whose bytes cannot be synced is refused. After a sync of the database's log or of a folder failed, what the
// system says of it is not to be relied on: the program must end, not with status 0, and the next one must have all that was acknowledged.
func TestSyncRefused(t *testing.T) {
	for _, test := range []struct {
		name, calls string
		ends        bool
	}{{"sync", "fsync,fdatasync", true}, {"rename", "renameat,renameat2", false}} {
		t.Run(test.name, func(t *testing.T) {
			dir, list := filepath.Join(t.TempDir(), "data"), newCallers(t)
			p := start(t, dir)
			wantWorking(t, p, list)
			p.stop(t)
			p = start(t, dir, traced(t, test.calls, "error=EIO", fmt.Sprint("when=", 10+rand.IntN(10), "+"))...)
			for _, c := range list {
				c.mayFail = true
			}
			drive(t, p, list, func() {
				if test.ends {
					wantDiskFailure(t, p)
				} else {
					awaitMore(t, p, refusals, list, 2*callers)
					p.kill()
				}
			})
			for _, c := range list {
				c.mayFail = false
			}
			p = start(t, dir)
			settleAll(t, p, list, true)
			wantWorking(t, p, list)
			checkStopped(t, p, dir, list)
		})
	}
}

// TestKilledAtCall kills the real program right at a system call that writes, so that each place between two of them is a moment of death: what a random moment seldom meets.
func TestKilledAtCall(t *testing.T) {
	dir, list := filepath.Join(t.TempDir(), "data"), newCallers(t)
	calls := []string{"fsync,fdatasync", "renameat,renameat2", "pwrite64", "write", "openat", "unlinkat", "ftruncate"}
	died := 0
	for i := range rounds() {
		p := launch(t, dir, traced(t, calls[i%len(calls)], "signal=KILL", fmt.Sprint("when=", 1+rand.IntN(30)))...)
		if p.serves() {
			drive(t, p, list, func() {
				for enough := acknowledged(list) + answersBetween; p.alive() && acknowledged(list) < enough; {
					time.Sleep(time.Millisecond)
				}
				if !p.alive() {
					died++
				}
				p.kill()
			})
		} else {
			died++
		}
		p.kill()
		p = start(t, dir)
		wantNoTemporaries(t, dir)
		settleAll(t, p, list, false)
		p.kill()
	}
	checkStopped(t, start(t, dir), dir, list)
	t.Logf("%d starts, %d deaths at a call, %d acknowledgements, all found", rounds(), died, acknowledged(list))
	if died < rounds()/4 {
		t.Error("too few deaths at a call: this proves little")
	}
}

// TestKilledAtFirstStart kills the real program while it makes a data folder and brings its database to the newest schema: the next start makes of it a folder like any other.
func TestKilledAtFirstStart(t *testing.T) {
	calls, died := []string{"pwrite64", "fsync,fdatasync", "mkdirat", "openat", "ftruncate"}, 0
	for i := range rounds() / 2 {
		dir := filepath.Join(t.TempDir(), "data")
		p := launch(t, dir, traced(t, calls[i%len(calls)], "signal=KILL", fmt.Sprint("when=", 1+rand.IntN(40)))...)
		if !p.serves() {
			died++
		}
		p.kill()
		start(t, dir).stop(t)
		if status, said := runBinary(t, "check", "-data", dir); status != exitOK {
			t.Errorf("killed at %s: check says, with status %d:\n%s", p.cmd.Args, status, said)
		}
	}
	t.Logf("%d starts, %d deaths at a call", rounds()/2, died)
	if died == 0 {
		t.Error("nothing died: this proves nothing")
	}
}

// traced is what a program is started through so that some of its system calls fail or kill it; the test is given up where nothing may be traced. The tracer stands aside (-D): the
// child that is waited for is the program itself, whose locks are gone when it has ended.
func traced(t *testing.T, calls string, inject ...string) []string {
	t.Helper()
	if out, err := exec.Command("strace", "-f", "-o", os.DevNull, "true").CombinedOutput(); err != nil {
		disktest.Unable(t, "no strace here:", err, string(out))
	}
	return []string{"strace", "-D", "-f", "-qq", "-o", os.DevNull, "-e", "trace=" + calls, "-e", "inject=" + calls + ":" + strings.Join(inject, ":")}
}
