package store

import (
	"context"
	"database/sql"
	"time"

	"undercroft/survey"
)

// CreateLink keeps a link by the sum of its token, and gives it with its time. NotFound when there is no such revision; Invalid when it would expire at once or
// later than a year from now.
func (s *Store) CreateLink(ctx context.Context, l survey.Link, token TokenSum) (survey.Link, error) {
	return write(ctx, s, "make a link", func(ctx context.Context, t *tx) (survey.Link, error) {
		if _, err := findRevision(ctx, t, l.Survey, l.Number); err != nil {
			return survey.Link{}, err
		}
		if l.By == "" || !l.Expires.After(t.now) || l.Expires.After(t.now.AddDate(0, 0, survey.LinkDaysMax)) {
			return survey.Link{}, survey.Errorf(survey.Invalid, "A link is made by somebody and works for 1 to %d days.", survey.LinkDaysMax)
		}
		l.At, l.Expires = t.now, milliseconds(l.Expires)
		if err := insertLink(ctx, t, l, token[:]); err != nil {
			return survey.Link{}, err
		}
		return l, seal(ctx, t, l.Survey, l.Sealed())
	})
}

func insertLink(ctx context.Context, t *tx, l survey.Link, token []byte) error {
	_, err := t.ExecContext(ctx, `INSERT INTO link (`+linkColumns+`, token_sha256) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		l.ID, l.Survey, l.Number, l.By, l.At.UnixMilli(), l.Expires.UnixMilli(), nullTime(l.Revoked), l.RevokedBy, token)
	return err
}

// Links lists the links to a survey's revisions, the first made first, those that do not work any more too.
func (s *Store) Links(ctx context.Context, in survey.SurveyID) ([]survey.Link, error) {
	return read(ctx, s, "list links", func(ctx context.Context, q query) ([]survey.Link, error) { return listLinks(ctx, q, in) })
}

// RevokeLink ends a link. Doing it again changes nothing. NotFound when the survey has no such link.
func (s *Store) RevokeLink(ctx context.Context, in survey.SurveyID, id survey.LinkID, by string) error {
	_, err := write(ctx, s, "revoke a link", func(ctx context.Context, t *tx) (struct{}, error) {
		l, err := findLink(ctx, t, `id = ?`, id)
		if err == nil && l.Survey != in {
			err = survey.Errorf(survey.NotFound, "There is no such link.")
		}
		if err != nil || !l.Revoked.IsZero() {
			return struct{}{}, err
		}
		l.Revoked, l.RevokedBy = t.now, by
		if _, err = t.ExecContext(ctx, `UPDATE link SET revoked_at = ?, revoked_by = ? WHERE id = ?`, t.now.UnixMilli(), by, id); err != nil {
			return struct{}{}, err
		}
		return struct{}{}, seal(ctx, t, in, l.RevokedSealed())
	})
	return err
}

// LinkOf finds the link whose token has this sum. NotFound, in the same words, when there is none, it was revoked, it has expired by the server's clock, or its survey is
// deleted.
func (s *Store) LinkOf(ctx context.Context, token TokenSum) (survey.Link, error) {
	now := milliseconds(s.now())
	return read(ctx, s, "read a link", func(ctx context.Context, q query) (survey.Link, error) {
		l, err := findLink(ctx, q, `token_sha256 = ?`, token[:])
		if err != nil {
			return survey.Link{}, err
		}
		return l, checkOpen(ctx, q, l, now)
	})
}

// checkOpen is NotFound when a link does not work, because of itself or because its survey is deleted.
func checkOpen(ctx context.Context, q query, l survey.Link, now time.Time) error {
	filed, err := findFiling(ctx, q, l.Survey)
	if err == nil && (!l.Open(now) || filed.Act == survey.Deleted) {
		err = missing("link", sql.ErrNoRows)
	}
	return err
}

const linkColumns = `id, survey, number, by, at, expires_at, revoked_at, revoked_by`

func scanLink(row scanner) (survey.Link, error) {
	var l survey.Link
	var at, expires int64
	var revoked sql.NullInt64
	if err := row.Scan(&l.ID, &l.Survey, &l.Number, &l.By, &at, &expires, &revoked, &l.RevokedBy); err != nil {
		return survey.Link{}, err
	}
	l.At, l.Expires, l.Revoked = storedTime(at), storedTime(expires), maybeTime(revoked)
	return l, nil
}

func findLink(ctx context.Context, q query, where string, arg any) (survey.Link, error) {
	l, err := scanLink(q.QueryRowContext(ctx, `SELECT `+linkColumns+` FROM link WHERE `+where, arg))
	return l, missing("link", err)
}

func listLinks(ctx context.Context, q query, in survey.SurveyID) ([]survey.Link, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+linkColumns+` FROM link WHERE survey = ? ORDER BY at, id`, in)
	return collect(rows, err, scanLink)
}
