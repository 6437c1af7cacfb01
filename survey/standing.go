package survey

import (
	"strings"
	"time"
)

// State is how far a survey has come, told from its rows alone: nothing is computed of the ceiling for it.
type State string

// The states, in the order in which a survey goes through them.
const (
	StateDraft    State = "draft"    // it is being made, or something stopped the job when it was issued
	StateReady    State = "ready"    // marked ready for the crew, nothing issued yet
	StateIssued   State = "issued"   // the newest revision waits for the homeowner
	StateApproved State = "approved" // the newest revision is approved
	StateDeclined State = "declined" // the newest revision is declined
	StateChanged  State = "changed"  // changed since it was approved
	StateFinished State = "finished"
	StateArchived State = "archived"
	StateDeleted  State = "deleted"
)

// States lists all states.
func States() []State {
	return []State{StateDraft, StateReady, StateIssued, StateApproved, StateChanged, StateDeclined, StateFinished, StateArchived, StateDeleted}
}

// Standing is a survey in the office's list: its own texts and what its rows say of how far it has come. Times are zero, numbers 0, for what did not happen.
type Standing struct {
	Survey
	ChangedAt  time.Time // newest change of the survey or anything in it
	ChangedSeq int64     // rises with each change of any survey: the order of changes, whatever the clock said
	ContentAt  time.Time // newest change of what is known of the house: site, photos, pins, facts, values verified on site
	Ready      bool      // marked ready for the crew
	Newest     int       // number of the newest revision
	NewestAt   time.Time // when it was issued
	Stopped    bool      // something stopped the job when it was issued: it cannot be decided on
	Decision   Decision  // on the newest revision, empty for none
	DecidedAt  time.Time
	Approved   int  // number of the newest revision that was approved
	Linked     bool // a link to the newest revision works now
	Inquiries  int  // questions of the homeowner that wait for an answer
	Questions  int  // questions between staff that wait for an answer
	ReviewedAt time.Time
	FinishedAt time.Time // of the finishing that holds
	SignedOff  bool      // by the client, of that finishing
	Filed      FilingAct
	FiledAt    time.Time
	FiledBy    string
}

// State is how far the survey has come, or that it was put away.
func (s Standing) State() State {
	switch s.Filed {
	case Deleted:
		return StateDeleted
	case Archived:
		return StateArchived
	}
	return s.Job()
}

// Job is how far the survey has come, whether or not it was put away. It counts as changed since the approval when the newest change of what is known of the house is later
// than the issue of the approved revision, even when it was changed back; or when a later revision was issued that cannot be decided on. The company's texts do not
// count here.
func (s Standing) Job() State {
	switch {
	case !s.FinishedAt.IsZero():
		return StateFinished
	case s.Newest > 0 && s.Decision == Approved && s.ContentAt.After(s.NewestAt):
		return StateChanged
	case s.Newest > 0 && s.Decision == Approved:
		return StateApproved
	case s.Newest > 0 && s.Decision == Declined:
		return StateDeclined
	case s.Newest > 0 && !s.Stopped:
		return StateIssued
	case s.Approved > 0:
		return StateChanged
	case s.Ready:
		return StateReady
	}
	return StateDraft
}

// ChangedSince tells whether what is known of the house changed after the newest revision was issued, or after the work was finished.
func (s Standing) ChangedSince() bool {
	if s.Job() == StateFinished {
		return s.ContentAt.After(s.FinishedAt)
	}
	return s.Newest > 0 && s.ContentAt.After(s.NewestAt)
}

// Party is who something waits for.
type Party string

// The parties.
const (
	PartySurveyor  Party = "surveyor"
	PartyInstaller Party = "installer"
	PartyHomeowner Party = "homeowner"
	PartyOffice    Party = "office"
)

// Parties lists all parties.
func Parties() []Party { return []Party{PartySurveyor, PartyInstaller, PartyHomeowner, PartyOffice} }

// WaitKind is what is waited for.
type WaitKind string

// What is waited for.
const (
	WaitFinishSurvey WaitKind = "finish-survey" // surveyor: it is not ready for the crew
	WaitSettle       WaitKind = "settle"        // surveyor: what stopped the newest revision
	WaitAnswerCrew   WaitKind = "answer-crew"   // surveyor: questions of the crew
	WaitReview       WaitKind = "review"        // installer: nobody has gone through it since it was changed last
	WaitDecide       WaitKind = "decide"        // homeowner: approve or decline
	WaitSignOff      WaitKind = "sign-off"      // homeowner: the finished work
	WaitAnswer       WaitKind = "answer"        // office: questions of the homeowner
	WaitSend         WaitKind = "send"          // office: issued, and no link works
	WaitReissue      WaitKind = "reissue"       // office: changed since it was approved
	WaitFollowUp     WaitKind = "follow-up"     // office: declined
)

// Wait is one thing that is waited for; Count is how many, 0 where that says nothing.
type Wait struct {
	For   Party
	What  WaitKind
	Count int
}

// Waits lists what is waited for, in the order of States. A survey that was put away waits for nobody.
func (s Standing) Waits() []Wait {
	if s.Filed == Archived || s.Filed == Deleted {
		return nil
	}
	job := s.Job()
	var list []Wait
	for _, w := range []struct {
		holds bool
		Wait
	}{
		{job == StateDraft && s.Newest == 0, Wait{PartySurveyor, WaitFinishSurvey, 0}},
		{s.Stopped && s.Decision == "" && job != StateFinished, Wait{PartySurveyor, WaitSettle, 0}},
		{s.Questions > 0, Wait{PartySurveyor, WaitAnswerCrew, s.Questions}},
		{(job == StateReady || job == StateApproved) && s.ReviewedAt.Before(s.ContentAt), Wait{PartyInstaller, WaitReview, 0}},
		{job == StateIssued && s.Linked, Wait{PartyHomeowner, WaitDecide, 0}},
		{job == StateFinished && !s.SignedOff, Wait{PartyHomeowner, WaitSignOff, 0}},
		{s.Inquiries > 0, Wait{PartyOffice, WaitAnswer, s.Inquiries}},
		{job == StateIssued && !s.Linked, Wait{PartyOffice, WaitSend, 0}},
		{job == StateChanged, Wait{PartyOffice, WaitReissue, 0}},
		{job == StateDeclined, Wait{PartyOffice, WaitFollowUp, 0}},
	} {
		if w.holds {
			list = append(list, w.Wait)
		}
	}
	return list
}

// WaitsFor tells whether something is waited for from a party.
func (s Standing) WaitsFor(p Party) bool {
	for _, w := range s.Waits() {
		if w.For == p {
			return true
		}
	}
	return false
}

// DueOn is the moment from which a finished or declined survey need not be kept any more: years after it was finished, declined or last changed, whichever came last. The
// zero time while it is neither, is deleted, or years is 0.
func (s Standing) DueOn(years int) time.Time {
	if years <= 0 || s.Filed == Deleted {
		return time.Time{}
	}
	var ended time.Time
	switch s.Job() {
	case StateFinished:
		ended = s.FinishedAt
	case StateDeclined:
		ended = s.DecidedAt
	default:
		return time.Time{}
	}
	if s.ChangedAt.After(ended) {
		ended = s.ChangedAt
	}
	return ended.AddDate(years, 0, 0)
}

// Matches tells whether every word of a query is in the survey's title, address, client or contact, in any case.
func (s Standing) Matches(query string) bool {
	text := strings.ToLower(s.Title + "\n" + s.Address + "\n" + s.Client + "\n" + s.Contact)
	for word := range strings.FieldsSeq(strings.ToLower(query)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}
