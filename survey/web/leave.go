package web

import (
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/templates"
)

// leavePage is Before you leave: one verdict, what to settle, what is in order, and whether the survey is ready for the crew.
type leavePage struct {
	basePage
	Weight, Verdict, Lead string
	Tally                 []stateView
	Sections              []leaveSection
	Fine                  []string
	Ready                 readyView
	Problem               problemView
	Saved                 string
}

// leaveSection is what has one weight.
type leaveSection struct {
	Title string
	Items []cautionView
}

// readyView is the state "ready for the crew" with its form. Changed is what the page was made from: it is sent along, so that nobody marks
// ready what they have not seen.
type readyView struct {
	Action      string
	Marked      bool
	State       stateView
	Reason      string
	Since       string // that something changed since, empty when nothing did
	Changed     string
	By, WhyNone fieldView
	Stops       int
	Button      string
	Locked      bool // for who is signed in
}

// leaveInput is what the page is made of: the record, and, when the form is shown again, what was typed with what is wrong with it.
type leaveInput struct {
	record survey.Record
	form   *typedForm
	err    error
}

// leavePage shows the verdict.
func (s *Server) leavePage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showLeave(c, leaveInput{record: r})
}

// showLeave renders the page, with the status of what went wrong, if anything.
func (s *Server) showLeave(c *gin.Context, in leaveInput) error {
	r := in.record
	check := survey.Leave(r, survey.Compute(r))
	page := leavePage{basePage: s.surveyPage("Before you leave", screenLeave, r), Tally: leaveTally(check), Sections: leaveSections(r, check), Fine: check.Fine}
	stops, checks := check.Count(survey.SeverityMissing), check.Count(survey.SeverityCheck)
	page.Weight, page.Verdict, page.Lead = leaveVerdict(stops, checks)
	page.Ready = s.readyOf(in, stops)
	page.Ready.By = signedBy(c.Request.Context(), page.Ready.By)
	page.Ready.Locked = !mayNow(c.Request.Context(), "POST /surveys/:survey/ready")
	status := http.StatusOK
	switch {
	case in.err != nil:
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems([]fieldView{page.Ready.By, page.Ready.WhyNone})}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	case c.Query("saved") == "ready":
		page.Saved = "It is marked ready for the crew."
	case c.Query("saved") == "back":
		page.Saved = "The mark is taken back."
	}
	return s.render(c, status, "leave", page)
}

// leaveVerdict is the one sentence, with what it rests on.
func leaveVerdict(stops, checks int) (weight, head, lead string) {
	doubtful := map[bool]string{true: "Nothing is doubtful.", false: counted(checks, "thing") + " to check, best while you are here."}[checks == 0]
	if stops > 0 {
		return weightStop, "Not yet.", counted(stops, "thing") + " to settle first. " + doubtful
	}
	if checks > 0 {
		return weightWarn, "You can leave.", "Nothing is missing. " + doubtful
	}
	return weightFine, "You can leave.", "Nothing is missing. " + doubtful
}

func leaveTally(check survey.LeaveCheck) []stateView {
	var tally []stateView
	for _, t := range []struct {
		weight string
		n      int
		words  string
	}{
		{weightStop, check.Count(survey.SeverityMissing), "to settle here"}, {weightWarn, check.Count(survey.SeverityCheck), "to check"},
		{weightNote, check.Count(survey.SeverityNote), "to know"}, {weightFine, len(check.Fine), "in order"},
	} {
		if t.n > 0 {
			tally = append(tally, stateView{t.weight, fmt.Sprintf("%d %s", t.n, t.words)})
		}
	}
	return tally
}

// leaveSections gathers the items under their weights; a weight without any is left out.
func leaveSections(r survey.Record, check survey.LeaveCheck) []leaveSection {
	var list []leaveSection
	for _, part := range []struct {
		severity survey.Severity
		title    string
	}{{survey.SeverityMissing, "Settle before you leave"}, {survey.SeverityCheck, "Doubtful"}, {survey.SeverityNote, "Good to know"}} {
		section := leaveSection{Title: part.title}
		for _, item := range check.Items {
			if item.Severity == part.severity {
				section.Items = append(section.Items, leaveCaution(r, item))
			}
		}
		if len(section.Items) > 0 {
			list = append(list, section)
		}
	}
	return list
}

// leaveCaution is an item with the place that settles it.
func leaveCaution(r survey.Record, item survey.LeaveItem) cautionView {
	return cautionView{Weight: severityWeight(item.Severity), Head: item.Text, Body: item.Do, Rule: "rule " + item.Rule, Actions: leaveActions(r, item)}
}

