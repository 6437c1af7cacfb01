package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"

	"modernc.org/sqlite"

	"undercroft/survey"
)

// People is what a store does about those who may sign in.
type People interface {
	AddPerson(ctx context.Context, p survey.Person, hash string) (survey.Person, error)
	People(ctx context.Context) ([]survey.Person, error)
	DisablePerson(ctx context.Context, name string) (survey.Person, error)
	ResetPerson(ctx context.Context, name, hash string) (survey.Person, error)
	Close() error
}

// OpenPeople opens a data folder for what is done about people. It does so also beside a process that serves the folder, which sees every change at its
// next request; then the schema must be this program's.
func OpenPeople(ctx context.Context, c Config) (People, error) {
	s, err := Open(ctx, c)
	if !errors.Is(err, errInUse) {
		return s, err
	}
	return openBeside(ctx, c)
}

// openBeside opens the database alone, without the folder's lock: SQLite's own locks order what several processes write. Nothing else of the folder
// is touched.
func openBeside(ctx context.Context, c Config) (People, error) {
	if _, err := sqlite.OFDLocking(true); err != nil {
		return nil, fmt.Errorf("the data folder %s cannot be locked safely on this system: %w", c.Dir, err)
	}
	s := &Store{dir: c.Dir, now: c.Now, log: slog.New(slog.DiscardHandler), turnLimit: writeLimit, broken: make(chan struct{}), stop: make(chan struct{}), beside: true}
	path := filepath.Join(c.Dir, databaseName)
	var err error
	if s.writer, err = openPool(path, writerQuery, 1); err != nil {
		return nil, errors.Join(err, s.release())
	}
	if s.reader, err = openPool(path, readerQuery, 1); err != nil {
		return nil, errors.Join(err, s.release())
	}
	known, err := migrations()
	if err != nil {
		return nil, errors.Join(err, s.release())
	}
	version, err := schemaVersion(ctx, s.reader)
	if err == nil && version != len(known) {
		err = fmt.Errorf("the data folder %s is being served by another version of Undercroft (schema %d, this one's is %d): stop that first", c.Dir, version, len(known))
	}
	if err != nil {
		return nil, errors.Join(err, s.release())
	}
	return s, nil
}

