package store

import (
	"context"

	"undercroft/survey"
)

// Review keeps that a survey was reviewed, with its time: the store's, or an earlier one that it brings, from before the state was read; the content of the state, SHA256, was stored as a blob before. The same state reviewed again by the same person is the
// review that is there. Invalid when Validate refuses it or the survey was reviewed as often as it may be; NotFound when there is no survey or no such blob.
func (s *Store) Review(ctx context.Context, v survey.Review) (survey.Review, error) {
	if err := v.Validate(); err != nil {
		return survey.Review{}, err
	}
	if _, err := s.blobSize(v.SHA256); err != nil {
		return survey.Review{}, s.explain("keep a review", err)
	}
	return write(ctx, s, "keep a review", func(ctx context.Context, t *tx) (survey.Review, error) {
		if _, err := findSurvey(ctx, t, v.Survey); err != nil {
			return survey.Review{}, err
		}
		made, err := listReviews(ctx, t, v.Survey)
		if err != nil {
			return survey.Review{}, err
		}
		n := len(made)
		if n > 0 && made[n-1].By == v.By && made[n-1].SHA256 == v.SHA256 && made[n-1].Revision == v.Revision {
			return made[n-1], nil
		}
		if n >= survey.MaxReviews {
			return survey.Review{}, survey.Errorf(survey.Invalid, "The survey was reviewed %d times already; no more are kept.", n)
		}
		v.Seq = n + 1
		if v.At.IsZero() || v.At.After(t.now) {
			v.At = t.now
		}
		v.At = milliseconds(v.At)
		if err := insertReview(ctx, t, v); err != nil {
			return survey.Review{}, err
		}
		return v, seal(ctx, t, v.Survey, v.Sealed())
	})
}

func insertReview(ctx context.Context, t *tx, v survey.Review) error {
	_, err := t.ExecContext(ctx, `INSERT INTO review (`+reviewColumns+`) VALUES (?, ?, ?, ?, ?, ?)`, v.Survey, v.Seq, v.By, v.At.UnixMilli(), v.Revision, v.SHA256)
	return err
}

const reviewColumns = `survey, seq, by, at, revision, sha256`

func scanReview(row scanner) (survey.Review, error) {
	var v survey.Review
	var at int64
	if err := row.Scan(&v.Survey, &v.Seq, &v.By, &at, &v.Revision, &v.SHA256); err != nil {
		return survey.Review{}, err
	}
	v.At = storedTime(at)
	return v, nil
}

func listReviews(ctx context.Context, q query, in survey.SurveyID) ([]survey.Review, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+reviewColumns+` FROM review WHERE survey = ? ORDER BY seq`, in)
	return collect(rows, err, scanReview)
}
