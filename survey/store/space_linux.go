package store

import "golang.org/x/sys/unix"

// diskSpace is what an unprivileged program may still write on the file system of dir, and that file system's size, in bytes.
func diskSpace(dir string) (free, size int64, err error) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, 0, err
	}
	return int64(s.Bavail) * s.Bsize, int64(s.Blocks) * s.Bsize, nil // #nosec G115 -- counts of blocks of one disk, under an exabyte
}
