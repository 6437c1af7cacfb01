package store

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"undercroft/survey"
	"undercroft/survey/store/disktest"
)

// pooled opens n connections of a pool at once.
func pooled(t *testing.T, s *Store, query string, n int) []*sql.Conn {
	t.Helper()
	db := must(openPool(filepath.Join(s.dir, databaseName), query, n))(t)
	t.Cleanup(func() { db.Close() })
	var conns []*sql.Conn
	for range n {
		c := must(db.Conn(t.Context()))(t)
		t.Cleanup(func() { c.Close() })
		conns = append(conns, c)
	}
	return conns
}

func TestSettings(t *testing.T) {
	s := newStore(t)
	for name, query := range map[string]string{"writer": writerQuery, "reader": readerQuery} {
		for i, c := range pooled(t, s, query, 10) {
			for _, want := range settings {
				var got string
				if err := c.QueryRowContext(t.Context(), want.pragma).Scan(&got); err != nil || got != want.want {
					t.Errorf("%s %d: %s is %q, %v, want %q", name, i, want.pragma, got, err, want.want)
				}
			}
			if _, err := c.QueryContext(t.Context(), `SELECT "no such column"`); err == nil {
				t.Errorf("%s %d: a text in double quotes passed", name, i)
			}
			// sqlite.org/c3ref/c_dbconfig_defensive.html: in defensive mode writable_schema cannot be switched on.
			var writable int
			if _, err := c.ExecContext(t.Context(), `PRAGMA writable_schema = ON`); err != nil {
				t.Error(err)
			}
			if err := c.QueryRowContext(t.Context(), `PRAGMA writable_schema`).Scan(&writable); err != nil || writable != 0 {
				t.Errorf("%s %d: the schema is writable (%d, %v)", name, i, writable, err)
			}
		}
	}
}

func TestReaderCannotWrite(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	_, err := s.reader.ExecContext(t.Context(), `UPDATE survey SET title = 'x'`)
	if e, ok := errors.AsType[*sqlite.Error](err); !ok || e.Code()&0xff != sqlite3.SQLITE_READONLY {
		t.Errorf("got error %v, want SQLITE_READONLY", err)
	}
	// mode=ro holds even when query_only is switched off.
	c := pooled(t, s, readerQuery, 1)[0]
	if _, err := c.ExecContext(t.Context(), `PRAGMA query_only = OFF`); err != nil {
		t.Fatal(err)
	}
	_, err = c.ExecContext(t.Context(), `UPDATE survey SET title = 'x'`)
	if e, ok := errors.AsType[*sqlite.Error](err); !ok || e.Code()&0xff != sqlite3.SQLITE_READONLY {
		t.Errorf("got error %v, want SQLITE_READONLY", err)
	}
	if got := must(s.Survey(t.Context(), v.ID))(t); got != v {
		t.Errorf("got %+v", got)
	}
}

// TestTransactionsAreImmediate begins a transaction that has not written yet: it holds the right to write all the same.
func TestTransactionsAreImmediate(t *testing.T) {
	s := newStore(t)
	conns := pooled(t, s, writerQuery, 2)
	first := must(conns[0].BeginTx(t.Context(), nil))(t)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if _, err := conns[1].BeginTx(ctx, nil); err == nil {
		t.Error("two transactions may write at once")
	}
	if err := first.Rollback(); err != nil {
		t.Fatal(err)
	}
	second := must(conns[1].BeginTx(t.Context(), nil))(t)
	if err := second.Rollback(); err != nil {
		t.Fatal(err)
	}
}

func TestConnectionIsRefused(t *testing.T) {
	s := newStore(t)
	db := must(openPool(filepath.Join(s.dir, databaseName), strings.Replace(writerQuery, "synchronous(FULL)", "synchronous(NORMAL)", 1), 1))(t)
	defer db.Close()
	if err := db.PingContext(t.Context()); err == nil || !strings.Contains(err.Error(), "synchronous is 1, not 2") {
		t.Errorf("got error %v", err)
	}
}

