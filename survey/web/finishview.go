package web

import (
	"fmt"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// builtView is a line of what was built otherwise, with its reason as a field.
type builtView struct {
	What, Was, Now string
	Why            fieldView
}

// shotView is a photo of the hose test.
type shotView struct {
	Href, Thumb, Label string
}

// doneView is finished work: who finished and signed it off, its papers, and what has changed since.
type doneView struct {
	State, Signed stateView
	Although      string
	SHA256        string // of the finishing that is shown: nobody opens another again
	Fingerprint   string
	SignHref      string // empty once it is signed off
	Papers        []action
	Changes       []report.Difference
	Reopen        string // where it is opened again
	Reason, By    fieldView

	against survey.Approval // which the work was held against; zero when none was approved
}

// actView is one act about the end of the work. Papers are empty but for a finishing.
type actView struct {
	State  stateView
	Reason string
	Papers []action
}

// doneView is finished work as it stands.
func (s *Server) doneView(c *gin.Context, in factForm, e ending) (*doneView, error) {
	r, at := in.record, finishPath(in.record.Survey.ID)
	done := r.Ended.Done
	f, err := s.finishing(done)
	if err != nil {
		return nil, err
	}
	v := &doneView{State: stateView{weightFine, fmt.Sprintf("finished %s, by %s", templates.When(s.now(), done.At), done.By)}, Although: done.Reason, SHA256: done.SHA256, Fingerprint: survey.Fingerprint(done.SHA256), Papers: papersOf(at, done),
		Signed: stateView{weightWarn, "waits for the client’s sign-off"}, SignHref: at + "/sign", Reopen: at + "/reopen"}
	if r.Ended.Signed() {
		v.Signed, v.SignHref = stateView{weightFine, fmt.Sprintf("signed off by %s %s", r.Ended.Sign.Name, templates.When(s.now(), r.Ended.Sign.At))}, ""
	}
	v.against, _ = survey.DecisionOn(e.made, done.Approved)
	company, err := s.store.Company(c.Request.Context())
	if err != nil {
		return nil, err
	}
	v.Changes = report.ChangesSince(f.As, r, e.ceiling, company, catalogue.English)
	lin := leaveInput{record: r, form: in.form, err: in.err}
	v.Reason, v.By = readyField("reason", "Why it is opened again", "", lin), signedBy(c.Request.Context(), readyField("by", "Your name", "", lin))
	v.Reason.Control = "area"
	return v, nil
}

// actView is one act in the list.
func (s *Server) actView(at string, f survey.Finish) actView {
	when := templates.When(s.now(), f.At)
	switch f.Act {
	case survey.Finished:
		return actView{State: stateView{weightFine, fmt.Sprintf("finished by %s %s", f.By, when)}, Reason: f.Reason, Papers: papersOf(at, f)}
	case survey.SignedOff:
		return actView{State: stateView{weightFine, fmt.Sprintf("signed off by %s %s", f.Name, when)}}
	}
	return actView{State: stateView{weightNote, fmt.Sprintf("opened again by %s %s", f.By, when)}, Reason: f.Reason}
}

// papersOf are the papers of a finishing, each in both languages.
func papersOf(at string, f survey.Finish) []action {
	of := func(paper, lang, label string) action {
		return action{fmt.Sprintf("%s/%s.pdf?act=%d%s", at, paper, f.Seq, lang), label}
	}
	return []action{of("record", "", "Completion record"), of("record", "&lang=es", "Completion record, Español"), of("care", "", "Care sheet"), of("care", "&lang=es", "Care sheet, Español")}
}
