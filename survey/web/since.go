package web

import (
	"context"
	"fmt"

	"undercroft/survey"
	"undercroft/survey/report"
)

// sinceLines is how many differences a survey's first page lists; the others lead to all of them.
const sinceLines = 5

// sinceView is what a survey's pages say about what has changed since the homeowner's approval. An empty Head shows nothing; render fills it.
type sinceView struct {
	Head, Href string
	Lines      []report.Difference // on the first page
	More       int                 // that are not listed

	record  survey.Record
	ceiling survey.Ceiling
	list    bool
}

// tellsSince tells whether a screen says what has changed: all on which a survey is worked on, but for the photos, whose room is theirs, and those that list the changes.
func tellsSince(screen string) bool {
	switch screen {
	case screenPhotos, screenReport, screenFinish, screenHistory, "":
		return false
	}
	return true
}

// fillSince compares the survey with what was approved. What cannot be read is logged, and said, and keeps nobody from working on the survey.
func (s *Server) fillSince(ctx context.Context, v *sinceView) error {
	if v == nil || v.record.Survey.ID == "" {
		return nil
	}
	id := v.record.Survey.ID
	made, err := s.store.Approvals(ctx, id)
	if err != nil {
		return err
	}
	a, ok := survey.NewestApproved(made)
	if !ok || v.record.Ended.Finished() { // finished work says itself what was built otherwise
		return nil
	}
	issued, err := s.store.Revisions(ctx, id)
	if err != nil || a.Number > len(issued) || !v.record.ChangedAt.After(issued[a.Number-1].At) {
		return err
	}
	v.Href = surveyPath(id) + "/revisions#since-approval"
	old, kept := s.thawed.find(issued[a.Number-1].SHA256) // it was held against its sum when it was read, and these pages are opened all the time
	if !kept {
		old, err = s.content(issued[a.Number-1])
	}
	if err != nil {
		s.log.Error("what was approved cannot be read", "survey", id, "revision", a.Number, "error", err)
		v.Head = fmt.Sprintf("What was approved as revision %d cannot be read.", a.Number)
		return nil
	}
	company, err := s.store.Company(ctx)
	if err != nil {
		return err
	}
	v.say(a, report.ChangesSince(old, v.record, v.ceiling, company, "en"), len(issued))
	return nil
}

// say fills in the words; nothing when nothing differs.
func (v *sinceView) say(a survey.Approval, changes []report.Difference, newest int) {
	if len(changes) == 0 {
		v.Href = ""
		return
	}
	what := "1 thing has"
	if len(changes) > 1 {
		what = fmt.Sprintf("%d things have", len(changes))
	}
	v.Head = fmt.Sprintf("%s changed since %s approved revision %d.", what, a.Name, a.Number)
	if a.Number < newest {
		v.Head += fmt.Sprintf(" Revision %d is not approved.", newest)
	}
	if v.list {
		v.Lines = changes[:min(len(changes), sinceLines)]
		v.More = len(changes) - len(v.Lines)
	}
}
