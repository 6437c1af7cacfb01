package store

import (
	"crypto/sha256"
	"database/sql"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestSchema holds the schema that the migrations make against schema.sql.
func TestSchema(t *testing.T) {
	s := newStore(t)
	rows, err := s.reader.QueryContext(t.Context(), `SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY tbl_name, type DESC, name`)
	list, err := collect(rows, err, func(row scanner) (string, error) {
		var text string
		return text, row.Scan(&text)
	})
	if err != nil {
		t.Fatal(err)
	}
	got := "-- The schema as the migrations leave it. Written by: go test ./survey/store -run TestSchema -update\n\n" + strings.Join(list, ";\n\n") + ";\n"
	if *update {
		if err := os.WriteFile("schema.sql", []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want := string(must(os.ReadFile("schema.sql"))(t)); got != want {
		t.Errorf("schema.sql is out of date; look at the difference and run with -update. Got:\n%s", got)
	}
	known := must(migrations())(t)
	if version := must(schemaVersion(t.Context(), s.reader))(t); version != len(known) {
		t.Errorf("version %d, want %d", version, len(known))
	}
}

func TestAllTablesAreStrict(t *testing.T) {
	s := newStore(t)
	rows, err := s.reader.QueryContext(t.Context(), `SELECT name, strict FROM pragma_table_list WHERE type = 'table' AND name NOT LIKE 'sqlite_%'`)
	_, err = collect(rows, err, func(row scanner) (struct{}, error) {
		var name string
		var strict bool
		err := row.Scan(&name, &strict)
		if !strict {
			t.Errorf("table %s is not strict", name)
		}
		return struct{}{}, err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// fingerprint is the SHA-256 of a file's bytes, empty when there is none. The database must not be in use by this process.
func fingerprint(t *testing.T, path string) string {
	t.Helper()
	f, err := os.Open(path)
	if os.IsNotExist(err) {
		return ""
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		t.Fatal(err)
	}
	return string(sum.Sum(nil))
}

// newerFolder makes a folder of a newer program: after a clean stop, or after a crash, with the newer version still in the log.
func newerFolder(t *testing.T, crashed bool) string {
	t.Helper()
	s := openAt(t, filepath.Join(t.TempDir(), "data"))
	addSurvey(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	db := must(sql.Open("sqlite", source(filepath.Join(s.dir, databaseName), "_pragma=journal_mode(WAL)")))(t)
	defer db.Close()
	if _, err := db.Exec(`PRAGMA user_version = 99`); err != nil {
		t.Fatal(err)
	}
	if !crashed {
		return s.dir
	}
	copied := filepath.Join(t.TempDir(), "data")
	if err := os.CopyFS(copied, os.DirFS(s.dir)); err != nil {
		t.Fatal(err)
	}
	if fingerprint(t, filepath.Join(copied, databaseName+"-wal")) == "" {
		t.Fatal("there is no log to copy")
	}
	os.Remove(filepath.Join(copied, databaseName+"-shm")) // as after a power cut
	return copied
}

func TestNewerSchema(t *testing.T) {
	for name, crashed := range map[string]bool{"clean": false, "crashed": true} {
		t.Run(name, func(t *testing.T) {
			dir := newerFolder(t, crashed)
			path := filepath.Join(dir, databaseName)
			before, log := fingerprint(t, path), fingerprint(t, path+"-wal")
			refused(t, dir, "newer Undercroft")
			if fingerprint(t, path) != before {
				t.Error("the database was changed")
			}
			if fingerprint(t, path+"-wal") != log {
				t.Error("the log was changed")
			}
		})
	}
}

// TestMigrationIsAllOrNothing stops a migration in its middle.
func TestMigrationIsAllOrNothing(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	now := len(must(migrations())(t))
	next := fmt.Sprintf(`PRAGMA user_version = %d;`, now+1)
	for name, text := range map[string]string{
		"error":            `CREATE TABLE half (x INTEGER) STRICT; UPDATE survey SET nothing = 1; ` + next,
		"forgets version":  `CREATE TABLE half (x INTEGER) STRICT;`,
		"breaks reference": `CREATE TABLE half (x INTEGER) STRICT; PRAGMA defer_foreign_keys = ON; INSERT INTO fact VALUES ('none', 'k', '', 1, 0); ` + next,
	} {
		if err := applyMigration(t.Context(), s.writer, text, now+1); err == nil {
			t.Errorf("%s: no error", name)
		}
		var tables int
		if err := s.writer.QueryRow(`SELECT count(*) FROM sqlite_schema WHERE name = 'half'`).Scan(&tables); err != nil || tables != 0 {
			t.Errorf("%s: half of it is there (%v)", name, err)
		}
		if version := must(schemaVersion(t.Context(), s.writer))(t); version != now {
			t.Errorf("%s: version %d", name, version)
		}
	}
	if got := must(s.Survey(t.Context(), v.ID))(t); got != v {
		t.Errorf("got %+v", got)
	}
}
