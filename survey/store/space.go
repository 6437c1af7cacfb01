package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"undercroft/survey"
)

// How much of the disk photos leave free unless the operator says otherwise: a twentieth, at least 1 GiB, and on a small disk at most a quarter. Edits leave less: a
// sixteenth of that, at most 64 MiB. What is left then is for the database to tidy up in, and for people to sign in and make room.
const (
	keepFreeShare   = 20
	keepFreeLeast   = 1 << 30
	keepFreeQuarter = 4
	editsShare      = 16
	editsMost       = 64 << 20
)

// DefaultKeepFree is how many bytes of the disk under an existing folder photos leave free by default; 0 where the system does not tell its size.
func DefaultKeepFree(dir string) (int64, error) {
	_, size, err := diskSpace(dir)
	if err != nil {
		return 0, fmt.Errorf("ask for the size of the disk: %w", err)
	}
	return min(max(size/keepFreeShare, keepFreeLeast), size/keepFreeQuarter), nil
}

// errLowSpace is why something was refused although the disk is not full yet.
var errLowSpace = errors.New("the free space is below what must be kept free")

// spaceForPhoto is nil when a photo of so many bytes leaves enough of the disk free, else NoSpace.
func (s *Store) spaceForPhoto(bytes int64) error {
	if s.keepFree == 0 {
		return nil
	}
	free, _, err := diskSpace(s.dir)
	if err != nil {
		return fmt.Errorf("ask for free space: %w", err)
	}
	if free-bytes < s.keepFree {
		return &survey.Error{
			Kind: survey.NoSpace, Cause: errLowSpace,
			Message: "The server has too little space left for photos, so this one was not saved. Keep it: it can be sent once space was made. What you type is still saved.",
		}
	}
	return nil
}

// SpaceForPhoto is nil when a photo of so many bytes leaves enough of the disk free, else NoSpace: to be asked before its bytes are taken in.
func (s *Store) SpaceForPhoto(bytes int64) error {
	return s.explain("look for space", s.spaceForPhoto(bytes))
}

// editsKeepFree is what edits leave free.
func (s *Store) editsKeepFree() int64 { return min(s.keepFree/editsShare, editsMost) }

// spaceForEdit is nil when there is enough space for a change of records, else NoSpace.
func (s *Store) spaceForEdit() error {
	if s.keepFree == 0 {
		return nil
	}
	free, _, err := diskSpace(s.dir)
	if err != nil {
		return fmt.Errorf("ask for free space: %w", err)
	}
	if free < s.editsKeepFree() {
		return &survey.Error{
			Kind: survey.NoSpace, Cause: errLowSpace,
			Message: "The server has almost no space left, so nothing was saved. Keep what you have and try again once space was made.",
		}
	}
	return nil
}

// Usage is what the store takes and has left, in bytes, and how many photos have begun to arrive.
type Usage struct {
	Database, Log   int64 // the database's file and its write-ahead log
	Free, Size      int64 // of the disk
	PhotosKeepFree  int64 // below which no photo is taken, 0 for no limit
	EditsKeepFree   int64 // below which no change is taken
	Unfinished      int
	UnfinishedBytes int64
}

// Usage looks at the files, without reading them: the database may be opened by its driver alone.
func (s *Store) Usage() (Usage, error) {
	if err := s.enter(); err != nil {
		return Usage{}, err
	}
	defer s.use.RUnlock()
	u := Usage{PhotosKeepFree: s.keepFree, EditsKeepFree: s.editsKeepFree()}
	for name, size := range map[string]*int64{databaseName: &u.Database, databaseName + "-wal": &u.Log} {
		info, err := os.Stat(filepath.Join(s.dir, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return Usage{}, fmt.Errorf("look at the database's files: %w", err)
		}
		*size = info.Size()
	}
	var err error
	if u.Free, u.Size, err = diskSpace(s.dir); err != nil {
		return Usage{}, fmt.Errorf("ask for free space: %w", err)
	}
	u.Unfinished, u.UnfinishedBytes = s.arriving.count()
	return u, nil
}
