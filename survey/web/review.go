package web

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// reviewPage is what an installer goes through before arriving, and the mark that somebody did.
type reviewPage struct {
	basePage
	State         stateView
	Of            string // which state was reviewed last, empty for none
	Changes       []report.Difference
	Uncertain     []uncertainView
	Missing       []cautionView
	Doubtful      int // what Before you leave doubts besides
	LeaveHref     string
	Hazards       []cautionView
	Lead          string // what is true of every hazard, empty for nothing
	Notches       []notchView
	NotchesHref   string
	Bring         []bringView
	Material      []materialView
	Open          []threadView
	AskHref       string
	QuestionsHref string
	Inquiries     int // questions of the homeowner without an answer
	RevHref       string
	Action        string
	Sum           string // of the state that is shown: nobody marks what they have not seen
	By            fieldView
	Problem       problemView
	Saved         string
	Earlier       []string // earlier reviews, the newest first
}

// uncertainView is one thing to check on site: with where it came from, where it is asked about, and where the measured value is typed.
type uncertainView struct {
	What, Value, PM, Why string
	Sources              []sourceView
	AskHref, MeasureHref string // empty where it is about nothing that can be asked about or measured
}

// notchView is one notch.
type notchView struct{ Carrier, Thing, Place, Depth, Chance, Href, AskHref string }

// bringView is what to bring, under one heading.
type bringView struct {
	Head  string
	Lines []string
}

// materialView is a line of the material list.
type materialView struct{ Label, Buy string }

// reviewInput is what the page is made of: the record, and, when the form is shown again, what was typed with what is wrong with it.
type reviewInput struct {
	record survey.Record
	form   *typedForm
	err    error
}

// reviewPage shows the page.
func (s *Server) reviewPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showReview(c, reviewInput{record: r})
}

// showReview renders the page, with the status of what went wrong, if anything.
func (s *Server) showReview(c *gin.Context, in reviewInput) error {
	r, ceiling := in.record, survey.Compute(in.record)
	home := surveyPath(r.Survey.ID)
	model := report.Build(r, ceiling, ceilingLinks(r), s.now())
	check := survey.Leave(r, ceiling)
	page := reviewPage{basePage: s.surveyPage("Review before arriving", screenReview, r), Action: home + "/review", LeaveHref: home + "/leave", QuestionsHref: questionsPath(r.Survey.ID), RevHref: home + "/revisions", NotchesHref: home + "/ceiling",
		Uncertain: uncertainViews(r, model), Doubtful: check.Count(survey.SeverityCheck), Lead: model.Lead, Notches: notchViews(r, model), AskHref: questionsPath(r.Survey.ID) + "?about=" + string(survey.SubjectSurvey) + "#ask"}
	for _, item := range check.Items {
		if item.Severity == survey.SeverityMissing {
			page.Missing = append(page.Missing, leaveCaution(r, item))
		}
	}
	for _, f := range model.Cautions {
		page.Hazards = append(page.Hazards, cautionView{Weight: string(f.Weight), Head: f.Head, Body: f.Body, Rule: f.Rule})
	}
	page.bring(model)
	for _, t := range r.OpenThreads() {
		page.Open = append(page.Open, s.viewThread(r, t))
	}
	if err := s.addReviewed(c, &page, r, ceiling); err != nil {
		return err
	}
	return s.renderReview(c, page, in)
}

// renderReview fills in the form and what became of it.
func (s *Server) renderReview(c *gin.Context, page reviewPage, in reviewInput) error {
	page.By = signedBy(c.Request.Context(), readyField("by", "Your name", "", leaveInput(in)))
	status := http.StatusOK
	if in.err != nil {
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems([]fieldView{page.By})}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	} else if c.Query("saved") == "review" {
		page.Saved = "It is marked as reviewed."
	}
	return s.render(c, status, "review", page)
}

// addReviewed says who has reviewed which state, what has changed since, and how many questions of the homeowner are open.
func (s *Server) addReviewed(c *gin.Context, page *reviewPage, r survey.Record, ceiling survey.Ceiling) error {
	var err error
	if _, page.Sum, err = report.WriteState(report.StateOf(r, ceiling)); err != nil {
		return err
	}
	inquiries, err := s.store.Inquiries(c.Request.Context(), r.Survey.ID)
	if err != nil {
		return err
	}
	page.Inquiries = len(slices.DeleteFunc(inquiries, func(q survey.Inquiry) bool { return !q.Answered.IsZero() }))
	last, reviewed := r.LastReview()
	if !reviewed {
		page.State = stateView{weightNote, "nobody has marked it as reviewed yet"}
		return nil
	}
	for _, v := range slices.Backward(r.Reviews[:len(r.Reviews)-1]) {
		page.Earlier = append(page.Earlier, fmt.Sprintf("%s, %s: %s", v.By, templates.When(s.now(), v.At), reviewedState(v)))
	}
	page.Of = reviewedState(last)
	page.State = stateView{weightFine, "reviewed by " + last.By + ", " + templates.When(s.now(), last.At)}
	if last.SHA256 == page.Sum {
		return nil
	}
	if page.Changes, err = s.changedSinceReview(r, ceiling, last); err != nil {
		return err
	}
	if len(page.Changes) > 0 {
		page.State = stateView{weightWarn, "changed since reviewed by " + last.By + ", " + templates.When(s.now(), last.At)}
	}
	return nil
}

// reviewedState says which state a review was of.
func reviewedState(v survey.Review) string {
	if v.Revision == 0 {
		return fmt.Sprintf("the draft, state %s, before any revision", survey.Fingerprint(v.SHA256))
	}
	return fmt.Sprintf("the survey as it stood after revision %d, state %s", v.Revision, survey.Fingerprint(v.SHA256))
}

