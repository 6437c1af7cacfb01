package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestStoppedAtWork asks the real program to end in the middle of its work: it finishes what it was asked and ends well, and leaves a folder without a log.
func TestStoppedAtWork(t *testing.T) {
	dir, list := filepath.Join(t.TempDir(), "data"), newCallers(t)
	for range 3 {
		p := start(t, dir)
		drive(t, p, list, func() {
			awaitAny(t, p, list, answersBetween)
			p.stop(t)
		})
		wantCleanFolder(t, dir)
	}
	checkStopped(t, start(t, dir), dir, list)
}

// logLimit is how large the database's log may grow: the limit to which it is cut after it was written back.
const logLimit = 64 << 20

// TestLogStaysSmall looks at the database's log during a minute of work; only when UNDERCROFT_LONG is set.
func TestLogStaysSmall(t *testing.T) {
	if os.Getenv(longEnv) == "" {
		t.Skip("a minute of work: set " + longEnv)
	}
	dir, list := filepath.Join(t.TempDir(), "data"), newCallers(t)
	p, most := start(t, dir), int64(0)
	drive(t, p, list, func() {
		for until := time.Now().Add(time.Minute); time.Now().Before(until) && p.alive(); time.Sleep(50 * time.Millisecond) {
			info, err := os.Stat(filepath.Join(dir, "undercroft.db-wal"))
			if err != nil {
				t.Error(err)
				return
			}
			most = max(most, info.Size())
		}
	})
	t.Logf("%d acknowledgements; the log had at most %.1f MiB", acknowledged(list), float64(most)/(1<<20))
	if most == 0 || most >= logLimit {
		t.Errorf("the log had %d bytes, want less than %d", most, logLimit)
	}
	checkStopped(t, p, dir, list)
}
