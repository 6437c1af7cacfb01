package store

import (
	"context"
	"database/sql"
	"errors"

	"undercroft/survey"
)

// Revisions lists what was issued of a survey, the first one first. NotFound when there is no survey.
func (s *Store) Revisions(ctx context.Context, in survey.SurveyID) ([]survey.Revision, error) {
	return read(ctx, s, "list revisions", func(ctx context.Context, q query) ([]survey.Revision, error) {
		if _, err := findSurvey(ctx, q, in); err != nil {
			return nil, err
		}
		return listRevisions(ctx, q, in)
	})
}

// Revision reads one revision, NotFound when there is none of this number.
func (s *Store) Revision(ctx context.Context, in survey.SurveyID, number int) (survey.Revision, error) {
	return read(ctx, s, "read revision", func(ctx context.Context, q query) (survey.Revision, error) {
		return findRevision(ctx, q, in, number)
	})
}

// Issue keeps a revision whose frozen content was stored as a blob before. Conflict with the newest revision when another was issued since: its number or Prev
// is not the next then. NotFound when there is no survey or no such blob.
func (s *Store) Issue(ctx context.Context, v survey.Revision) (survey.Revision, error) {
	if _, err := s.blobSize(v.SHA256); err != nil {
		return survey.Revision{}, s.explain("issue revision", err)
	}
	return write(ctx, s, "issue revision", func(ctx context.Context, t *tx) (survey.Revision, error) {
		return issue(ctx, t, v)
	})
}

// Rendition gives the SHA-256 of a revision's report as it was first painted; name says reader, language, paper and kind of file. NotFound when it never was.
func (s *Store) Rendition(ctx context.Context, v survey.Revision, name string) (string, error) {
	return read(ctx, s, "read rendition", func(ctx context.Context, q query) (string, error) {
		sum, err := findRendition(ctx, q, v, name)
		return sum, missing("report", err)
	})
}

// KeepRendition keeps a revision's report, stored as a blob before, unless there is one of that name: the first one stands. It gives the SHA-256 of
// the one that stands.
func (s *Store) KeepRendition(ctx context.Context, v survey.Revision, name, sha256 string) (string, error) {
	if _, err := s.blobSize(sha256); err != nil {
		return "", s.explain("keep rendition", err)
	}
	return write(ctx, s, "keep rendition", func(ctx context.Context, t *tx) (string, error) {
		stored, err := findRendition(ctx, t, v, name)
		if !errors.Is(err, sql.ErrNoRows) {
			return stored, err
		}
		r := survey.Rendition{Number: v.Number, Name: name, SHA256: sha256, At: t.now}
		_, err = t.ExecContext(ctx, `INSERT INTO rendition (survey, number, name, sha256, at) VALUES (?, ?, ?, ?, ?)`, v.Survey, r.Number, r.Name, r.SHA256, r.At.UnixMilli())
		if err != nil {
			return "", err
		}
		return sha256, seal(ctx, t, v.Survey, r.Sealed())
	})
}

func findRendition(ctx context.Context, q query, v survey.Revision, name string) (string, error) {
	var sum string
	err := q.QueryRowContext(ctx, `SELECT sha256 FROM rendition WHERE survey = ? AND number = ? AND name = ?`, v.Survey, v.Number, name).Scan(&sum)
	return sum, err
}

const revisionColumns = `survey, number, sha256, prev, by, although, at`

func scanRevision(row scanner) (survey.Revision, error) {
	var v survey.Revision
	var at int64
	if err := row.Scan(&v.Survey, &v.Number, &v.SHA256, &v.Prev, &v.By, &v.Although, &at); err != nil {
		return survey.Revision{}, err
	}
	v.At = storedTime(at)
	return v, nil
}

func findRevision(ctx context.Context, q query, in survey.SurveyID, number int) (survey.Revision, error) {
	v, err := scanRevision(q.QueryRowContext(ctx, `SELECT `+revisionColumns+` FROM revision WHERE survey = ? AND number = ?`, in, number))
	return v, missing("revision", err)
}

func listRevisions(ctx context.Context, q query, in survey.SurveyID) ([]survey.Revision, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+revisionColumns+` FROM revision WHERE survey = ? ORDER BY number`, in)
	return collect(rows, err, scanRevision)
}

func issue(ctx context.Context, t *tx, v survey.Revision) (survey.Revision, error) {
	if _, err := findSurvey(ctx, t, v.Survey); err != nil {
		return survey.Revision{}, err
	}
	issued, err := listRevisions(ctx, t, v.Survey)
	if err != nil {
		return survey.Revision{}, err
	}
	if n := len(issued); n > 0 && issued[n-1] == v {
		return v, nil
	}
	if next := survey.NextRevision(v.Survey, issued); v.Number != next.Number || v.Prev != next.Prev {
		return survey.Revision{}, conflict(issued[len(issued)-1], "Another revision was issued in the meantime. Look at it before you issue the next.")
	}
	if err := insertRevision(ctx, t, v); err != nil {
		return survey.Revision{}, err
	}
	if err := sealHistory(ctx, t, v.Survey); err != nil {
		return survey.Revision{}, err
	}
	return v, seal(ctx, t, v.Survey, v.Sealed())
}

func insertRevision(ctx context.Context, t *tx, v survey.Revision) error {
	_, err := t.ExecContext(ctx, `INSERT INTO revision (`+revisionColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?)`, v.Survey, v.Number, v.SHA256, v.Prev, v.By, v.Although, v.At.UnixMilli())
	return err
}