// AnyPerson tells whether anybody was ever given a password, disabled or not: from then on everybody has to sign in.
func (s *Store) AnyPerson(ctx context.Context) (bool, error) {
	return read(ctx, s, "look for people", func(ctx context.Context, q query) (bool, error) {
		var any bool
		err := q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM person)`).Scan(&any)
		return any, err
	})
}

// People lists everybody by name, the disabled ones too.
func (s *Store) People(ctx context.Context) ([]survey.Person, error) {
	return read(ctx, s, "list people", func(ctx context.Context, q query) ([]survey.Person, error) {
		rows, err := q.QueryContext(ctx, `SELECT `+personColumns+` FROM person ORDER BY name_key`)
		return collect(rows, err, scanPerson)
	})
}

// Credentials finds a person by name, whatever its case, with the hash of the password. NotFound when there is nobody of that name.
func (s *Store) Credentials(ctx context.Context, name string) (p survey.Person, hash string, err error) {
	p, err = read(ctx, s, "read a person", func(ctx context.Context, q query) (survey.Person, error) {
		p, err := findPerson(ctx, q, name)
		if err != nil {
			return p, err
		}
		return p, q.QueryRowContext(ctx, `SELECT password FROM person WHERE id = ?`, p.ID).Scan(&hash)
	})
	return p, hash, err
}

// AddPerson adds somebody with the hash of a password; ID and times are given here. Invalid when Validate refuses it or the name is taken.
func (s *Store) AddPerson(ctx context.Context, p survey.Person, hash string) (survey.Person, error) {
	if err := p.Validate(); err != nil {
		return survey.Person{}, err
	}
	return write(ctx, s, "add a person", func(ctx context.Context, t *tx) (survey.Person, error) {
		if taken, err := findPerson(ctx, t, p.Name); err == nil {
			return survey.Person{}, survey.Errorf(survey.Invalid, "There is a %s already: choose another name, or give that one a new password.", taken.Name)
		} else if survey.KindOf(err) != survey.NotFound {
			return survey.Person{}, err
		}
		p.ID, p.Disabled, p.CreatedAt = survey.PersonID(survey.NewID()), false, t.now
		_, err := t.ExecContext(ctx, `INSERT INTO person (id, name, name_key, role, password, created_at) VALUES (?, ?, ?, ?, ?, ?)`,
			p.ID, p.Name, survey.NameKey(p.Name), p.Role, hash, t.now.UnixMilli())
		return p, err
	})
}

// DisablePerson keeps somebody out: all sessions end with it. NotFound when there is nobody of that name. Doing it again changes nothing.
func (s *Store) DisablePerson(ctx context.Context, name string) (survey.Person, error) {
	return write(ctx, s, "disable a person", func(ctx context.Context, t *tx) (survey.Person, error) {
		p, err := findPerson(ctx, t, name)
		if err != nil {
			return p, err
		}
		p.Disabled = true
		if _, err := t.ExecContext(ctx, `UPDATE person SET disabled_at = coalesce(disabled_at, ?) WHERE id = ?`, t.now.UnixMilli(), p.ID); err != nil {
			return p, err
		}
		return p, endSessions(ctx, t, p.ID)
	})
}

// ResetPerson gives somebody a new password, ends all sessions and lets one who was disabled in again. NotFound when there is nobody of that name.
func (s *Store) ResetPerson(ctx context.Context, name, hash string) (survey.Person, error) {
	return write(ctx, s, "reset a person", func(ctx context.Context, t *tx) (survey.Person, error) {
		p, err := findPerson(ctx, t, name)
		if err != nil {
			return p, err
		}
		p.Disabled = false
		if _, err := t.ExecContext(ctx, `UPDATE person SET password = ?, disabled_at = NULL WHERE id = ?`, hash, p.ID); err != nil {
			return p, err
		}
		return p, endSessions(ctx, t, p.ID)
	})
}

// ChangePassword replaces the hash that somebody's password had by that of a new one, and ends all sessions. Conflict when it is another by now, or the person was
// disabled meanwhile: then nothing changes.
func (s *Store) ChangePassword(ctx context.Context, id survey.PersonID, was, hash string) error {
	_, err := write(ctx, s, "change a password", func(ctx context.Context, t *tx) (struct{}, error) {
		done, err := t.ExecContext(ctx, `UPDATE person SET password = ? WHERE id = ? AND password = ? AND disabled_at IS NULL`, hash, id, was)
		if err != nil {
			return struct{}{}, err
		}
		n, err := done.RowsAffected()
		switch {
		case err != nil:
			return struct{}{}, err
		case n == 0:
			return struct{}{}, survey.Errorf(survey.Conflict, "The password was changed meanwhile. Sign in with the new one.")
		}
		return struct{}{}, endSessions(ctx, t, id)
	})
	return err
}

// RenewHash replaces the hash of a password by one of the same password made at a higher cost, unless the password was changed meanwhile.
func (s *Store) RenewHash(ctx context.Context, id survey.PersonID, was, hash string) error {
	_, err := write(ctx, s, "renew a hash", func(ctx context.Context, t *tx) (struct{}, error) {
		_, err := t.ExecContext(ctx, `UPDATE person SET password = ? WHERE id = ? AND password = ?`, hash, id, was)
		return struct{}{}, err
	})
	return err
}

const personColumns = `id, name, role, created_at, disabled_at`

func scanPerson(row scanner) (survey.Person, error) {
	var p survey.Person
	var made int64
	var disabled sql.NullInt64
	if err := row.Scan(&p.ID, &p.Name, &p.Role, &made, &disabled); err != nil {
		return survey.Person{}, err
	}
	p.CreatedAt, p.Disabled = storedTime(made), disabled.Valid
	return p, nil
}

func findPerson(ctx context.Context, q query, name string) (survey.Person, error) {
	p, err := scanPerson(q.QueryRowContext(ctx, `SELECT `+personColumns+` FROM person WHERE name_key = ?`, survey.NameKey(name)))
	return p, missing("person", err)
}
