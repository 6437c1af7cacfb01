// Package backup keeps copies of a data folder in another folder, the target, and makes a data folder of them again.
//
// A target holds sets, one for each backup, and the stored files that they share:
//
//	undercroft-backup      a mark: only a folder that has it, or an empty one, is written to
//	sets/NAME/undercroft.db the database at one moment
//	sets/NAME/about.json   what it holds
//	sets/NAME/SHA256SUMS   the sums of these two and of every stored file that it stands on
//	blobs/ab/SUM           the stored files, by their SHA-256
//	temp/                  what is being written
//
// The paths in SHA256SUMS begin at the target, so that `sha256sum -c sets/NAME/SHA256SUMS` there checks a set without this program. A set gets its name when everything it
// stands on is on the disk: it is there whole or not at all, and whatever ends a backup leaves the sets before it as they were.
package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"syscall"

	"undercroft/survey/store"
)

// The names inside a target.
const (
	markName     = "undercroft-backup"
	setsName     = "sets"
	blobsName    = "blobs"
	tempName     = "temp"
	databaseName = "undercroft.db"
	aboutName    = "about.json"
	sumsName     = "SHA256SUMS"
)

// markText is what the mark says to whoever finds it.
const markText = "Backups made by Undercroft. Restore one with: undercroft restore THIS-FOLDER -data NEW-FOLDER\nThey hold everything, passwords' hashes too: keep them where only the office can read.\n"

// target is an open target, locked for this process alone.
type target struct {
	dir  string
	root *os.Root
	lock *os.File
}

// openTarget opens a target, or makes one of an empty or missing folder, and sweeps what a crash has left. data is the data folder, which it may neither lie in nor hold.
func openTarget(dir, data string) (*target, error) {
	t := &target{}
	var err error
	if t.dir, err = apart(dir, data); errors.Is(err, errNested) {
		return nil, fmt.Errorf("the backup must lie apart from the data folder %s: choose another place for it, best on another disk", data)
	} else if err != nil {
		return nil, explainTarget(dir, err)
	}
	if err := os.MkdirAll(t.dir, 0o700); err != nil {
		return nil, explainTarget(t.dir, err)
	}
	if err := ours(t.dir); err != nil {
		return nil, err
	}
	if err := t.take(true); err != nil {
		return nil, errors.Join(err, t.Close())
	}
	if err := t.prepare(); err != nil {
		return nil, errors.Join(explainTarget(t.dir, err), t.Close())
	}
	return t, nil
}

// readTarget opens a target that is there, for reading beside others who read.
func readTarget(dir string) (*target, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(filepath.Join(dir, markName)); err != nil {
		return nil, fmt.Errorf("%s holds no backups of Undercroft", dir)
	}
	t := &target{dir: dir}
	if err := t.take(false); err != nil {
		return nil, errors.Join(err, t.Close())
	}
	return t, nil
}

// errNested is the error of a folder that lies in another one, or holds it.
var errNested = errors.New("one lies in the other")

// apart gives the absolute path of a folder that lies apart from another one; errNested when it does not.
func apart(dir, other string) (string, error) {
	dir, err := resolve(dir)
	if err != nil {
		return "", err
	}
	if other, err = resolve(other); err != nil {
		return "", err
	}
	inside := func(a, b string) bool {
		rel, err := filepath.Rel(b, a)
		return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
	}
	if inside(dir, other) || inside(other, dir) {
		return "", errNested
	}
	return dir, nil
}

// resolve follows the links of as much of a path as is there.
func resolve(name string) (string, error) {
	name, err := filepath.Abs(name)
	if err != nil {
		return "", err
	}
	for rest := ""; ; {
		real, err := filepath.EvalSymlinks(name)
		if err == nil {
			return filepath.Join(real, rest), nil
		}
		if !errors.Is(err, fs.ErrNotExist) || name == filepath.Dir(name) {
			return "", err
		}
		name, rest = filepath.Dir(name), filepath.Join(filepath.Base(name), rest)
	}
}

// ours is an error when a folder has something in it and is no target.
func ours(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return explainTarget(dir, err)
	}
	if len(entries) == 0 {
		return nil
	}
	if _, err := os.Stat(filepath.Join(dir, markName)); err != nil {
		return fmt.Errorf("%s has other things in it and holds no backups of Undercroft: name a new or an empty folder", dir)
	}
	return nil
}

// take opens and locks the target.
func (t *target) take(alone bool) error {
	var err error
	if t.root, err = os.OpenRoot(t.dir); err != nil {
		return explainTarget(t.dir, err)
	}
	if t.lock, err = t.root.Open("."); err != nil {
		return explainTarget(t.dir, err)
	}
	if err := store.LockFolder(t.lock, alone); errors.Is(err, store.ErrLocked) {
		return fmt.Errorf("another backup or restore is using %s: try again when it has ended", t.dir)
	} else if err != nil {
		return fmt.Errorf("lock %s: %w", t.dir, err)
	}
	return nil
}

// prepare makes what a target holds and removes what was being written when somebody was stopped.
func (t *target) prepare() error {
	if err := t.root.RemoveAll(tempName); err != nil {
		return err
	}
	names := []string{tempName, setsName, blobsName}
	for i := range 256 {
		names = append(names, path.Join(blobsName, fmt.Sprintf("%02x", i)))
	}
	if err := t.writeNew(markName, []byte(markText)); err != nil && !errors.Is(err, fs.ErrExist) { // first of all: a folder without it is not ours
		return err
	}
	for _, name := range names {
		if err := t.root.Mkdir(name, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
	return errors.Join(syncFolder(t.root, blobsName), syncFolder(t.root, "."))
}

// Close gives the target free.
func (t *target) Close() error {
	var errs []error
	if t.lock != nil {
		errs = append(errs, t.lock.Close())
	}
	if t.root != nil {
		errs = append(errs, t.root.Close())
	}
	return errors.Join(errs...)
}

// writeNew writes a small file that was not there, on the disk when it returns.
func (t *target) writeNew(name string, body []byte) error {
	f, err := t.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(body)
	return errors.Join(err, f.Sync(), f.Close())
}

// syncFolder makes the names in a folder durable.
func syncFolder(root *os.Root, name string) error {
	f, err := root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func blobName(sum string) string { return path.Join(blobsName, sum[:2], sum) }

// explainTarget puts the usual reasons why a target cannot be written into one line.
func explainTarget(dir string, err error) error {
	switch {
	case err == nil:
		return nil
	case full(err):
		return fmt.Errorf("there is no room left in %s: make room, or keep fewer backups with -keep. The backups made before are as they were", dir)
	case errors.Is(err, syscall.ENOTDIR):
		return fmt.Errorf("%s is a file, or lies in one: name a folder", dir)
	case errors.Is(err, syscall.EROFS):
		return fmt.Errorf("%s is read-only", dir)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("not enough rights to use %s", dir)
	}
	return fmt.Errorf("use %s: %w", dir, err)
}

// full tells whether a disk, a quota or a limit of file size was reached.
func full(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) || errors.Is(err, syscall.EFBIG)
}

// reading is a reader that ends with its work.
type reading struct {
	ctx context.Context
	io.Reader
}

// Read reads unless the work was called off.
func (r reading) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(p)
}
