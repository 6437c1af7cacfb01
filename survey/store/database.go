package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"modernc.org/sqlite"

	"undercroft/survey"
)

// The settings of every connection. Constant text: a _pragma is run as SQL. WAL with synchronous=FULL syncs the log at each commit
// (sqlite.org/wal.html, "Performance Considerations"); with NORMAL a power cut loses commits that were answered. A transaction
// that reads first and writes later fails at once when another one came between, hence immediate.
const (
	writerQuery = "_txlock=immediate&_pragma=journal_mode(WAL)&" + commonQuery
	readerQuery = "mode=ro&_query_only=1&" + commonQuery
	commonQuery = "_defensive=1&_dqs=0&_pragma=busy_timeout(5000)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)&_pragma=journal_size_limit(67108864)"
)

const (
	readers    = 4
	writeLimit = 10 * time.Second // for one write transaction, whatever becomes of the request, and as long for the wait for its turn
	busyRetry  = 5 * time.Second  // to wait after that
)

// settings are read back on each new connection, since SQLite ignores what it does not know.
var settings = [...]struct{ pragma, want string }{
	{"PRAGMA journal_mode", "wal"},
	{"PRAGMA synchronous", "2"},
	{"PRAGMA foreign_keys", "1"},
	{"PRAGMA busy_timeout", "5000"},
	{"PRAGMA journal_size_limit", "67108864"},
}

// source names the database for the driver. Without the file: scheme mode=ro would be dropped in silence.
func source(path, query string) string {
	return (&url.URL{Scheme: "file", Path: path, RawQuery: query}).String()
}

// openPool opens a pool of at most size connections, each of them checked.
func openPool(path, query string, size int) (*sql.DB, error) {
	c, err := sqlite.NewConnector(source(path, query))
	if err != nil {
		return nil, fmt.Errorf("open database: %w", err)
	}
	db := sql.OpenDB(checkedConnector{c})
	db.SetMaxOpenConns(size)
	db.SetMaxIdleConns(size)
	return db, nil
}

// checkedConnector refuses a connection whose settings did not take.
type checkedConnector struct{ driver.Connector }

// Connect opens a connection and reads its settings back.
func (c checkedConnector) Connect(ctx context.Context) (driver.Conn, error) {
	conn, err := c.Connector.Connect(ctx)
	if err != nil {
		return nil, err
	}
	for _, s := range settings {
		got, err := readSetting(ctx, conn, s.pragma)
		if err == nil && got != s.want {
			err = fmt.Errorf("%s is %s, not %s", s.pragma, got, s.want)
		}
		if err != nil {
			return nil, errors.Join(fmt.Errorf("check database settings: %w", err), conn.Close())
		}
	}
	return conn, nil
}

// readSetting runs a query that gives one value.
func readSetting(ctx context.Context, conn driver.Conn, query string) (string, error) {
	q, ok := conn.(driver.QueryerContext)
	if !ok {
		return "", errors.New("the driver cannot query a bare connection")
	}
	rows, err := q.QueryContext(ctx, query, nil)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	value := make([]driver.Value, len(rows.Columns()))
	if err := rows.Next(value); errors.Is(err, io.EOF) || len(value) != 1 {
		return "", errors.New("no such setting")
	} else if err != nil {
		return "", err
	}
	return fmt.Sprint(value[0]), nil
}

// tx is one write transaction. now is its time, in whole milliseconds UTC; seq the last sequence number it has given, 0 before
// the first.
type tx struct {
	*sql.Tx
	now time.Time
	seq int64
}

// query is what both a transaction and the reading handle can do.
type query interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// write is writeAlways while there is space for edits, NoSpace when there is not.
func write[T any](ctx context.Context, s *Store, what string, fn func(context.Context, *tx) (T, error)) (T, error) {
	if err := s.spaceForEdit(); err != nil {
		var zero T
		return zero, s.explain(what, err)
	}
	return writeAlways(ctx, s, what, fn)
}

