package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Aside reads a data folder without taking it: beside a process that serves it, or when nobody does. It changes nothing and needs no migration: a folder of an older
// schema is read as it is. As long as it is open, DeleteOrphans refuses to remove anything. Where nobody serves the folder, SQLite leaves an empty -wal and a -shm beside
// the database, which the next start takes up.
type Aside struct {
	dir    string
	root   *os.Root
	blobs  *os.File // holds the lock that keeps every stored file where it is
	db     *sql.DB
	schema int
}

// asideQuery opens a database that another process may be writing. Not query_only: VACUUM INTO would count as writing; mode=ro keeps this one as it is.
const asideQuery = "mode=ro&_defensive=1&_dqs=0&_pragma=busy_timeout(5000)"

// OpenAside opens a data folder for reading. It fails with one line that says why when there is none, it belongs to something else or to a newer program, or its files are
// being cleared up just now.
func OpenAside(ctx context.Context, dir string) (*Aside, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(filepath.Join(dir, databaseName)); errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR) {
		return nil, fmt.Errorf("there is no data folder %s: name it with -data", dir)
	} else if err != nil {
		return nil, explainFolder(dir, err)
	}
	if err := unfinished(dir); err != nil {
		return nil, err
	}
	a := &Aside{dir: dir}
	if err := a.open(ctx); err != nil {
		return nil, errors.Join(err, a.Close())
	}
	return a, nil
}

func (a *Aside) open(ctx context.Context) error {
	var err error
	if a.root, err = os.OpenRoot(a.dir); err != nil {
		return explainFolder(a.dir, err)
	}
	if a.blobs, err = a.root.Open(blobsName); err != nil {
		return explainFolder(a.dir, err)
	}
	if err := LockFolder(a.blobs, false); errors.Is(err, ErrLocked) {
		return fmt.Errorf("files of the data folder %s are being removed just now: try again in a minute", a.dir)
	} else if err != nil {
		return fmt.Errorf("lock the files of %s: %w", a.dir, err)
	}
	if _, err := sqlite.OFDLocking(true); err != nil {
		return fmt.Errorf("the data folder %s cannot be locked safely on this system: %w", a.dir, err)
	}
	path := filepath.Join(a.dir, databaseName)
	if a.db, err = sql.Open("sqlite", source(path, asideQuery)); err != nil {
		return fmt.Errorf("open database: %w", err)
	}
	a.db.SetMaxOpenConns(2)
	a.schema, err = lookAt(ctx, a.db, path)
	return err
}

// Close gives the folder free.
func (a *Aside) Close() error {
	var errs []error
	if a.db != nil {
		errs = append(errs, a.db.Close())
	}
	if a.blobs != nil {
		errs = append(errs, a.blobs.Close())
	}
	if a.root != nil {
		errs = append(errs, a.root.Close())
	}
	return errors.Join(errs...)
}

// Open opens a stored file by its SHA-256. The error is fs.ErrNotExist when there is none.
func (a *Aside) Open(sum string) (*os.File, error) {
	if !isSum(sum) {
		return nil, fs.ErrNotExist
	}
	return a.root.Open(blobName(sum))
}

// Copy writes the database as it is at one moment into a new file, checks that the copy is whole and puts it on the disk; the folder that it lies in is the caller's to
// sync. Others go on writing meanwhile. The error wraps syscall.ENOSPC when there is no room for the copy; then, as after any error, the file may be there by half.
func (a *Aside) Copy(ctx context.Context, path string) (Inventory, error) {
	if _, err := a.db.ExecContext(ctx, `VACUUM INTO ?`, path); err != nil {
		if noSpace(err) {
			err = fmt.Errorf("%w: %w", syscall.ENOSPC, err)
		}
		return Inventory{}, fmt.Errorf("copy the database: %w", err)
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0) // #nosec G304 -- the copy that was just written
	if err != nil {
		return Inventory{}, fmt.Errorf("copy the database: %w", err)
	}
	// The documentation of VACUUM INTO does not promise that the copy is on the disk (sqlite.org/lang_vacuum.html).
	if err := errors.Join(f.Sync(), f.Chmod(0o400), f.Close()); err != nil {
		return Inventory{}, fmt.Errorf("copy the database: %w", err)
	}
	return TakeInventory(ctx, path, a.Open)
}

// openQuiet opens a database that nobody else uses; looking changes nothing.
func openQuiet(path string) (*sql.DB, error) {
	return sql.Open("sqlite", source(path, inspectionQuery(path)))
}

// lookAt reads whose database it is and of which schema: an error when it is not ours, or a newer one.
func lookAt(ctx context.Context, db *sql.DB, path string) (schema int, err error) {
	var owner, version, tables int
	err = db.QueryRowContext(ctx, `SELECT a.application_id, v.user_version, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_application_id a, pragma_user_version v`).Scan(&owner, &version, &tables)
	if e, ok := errors.AsType[*sqlite.Error](err); ok && e.Code()&0xff == sqlite3.SQLITE_NOTADB {
		return 0, fmt.Errorf("%s is not a database", path)
	} else if ok && e.Code()&0xff == sqlite3.SQLITE_CORRUPT {
		return 0, fmt.Errorf("the database %s is damaged (%w). %s", path, err, DatabaseDamage.todo())
	}
	if err != nil {
		return 0, fmt.Errorf("look at the database: %w", err)
	}
	return version, judge(path, owner, version, tables)
}

// newest is the newest change of all: when, and in which survey. Both are zero when there is no survey.
func newest(ctx context.Context, q query) (at time.Time, title string, err error) {
	var ms int64
	err = q.QueryRowContext(ctx, `SELECT title, changed_at FROM survey ORDER BY changed_seq DESC LIMIT 1`).Scan(&title, &ms)
	if errors.Is(err, sql.ErrNoRows) {
		return time.Time{}, "", nil
	}
	return storedTime(ms), title, err
}
