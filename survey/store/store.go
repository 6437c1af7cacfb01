// Package store keeps surveys in one data folder: the records in one SQLite database, the bytes of photos and of what is made from
// them as files named by their SHA-256.
//
// What is answered without an error is on the disk: the database syncs its log at every commit, and a blob is written, synced, renamed
// and its folder synced before its name is given out. A row never names bytes that are not there; bytes that no row names may be
// left over after a crash and do no harm.
//
// Every change names the version of the row it was made from. When the row has gone on since, the answer is a Conflict that carries
// the stored row, and nothing is changed. Repeating a request that has taken effect gives the stored row and changes nothing.
//
// The folder holds undercroft.db with its -wal and -shm, blobs/, temp/, lock and, when it was made of a backup, restored. Nothing but this package may open the database
// while a process uses it.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"time"

	"modernc.org/sqlite"
)

// Config says where the data lie. Dir is made when it is missing. Now is the clock, needed; Log may be nil. KeepFree is how many bytes of the disk photos leave
// free, 0 for no limit; edits leave a sixteenth of that, at most 64 MiB.
type Config struct {
	Dir      string
	Now      func() time.Time
	Log      *slog.Logger
	KeepFree int64
}

// Store is one open data folder. Its methods are safe for use by several goroutines; after Close they fail.
type Store struct {
	dir    string
	now    func() time.Time
	log    *slog.Logger
	lock   *os.File
	root   *os.Root
	writer *sql.DB // one connection
	reader *sql.DB // a pool that cannot write

	turnLimit  time.Duration // for the wait to write
	keepFree   int64         // bytes of the disk
	arriving   arriving      // photos that have begun to arrive
	pieces     sync.Mutex    // from looking for the pieces of a photo to adding one
	publishing sync.Mutex    // from looking for a blob's name to taking it
	use        sync.RWMutex  // read-locked by each call, locked by Close
	closed     bool
	restored   time.Time     // zero unless the folder was made of a backup
	beside     bool          // the folder belongs to another process; only people are looked after here
	broken     chan struct{} // closed when the disk has refused a sync
	breakOnce  sync.Once
	stop       chan struct{} // ends the upkeep
	upkeep     sync.WaitGroup
}

// errClosed is the answer of a store after Close.
var errClosed = errors.New("the store is closed")

// errBroken is the answer to every change once the disk has refused a sync: what the system then says of the file is not to be relied on,
// so only a new start may go on.
var errBroken = errors.New("the disk failed to keep data: no changes until a restart")

// Open makes the folder when it is missing, takes it for this process alone, brings the database to the newest schema and removes
// temporary files that a crash has left. It fails with one line that says why when the folder is in use, is no folder, may not be
// written, holds a newer schema or something else, or cannot be locked safely.
func Open(ctx context.Context, c Config) (*Store, error) {
	if c.Now == nil {
		return nil, errors.New("open store: no clock given")
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	dir, err := filepath.Abs(c.Dir)
	if err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	s := &Store{dir: dir, now: c.Now, log: c.Log, keepFree: c.KeepFree, turnLimit: writeLimit, broken: make(chan struct{}), stop: make(chan struct{})}
	if err := s.openFolder(); err != nil {
		return nil, errors.Join(err, s.release())
	}
	if err := s.countPieces(); err != nil {
		return nil, errors.Join(explainFolder(s.dir, err), s.release())
	}
	if err := s.openDatabase(ctx); err != nil {
		return nil, errors.Join(err, s.release())
	}
	s.upkeep.Go(s.keepUp)
	return s, nil
}

// openDatabase opens both handles on the database and brings its schema up to date.
func (s *Store) openDatabase(ctx context.Context) error {
	// A lock of the other kind is lost whenever anything in this process closes a file descriptor of the database.
	if _, err := sqlite.OFDLocking(true); err != nil {
		return fmt.Errorf("the data folder %s cannot be locked safely on this system: %w", s.dir, err)
	}
	sqlite.StrictPragmas(true)
	path := filepath.Join(s.dir, databaseName)
	if err := inspect(ctx, path); err != nil {
		return err
	}
	var err error
	if s.writer, err = openPool(path, writerQuery, 1); err != nil {
		return err
	}
	if err := migrate(ctx, s.writer); err != nil {
		return err
	}
	if s.reader, err = openPool(path, readerQuery, readers); err != nil {
		return err
	}
	if err := s.reader.PingContext(ctx); err != nil {
		return fmt.Errorf("open database for reading: %w", err)
	}
	if !sqlite.OFDLockingEnabled() {
		return fmt.Errorf("the data folder %s lies on a file system that cannot lock safely (no open file description locks)", s.dir)
	}
	return nil
}

// errInUse is why a folder is not opened that another process serves.
var errInUse = errors.New("another process is using it")

// Close waits for the calls under way, writes the log back into the database and gives the folder free. After a clean Close no
// -wal file is left. Calling it again does nothing.
func (s *Store) Close() error {
	s.use.Lock()
	defer s.use.Unlock()
	if s.closed {
		return nil
	}
	s.closed = true
	close(s.stop)
	s.upkeep.Wait()
	readErr := s.reader.Close()
	s.reader = nil
	if s.beside || s.whole() != nil { // the log is another process's to write back; or what the disk holds is not known: nothing is moved
		return errors.Join(readErr, s.release())
	}
	ctx, cancel := context.WithTimeout(context.Background(), writeLimit)
	defer cancel()
	return errors.Join(readErr, checkpoint(ctx, s.writer), s.release())
}

// release closes whatever is open, the lock last.
func (s *Store) release() error {
	var errs []error
	if s.reader != nil {
		errs = append(errs, s.reader.Close())
	}
	if s.writer != nil {
		errs = append(errs, s.writer.Close())
	}
	if s.root != nil {
		errs = append(errs, s.root.Close())
	}
	if s.lock != nil {
		errs = append(errs, s.lock.Close())
	}
	return errors.Join(errs...)
}

// enter lets a call use the store until it calls s.use.RUnlock.
func (s *Store) enter() error {
	s.use.RLock()
	if s.closed {
		s.use.RUnlock()
		return errClosed
	}
	return nil
}

// Failed is closed when the disk has refused a sync. Reading goes on, every change is refused; the process should end and be started
// again, since only then is it known what the disk holds.
func (s *Store) Failed() <-chan struct{} { return s.broken }

// fail marks the store as broken.
func (s *Store) fail(cause error) {
	s.breakOnce.Do(func() {
		s.log.Error("the disk refused to keep data; no changes until a restart", "error", cause)
		close(s.broken)
	})
}

// whole is nil as long as the disk has kept what it was given.
func (s *Store) whole() error {
	select {
	case <-s.broken:
		return errBroken
	default:
		return nil
	}
}
