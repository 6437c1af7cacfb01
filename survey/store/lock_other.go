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
