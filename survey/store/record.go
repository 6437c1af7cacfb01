package store

import (
	"context"

	"undercroft/survey"
)

// Record reads everything of one survey as it was at one moment: photos and pins that are not deleted, and facts. A fact that was
// taken back is there with an empty Text, since its Version is needed to type it again. NotFound when there is no survey.
func (s *Store) Record(ctx context.Context, id survey.SurveyID) (survey.Record, error) {
	return read(ctx, s, "read record", func(ctx context.Context, q query) (survey.Record, error) {
		return findRecord(ctx, q, id)
	})
}

func findRecord(ctx context.Context, q query, id survey.SurveyID) (survey.Record, error) {
	var r survey.Record
	var err error
	if r.Survey, err = findSurvey(ctx, q, id); err != nil {
		return survey.Record{}, err
	}
	if r.Photos, err = listPhotos(ctx, q, id); err != nil {
		return survey.Record{}, err
	}
	if r.Pins, err = listPins(ctx, q, id); err != nil {
		return survey.Record{}, err
	}
	if r.Facts, err = listFacts(ctx, q, id); err != nil {
		return survey.Record{}, err
	}
	acts, err := listFinishes(ctx, q, id)
	if err != nil {
		return survey.Record{}, err
	}
	r.Ended = survey.FinishNow(acts)
	if r.Filed, err = findFiling(ctx, q, id); err != nil {
		return survey.Record{}, err
	}
	if err := readSaid(ctx, q, &r); err != nil {
		return survey.Record{}, err
	}
	var changed int64
	if err := q.QueryRowContext(ctx, `SELECT changed_at FROM survey WHERE id = ?`, id).Scan(&changed); err != nil {
		return survey.Record{}, err
	}
	r.ChangedAt = storedTime(changed)
	return r, nil
}
