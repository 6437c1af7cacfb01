package annotate

import (
	"fmt"
	"os"
	"syscall"
	"time"
)

// limitMemory limits the address space of this process for good to what it holds now and budget bytes more, or to the limit there
// was when that is lower; 0 is no limit. The Go runtime reserves about 1 GB of addresses at its start that cost no memory, hence
// "more". Nothing is dumped on a crash either: a dump would hold a customer's photo.
func limitMemory(budget uint64) error {
	if budget == 0 {
		return nil
	}
	statm, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		return fmt.Errorf("limit memory: %w", err)
	}
	var pages uint64
	if _, err := fmt.Sscan(string(statm), &pages); err != nil {
		return fmt.Errorf("limit memory: read own size: %w", err)
	}
	var old syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_AS, &old); err != nil {
		return fmt.Errorf("limit memory: %w", err)
	}
	limit := min(pages*uint64(os.Getpagesize())+budget, old.Max) // #nosec G115 -- a page's size is positive
	if err := syscall.Setrlimit(syscall.RLIMIT_AS, &syscall.Rlimit{Cur: limit, Max: limit}); err != nil {
		return fmt.Errorf("limit memory: %w", err)
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_CORE, &syscall.Rlimit{}); err != nil {
		return fmt.Errorf("limit core dumps: %w", err)
	}
	return nil
}

// limitWork limits the processor time of this process for good, in whole seconds, at least one; 0 is no limit. Beyond it the system kills the process
// (setrlimit(2)); the Go runtime takes no notice of the SIGXCPU that comes before.
func limitWork(budget time.Duration) error {
	if budget == 0 {
		return nil
	}
	seconds := uint64(max(1, budget/time.Second))
	if err := syscall.Setrlimit(syscall.RLIMIT_CPU, &syscall.Rlimit{Cur: seconds, Max: seconds}); err != nil {
		return fmt.Errorf("limit processor time: %w", err)
	}
	return nil
}
