package backup

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"time"

	"undercroft/survey/store"
)

// List gives what each set of a target says of itself, the oldest first. One that cannot be read has nothing but its name and a flaw that says so.
func List(dir string) (sets []About, err error) {
	t, err := readTarget(dir)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, t.Close()) }()
	names, err := t.sets()
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		a, err := t.about(name)
		if err != nil {
			a = About{Name: name, Flaws: []string{err.Error()}}
		}
		sets = append(sets, a)
	}
	return sets, nil
}

// Restoring says which set of which target becomes a data folder where. At is the set's name, the newest one when it is empty. Progress, which may be nil, hears how many
// bytes of how many are done: each is read twice.
type Restoring struct {
	Target, At, Data string
	Now              func() time.Time
	Progress         func(done, total int64)
}

// Restored is what was restored, and what a check of the new folder found.
type Restored struct {
	About
	Schema  int       // of the new folder
	Deleted int       // surveys that were deleted when the backup was made
	Until   time.Time // until then each of them can be taken back; zero for none
	Checkup store.Checkup
}

// Restore makes a data folder of a set. Every sum of the set is read before anything is written; then the folder, which must be empty or not there yet, gets its files,
// the database last, is brought to this program's schema and checked. A folder of which an error left only a part is marked so that nothing opens it.
func Restore(ctx context.Context, c Restoring) (result Restored, err error) {
	t, err := readTarget(c.Target)
	if err != nil {
		return Restored{}, err
	}
	defer func() { err = errors.Join(err, t.Close()) }()
	dir, err := apart(c.Data, c.Target)
	if err != nil && !errors.Is(err, errNested) {
		return Restored{}, explainRestore(c.Data, err)
	} else if err != nil {
		return Restored{}, errors.New("the new data folder must lie apart from the backups: choose another place for it")
	}
	if err := wantEmpty(dir); err != nil {
		return Restored{}, err
	}
	r := restoring{target: t, config: c, to: dir}
	if r.name, err = t.choose(c.At); err != nil {
		return Restored{}, err
	}
	if result.About, err = r.verify(ctx); err != nil {
		return Restored{}, err
	}
	if err := r.write(ctx); err != nil {
		return Restored{}, explainRestore(dir, err)
	}
	return r.settle(ctx, result)
}

// restoring is one restore under way.
type restoring struct {
	*target
	config      Restoring
	name        string
	to          string
	sums        []sum
	done, total int64
}

// choose finds a set by its name, the newest one for an empty name.
func (t *target) choose(name string) (string, error) {
	names, err := t.sets()
	switch {
	case err != nil:
		return "", err
	case len(names) == 0:
		return "", fmt.Errorf("there is no finished backup in %s", t.dir)
	case name == "":
		return names[len(names)-1], nil
	case !slices.Contains(names, name):
		return "", fmt.Errorf("there is no backup %q in %s (-list shows them)", name, t.dir)
	}
	return name, nil
}

// wantEmpty is an error when a folder is there and has something in it.
func wantEmpty(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return explainRestore(dir, err)
	case len(entries) > 0:
		return fmt.Errorf("%s is not empty: a backup is only restored into a new or an empty folder, so that nothing is overwritten", dir)
	}
	return nil
}

// explainRestore says why the new folder could not be written.
func explainRestore(dir string, err error) error {
	if full(err) {
		return fmt.Errorf("there is no room for the data in %s: remove what was written there and restore onto a larger disk", dir)
	}
	return fmt.Errorf("restore into %s: %w", dir, err)
}

