//go:build !linux

package backup

// freeBytes does not know.
func freeBytes(string) (int64, bool) { return 0, false }

// sameDisk does not know.
func sameDisk(string, string) bool { return false }
