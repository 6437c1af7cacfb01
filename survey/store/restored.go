package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"

	"undercroft/survey"
)

// restoredName is a file in a data folder that was made of a backup: one line, when. It is no row of the database, so that no backup takes it along.
const restoredName = "restored"

// NoteRestored notes in a data folder that is being made of a backup when that is, and syncs the note; the folder's own names are left to the caller.
func NoteRestored(folder *os.Root, at time.Time) error {
	f, err := folder.OpenFile(restoredName, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.WriteString(f, at.UTC().Format(time.RFC3339)+"\n")
	return errors.Join(err, f.Sync(), f.Close())
}

// Restored is when the folder was made of a backup, to the second; the zero time for one that was not.
func (s *Store) Restored() time.Time { return s.restored }

// DeletedUntil is how many surveys are deleted and when the first of them is erased, the zero time for none.
func (s *Store) DeletedUntil(ctx context.Context) (n int, until time.Time, err error) {
	standings, err := s.Standings(ctx)
	for _, v := range standings {
		if v.Filed != survey.Deleted {
			continue
		}
		on := survey.Filing{Act: v.Filed, At: v.FiledAt}.ErasedOn(s.restored)
		if n++; n == 1 || on.Before(until) {
			until = on
		}
	}
	return n, until, err
}

// readRestored reads the note. One that says no time is an error: surveys could be erased too early.
func readRestored(folder *os.Root) (time.Time, error) {
	text, err := folder.ReadFile(restoredName)
	if errors.Is(err, fs.ErrNotExist) {
		return time.Time{}, nil
	} else if err != nil {
		return time.Time{}, err
	}
	at, err := time.Parse(time.RFC3339, strings.TrimSpace(string(text)))
	if err != nil {
		return time.Time{}, fmt.Errorf("the file %s must say when the backup was restored, as 2026-05-31T09:42:00Z, and says %.40q", restoredName, text)
	}
	return at, nil
}
