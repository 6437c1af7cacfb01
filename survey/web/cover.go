package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/templates"
)

// coverPage is What we will cover: the questions by group, each with its answer, the photo that shows it and what it calls for.
type coverPage struct {
	basePage
	Action                string
	Unsaved               bool
	Saved                 string
	Problem               problemView
	Stops                 []string // what stops the crew, a sentence each
	Tally                 []stateView
	Groups                []coverGroup
	PhotosHref, LeaveHref string
}

// coverGroup is one sheet of questions. Open is how many of them nobody has answered.
type coverGroup struct {
	Title, Aside string
	Open         int
	Rows         []coverRow
}

// OpenLabel says what the button answers that says no to all that is open.
func (g coverGroup) OpenLabel() string {
	switch {
	case g.Open == 1:
		return "No to the last one: I looked"
	case g.Open == len(g.Rows):
		return fmt.Sprintf("No to these %d: I looked", g.Open)
	}
	return fmt.Sprintf("No to the last %d: I looked", g.Open)
}

// coverRow is one question. Caution has an empty Head when there is nothing to say.
type coverRow struct {
	Answer, Photo    fieldView
	Caution          cautionView
	Thumb, PhotoHref string // of the photo that shows it
	PhotoNumber      int
}

// coverPage shows the questions.
func (s *Server) coverPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showCover(c, factForm{record: r})
}

// showCover renders the page, with the status of what went wrong, if anything.
func (s *Server) showCover(c *gin.Context, in factForm) error {
	r, home := in.record, surveyPath(in.record.Survey.ID)
	states := survey.Covered(r, survey.Compute(r))
	page := coverPage{
		basePage: s.surveyPage("What we will cover", screenCover, r), Action: home + "/cover", Unsaved: in.form != nil, Tally: coverTally(states),
		PhotosHref: home + "/photos", LeaveHref: home + "/leave",
	}
	views := s.coverViews(in)
	for i, state := range states {
		page.add(r, state, views[2*i], views[2*i+1])
		if state.Finding.Severity == survey.SeverityMissing {
			page.Stops = append(page.Stops, state.Finding.Text)
		}
	}
	status := http.StatusOK
	switch {
	case in.err != nil:
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems(views)}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	case c.Query("saved") == "cover":
		page.Saved = "The answers are saved."
	}
	return s.render(c, status, "cover", page)
}

// coverViews are the fields of the page with what was typed, or what is saved, in the order of survey.CoverFields.
func (s *Server) coverViews(in factForm) []fieldView {
	form := typedForm{}
	if in.form != nil {
		form = *in.form
	}
	var views []fieldView
	for _, f := range survey.CoverFields(in.record) {
		saved := in.record.Facts[f.Key]
		v := newFieldView(f, fieldPrefix+f.Key, "")
		v.Control, v.NothingLabel, v.emptyLine = "select", "No photo", true
		views = append(views, form.view(v, saved.Text, templates.When(s.now(), saved.UpdatedAt), in.texts[f.Key], in.clashes[f.Key]))
	}
	return views
}

// add puts a question under its group's heading.
func (p *coverPage) add(r survey.Record, state survey.CoverState, answer, photo fieldView) {
	if len(p.Groups) == 0 || p.Groups[len(p.Groups)-1].Title != state.Group {
		p.Groups = append(p.Groups, coverGroup{Title: state.Group})
	}
	g := &p.Groups[len(p.Groups)-1]
	row := coverRow{Answer: answer, Photo: photo}
	if state.Finding.Text != "" {
		row.Caution = cautionView{Weight: severityWeight(state.Finding.Severity), Head: state.Finding.Text, Body: state.Finding.Do, Rule: state.Rule}
		if pin, ok := r.Pin(state.Finding.Pin); ok {
			row.Caution.Actions = []action{{fmt.Sprintf("%s#p%d", photoPathOf(r.Survey.ID, pin.Photo), pin.Number), fmt.Sprintf("Open pin %d", pin.Number)}}
		} else if state.Finding.Severity == survey.SeverityMissing {
			row.Caution.Actions = []action{{p.PhotosHref, "Pin it on a photo"}}
		}
	}
	for _, shown := range r.Photos {
		if shown.Number == state.Photo {
			row.PhotoNumber, row.PhotoHref = shown.Number, photoPath(shown)
			if shown.Thumb != "" {
				row.Thumb = thumbPath(shown)
			}
		}
	}
	if state.Answer == "" {
		g.Open++
	}
	g.Rows = append(g.Rows, row)
	g.Aside = fmt.Sprintf("%d of %d", len(g.Rows)-g.Open, len(g.Rows))
}

// severityWeight is the weight of a finding.
func severityWeight(severity survey.Severity) string {
	return map[survey.Severity]string{survey.SeverityMissing: weightStop, survey.SeverityCheck: weightWarn, survey.SeverityNote: weightNote}[severity]
}

// coverTally counts the answers that call for something and the questions without one.
func coverTally(states []survey.CoverState) []stateView {
	stops, checks, open := coverCounts(states)
	var tally []stateView
	if stops > 0 {
		tally = append(tally, stateView{weightStop, fmt.Sprintf("%d to stop for", stops)})
	}
	if checks > 0 {
		tally = append(tally, stateView{weightWarn, fmt.Sprintf("%d to check", checks)})
	}
	if open > 0 {
		return append(tally, stateView{weightNote, fmt.Sprintf("%d not answered", open)})
	}
	return append(tally, stateView{weightFine, "all answered"})
}

func coverCounts(states []survey.CoverState) (stops, checks, open int) {
	for _, s := range states {
		switch {
		case s.Finding.Severity == survey.SeverityMissing:
			stops++
		case s.Finding.Severity == survey.SeverityCheck:
			checks++
		}
		if s.Answer == "" {
			open++
		}
	}
	return stops, checks, open
}

// saveCover changes the answers that were given differently. The button of a group also answers no to all that is open in it.
func (s *Server) saveCover(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	form.lookedAt(r, c.Request.PostForm.Get("looked"))
	fields := survey.CoverFields(r)
	changes, clashes := form.merge(fields, func(key string) string { return r.Facts[key].Text })
	if len(clashes) > 0 {
		return s.showCover(c, factForm{record: r, form: &form, clashes: clashes, err: errClash})
	}
	facts := changedFacts(r, fields, changes)
	if err := survey.ValidateFacts(r, facts); err != nil {
		return s.showCover(c, factForm{record: r, form: &form, texts: fieldTexts(err), err: err})
	}
	_, err = s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts)
	switch {
	case survey.KindOf(err) == survey.Conflict:
		return s.retryCover(c, form)
	case err != nil: // whatever it is, what was answered stays on the page
		return s.showCover(c, factForm{record: r, form: &form, err: err})
	}
	return redirect(c, surveyPath(r.Survey.ID)+"/cover?saved=cover")
}

// lookedAt answers no to the questions of a group that have no answer, neither in the form nor saved.
func (f typedForm) lookedAt(r survey.Record, group string) {
	for _, q := range survey.CoverQuestions() {
		if group != "" && q.Group == group && f.text[q.Key] == "" && strings.TrimSpace(r.Facts[q.Key].Text) == "" {
			f.text[q.Key] = survey.AnswerNo
		}
	}
}

// retryCover shows the form against what somebody else saved in the very moment between reading and writing.
func (s *Server) retryCover(c *gin.Context, form typedForm) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	_, clashes := form.merge(survey.CoverFields(r), func(key string) string { return r.Facts[key].Text })
	return s.showCover(c, factForm{record: r, form: &form, clashes: clashes, err: errClash})
}
