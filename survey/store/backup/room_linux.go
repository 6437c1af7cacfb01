package backup

import (
	"math"

	"golang.org/x/sys/unix"
)

// freeBytes is how much a folder's file system has left for this user; false when that is not known.
func freeBytes(dir string) (int64, bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil || s.Bsize <= 0 || s.Bavail > math.MaxInt64/uint64(s.Bsize) {
		return 0, false
	}
	return int64(s.Bavail) * s.Bsize, true // #nosec G115 -- bounded above
}

// sameDisk tells whether two folders lie on one file system; false when that is not known.
func sameDisk(a, b string) bool {
	var x, y unix.Stat_t
	return unix.Stat(a, &x) == nil && unix.Stat(b, &y) == nil && x.Dev == y.Dev
}
