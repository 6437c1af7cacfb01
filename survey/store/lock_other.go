//go:build !linux

package store

import (
	"errors"
	"os"
)

// lockFile refuses: the locks that this store needs exist on Linux only.
func lockFile(string) (*os.File, error) {
	return nil, errors.New("it can be locked safely on Linux only")
}

// ErrLocked is the error of a lock that somebody else holds.
var ErrLocked = errors.New("somebody else holds the lock")

// LockFolder refuses, as lockFile does.
func LockFolder(*os.File, bool) error { return errors.New("it can be locked safely on Linux only") }