// changedSinceReview lists what differs from the state that was reviewed.
func (s *Server) changedSinceReview(r survey.Record, ceiling survey.Ceiling, v survey.Review) ([]report.Difference, error) {
	f, err := s.store.OpenBlob(v.SHA256)
	if err != nil {
		return nil, fmt.Errorf("open the state of review %d: %w", v.Seq, err)
	}
	defer f.Close()
	state, err := report.ReadState(f)
	if err != nil {
		return nil, err
	}
	return report.ChangesToBuild(state, r, ceiling, catalogue.English), nil
}

// uncertainViews are the lines of "verify on site" with what can be done about each.
func uncertainViews(r survey.Record, model report.Model) []uncertainView {
	var list []uncertainView
	for _, line := range model.Verify {
		v := uncertainView{What: line.What, Value: line.Value, Why: line.Why}
		if line.PM > 0 {
			v.PM = "±\u00a0" + line.PM.Typeset()
		}
		for _, src := range line.Sources {
			v.Sources = append(v.Sources, sourceView{Kind: string(src.Kind), Words: src.Words, Href: src.Href})
		}
		if _, ok := survey.VerifiableFact(r, line.Fact); ok {
			v.AskHref, v.MeasureHref = askPath(r, survey.SubjectFact, line.Fact, ""), measurePath(r.Survey.ID, "fact", line.Fact)
		}
		for _, src := range line.Sources {
			if pin, ok := pinNumbered(r, src.PinNumber); ok && v.AskHref == "" {
				v.AskHref = askPath(r, survey.SubjectPin, string(pin.ID), line.What)
				if len(survey.VerifiableFields(r, pin)) > 0 {
					v.MeasureHref = measurePath(r.Survey.ID, "pin", string(pin.ID))
				}
			}
		}
		list = append(list, v)
	}
	return list
}

// pinNumbered finds a pin by its number; false for 0 and for one that is gone.
func pinNumbered(r survey.Record, number int) (survey.Pin, bool) {
	i := slices.IndexFunc(r.Pins, func(p survey.Pin) bool { return p.Number == number })
	if i < 0 {
		return survey.Pin{}, false
	}
	return r.Pins[i], true
}

// notchViews are the notches as they are cut.
func notchViews(r survey.Record, model report.Model) []notchView {
	var list []notchView
	for _, n := range model.Notches.Rows {
		v := notchView{Carrier: fmt.Sprintf("Carrier %d, zone %s", n.Carrier, n.Zone), Thing: n.Thing.Label, Place: n.From.Typeset() + " to " + n.To.Typeset(), Depth: n.Depth.Up16().Typeset(), Chance: "cut", Href: n.Thing.Source.Href}
		if !n.Expected {
			v.Chance = "check on site, chance " + n.Chance
		}
		if pin, ok := pinNumbered(r, n.Thing.Source.PinNumber); ok {
			v.AskHref = askPath(r, survey.SubjectPin, string(pin.ID), "Notch in carrier "+strconv.Itoa(n.Carrier))
		}
		list = append(list, v)
	}
	return list
}

// bring gathers what has to be on the truck.
func (p *reviewPage) bring(model report.Model) {
	for _, part := range model.Bring() {
		p.Bring = append(p.Bring, bringView{part.Head, part.Lines})
	}
	for _, row := range model.Takeoff.Rows {
		v := materialView{row.Label, row.Buy}
		if v.Buy == "" {
			v.Buy = row.Need
		}
		p.Material = append(p.Material, v)
	}
}

// errStateChanged is why nothing is marked as reviewed that has changed since the page was opened.
var errStateChanged = survey.Errorf(survey.Conflict, "Something of this survey changed after the page was opened. Look at it again; it is not marked as reviewed yet.")

// saveReview marks the survey as reviewed as it stands.
func (s *Server) saveReview(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	at := s.now() // before the record is read: a change that comes meanwhile is one since the review
	r, err := s.record(c)
	if err != nil {
		return err
	}
	if err := s.keepReview(c, r, form, at); err != nil {
		if kind := survey.KindOf(err); kind != survey.Invalid && kind != survey.Conflict {
			return err
		}
		return s.showReview(c, reviewInput{record: r, form: &form, err: err})
	}
	return redirect(c, surveyPath(r.Survey.ID)+"/review?saved=review")
}

func (s *Server) keepReview(c *gin.Context, r survey.Record, form typedForm, at time.Time) error {
	ctx := c.Request.Context()
	v := survey.Review{Survey: r.Survey.ID, By: signer(ctx, form.text["by"]), At: at}
	if err := v.Validate(); err != nil {
		return err
	}
	state, sum, err := report.WriteState(report.StateOf(r, survey.Compute(r)))
	if err != nil {
		return err
	}
	if c.Request.PostForm.Get("state") != sum {
		return errStateChanged
	}
	issued, err := s.store.Revisions(ctx, r.Survey.ID)
	if err != nil {
		return err
	}
	blob, err := s.store.ReceiveBlob(ctx, bytes.NewReader(state), int64(len(state)))
	if err != nil {
		return err
	}
	v.SHA256, v.Revision = blob.SHA256, len(issued)
	_, err = s.store.Review(ctx, v)
	return err
}

// reviewedText says in a few words whether a survey was reviewed, for where it stands among others; empty while it never was. Whether it has changed since is told by the time of
// its last change alone: the page itself compares what stands.
func (s *Server) reviewedText(r survey.Record) string {
	last, ok := r.LastReview()
	switch {
	case !ok:
		return ""
	case r.ChangedAt.After(last.At):
		return "changed since reviewed by " + last.By
	}
	return "reviewed by " + last.By + ", " + templates.When(s.now(), last.At)
}