// writeAlways runs fn in a write transaction and gives its result once that is on the disk. The request may end while it waits for its turn;
// after that only the transaction's own time limit can stop it, never half-way. It is for what must be possible when the disk is nearly full: signing in, and
// making room.
func writeAlways[T any](ctx context.Context, s *Store, what string, fn func(context.Context, *tx) (T, error)) (T, error) {
	var zero T
	if err := s.enter(); err != nil {
		return zero, err
	}
	defer s.use.RUnlock()
	if err := s.whole(); err != nil {
		return zero, err
	}
	waiting, cancel := context.WithTimeout(ctx, s.turnLimit)
	defer cancel()
	conn, err := s.writer.Conn(waiting)
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil {
		return zero, &survey.Error{
			Kind: survey.Busy, Retry: busyRetry, Cause: fmt.Errorf("%s: wait for a turn to write: %w", what, err),
			Message: "The server has so much to write that this did not come to its turn, so nothing was saved. Keep it and send it again in a moment.",
		}
	}
	if err != nil {
		return zero, s.explain(what, err)
	}
	defer conn.Close()
	working, done := context.WithTimeout(context.WithoutCancel(ctx), writeLimit)
	defer done()
	begun, err := conn.BeginTx(working, nil)
	if err != nil {
		return zero, s.explain(what, err)
	}
	defer begun.Rollback() // after Commit it does nothing
	result, err := fn(working, &tx{Tx: begun, now: milliseconds(s.now())})
	if err != nil {
		return zero, s.explain(what, err)
	}
	if err := begun.Commit(); err != nil {
		return zero, s.explain(what, err)
	}
	return result, nil
}

// read runs fn in a read transaction, so that all it reads is of one moment.
func read[T any](ctx context.Context, s *Store, what string, fn func(context.Context, query) (T, error)) (T, error) {
	var zero T
	if err := s.enter(); err != nil {
		return zero, err
	}
	defer s.use.RUnlock()
	begun, err := s.reader.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return zero, s.explain(what, err)
	}
	defer begun.Rollback()
	result, err := fn(ctx, begun)
	if err != nil {
		return zero, s.explain(what, err)
	}
	return result, nil
}

// scanner is a row or rows.
type scanner interface{ Scan(dest ...any) error }

// collect reads all rows into memory and closes them, so that no reader keeps the log from being written back.
func collect[T any](rows *sql.Rows, err error, scan func(scanner) (T, error)) ([]T, error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	return all, rows.Err()
}

// milliseconds is t as it is stored.
func milliseconds(t time.Time) time.Time { return time.UnixMilli(t.UnixMilli()).UTC() }

// storedTime is the time of a stored number.
func storedTime(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// upkeepInterval is the time between two looks at the log; walAlarm the size at which something keeps it from being written back.
const (
	upkeepInterval = 5 * time.Minute
	walAlarm       = 256 << 20
)

// keepUp writes the log back and removes photos that never arrived whole now and then, until Close.
func (s *Store) keepUp() {
	ticker := time.NewTicker(upkeepInterval)
	defer ticker.Stop()
	for {
		select {
		case <-s.stop:
			return
		case <-ticker.C:
			s.tidyLog()
			if err := s.sweepPieces(); err != nil {
				s.log.Warn("could not look for photos that never arrived whole", "error", err)
			}
		}
	}
}

// tidyLog writes the log back when nobody is writing and says so when it has become far too long.
func (s *Store) tidyLog() {
	info, err := os.Stat(filepath.Join(s.dir, databaseName+"-wal"))
	if err != nil || info.Size() == 0 {
		return
	}
	if info.Size() > walAlarm {
		s.log.Error("the database's log keeps growing: something holds a read open", "bytes", info.Size())
	}
	if s.writer.Stats().InUse > 0 {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), writeLimit)
	defer cancel()
	if err := checkpoint(ctx, s.writer); err != nil {
		s.log.Warn("the database's log was not written back", "error", err)
	}
}

// checkpoint writes the whole log back and cuts it to nothing.
func checkpoint(ctx context.Context, db *sql.DB) error {
	var busy, pages, written int
	if err := db.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &pages, &written); err != nil {
		return fmt.Errorf("write back the log: %w", err)
	}
	if busy != 0 {
		return errors.New("write back the log: somebody is still reading")
	}
	return nil
}