// openElsewhere runs Open in another process and gives what it says.
func openElsewhere(t *testing.T, dir string) (string, error) {
	t.Helper()
	cmd := exec.Command(must(os.Executable())(t), dir)
	cmd.Env = append(os.Environ(), childEnv+"=open")
	out, err := cmd.Output()
	return strings.TrimSpace(string(out)), err
}

func TestSecondProcess(t *testing.T) {
	s := newStore(t)
	for name, try := range map[string]func() string{
		"another process": func() string { out, _ := openElsewhere(t, s.dir); return out },
		"this process": func() string {
			_, err := Open(t.Context(), Config{Dir: s.dir, Now: newClock().Now})
			return err.Error()
		},
	} {
		got := try()
		if !strings.Contains(got, "another process is using it") || strings.Contains(got, "\n") {
			t.Errorf("%s: got %q", name, got)
		}
	}
	v := addSurvey(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if out, err := openElsewhere(t, s.dir); err != nil || out != "open" {
		t.Errorf("after Close: %q, %v", out, err)
	}
	again := openAt(t, s.dir)
	if got := must(again.Survey(t.Context(), v.ID))(t); got != v {
		t.Errorf("got %+v, want %+v", got, v)
	}
}

// TestLockSurvivesClose closes a file descriptor of the database while a transaction holds its lock. With the locks that SQLite uses by default
// this frees the lock, and another process can write at the same time (sqlite.org/howtocorrupt.html, section 2.2).
func TestLockSurvivesClose(t *testing.T) {
	s := newStore(t)
	path := filepath.Join(s.dir, databaseName)
	addSurvey(t, s)
	locked := func() bool {
		f := must(os.OpenFile(path, os.O_RDWR, 0))(t)
		defer f.Close()
		// SQLite's shared lock: 510 bytes from 0x40000002 (sqlite.org/fileformat2.html, lock-byte page; os.h). In WAL mode every
		// connection holds it as long as it is open.
		lock := unix.Flock_t{Type: unix.F_WRLCK, Start: 0x40000002, Len: 510}
		if err := unix.FcntlFlock(f.Fd(), unix.F_OFD_GETLK, &lock); err != nil {
			t.Fatal(err)
		}
		return lock.Type != unix.F_UNLCK
	}
	if !locked() {
		t.Fatal("no lock to begin with: the test looks at the wrong place")
	}
	for range 3 {
		f := must(os.Open(path))(t)
		f.Close()
	}
	if !locked() {
		t.Error("closing a file descriptor took the lock")
	}
	if !sqlite.OFDLockingEnabled() {
		t.Error("open file description locks are not in effect")
	}
}

func TestCloseLeavesNoLog(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	if _, err := os.Stat(filepath.Join(s.dir, databaseName+"-wal")); err != nil {
		t.Fatal("no log while open:", err)
	}
	for range 2 {
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for _, end := range []string{"-wal", "-shm", "-journal"} {
		if _, err := os.Stat(filepath.Join(s.dir, databaseName+end)); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s is left (%v)", end, err)
		}
	}
	if _, err := s.Survey(t.Context(), v.ID); !errors.Is(err, errClosed) {
		t.Errorf("after Close: got error %v", err)
	}
	if _, err := s.UpdateSurvey(t.Context(), v); !errors.Is(err, errClosed) {
		t.Errorf("after Close: got error %v", err)
	}
	if reasons, err := s.Ready(t.Context()); len(reasons) != 1 || reasons[0] != ReasonClosed || !errors.Is(err, errClosed) {
		t.Errorf("after Close: got error %v", err)
	}
}

func TestTidyLog(t *testing.T) {
	s := newStore(t)
	addSurvey(t, s)
	s.tidyLog()
	if info := must(os.Stat(filepath.Join(s.dir, databaseName+"-wal")))(t); info.Size() != 0 {
		t.Errorf("the log has %d bytes", info.Size())
	}
}

func TestOpenSweeps(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "data")
	s := openAt(t, dir)
	if _, _, err := s.TempDir(); err != nil {
		t.Fatal(err)
	}
	f, _, err := s.createTemp("blob-")
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if left := temporaries(t, s); len(left) != 2 {
		t.Fatalf("before: %q", left)
	}
	again := openAt(t, dir)
	if left := temporaries(t, again); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
	if mode := must(os.Stat(dir))(t).Mode().Perm(); mode != 0o700 {
		t.Errorf("the folder has mode %o", mode)
	}
	if reasons, err := again.Ready(t.Context()); err != nil || len(reasons) > 0 {
		t.Error(err)
	}
}

