package store

import (
	"database/sql"
	"errors"
	"fmt"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"undercroft/survey"
)

// explain gives an error of the domain as it is, a disk that is full or takes no writes as NoSpace, and anything else with the name of what was done. It marks the store
// broken when the database could not be synced.
func (s *Store) explain(what string, err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*survey.Error](err); ok {
		return err
	}
	if noSpace(err) {
		return &survey.Error{
			Kind: survey.NoSpace, Cause: fmt.Errorf("%s: %w", what, err),
			Message: "The server has no space left, so nothing was saved. Keep what you have and try again once space was made.",
		}
	}
	if writeRefused(err) {
		s.log.Error("the disk refused a write", "what", what, "error", err)
		return &survey.Error{
			Kind: survey.NoSpace, Cause: fmt.Errorf("%s: %w", what, err),
			Message: "The server’s disk takes no writes, so nothing was saved. Keep what you have and tell whoever looks after the server.",
		}
	}
	if syncFailed(err) {
		s.fail(err)
	}
	return fmt.Errorf("%s: %w", what, err)
}

// noSpace tells whether a disk, a quota or a limit of file size was reached.
func noSpace(err error) bool {
	for _, full := range []error{syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG} {
		if errors.Is(err, full) {
			return true
		}
	}
	e, ok := errors.AsType[*sqlite.Error](err)
	return ok && (e.Code()&0xff == sqlite3.SQLITE_FULL || e.Code() == sqlite3.SQLITE_IOERR_SHMSIZE)
}

// writeRefused tells whether a file system is read-only, as one turns when its disk gives errors, or a write to the database failed and was taken back.
func writeRefused(err error) bool {
	if errors.Is(err, syscall.EROFS) {
		return true
	}
	e, ok := errors.AsType[*sqlite.Error](err)
	return ok && (e.Code()&0xff == sqlite3.SQLITE_READONLY || e.Code() == sqlite3.SQLITE_IOERR_WRITE || e.Code() == sqlite3.SQLITE_IOERR_TRUNCATE)
}

// syncFailed tells whether the database could not be synced.
func syncFailed(err error) bool {
	e, ok := errors.AsType[*sqlite.Error](err)
	return ok && (e.Code() == sqlite3.SQLITE_IOERR_FSYNC || e.Code() == sqlite3.SQLITE_IOERR_DIR_FSYNC)
}

// missing is the NotFound for a thing, or err itself when it is not that there is no row.
func missing(thing string, err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return survey.Errorf(survey.NotFound, "There is no such %s.", thing)
	}
	return err
}

// conflict is a Conflict that carries the stored row.
func conflict(current any, message string) error {
	return &survey.Error{Kind: survey.Conflict, Message: message, Current: current}
}

// elsewhere refuses a new row whose id another survey has.
func elsewhere(thing string) error {
	return survey.Errorf(survey.Invalid, "The id of this %s is taken by another survey.", thing)
}
