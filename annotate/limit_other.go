//go:build !linux

package annotate

import "time"

// limitMemory does nothing on systems other than Linux: there the time limit and GOMEMLIMIT must do.
func limitMemory(uint64) error { return nil }

// limitWork does nothing there either.
func limitWork(time.Duration) error { return nil }
