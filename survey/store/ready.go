package store

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// Reason is why changes cannot be kept, as a word for programs.
type Reason string

// The reasons.
const (
	ReasonClosed   Reason = "closed"
	ReasonDisk     Reason = "disk-failed" // it has refused a sync: only a new start may go on
	ReasonDatabase Reason = "database"    // it does not answer, or takes no writes
	ReasonSchema   Reason = "schema"      // it is not the one this program was made for
	ReasonFiles    Reason = "files"       // no file can be made and synced
	ReasonSpace    Reason = "low-space"   // less is free than edits must leave
)

// The size of the file that is made to find out, and how long the whole question may take.
const (
	probeBytes = 4096
	probeLimit = 5 * time.Second
)

// Ready is empty when records can be read, changes kept and files made. It changes nothing: what it writes is taken back. The error says more about the reasons, for the log.
func (s *Store) Ready(ctx context.Context) ([]Reason, error) {
	if err := s.enter(); err != nil {
		return []Reason{ReasonClosed}, err
	}
	defer s.use.RUnlock()
	if err := s.whole(); err != nil {
		return []Reason{ReasonDisk}, err
	}
	ctx, cancel := context.WithTimeout(ctx, probeLimit)
	defer cancel()
	var reasons []Reason
	var errs []error
	for _, check := range []struct {
		reason Reason
		ask    func(context.Context) error
	}{{ReasonSchema, s.checkSchema}, {ReasonDatabase, s.probeDatabase}, {ReasonFiles, s.probeFiles}, {ReasonSpace, func(context.Context) error { return s.spaceForEdit() }}} {
		if err := check.ask(ctx); err != nil {
			reasons, errs = append(reasons, check.reason), append(errs, err)
		}
	}
	return reasons, errors.Join(errs...)
}

// checkSchema reads the version of the schema.
func (s *Store) checkSchema(ctx context.Context) error {
	texts, err := migrations()
	if err != nil {
		return err
	}
	version, err := schemaVersion(ctx, s.reader)
	if err == nil && version != len(texts) {
		err = fmt.Errorf("the schema is %d, not %d", version, len(texts))
	}
	return err
}

// probeDatabase begins a change, which waits for whoever writes, makes one and takes it back.
func (s *Store) probeDatabase(ctx context.Context) error {
	begun, err := s.writer.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("begin a change: %w", err)
	}
	defer begun.Rollback()
	if _, err := begun.ExecContext(ctx, `CREATE TABLE probe (n INTEGER) STRICT`); err != nil {
		return fmt.Errorf("make a change: %w", err)
	}
	return begun.Rollback()
}

// probeFiles makes a file, syncs it and removes it.
func (s *Store) probeFiles(context.Context) error {
	f, name, err := s.createTemp("ready-")
	if err != nil {
		return fmt.Errorf("make a file: %w", err)
	}
	_, err = f.Write(make([]byte, probeBytes))
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close(), s.root.Remove(name))
}
