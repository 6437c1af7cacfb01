package annotate

import (
	"fmt"
	"os"
	"syscall"
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
