package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"syscall"

	"undercroft/survey"
)

// The names inside the data folder.
const (
	databaseName = "undercroft.db"
	blobsName    = "blobs"
	tempName     = "temp"
	piecesName   = "pieces"
	lockName     = "lock"
)

// UnfinishedName is a file that stands in a data folder as long as a backup is being restored into it. A folder that has it is not opened: it holds only a part.
const UnfinishedName = "restore-unfinished"

// unfinished is why a folder is not opened whose restore did not come to its end.
func unfinished(dir string) error {
	_, err := os.Lstat(filepath.Join(dir, UnfinishedName))
	if err == nil {
		return fmt.Errorf("the data folder %s holds only a part of a backup: its restore was not finished. Remove the folder and restore again", dir)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return explainFolder(dir, err)
}

// openFolder makes the folder and what is in it, takes the lock, sweeps temp and removes photos that never arrived whole.
func (s *Store) openFolder() error {
	if err := makeFolder(s.dir); err != nil {
		return explainFolder(s.dir, err)
	}
	if err := unfinished(s.dir); err != nil {
		return err
	}
	var err error
	if s.lock, err = lockFile(filepath.Join(s.dir, lockName)); err != nil {
		return explainFolder(s.dir, err)
	}
	if s.root, err = os.OpenRoot(s.dir); err != nil {
		return explainFolder(s.dir, err)
	}
	if s.restored, err = readRestored(s.root); err != nil {
		return explainFolder(s.dir, err)
	}
	if err := s.makeShards(); err != nil {
		return explainFolder(s.dir, err)
	}
	if err := errors.Join(s.sweep(), s.sweepPieces()); err != nil {
		return explainFolder(s.dir, err)
	}
	return nil
}

// makeFolder makes dir and what it lies in, readable by its owner only, and syncs each folder that got a new one.
func makeFolder(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case err == nil && !info.IsDir():
		return syscall.ENOTDIR
	case err == nil:
		return nil
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	if err := makeFolder(filepath.Dir(dir)); err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o700); err != nil {
		return err
	}
	parent, err := os.Open(filepath.Dir(dir))
	if err != nil {
		return err
	}
	return errors.Join(parent.Sync(), parent.Close())
}

// makeShards makes blobs/00 to blobs/ff, temp and pieces. All are made at once so that storing a blob has one folder to sync, not two.
func (s *Store) makeShards() error {
	names := []string{tempName, piecesName, blobsName}
	for i := range 256 {
		names = append(names, path.Join(blobsName, fmt.Sprintf("%02x", i)))
	}
	for _, name := range names {
		if err := s.root.Mkdir(name, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
	return errors.Join(s.syncFolder(blobsName), s.syncFolder("."))
}

// sweep removes what a crash has left in temp. The lock is held, so nobody is using it.
func (s *Store) sweep() error {
	entries, err := fs.ReadDir(s.root.FS(), tempName)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if err := s.root.RemoveAll(path.Join(tempName, e.Name())); err != nil {
			return err
		}
	}
	if len(entries) > 0 {
		s.log.Info("removed temporary files that were left over", "count", len(entries))
	}
	return nil
}

// syncFolder makes the names in a folder durable. An error is never retried: after it the system may call the folder clean.
func (s *Store) syncFolder(name string) error {
	f, err := s.root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// createTemp makes an empty file in temp that only its owner can read and nobody can open for writing again.
func (s *Store) createTemp(prefix string) (*os.File, string, error) {
	name := path.Join(tempName, prefix+survey.NewID())
	f, err := s.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o400)
	return f, name, err
}

// TempDir makes an empty folder on the file system of the blobs, for files that are made before they are stored. The function
// removes it with all that is in it; a folder that is left is removed at the next Open.
func (s *Store) TempDir() (string, func(), error) {
	if err := s.enter(); err != nil {
		return "", nil, err
	}
	defer s.use.RUnlock()
	dir, err := os.MkdirTemp(filepath.Join(s.dir, tempName), "work-")
	if err != nil {
		return "", nil, s.explain("make temporary folder", err)
	}
	remove := func() {
		if err := os.RemoveAll(dir); err != nil {
			s.log.Warn("could not remove a temporary folder", "error", err)
		}
	}
	return dir, remove, nil
}

// explainFolder puts the usual reasons why a folder cannot be used into one line.
func explainFolder(dir string, err error) error {
	switch {
	case errors.Is(err, syscall.ENOTDIR):
		return fmt.Errorf("the data folder %s is a file, or lies in one", dir)
	case errors.Is(err, syscall.EROFS):
		return fmt.Errorf("the data folder %s is read-only", dir)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("not enough rights to write in the data folder %s", dir)
	default:
		return fmt.Errorf("open the data folder %s: %w", dir, err)
	}
}