// leaveActions leads to the place that settles an item.
func leaveActions(r survey.Record, item survey.LeaveItem) []action {
	home := surveyPath(r.Survey.ID)
	screens := map[string]action{
		"deck": {home, "Site and deck"}, "photos": {home + "/photos", "Photos"}, "cover": {home + "/cover", "What we will cover"}, "ceiling": {home + "/ceiling", "Ceiling"},
		"questions": {home + "/questions", "Questions"},
	}
	place := screens[item.Screen]
	if pin, ok := r.Pin(item.Pin); ok {
		return []action{{fmt.Sprintf("%s#p%d", photoPathOf(r.Survey.ID, pin.Photo), pin.Number), fmt.Sprintf("Open pin %d", pin.Number)}}
	}
	if photo, ok := r.Photo(item.Photo); ok {
		return []action{{photoPath(photo), fmt.Sprintf("Open photo %d", photo.Number)}}
	}
	if item.Fact != "" {
		place.Href += "#" + controlID(fieldPrefix+item.Fact)
	}
	return []action{place}
}

// readyOf is the state of the mark and its form. A name is offered that is known already.
func (s *Server) readyOf(in leaveInput, stops int) readyView {
	r, mark := in.record, in.record.Readiness()
	v := readyView{Action: surveyPath(r.Survey.ID) + "/ready", Marked: mark.Marked, Stops: stops, Changed: strconv.FormatInt(r.ChangedAt.UnixMilli(), 10), Button: "Mark ready for the crew"}
	if stops > 0 {
		v.Button = fmt.Sprintf("Mark ready although %s it", map[bool]string{true: "1 thing stops", false: strconv.Itoa(stops) + " things stop"}[stops == 1])
	}
	if mark.Marked {
		v.State = stateView{weightFine, "Marked ready by " + mark.By + ", " + templates.When(s.now(), mark.At)}
		v.Reason = mark.Reason
		if mark.Reason != "" {
			v.State.Weight = weightWarn
		}
		if mark.Changed {
			v.State.Weight, v.Since = weightWarn, "Changed since, last "+templates.When(s.now(), r.ChangedAt)+": look again, then mark it anew."
		}
	}
	by := mark.By
	if by == "" {
		by = r.Survey.Surveyor
	}
	v.By = readyField("by", "Your name", by, in)
	v.WhyNone = readyField("reason", "Why it may be built although something is open", mark.Reason, in)
	v.WhyNone.Control = "area"
	return v
}

// readyField is a field of the form with what was typed, else what is known.
func readyField(key, label, known string, in leaveInput) fieldView {
	v := newFieldView(survey.Field{Key: key, Label: label, Type: survey.TypeText, Required: true}, fieldPrefix+key, "")
	v.Text = known
	if in.form != nil {
		if typed, sent := in.form.text[key]; sent {
			v.Text = typed
		}
	}
	v.Problem = fieldTexts(in.err)[key]
	return v
}

// errChangedMeanwhile is why nothing is marked ready that has changed since the page was opened.
var errChangedMeanwhile = survey.Errorf(survey.Conflict, "Something of this survey changed after the page was opened. Look at the verdict again; nothing is marked yet.")

// saveReady marks the survey ready for the crew, or takes the mark back.
func (s *Server) saveReady(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	saved, facts := "back", survey.UnmarkReady(r)
	if c.Request.PostForm.Get("back") == "" {
		if c.Request.PostForm.Get("changed") != strconv.FormatInt(r.ChangedAt.UnixMilli(), 10) {
			return s.showLeave(c, leaveInput{record: r, form: &form, err: errChangedMeanwhile})
		}
		stops := survey.Leave(r, survey.Compute(r)).Count(survey.SeverityMissing)
		facts, err = survey.MarkReady(r, signer(c.Request.Context(), form.text["by"]), form.text["reason"], stops, s.now())
		if err != nil {
			return s.showLeave(c, leaveInput{record: r, form: &form, err: err})
		}
		saved = "ready"
	}
	if _, err := s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts); err != nil {
		if survey.KindOf(err) == survey.Conflict {
			err = errChangedMeanwhile
		}
		return s.showLeave(c, leaveInput{record: r, form: &form, err: err})
	}
	return redirect(c, surveyPath(r.Survey.ID)+"/leave?saved="+saved+"#ready")
}
