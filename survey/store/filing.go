package store

import (
	"context"
	"database/sql"
	"errors"

	"undercroft/survey"
)

// File archives, deletes or takes back a survey, and gives the act that holds. Doing it again changes nothing. NotFound when there is no survey, or when it is deleted and is
// not taken back; Invalid when there is no such act.
func (s *Store) File(ctx context.Context, in survey.SurveyID, act survey.FilingAct) (survey.Filing, error) {
	return writeAlways(ctx, s, "file survey", func(ctx context.Context, t *tx) (survey.Filing, error) {
		if _, err := findSurvey(ctx, t, in); err != nil {
			return survey.Filing{}, err
		}
		now, err := findFiling(ctx, t, in)
		if err != nil {
			return survey.Filing{}, err
		}
		if again, err := survey.CheckFiling(now, act); again || err != nil {
			return now, err
		}
		next := survey.Filing{Survey: in, Seq: now.Seq + 1, Act: act, At: t.now}
		if who, ok := survey.PersonOf(ctx); ok {
			next.By = who.Name
		}
		if err := insertFiling(ctx, t, next); err != nil {
			return survey.Filing{}, err
		}
		return next, seal(ctx, t, in, next.Sealed())
	})
}

// Filing is where a survey is kept: the newest act, the zero Filing when it was never put away or there is no such survey.
func (s *Store) Filing(ctx context.Context, in survey.SurveyID) (survey.Filing, error) {
	return read(ctx, s, "read filing", func(ctx context.Context, q query) (survey.Filing, error) { return findFiling(ctx, q, in) })
}

// Filings lists all acts about where a survey is kept, the first one first.
func (s *Store) Filings(ctx context.Context, in survey.SurveyID) ([]survey.Filing, error) {
	return read(ctx, s, "list filings", func(ctx context.Context, q query) ([]survey.Filing, error) { return listFilings(ctx, q, in) })
}

const filingColumns = `survey, seq, act, by, at`

func scanFiling(row scanner) (survey.Filing, error) {
	var f survey.Filing
	var at int64
	if err := row.Scan(&f.Survey, &f.Seq, &f.Act, &f.By, &at); err != nil {
		return survey.Filing{}, err
	}
	f.At = storedTime(at)
	return f, nil
}

func findFiling(ctx context.Context, q query, in survey.SurveyID) (survey.Filing, error) {
	f, err := scanFiling(q.QueryRowContext(ctx, `SELECT `+filingColumns+` FROM filing WHERE survey = ? ORDER BY seq DESC LIMIT 1`, in))
	if errors.Is(err, sql.ErrNoRows) {
		return survey.Filing{}, nil
	}
	return f, err
}

func listFilings(ctx context.Context, q query, in survey.SurveyID) ([]survey.Filing, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+filingColumns+` FROM filing WHERE survey = ? ORDER BY seq`, in)
	return collect(rows, err, scanFiling)
}

func insertFiling(ctx context.Context, t *tx, f survey.Filing) error {
	_, err := t.ExecContext(ctx, `INSERT INTO filing (`+filingColumns+`) VALUES (?, ?, ?, ?, ?)`, f.Survey, f.Seq, f.Act, f.By, f.At.UnixMilli())
	return err
}
