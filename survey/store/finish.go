package store

import (
	"context"

	"undercroft/survey"
)

// Finish keeps an act about the end of a survey, with its time and its place in the survey's chain, all in one transaction. The time is the store's, but a finishing may bring an
// earlier one, from before what it says was read: what changes meanwhile is then a change after it. A finishing's content was stored as a blob
// before; a sign-off or reopening is given Approved by the finishing that it is about. A reopening also takes back what was said of the hose test and the check list. Invalid when Validate refuses the act; NotFound when there is no survey or no such blob,
// or when the link that a sign-off came by does not work or is of another revision; Conflict when the act cannot follow those that are there, or another revision was approved
// meanwhile.
func (s *Store) Finish(ctx context.Context, f survey.Finish) (survey.Finish, error) {
	if err := f.Validate(); err != nil {
		return survey.Finish{}, err
	}
	if _, err := s.blobSize(f.SHA256); err != nil {
		return survey.Finish{}, s.explain("keep a finish", err)
	}
	return write(ctx, s, "keep a finish", func(ctx context.Context, t *tx) (survey.Finish, error) {
		if _, err := findSurvey(ctx, t, f.Survey); err != nil {
			return survey.Finish{}, err
		}
		acts, err := listFinishes(ctx, t, f.Survey)
		if err != nil {
			return survey.Finish{}, err
		}
		if f.Act != survey.Finished {
			f.Approved = survey.FinishNow(acts).Done.Approved
		} else if err := checkApproved(ctx, t, f); err != nil {
			return survey.Finish{}, err
		}
		if f.Link != "" {
			l, err := openLink(ctx, t, f.Link)
			if err != nil {
				return survey.Finish{}, err
			}
			if l.Survey != f.Survey || l.Number != f.Approved || f.Act != survey.SignedOff {
				return survey.Finish{}, survey.Errorf(survey.NotFound, "There is no such link.")
			}
		}
		if f.Act != survey.Finished || f.At.IsZero() || f.At.After(t.now) {
			f.At = t.now
		}
		f.At = milliseconds(f.At)
		if f, err = survey.NextFinish(f, acts); err != nil {
			return survey.Finish{}, err
		}
		if err := insertFinish(ctx, t, f); err != nil {
			return survey.Finish{}, err
		}
		if f.Act == survey.Reopened {
			if err := forgetTest(ctx, t, f.Survey); err != nil {
				return survey.Finish{}, err
			}
		}
		if err := sealHistory(ctx, t, f.Survey); err != nil {
			return survey.Finish{}, err
		}
		return f, seal(ctx, t, f.Survey, f.Sealed())
	})
}

// forgetTest takes back, in the facts as they stand, what is asked anew of work that goes on.
func forgetTest(ctx context.Context, t *tx, in survey.SurveyID) error {
	r, err := findRecord(ctx, t, in)
	if err != nil {
		return err
	}
	_, err = putFacts(ctx, t, in, survey.ForgetTest(r))
	return err
}

// checkApproved is a Conflict when the newest approved revision is not the one that the work was held against.
func checkApproved(ctx context.Context, t *tx, f survey.Finish) error {
	made, err := listApprovals(ctx, t, f.Survey)
	if err != nil {
		return err
	}
	if a, _ := survey.NewestApproved(made); a.Number != f.Approved {
		return survey.Errorf(survey.Conflict, "Another revision was approved meanwhile. Look at what differs from it before you finish.")
	}
	return nil
}

func insertFinish(ctx context.Context, t *tx, f survey.Finish) error {
	_, err := t.ExecContext(ctx, `INSERT INTO finish (`+finishColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		f.Survey, f.Seq, f.Act, f.SHA256, f.Approved, f.By, f.Reason, f.Name, f.Consent, f.Lang, f.Link, f.Address, f.Agent, f.Signature, f.At.UnixMilli(), f.Prev, f.Hash)
	return err
}

// Finishes lists the acts about the end of a survey, the first made first, as they stand: survey.CheckFinishes tells whether they are what they were.
func (s *Store) Finishes(ctx context.Context, in survey.SurveyID) ([]survey.Finish, error) {
	return read(ctx, s, "list finishes", func(ctx context.Context, q query) ([]survey.Finish, error) { return listFinishes(ctx, q, in) })
}

const finishColumns = `survey, seq, act, sha256, approved, by, reason, name, consent, lang, link, address, agent, signature, at, prev, hash`

func scanFinish(row scanner) (survey.Finish, error) {
	var f survey.Finish
	var at int64
	err := row.Scan(&f.Survey, &f.Seq, &f.Act, &f.SHA256, &f.Approved, &f.By, &f.Reason, &f.Name, &f.Consent, &f.Lang, &f.Link, &f.Address, &f.Agent, &f.Signature, &at, &f.Prev, &f.Hash)
	if err != nil {
		return survey.Finish{}, err
	}
	f.At = storedTime(at)
	return f, nil
}

func listFinishes(ctx context.Context, q query, in survey.SurveyID) ([]survey.Finish, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+finishColumns+` FROM finish WHERE survey = ? ORDER BY seq`, in)
	return collect(rows, err, scanFinish)
}
