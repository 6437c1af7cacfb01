package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"undercroft/survey"
)

// sealSchema is the schema that brought the seals.
const sealSchema = 8

// seal puts a seal on a record that the same transaction writes.
func seal(ctx context.Context, t *tx, in survey.SurveyID, of survey.Sealed) error {
	last, err := scanSeal(t.QueryRowContext(ctx, `SELECT `+sealColumns+` FROM seal WHERE survey = ? ORDER BY seq DESC LIMIT 1`, in))
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("read the last seal: %w", err)
	}
	next, err := survey.NextSeal(in, last, of)
	if err != nil {
		return err
	}
	return insertSeal(ctx, t, next)
}

// sealHistory puts a seal on the history so far, unless it has one.
func sealHistory(ctx context.Context, t *tx, in survey.SurveyID) error {
	changes, err := listChanges(ctx, t, in)
	if err != nil {
		return err
	}
	of := survey.HistorySealed(changes)
	var there int
	err = t.QueryRowContext(ctx, `SELECT count(*) FROM seal WHERE survey = ? AND kind = ? AND record = ?`, in, of.Kind, of.Record).Scan(&there)
	if err != nil || there > 0 {
		return err
	}
	return seal(ctx, t, in, of)
}

func insertSeal(ctx context.Context, t *tx, s survey.Seal) error {
	_, err := t.ExecContext(ctx, `INSERT INTO seal (`+sealColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?)`, s.Survey, s.Seq, s.Kind, s.Record, s.Sum, s.Prev, s.Hash)
	return err
}

const sealColumns = `survey, seq, kind, record, sum, prev, hash`

func scanSeal(row scanner) (survey.Seal, error) {
	var s survey.Seal
	err := row.Scan(&s.Survey, &s.Seq, &s.Kind, &s.Record, &s.Sum, &s.Prev, &s.Hash)
	return s, err
}

func listSeals(ctx context.Context, q query, in survey.SurveyID) ([]survey.Seal, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+sealColumns+` FROM seal WHERE survey = ? ORDER BY seq`, in)
	return collect(rows, err, scanSeal)
}

// listChanges lists the history of a survey, the first change first.
func listChanges(ctx context.Context, q query, in survey.SurveyID) ([]survey.Change, error) {
	rows, err := q.QueryContext(ctx, `SELECT kind, record, change, version, row, at, by FROM history WHERE survey = ? ORDER BY seq`, in)
	return collect(rows, err, scanChange)
}

// sealOld seals what was made before there were seals, as part of the migration that brings them. Later migrations have not run then, so it reads only what schema 5 had.
func sealOld(ctx context.Context, t *tx) error {
	rows, err := t.QueryContext(ctx, `SELECT DISTINCT survey FROM revision ORDER BY survey`)
	surveys, err := collect(rows, err, func(row scanner) (survey.SurveyID, error) {
		var id survey.SurveyID
		return id, row.Scan(&id)
	})
	if err != nil {
		return err
	}
	for _, id := range surveys {
		var v survey.Snapshot
		if err := readIssued(ctx, t, id, &v); err != nil {
			return err
		}
		if v.History, err = listChanges(ctx, t, id); err != nil {
			return err
		}
		for _, of := range append(survey.SealedRecords(v), survey.HistorySealed(v.History)) {
			if err := seal(ctx, t, id, of); err != nil {
				return fmt.Errorf("seal survey %s: %w", id, err)
			}
		}
	}
	return nil
}

// readIssued reads what a survey's seals are of, but for the history.
func readIssued(ctx context.Context, q query, id survey.SurveyID, v *survey.Snapshot) error {
	var err error
	if v.Revisions, err = listRevisions(ctx, q, id); err != nil {
		return err
	}
	rows, err := q.QueryContext(ctx, `SELECT number, name, sha256, at FROM rendition WHERE survey = ? ORDER BY number, name`, id)
	if v.Renditions, err = collect(rows, err, scanRendition); err != nil {
		return err
	}
	if v.Links, err = listLinks(ctx, q, id); err != nil {
		return err
	}
	if v.Inquiries, err = listInquiries(ctx, q, id); err != nil {
		return err
	}
	v.Approvals, err = listApprovals(ctx, q, id)
	return err
}
