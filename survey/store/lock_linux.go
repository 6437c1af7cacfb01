package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// lockFile takes the folder for this process: the lock belongs to the open file and dies with the process, however that ends. The
// file holds the process's number, for the message of the one who comes second.
func lockFile(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600) // #nosec G304 -- the lock's name in the data folder
	if err != nil {
		return nil, err
	}
	err = unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if errors.Is(err, unix.EWOULDBLOCK) {
		owner, _ := io.ReadAll(io.LimitReader(f, 20)) // only for the message; empty when it cannot be read
		_ = f.Close()                                 // the error that led here is the one to tell
		return nil, fmt.Errorf("%w (process %s)", errInUse, strings.TrimSpace(string(owner)))
	}
	if err != nil {
		_ = f.Close() // the error that led here is the one to tell
		return nil, fmt.Errorf("lock: %w", err)
	}
	if err := f.Truncate(0); err != nil {
		_ = f.Close() // the error that led here is the one to tell
		return nil, err
	}
	if _, err := f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0); err != nil {
		_ = f.Close() // the error that led here is the one to tell
		return nil, err
	}
	return f, nil
}

// ErrLocked is the error of a lock that somebody else holds.
var ErrLocked = errors.New("somebody else holds the lock")

// LockFolder locks an open folder, shared by many or for one alone, until the file is closed. It does not wait: ErrLocked when another lock is in the way.
func LockFolder(f *os.File, alone bool) error {
	how := unix.LOCK_SH
	if alone {
		how = unix.LOCK_EX
	}
	err := unix.Flock(int(f.Fd()), how|unix.LOCK_NB)
	if errors.Is(err, unix.EWOULDBLOCK) {
		return ErrLocked
	}
	return err
}
