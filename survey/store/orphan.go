package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// orphanAge is how long a file that nothing names is left alone: the row that will name it may be on its way, and so may somebody who looks for it after a crash.
const orphanAge = 24 * time.Hour

func orphanOf(sum string, info fs.FileInfo, now time.Time) Orphan {
	return Orphan{SHA256: sum, Bytes: info.Size(), At: info.ModTime(), Old: now.Sub(info.ModTime()) > orphanAge}
}

// Orphans lists the stored files that nothing in the database and in no revision names, in the order of their sums.
func (a *Aside) Orphans(ctx context.Context, now time.Time) ([]Orphan, error) {
	files, _, err := blobNames(a.root) // before the rows: a file that comes later is not in the list
	if err != nil {
		return nil, fmt.Errorf("list the stored files: %w", err)
	}
	begun, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return nil, fmt.Errorf("read the database: %w", err)
	}
	defer begun.Rollback()
	named, err := namedFiles(ctx, begun, a.Open)
	if err != nil {
		return nil, err
	}
	for _, n := range named {
		delete(files, n.SHA256)
	}
	var list []Orphan
	for sum, info := range files {
		list = append(list, orphanOf(sum, info, now))
	}
	slices.SortFunc(list, func(x, y Orphan) int { return strings.Compare(x.SHA256, y.SHA256) })
	return list, nil
}

// DeleteOrphans removes the stored files that nothing names and that are older than a day, and gives them. Nobody may serve the folder meanwhile: an upload of the same
// bytes would take the old file for its own. Nor may a backup or a check be under way. A file is kept whenever anything could name it; when the content of a
// revision cannot be read, nothing is removed, since what it names is not known.
func DeleteOrphans(ctx context.Context, dir string, now time.Time) ([]Orphan, error) {
	a, err := OpenAside(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer a.Close()
	lock, err := lockFile(filepath.Join(a.dir, lockName))
	if errors.Is(err, errInUse) {
		return nil, fmt.Errorf("nothing was removed: stop the server on %s first (%w)", a.dir, err)
	}
	if err != nil {
		return nil, explainFolder(a.dir, err)
	}
	defer lock.Close()
	if err := LockFolder(a.blobs, true); errors.Is(err, ErrLocked) {
		return nil, fmt.Errorf("nothing was removed: a backup or a check of %s is under way; try again when it has ended", a.dir)
	} else if err != nil {
		return nil, fmt.Errorf("lock the files of %s: %w", a.dir, err)
	}
	if err := a.contentsReadable(ctx); err != nil {
		return nil, fmt.Errorf("nothing was removed: %w", err)
	}
	all, err := a.Orphans(ctx, now)
	if err != nil {
		return nil, err
	}
	return a.remove(slices.DeleteFunc(all, func(o Orphan) bool { return !o.Old }))
}

// remove removes stored files and syncs the folders they were in. It gives those that are gone, also when it fails.
func (a *Aside) remove(list []Orphan) ([]Orphan, error) {
	folders := map[string]bool{}
	for i, o := range list {
		name := blobName(o.SHA256)
		if err := a.root.Remove(name); err != nil {
			return list[:i], fmt.Errorf("remove %s: %w", name, err)
		}
		folders[filepath.Dir(name)] = true
	}
	for folder := range folders {
		if err := syncIn(a.root, folder); err != nil {
			return list, fmt.Errorf("sync %s: %w", folder, err)
		}
	}
	return list, nil
}

// contentsReadable is nil when every content that names files is there and is what it was.
func (a *Aside) contentsReadable(ctx context.Context) error {
	for _, table := range contentTables {
		if there, err := hasTable(ctx, a.db, table); err != nil {
			return err
		} else if !there {
			continue
		}
		rows, err := a.db.QueryContext(ctx, `SELECT DISTINCT sha256 FROM `+table) // #nosec G202 -- a name of the list contentTables
		sums, err := collect(rows, err, func(row scanner) (string, error) {
			var sum string
			return sum, row.Scan(&sum)
		})
		if err != nil {
			return err
		}
		for _, sum := range sums {
			if is, err := a.sumOf(ctx, sum); err != nil || is != sum {
				return fmt.Errorf("%s of %s is missing or damaged, so what it names is not known: mend that first", missingName(sum), table)
			}
		}
	}
	return nil
}

// syncIn makes the names in a folder durable.
func syncIn(root *os.Root, name string) error {
	f, err := root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
