package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"strings"
)

// migrationFiles are applied in the order of their numbers, 1, 2, …; each sets user_version to its number. One that was released is never
// edited.
//
//go:embed migrations/*.sql
var migrationFiles embed.FS

// applicationID marks a database as one of ours ("Ucrf").
const applicationID = 0x55637266

// migrations are the texts of the migrations; the first has the number 1.
func migrations() ([]string, error) {
	entries, err := fs.ReadDir(migrationFiles, "migrations")
	if err != nil {
		return nil, err
	}
	var texts []string
	for i, e := range entries {
		number, _, _ := strings.Cut(e.Name(), "_")
		if n, err := strconv.Atoi(number); err != nil || n != i+1 {
			return nil, fmt.Errorf("migration %s is not number %d", e.Name(), i+1)
		}
		text, err := migrationFiles.ReadFile("migrations/" + e.Name())
		if err != nil {
			return nil, err
		}
		texts = append(texts, string(text))
	}
	return texts, nil
}

// inspect looks at an existing database before anything may change it: it must be ours and not of a newer program.
func inspect(ctx context.Context, path string) error {
	if info, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return fmt.Errorf("look at the database: %w", err)
	} else if !info.Mode().IsRegular() {
		return fmt.Errorf("%s is not a file", path)
	}
	db, err := openQuiet(path)
	if err != nil {
		return fmt.Errorf("look at the database: %w", err)
	}
	defer db.Close()
	_, err = lookAt(ctx, db, path)
	return err
}

// inspectionQuery opens a database so that looking changes nothing. Without a log, the file is all there is, and immutable keeps SQLite from
// making an empty log beside it; the folder's lock keeps others away.
func inspectionQuery(path string) string {
	const query = "mode=ro&_query_only=1&_defensive=1&_dqs=0&_pragma=busy_timeout(5000)"
	if _, err := os.Stat(path + "-wal"); errors.Is(err, fs.ErrNotExist) {
		return query + "&immutable=1"
	}
	return query
}

// judge decides whether a database with this header may be opened.
func judge(path string, owner, version, tables int) error {
	known, err := migrations()
	switch {
	case err != nil:
		return err
	case owner == 0 && version == 0 && tables == 0: // made, but a crash came before the first migration
		return nil
	case owner != applicationID:
		return fmt.Errorf("%s belongs to another program", path)
	case version > len(known):
		return fmt.Errorf("%s was written by a newer Undercroft (schema %d, this one knows up to %d): use the newer program; nothing was changed",
			path, version, len(known))
	}
	return nil
}

// migrate brings the schema to the newest version, each step in a transaction of its own.
func migrate(ctx context.Context, db *sql.DB) error {
	texts, err := migrations()
	if err != nil {
		return err
	}
	version, err := schemaVersion(ctx, db)
	if err != nil {
		return err
	}
	for version < len(texts) {
		if err := applyMigration(ctx, db, texts[version], version+1); err != nil {
			return fmt.Errorf("migrate to schema %d: %w", version+1, err)
		}
		version++
	}
	return nil
}

// applyMigration runs one migration and checks that it left every reference whole and set its number.
func applyMigration(ctx context.Context, db *sql.DB, text string, number int) error {
	t, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer t.Rollback()
	if _, err := t.ExecContext(ctx, text); err != nil {
		return err
	}
	if number == sealSchema {
		if err := sealOld(ctx, &tx{Tx: t}); err != nil {
			return err
		}
	}
	var dangling int
	if err := t.QueryRowContext(ctx, `SELECT count(*) FROM pragma_foreign_key_check`).Scan(&dangling); err != nil {
		return err
	}
	if dangling > 0 {
		return fmt.Errorf("%d rows refer to nothing", dangling)
	}
	if got, err := schemaVersion(ctx, t); err != nil {
		return err
	} else if got != number {
		return fmt.Errorf("it sets version %d", got)
	}
	return t.Commit()
}

// schemaVersion reads the number of the last migration.
func schemaVersion(ctx context.Context, q query) (int, error) {
	var version int
	if err := q.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&version); err != nil {
		return 0, fmt.Errorf("read schema version: %w", err)
	}
	return version, nil
}
