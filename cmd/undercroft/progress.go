package main

import (
	"fmt"
	"io"
	"time"
)

// progressInterval is the time between two lines about long work.
const progressInterval = 5 * time.Second

// progress gives a function that says now and then how far long work is; nothing about work that is done before.
func progress(w io.Writer, did string) func(done, total int64) {
	last := time.Now()
	return func(done, total int64) {
		if now := time.Now(); now.Sub(last) >= progressInterval && total > 0 {
			last = now
			fmt.Fprintf(w, "%s %s of %s (%d %%)\n", did, megabytes(done), megabytes(total), done*100/total)
		}
	}
}
