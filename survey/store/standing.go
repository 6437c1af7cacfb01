package store

import (
	"context"
	"database/sql"

	"undercroft/survey"
)

// Standings lists all surveys, deleted ones too, with how far each has come, in no order. Whether a link works goes by the store's clock.
func (s *Store) Standings(ctx context.Context) ([]survey.Standing, error) {
	now := s.now().UnixMilli()
	return read(ctx, s, "list surveys", func(ctx context.Context, q query) ([]survey.Standing, error) {
		rows, err := q.QueryContext(ctx, standingQuery, now)
		return collect(rows, err, scanStanding)
	})
}

// Standing is one survey as Standings lists it, NotFound when there is none.
func (s *Store) Standing(ctx context.Context, id survey.SurveyID) (survey.Standing, error) {
	now := s.now().UnixMilli()
	return read(ctx, s, "read survey", func(ctx context.Context, q query) (survey.Standing, error) {
		v, err := scanStanding(q.QueryRowContext(ctx, standingQuery+` WHERE s.id = ?`, now, id))
		return v, missing("survey", err)
	})
}

// standingQuery reads a row a survey, each part by an index: nothing is computed and no photo, pin or history is looked at. A finishing counts unless a reopening follows it.
const standingQuery = `SELECT s.id, s.title, s.address, s.client, s.contact, s.surveyor, s.visit_date, s.access, s.notes, s.version, s.created_at, s.updated_at, s.changed_at, s.changed_seq, s.content_at,
	EXISTS (SELECT 1 FROM fact WHERE survey = s.id AND key = 'ready' AND text <> ''),
	coalesce(r.number, 0), r.at, coalesce(r.although, '') <> '', coalesce(a.decision, ''), a.at,
	coalesce((SELECT max(number) FROM approval WHERE survey = s.id AND decision = 'approved'), 0),
	EXISTS (SELECT 1 FROM link WHERE survey = s.id AND number = r.number AND token_sha256 IS NOT NULL AND revoked_at IS NULL AND expires_at > ?1),
	(SELECT count(*) FROM inquiry WHERE survey = s.id AND answered_at IS NULL),
	(SELECT count(*) FROM remark q WHERE q.survey = s.id AND q.question = q.id AND 'ask' =
		(SELECT m.kind FROM remark m WHERE m.survey = s.id AND m.question = q.id ORDER BY m.at DESC, m.id DESC LIMIT 1)),
	(SELECT max(at) FROM review WHERE survey = s.id),
	f.at, EXISTS (SELECT 1 FROM finish WHERE survey = s.id AND seq > f.seq AND act = 'signed'),
	coalesce(k.act, ''), k.at, coalesce(k.by, '')
	FROM survey s
	LEFT JOIN revision r ON r.survey = s.id AND r.number = (SELECT max(number) FROM revision WHERE survey = s.id)
	LEFT JOIN approval a ON a.survey = s.id AND a.number = r.number
	LEFT JOIN finish f ON f.survey = s.id AND f.act = 'finished' AND f.seq = (SELECT max(seq) FROM finish WHERE survey = s.id AND act <> 'signed')
	LEFT JOIN filing k ON k.survey = s.id AND k.seq = (SELECT max(seq) FROM filing WHERE survey = s.id)`

func scanStanding(row scanner) (survey.Standing, error) {
	var v survey.Standing
	var created, updated, changed, content int64
	var issued, decided, reviewed, finished, filed sql.NullInt64
	targets := append(surveyTargets(&v.Survey, &created, &updated), &changed, &v.ChangedSeq, &content, &v.Ready, &v.Newest, &issued, &v.Stopped, &v.Decision, &decided, &v.Approved, &v.Linked,
		&v.Inquiries, &v.Questions, &reviewed, &finished, &v.SignedOff, &v.Filed, &filed, &v.FiledBy)
	if err := row.Scan(targets...); err != nil {
		return survey.Standing{}, err
	}
	v.CreatedAt, v.UpdatedAt, v.ChangedAt, v.ContentAt = storedTime(created), storedTime(updated), storedTime(changed), storedTime(content)
	v.NewestAt, v.DecidedAt, v.ReviewedAt, v.FinishedAt, v.FiledAt = maybeTime(issued), maybeTime(decided), maybeTime(reviewed), maybeTime(finished), maybeTime(filed)
	return v, nil
}
