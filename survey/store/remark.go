package store

import (
	"context"
	"slices"

	"undercroft/survey"
)

// Remark keeps what somebody says: a question, an answer to one, or a further question; with its time. A remark whose id is there changes nothing and is given as it stands. An
// answer to a question that is answered already is a Conflict, and so is a further question to one that waits for its answer: what was typed is never kept as its opposite. NotFound when the survey has no such question, or no such photo; Invalid when Validate refuses
// it, or so much was said that no more is kept.
func (s *Store) Remark(ctx context.Context, m survey.Remark) (survey.Remark, error) {
	if _, err := survey.ParseID(m.ID); err != nil {
		return survey.Remark{}, err
	}
	if err := m.Validate(); err != nil {
		return survey.Remark{}, err
	}
	return write(ctx, s, "keep a remark", func(ctx context.Context, t *tx) (survey.Remark, error) {
		if _, err := findSurvey(ctx, t, m.Survey); err != nil {
			return survey.Remark{}, err
		}
		said, err := listRemarks(ctx, t, m.Survey)
		if err != nil {
			return survey.Remark{}, err
		}
		if i := slices.IndexFunc(said, func(o survey.Remark) bool { return o.ID == m.ID }); i >= 0 {
			return said[i], nil
		}
		if err := taken(ctx, t, "remark", m.ID); err != nil {
			return survey.Remark{}, err
		}
		if len(said) >= survey.MaxRemarks {
			return survey.Remark{}, survey.Errorf(survey.Invalid, "So much was said about this survey (%d remarks) that no more is kept. Talk to each other.", len(said))
		}
		if m.Question != m.ID {
			threads := survey.Threads(said)
			i := slices.IndexFunc(threads, func(th survey.Thread) bool { return th.First().ID == m.Question })
			switch {
			case i < 0:
				return survey.Remark{}, survey.Errorf(survey.NotFound, "There is no such question.")
			}
			if err := threads[i].Takes(m.Kind); err != nil {
				return survey.Remark{}, err
			}
		}
		if m.Photo != "" {
			if err := livePhoto(ctx, t, m.Survey, m.Photo); err != nil {
				return survey.Remark{}, err
			}
		}
		m.At = t.now
		if err := insertRemark(ctx, t, m); err != nil {
			return survey.Remark{}, err
		}
		return m, seal(ctx, t, m.Survey, m.Sealed())
	})
}

func insertRemark(ctx context.Context, t *tx, m survey.Remark) error {
	_, err := t.ExecContext(ctx, `INSERT INTO remark (`+remarkColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		m.ID, m.Survey, m.Question, m.Kind, m.Subject, m.Target, m.About, m.Text, m.Photo, m.By, m.At.UnixMilli())
	return err
}

const remarkColumns = `id, survey, question, kind, subject, target, about, text, photo, by, at`

func scanRemark(row scanner) (survey.Remark, error) {
	var m survey.Remark
	var at int64
	if err := row.Scan(&m.ID, &m.Survey, &m.Question, &m.Kind, &m.Subject, &m.Target, &m.About, &m.Text, &m.Photo, &m.By, &at); err != nil {
		return survey.Remark{}, err
	}
	m.At = storedTime(at)
	return m, nil
}

// listRemarks lists what was said, the first first; of one moment, what asks first stands before what follows it.
func listRemarks(ctx context.Context, q query, in survey.SurveyID) ([]survey.Remark, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+remarkColumns+` FROM remark WHERE survey = ? ORDER BY at, question <> id, id`, in)
	return collect(rows, err, scanRemark)
}