// refused opens a folder that cannot be used and looks at the one line that says why.
func refused(t *testing.T, dir, want string) {
	t.Helper()
	s, err := Open(t.Context(), Config{Dir: dir, Now: newClock().Now})
	if err == nil {
		s.Close()
		t.Fatal("it was opened")
	}
	if !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), dir) || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %q, want one line with %q and the folder", err, want)
	}
}

func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	refused(t, file, "is a file")
	refused(t, filepath.Join(file, "data"), "is a file, or lies in one")

	text := filepath.Join(dir, "text")
	if err := os.Mkdir(text, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(text, databaseName), []byte(strings.Repeat("no database ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	refused(t, text, "is not a database")

	foreign := filepath.Join(dir, "foreign")
	if err := os.Mkdir(foreign, 0o700); err != nil {
		t.Fatal(err)
	}
	db := must(sql.Open("sqlite", source(filepath.Join(foreign, databaseName), "")))(t)
	if _, err := db.Exec(`CREATE TABLE other (x)`); err != nil {
		t.Fatal(err)
	}
	db.Close()
	refused(t, foreign, "belongs to another program")

	if _, err := Open(t.Context(), Config{Dir: filepath.Join(dir, "new")}); err == nil {
		t.Error("it was opened without a clock")
	}
}

// TestOpenWithoutRights asks as another user, which root can do for one thread.
func TestOpenWithoutRights(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can ask as another user")
	}
	dir := filepath.Join(t.TempDir(), "data")
	s := openAt(t, dir)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	const nobody = 65534
	done := make(chan error)
	go func() {
		runtime.LockOSThread() // never unlocked: the thread ends with the goroutine
		if err := unix.Setfsuid(nobody); err != nil {
			done <- err
			return
		}
		_, err := Open(context.Background(), Config{Dir: dir, Now: newClock().Now})
		done <- err
	}()
	err := <-done
	if err == nil || !strings.Contains(err.Error(), "not enough rights") || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v", err)
	}
}

func TestOpenReadOnly(t *testing.T) {
	dir := disktest.Memory(t, "size=8m")
	s := openAt(t, dir)
	v := addSurvey(t, s)
	if err := unix.Mount("tmpfs", dir, "tmpfs", unix.MS_REMOUNT|unix.MS_RDONLY, "size=8m"); err == nil {
		t.Error("it became read-only while files were open for writing: the test is to be made anew")
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err := unix.Mount("tmpfs", dir, "tmpfs", unix.MS_REMOUNT|unix.MS_RDONLY, "size=8m"); err != nil {
		t.Fatal(err)
	}
	refused(t, dir, "is read-only")
	if err := unix.Mount("tmpfs", dir, "tmpfs", unix.MS_REMOUNT, "size=8m"); err != nil {
		t.Fatal(err)
	}
	again := openAt(t, dir)
	if got := must(again.Survey(t.Context(), v.ID))(t); got != v {
		t.Errorf("got %+v", got)
	}
}

// TestCloseWaits closes a store while it is in use.
func TestCloseWaits(t *testing.T) {
	s := openAt(t, filepath.Join(t.TempDir(), "data"))
	began, done := make(chan struct{}), make(chan error)
	go func() {
		_, err := write(context.Background(), s, "slow", func(ctx context.Context, tx *tx) (survey.Survey, error) {
			close(began)
			time.Sleep(100 * time.Millisecond)
			return createSurvey(ctx, tx, sampleSurvey())
		})
		done <- err
	}()
	<-began
	closed := make(chan error)
	go func() { closed <- s.Close() }()
	if err := <-done; err != nil {
		t.Error("the transaction under way:", err)
	}
	if err := <-closed; err != nil {
		t.Error("close:", err)
	}
}
