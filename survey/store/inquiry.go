package store

import (
	"context"
	"database/sql"
	"time"

	"undercroft/survey"
)

// Ask keeps a question that came by a link, and gives it with its time. A question whose id is there changes nothing. NotFound when the link does not work; Invalid when
// Validate refuses it or the revision has as many questions as one may have.
func (s *Store) Ask(ctx context.Context, i survey.Inquiry) (survey.Inquiry, error) {
	if err := i.Validate(); err != nil {
		return survey.Inquiry{}, err
	}
	return write(ctx, s, "ask a question", func(ctx context.Context, t *tx) (survey.Inquiry, error) {
		l, err := openLink(ctx, t, i.Link)
		if err != nil {
			return survey.Inquiry{}, err
		}
		if there, err := findInquiry(ctx, t, l.Survey, i.ID); survey.KindOf(err) != survey.NotFound {
			return there, err
		}
		i.Survey, i.Number, i.At = l.Survey, l.Number, t.now
		var asked int
		if err := t.QueryRowContext(ctx, `SELECT count(*) FROM inquiry WHERE survey = ? AND number = ?`, i.Survey, i.Number).Scan(&asked); err != nil {
			return survey.Inquiry{}, err
		}
		if asked >= survey.MaxInquiries {
			return survey.Inquiry{}, survey.Errorf(survey.Invalid, "There are %d questions already. Call the contractor for another.", asked)
		}
		if err := insertInquiry(ctx, t, i); err != nil {
			return survey.Inquiry{}, err
		}
		return i, seal(ctx, t, i.Survey, i.Sealed())
	})
}

// openLink finds a link that works now.
func openLink(ctx context.Context, t *tx, id survey.LinkID) (survey.Link, error) {
	l, err := findLink(ctx, t, `id = ?`, id)
	if err != nil {
		return survey.Link{}, err
	}
	return l, checkOpen(ctx, t, l, t.now)
}

func insertInquiry(ctx context.Context, t *tx, i survey.Inquiry) error {
	_, err := t.ExecContext(ctx, `INSERT INTO inquiry (`+inquiryColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		i.ID, i.Survey, i.Number, i.Link, i.Name, i.Text, i.At.UnixMilli(), i.Answer, i.AnsweredBy, nullTime(i.Answered))
	return err
}

// Answer answers a question, once. The same answer again changes nothing; another is a Conflict. NotFound when the survey has no such question; Invalid when
// survey.ValidateAnswer refuses it.
func (s *Store) Answer(ctx context.Context, in survey.SurveyID, id, answer, by string) (survey.Inquiry, error) {
	if err := survey.ValidateAnswer(answer, by); err != nil {
		return survey.Inquiry{}, err
	}
	return write(ctx, s, "answer a question", func(ctx context.Context, t *tx) (survey.Inquiry, error) {
		i, err := findInquiry(ctx, t, in, id)
		switch {
		case err != nil:
			return i, err
		case i.Answer == answer && i.AnsweredBy == by:
			return i, nil
		case !i.Answered.IsZero():
			return i, survey.Errorf(survey.Conflict, "This question was answered already by %s.", i.AnsweredBy)
		}
		i.Answer, i.AnsweredBy, i.Answered = answer, by, t.now
		if _, err = t.ExecContext(ctx, `UPDATE inquiry SET answer = ?, answered_by = ?, answered_at = ? WHERE id = ?`, answer, by, t.now.UnixMilli(), id); err != nil {
			return survey.Inquiry{}, err
		}
		return i, seal(ctx, t, in, i.AnswerSealed())
	})
}

// Inquiries lists the questions about a survey's revisions, the first asked first.
func (s *Store) Inquiries(ctx context.Context, in survey.SurveyID) ([]survey.Inquiry, error) {
	return read(ctx, s, "list questions", func(ctx context.Context, q query) ([]survey.Inquiry, error) { return listInquiries(ctx, q, in) })
}

const inquiryColumns = `id, survey, number, link, name, text, at, answer, answered_by, answered_at`

func scanInquiry(row scanner) (survey.Inquiry, error) {
	var i survey.Inquiry
	var at int64
	var answered sql.NullInt64
	if err := row.Scan(&i.ID, &i.Survey, &i.Number, &i.Link, &i.Name, &i.Text, &at, &i.Answer, &i.AnsweredBy, &answered); err != nil {
		return survey.Inquiry{}, err
	}
	i.At, i.Answered = storedTime(at), maybeTime(answered)
	return i, nil
}

func findInquiry(ctx context.Context, q query, in survey.SurveyID, id string) (survey.Inquiry, error) {
	i, err := scanInquiry(q.QueryRowContext(ctx, `SELECT `+inquiryColumns+` FROM inquiry WHERE survey = ? AND id = ?`, in, id))
	return i, missing("question", err)
}

func listInquiries(ctx context.Context, q query, in survey.SurveyID) ([]survey.Inquiry, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+inquiryColumns+` FROM inquiry WHERE survey = ? ORDER BY at, id`, in)
	return collect(rows, err, scanInquiry)
}

// nullTime is a time as it is stored, nothing for none.
func nullTime(t time.Time) sql.NullInt64 {
	return sql.NullInt64{Int64: t.UnixMilli(), Valid: !t.IsZero()}
}

// maybeTime is a stored time, zero for nothing.
func maybeTime(ms sql.NullInt64) time.Time {
	if !ms.Valid {
		return time.Time{}
	}
	return storedTime(ms.Int64)
}
