package store

import (
	"context"
	"encoding/json"
	"fmt"

	"undercroft/survey"
)

// recordKind is what a history entry is about.
type recordKind string

const (
	kindSurvey recordKind = "survey"
	kindPhoto  recordKind = "photo"
	kindPin    recordKind = "pin"
	kindFact   recordKind = "fact"
)

// change is what happened to a row.
type change string

const (
	created  change = "create"
	updated  change = "update"
	deleted  change = "delete"
	restored change = "restore"
)

// entry is one change for the history. Row is the row after it. by is who made it when nobody is signed in.
type entry struct {
	survey  survey.SurveyID
	kind    recordKind
	record  string
	change  change
	version int
	row     any
	by      string
}

// next gives the next number of the store's sequence. Only one transaction writes at a time, and the history shrinks by an erasure alone, which has a later number, so no
// number comes twice.
func (t *tx) next(ctx context.Context) (int64, error) {
	if t.seq == 0 {
		if err := t.QueryRowContext(ctx, `SELECT max(coalesce((SELECT max(seq) FROM history), 0), coalesce((SELECT max(seq) FROM erasure), 0))`).Scan(&t.seq); err != nil {
			return 0, fmt.Errorf("read sequence: %w", err)
		}
	}
	t.seq++
	return t.seq, nil
}

// keep writes a change into the history under its sequence number and marks its survey as changed.
func (t *tx) keep(ctx context.Context, seq int64, e entry) error {
	row, err := json.Marshal(e.row)
	if err != nil {
		return fmt.Errorf("write history: %w", err)
	}
	if who, ok := survey.PersonOf(ctx); ok {
		e.by = who.Name
	}
	_, err = t.ExecContext(ctx, `INSERT INTO history (seq, survey, kind, record, change, version, row, at, by) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		seq, e.survey, e.kind, e.record, e.change, e.version, string(row), t.now.UnixMilli(), e.by)
	if err != nil {
		return fmt.Errorf("write history: %w", err)
	}
	_, err = t.ExecContext(ctx, `UPDATE survey SET changed_at = ?, changed_seq = ? WHERE id = ?`, t.now.UnixMilli(), seq, e.survey)
	if err != nil {
		return fmt.Errorf("mark survey as changed: %w", err)
	}
	return nil
}

// record takes the next number and writes a change under it.
func (t *tx) record(ctx context.Context, e entry) error {
	seq, err := t.next(ctx)
	if err != nil {
		return err
	}
	return t.keep(ctx, seq, e)
}