// verify reads every file of the set and holds it against its sum, then looks through the database: that this program knows its schema, and that the set has every file
// it names.
func (r *restoring) verify(ctx context.Context) (About, error) {
	a, err := r.about(r.name)
	if err != nil {
		return About{}, err
	}
	if r.sums, err = r.target.sums(r.name); err != nil {
		return About{}, damaged(r.name, err)
	}
	for _, s := range r.sums {
		n, ok := r.size(s.name)
		if !ok {
			return About{}, damaged(r.name, fmt.Errorf("%s is missing", s.name))
		}
		r.total += 2 * n
	}
	has := map[string]bool{}
	for _, s := range r.sums {
		is, n, err := r.sumFile(ctx, s.name)
		if ctx.Err() != nil {
			return About{}, ctx.Err()
		}
		if err == nil && is != s.sha256 {
			err = fmt.Errorf("%s has other bytes than were written", s.name)
		}
		if err != nil {
			return About{}, damaged(r.name, err)
		}
		has[s.sha256] = true
		r.progress(n)
	}
	database := filepath.Join(r.dir, setsName, r.name, databaseName)
	inventory, err := store.TakeInventory(ctx, database, func(sum string) (*os.File, error) { return r.root.Open(blobName(sum)) })
	if err != nil {
		return About{}, fmt.Errorf("the backup %s cannot be used: %w", r.name, err)
	}
	for _, f := range inventory.Files {
		if !has[f.SHA256] && !f.Mentioned && a.Good() {
			return About{}, damaged(r.name, fmt.Errorf("%s is not in it", f.What))
		}
	}
	return a, nil
}

func (r *restoring) progress(n int64) {
	if r.done += n; r.config.Progress != nil {
		r.config.Progress(r.done, r.total)
	}
}

// write copies the set into the new folder, reading every sum once more on the way. The mark is there from before the first file until after the last one.
func (r *restoring) write(ctx context.Context) (err error) {
	if err := os.MkdirAll(r.to, 0o700); err != nil {
		return err
	}
	to, err := os.OpenRoot(r.to)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, to.Close()) }()
	mark, err := to.OpenFile(store.UnfinishedName, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if err := errors.Join(mark.Sync(), mark.Close(), syncFolder(to, ".")); err != nil {
		return err
	}
	if err := r.writeStored(ctx, to); err != nil {
		return err
	}
	for _, s := range r.sums {
		if path.Base(s.name) == databaseName {
			if err := r.copyTo(ctx, to, s, databaseName); err != nil {
				return err
			}
		}
	}
	for _, step := range []func() error{
		func() error { return to.Chmod(databaseName, 0o600) },
		func() error { return store.NoteRestored(to, r.config.Now()) },
		func() error { return syncFolder(to, blobsName) },
		func() error { return syncFolder(to, ".") },
		func() error { return syncParent(r.to) },
		func() error { return to.Remove(store.UnfinishedName) }, // everything is on the disk
		func() error { return syncFolder(to, ".") },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// writeStored copies the stored files.
func (r *restoring) writeStored(ctx context.Context, to *os.Root) error {
	if err := to.Mkdir(blobsName, 0o700); err != nil {
		return err
	}
	folders := map[string]bool{}
	for _, s := range r.sums {
		if !s.stored() {
			continue
		}
		if folder := path.Dir(s.name); !folders[folder] {
			if err := to.Mkdir(folder, 0o700); err != nil {
				return err
			}
			folders[folder] = true
		}
		if err := r.copyTo(ctx, to, s, s.name); err != nil {
			return err
		}
	}
	for folder := range folders {
		if err := syncFolder(to, folder); err != nil {
			return err
		}
	}
	return nil
}

// syncParent makes the name of a folder durable.
func syncParent(dir string) error {
	f, err := os.Open(filepath.Dir(dir))
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// copyTo copies one file of the set.
func (r *restoring) copyTo(ctx context.Context, to *os.Root, s sum, name string) error {
	from, err := r.root.Open(s.name)
	if err != nil {
		return err
	}
	defer from.Close()
	is, n, err := copyInto(to, name, reading{ctx, from})
	if err == nil && is != s.sha256 {
		err = fmt.Errorf("%s changed while it was read", s.name)
	}
	r.progress(n)
	return err
}

// settle opens the new folder once, which brings it to this program's schema, and checks it.
func (r *restoring) settle(ctx context.Context, result Restored) (Restored, error) {
	s, err := store.Open(ctx, store.Config{Dir: r.to, Now: r.config.Now})
	if err != nil {
		return Restored{}, err
	}
	result.Deleted, result.Until, err = s.DeletedUntil(ctx)
	if err := errors.Join(err, s.Close()); err != nil {
		return Restored{}, err
	}
	a, err := store.OpenAside(ctx, r.to)
	if err != nil {
		return Restored{}, err
	}
	result.Checkup, err = a.Check(ctx, r.config.Now(), nil)
	result.Schema = result.Checkup.Schema
	return result, errors.Join(err, a.Close())
}
