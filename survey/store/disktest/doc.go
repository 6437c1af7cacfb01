// Package disktest gives tests disks that fail: one that can be cut off as by a power cut, one that is small enough to fill, one that turns read-only.
// Making them needs root; a test that may not is skipped, or fails when UNDERCROFT_DISKS is "required".
package disktest

import (
	"os"
	"testing"
)

// Unable ends a test that cannot be made here and says why: skipped, or failed where the environment says that it must be possible.
func Unable(t *testing.T, why string, details ...any) {
	t.Helper()
	if os.Getenv("UNDERCROFT_DISKS") == "required" {
		t.Fatal(append([]any{why}, details...)...)
	}
	t.Skip(append([]any{why}, details...)...)
}
