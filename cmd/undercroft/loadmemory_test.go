package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// memoryPeaks are bytes of resident memory: the server's own peak as the system counts it, the largest peak of a child, and the most that was seen at one
// moment for all together.
type memoryPeaks struct{ server, child, together int64 }

// most is what server and two children had at once if their peaks fell together. No more than two photos are opened at a time.
func (m memoryPeaks) most() int64 { return m.server + 2*m.child }

// memoryWatch looks at a process and its children until end.
type memoryWatch struct {
	pid     int
	stop    chan struct{}
	working sync.WaitGroup
	peaks   memoryPeaks
	looks   int
}

func watchMemory(pid int) *memoryWatch {
	w := &memoryWatch{pid: pid, stop: make(chan struct{})}
	w.working.Go(func() {
		for {
			select {
			case <-w.stop:
				return
			case <-time.After(20 * time.Millisecond):
				w.look()
			}
		}
	})
	return w
}

// look adds one moment. A child that ends while it is looked at counts as far as it was seen.
func (w *memoryWatch) look() {
	sum := statusBytes(w.pid, "VmRSS")
	for _, child := range childrenOf(w.pid) {
		sum += statusBytes(child, "VmRSS")
		w.peaks.child = max(w.peaks.child, statusBytes(child, "VmHWM"))
		w.looks++
	}
	w.peaks.together = max(w.peaks.together, sum)
	w.peaks.server = max(w.peaks.server, statusBytes(w.pid, "VmHWM"))
}

func (w *memoryWatch) end(t *testing.T) memoryPeaks {
	t.Helper()
	close(w.stop)
	w.working.Wait()
	w.look()
	if w.peaks.server == 0 || w.looks == 0 {
		t.Errorf("memory was not seen: %+v, %d looks at children", w.peaks, w.looks)
	}
	return w.peaks
}

// statusBytes reads one line of /proc/PID/status (proc(5)), 0 when the process has ended.
func statusBytes(pid int, key string) int64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	_, after, _ := strings.Cut(string(text), "\n"+key+":")
	value, _, _ := strings.Cut(strings.TrimSpace(after), " kB")
	kilobytes, err := strconv.ParseInt(value, 10, 64)
	if err != nil {
		return 0
	}
	return kilobytes << 10
}

// childrenOf lists the children of a process that open a photo, by the parent that /proc/PID/stat names, the second field after the name in brackets (proc(5)). A child that is
// being started still has its parent's memory and arguments (clone(2), CLONE_VM) and is not counted: its parent is.
func childrenOf(pid int) []int {
	stats, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil {
		return nil
	}
	var list []int
	for _, path := range stats {
		text, err := os.ReadFile(path)
		if err != nil {
			continue // it has ended
		}
		after := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
		child, _ := strconv.Atoi(filepath.Base(filepath.Dir(path)))
		args, err := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", child))
		if err == nil && len(after) > 1 && after[1] == strconv.Itoa(pid) && strings.Contains(string(args), "\x00-worker\x00") {
			list = append(list, child)
		}
	}
	return list
}
