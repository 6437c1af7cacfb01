// Package disktest gives tests disks that fail: one that can be cut off as by a power cut, one that is small enough to fill, one that turns read-only.
// Making them needs root; a test that may not is skipped.
package disktest
