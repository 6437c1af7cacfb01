package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"undercroft/survey"
)

// surveyRow is a survey as it stands in the history; the names stay when the Go names change.
type surveyRow struct {
	ID        survey.SurveyID `json:"id"`
	Title     string          `json:"title"`
	Address   string          `json:"address"`
	Client    string          `json:"client"`
	Contact   string          `json:"contact"`
	Surveyor  string          `json:"surveyor"`
	VisitDate string          `json:"visit_date"`
	Access    string          `json:"access"`
	Notes     string          `json:"notes"`
	Version   int             `json:"version"`
	CreatedAt time.Time       `json:"created_at"`
	UpdatedAt time.Time       `json:"updated_at"`
}

// CreateSurvey adds a survey under its own id; version and times are given here. Repeated with the same content it gives the
// stored survey; with other content it is a Conflict. Invalid when the id is none or Validate refuses it, NotFound when the survey of this id was erased.
func (s *Store) CreateSurvey(ctx context.Context, v survey.Survey) (survey.Survey, error) {
	if _, err := survey.ParseID(string(v.ID)); err != nil {
		return survey.Survey{}, err
	}
	if err := v.Validate(); err != nil {
		return survey.Survey{}, err
	}
	return write(ctx, s, "create survey", func(ctx context.Context, t *tx) (survey.Survey, error) {
		return createSurvey(ctx, t, v)
	})
}

// UpdateSurvey replaces what is written about the site; Version is the one it was made from. Conflict with the stored survey when
// that has changed since, NotFound when there is none, Invalid when Validate refuses it.
func (s *Store) UpdateSurvey(ctx context.Context, v survey.Survey) (survey.Survey, error) {
	if err := v.Validate(); err != nil {
		return survey.Survey{}, err
	}
	return write(ctx, s, "update survey", func(ctx context.Context, t *tx) (survey.Survey, error) {
		return updateSurvey(ctx, t, v)
	})
}

// Survey reads one survey, NotFound when there is none.
func (s *Store) Survey(ctx context.Context, id survey.SurveyID) (survey.Survey, error) {
	return read(ctx, s, "read survey", func(ctx context.Context, q query) (survey.Survey, error) {
		return findSurvey(ctx, q, id)
	})
}

// Surveys lists all surveys that are not deleted, the newest change first.
func (s *Store) Surveys(ctx context.Context) ([]survey.Summary, error) {
	return read(ctx, s, "list surveys", func(ctx context.Context, q query) ([]survey.Summary, error) {
		rows, err := q.QueryContext(ctx, `SELECT `+surveyColumns+`, changed_at,
			(SELECT count(*) FROM photo p WHERE p.survey = s.id AND p.deleted_at IS NULL),
			(SELECT count(*) FROM pin p WHERE p.survey = s.id AND p.deleted_at IS NULL)
			FROM survey s WHERE coalesce((SELECT act FROM filing f WHERE f.survey = s.id ORDER BY seq DESC LIMIT 1), '') <> 'deleted' ORDER BY changed_seq DESC`)
		return collect(rows, err, scanSummary)
	})
}

const surveyColumns = `id, title, address, client, contact, surveyor, visit_date, access, notes, version, created_at, updated_at`

// surveyTargets are where surveyColumns are scanned to; the times need storedTime after.
func surveyTargets(v *survey.Survey, created, updated *int64) []any {
	return []any{&v.ID, &v.Title, &v.Address, &v.Client, &v.Contact, &v.Surveyor, &v.VisitDate, &v.Access, &v.Notes, &v.Version, created, updated}
}

func scanSurvey(row scanner) (survey.Survey, error) {
	var v survey.Survey
	var created, updated int64
	if err := row.Scan(surveyTargets(&v, &created, &updated)...); err != nil {
		return survey.Survey{}, err
	}
	v.CreatedAt, v.UpdatedAt = storedTime(created), storedTime(updated)
	return v, nil
}

func scanSummary(row scanner) (survey.Summary, error) {
	var v survey.Summary
	var created, updated, changed int64
	targets := append(surveyTargets(&v.Survey, &created, &updated), &changed, &v.Photos, &v.Pins)
	if err := row.Scan(targets...); err != nil {
		return survey.Summary{}, err
	}
	v.CreatedAt, v.UpdatedAt, v.ChangedAt = storedTime(created), storedTime(updated), storedTime(changed)
	return v, nil
}

// findSurvey reads one survey, NotFound when there is none.
func findSurvey(ctx context.Context, q query, id survey.SurveyID) (survey.Survey, error) {
	v, err := scanSurvey(q.QueryRowContext(ctx, `SELECT `+surveyColumns+` FROM survey WHERE id = ?`, id))
	return v, missing("survey", err)
}

// sameSurvey tells whether two surveys say the same, whatever their versions and times.
func sameSurvey(a, b survey.Survey) bool {
	b.Version, b.CreatedAt, b.UpdatedAt = a.Version, a.CreatedAt, a.UpdatedAt
	return a == b
}

func createSurvey(ctx context.Context, t *tx, v survey.Survey) (survey.Survey, error) {
	stored, err := scanSurvey(t.QueryRowContext(ctx, `SELECT `+surveyColumns+` FROM survey WHERE id = ?`, v.ID))
	switch {
	case err == nil && sameSurvey(stored, v):
		return stored, nil
	case err == nil:
		return survey.Survey{}, conflict(stored, "This survey was saved before and reads differently now.")
	case !errors.Is(err, sql.ErrNoRows):
		return survey.Survey{}, err
	}
	if err := checkErased(ctx, t, v.ID); err != nil {
		return survey.Survey{}, err
	}
	v.Version, v.CreatedAt, v.UpdatedAt = 1, t.now, t.now
	now := t.now.UnixMilli()
	_, err = t.ExecContext(ctx, `INSERT INTO survey (`+surveyColumns+`, changed_at, changed_seq) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 0)`,
		v.ID, v.Title, v.Address, v.Client, v.Contact, v.Surveyor, v.VisitDate, v.Access, v.Notes, v.Version, now, now, now)
	if err != nil {
		return survey.Survey{}, err
	}
	return v, t.record(ctx, surveyEntry(v, created))
}

func updateSurvey(ctx context.Context, t *tx, v survey.Survey) (survey.Survey, error) {
	stored, err := findSurvey(ctx, t, v.ID)
	switch {
	case err != nil:
		return survey.Survey{}, err
	case v.Version <= stored.Version && sameSurvey(stored, v):
		return stored, nil
	case v.Version != stored.Version:
		return survey.Survey{}, conflict(stored, "Somebody else changed this survey in the meantime. Nothing of yours was saved yet.")
	}
	v.Version, v.CreatedAt, v.UpdatedAt = stored.Version+1, stored.CreatedAt, t.now
	_, err = t.ExecContext(ctx, `UPDATE survey SET title = ?, address = ?, client = ?, contact = ?, surveyor = ?, visit_date = ?, access = ?, notes = ?,
		version = ?, updated_at = ? WHERE id = ?`,
		v.Title, v.Address, v.Client, v.Contact, v.Surveyor, v.VisitDate, v.Access, v.Notes, v.Version, t.now.UnixMilli(), v.ID)
	if err != nil {
		return survey.Survey{}, err
	}
	return v, t.record(ctx, surveyEntry(v, updated))
}

func surveyEntry(v survey.Survey, c change) entry {
	return entry{survey: v.ID, kind: kindSurvey, record: string(v.ID), change: c, version: v.Version, row: surveyRow(v)}
}
