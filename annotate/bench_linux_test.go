package annotate

import (
	"os"
	"syscall"
)

// peakBytes is the largest resident size of an ended process; Linux counts it in kilobytes (getrusage(2)).
func peakBytes(state *os.ProcessState) int64 {
	if usage, ok := state.SysUsage().(*syscall.Rusage); ok {
		return int64(usage.Maxrss) << 10
	}
	return 0
}
