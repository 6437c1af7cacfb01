package store

import (
	"context"

	"undercroft/survey"
)

// Decide keeps a decision about a revision, with its time and its place in the survey's chain, all in one transaction: it is the newest revision, what the person saw is
// what was issued, and nobody has decided yet; else it is a Conflict. NotFound when the link that it came by does not work or is of another revision; Invalid when
// Validate refuses it.
func (s *Store) Decide(ctx context.Context, a survey.Approval) (survey.Approval, error) {
	if err := a.Validate(); err != nil {
		return survey.Approval{}, err
	}
	return write(ctx, s, "keep a decision", func(ctx context.Context, t *tx) (survey.Approval, error) {
		if a.Link != "" {
			l, err := openLink(ctx, t, a.Link)
			if err != nil {
				return survey.Approval{}, err
			}
			if l.Survey != a.Survey || l.Number != a.Number {
				return survey.Approval{}, survey.Errorf(survey.NotFound, "There is no such link.")
			}
		}
		issued, err := listRevisions(ctx, t, a.Survey)
		if err != nil {
			return survey.Approval{}, err
		}
		made, err := listApprovals(ctx, t, a.Survey)
		if err != nil {
			return survey.Approval{}, err
		}
		if err := survey.CheckApprovals(made, issued); err != nil {
			return survey.Approval{}, &survey.Error{Kind: survey.Conflict, Message: "The record of the decisions is damaged, so none is added to it.", Cause: err}
		}
		if err := survey.CheckDecidable(a.Number, a.SHA256, issued, made); err != nil {
			return survey.Approval{}, err
		}
		a.At = t.now
		if a, err = survey.NextApproval(a, made); err != nil {
			return survey.Approval{}, err
		}
		if err := insertApproval(ctx, t, a); err != nil {
			return survey.Approval{}, err
		}
		if err := sealHistory(ctx, t, a.Survey); err != nil {
			return survey.Approval{}, err
		}
		return a, seal(ctx, t, a.Survey, a.Sealed())
	})
}

func insertApproval(ctx context.Context, t *tx, a survey.Approval) error {
	_, err := t.ExecContext(ctx, `INSERT INTO approval (`+approvalColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		a.Survey, a.Seq, a.Number, a.SHA256, a.Decision, a.Name, a.Reason, a.Consent, a.Lang, a.At.UnixMilli(), a.Link, a.With, a.Address, a.Agent, a.Signature, a.Prev, a.Hash)
	return err
}

// Approvals lists the decisions about a survey's revisions, the first made first, as they stand: survey.CheckApprovals tells whether they are what they were.
func (s *Store) Approvals(ctx context.Context, in survey.SurveyID) ([]survey.Approval, error) {
	return read(ctx, s, "list decisions", func(ctx context.Context, q query) ([]survey.Approval, error) { return listApprovals(ctx, q, in) })
}

const approvalColumns = `survey, seq, number, sha256, decision, name, reason, consent, lang, at, link, made_with, address, agent, signature, prev, hash`

func scanApproval(row scanner) (survey.Approval, error) {
	var a survey.Approval
	var at int64
	err := row.Scan(&a.Survey, &a.Seq, &a.Number, &a.SHA256, &a.Decision, &a.Name, &a.Reason, &a.Consent, &a.Lang, &at, &a.Link, &a.With, &a.Address, &a.Agent, &a.Signature, &a.Prev, &a.Hash)
	if err != nil {
		return survey.Approval{}, err
	}
	a.At = storedTime(at)
	return a, nil
}

func listApprovals(ctx context.Context, q query, in survey.SurveyID) ([]survey.Approval, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+approvalColumns+` FROM approval WHERE survey = ? ORDER BY seq`, in)
	return collect(rows, err, scanApproval)
}
