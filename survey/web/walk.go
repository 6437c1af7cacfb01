package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// walkPage is the walk list: every question with its own form, of which one is open, and what comes after the walk.
type walkPage struct {
	basePage
	Action     string
	MaxBytes   int64
	MaxText    string
	Left, Lead string
	Ticks      []walkTick
	Saved      string
	Problem    problemView
	Places     []walkPlace
	After      []walkLink
	Region     []walkAssumed
}

// walkTick is one step in the row of numbers.
type walkTick struct {
	Number     int
	Mark, Said string
}

// walkPlace is where one stands, with the questions there.
type walkPlace struct {
	Title, Aside string
	Steps        []walkStepView
	done         int
}

// walkLink leads on after the walk.
type walkLink struct {
	Href, Label, Say string
	State            stateView
}

// walkAssumed is a fact that the walk does not ask for.
type walkAssumed struct {
	Label, Value string
	Source       sourceView
}

// readyPrefix names the controls of ready answers, and readyOther is the one that lets another length be typed. A ready answer stands for the field's
// own text.
const (
	readyPrefix = "r."
	readyOther  = "other"
)

// walkPage shows the list, opened at the step that the query names, else at the first that is open.
func (s *Server) walkPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showWalk(c, factForm{record: r}, c.Query("q"))
}

// showWalk renders the page, with the status of what went wrong, if anything. open is the key of the step to open; a form that is shown again is of
// this step.
func (s *Server) showWalk(c *gin.Context, in factForm, open string) error {
	r, list := in.record, survey.Walk(in.record)
	if !slices.ContainsFunc(list, func(v survey.WalkState) bool { return v.Key == open }) {
		open = firstToDo(list, 0)
	}
	done, steps, photos, slots := survey.WalkTally(list)
	page := walkPage{
		basePage: s.surveyPage("Walk list", screenWalk, r), Action: surveyPath(r.Survey.ID) + "/walk", MaxBytes: survey.MaxPhotoBytes, MaxText: fmt.Sprintf("%d MB", survey.MaxPhotoBytes>>20),
		Left: fmt.Sprintf("%d left", steps-done), Lead: fmt.Sprintf("%d of %d questions done, %d of %d photos taken.", done, steps, photos, slots),
		After: walkAfter(r), Region: walkRegion(r),
	}
	if done == steps {
		page.Left = "All is walked"
	}
	var views []fieldView
	for i, state := range list {
		view := s.walkStep(in, list, i, state.Key == open)
		if state.Key == open && in.form != nil {
			view.Unsaved, views = true, view.fields()
		}
		page.add(state, view)
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
	case c.Query("saved") == "new":
		page.Saved = "The survey is started. Walk around the deck once, in this order, then under it."
	}
	return s.render(c, status, "walk", page)
}

// add puts a step under the heading of its place.
func (p *walkPage) add(state survey.WalkState, view walkStepView) {
	if len(p.Places) == 0 || p.Places[len(p.Places)-1].Title != state.Place {
		p.Places = append(p.Places, walkPlace{Title: state.Place})
	}
	place := &p.Places[len(p.Places)-1]
	place.Steps = append(place.Steps, view)
	if state.Mark == survey.WalkDone {
		place.done++
	}
	place.Aside = fmt.Sprintf("%d of %d", place.done, len(place.Steps))
	tick := walkTick{Number: view.Number, Mark: string(state.Mark), Said: fmt.Sprintf("%s, %s", state.Label, view.State.Text)}
	if view.Open {
		tick.Mark, tick.Said = "now", tick.Said+", open now"
	}
	p.Ticks = append(p.Ticks, tick)
}

// Under tells whether a place is under the deck: it has the most questions and stands in a column of its own at a desk.
func (p walkPlace) Under() bool { return len(p.Steps) > 4 }

// firstToDo is the key of the first step from a place in the list on that nobody has done or put off, else of the first that is not done, empty when
// all are.
func firstToDo(list []survey.WalkState, from int) string {
	for _, marks := range [][]survey.WalkMark{{survey.WalkOpen, survey.WalkPhoto}, {survey.WalkOpen, survey.WalkPhoto, survey.WalkLater}} {
		for i := range list {
			if state := list[(from+i)%len(list)]; slices.Contains(marks, state.Mark) {
				return state.Key
			}
		}
	}
	return ""
}

// walkAfter leads to the two screens that end a visit.
func walkAfter(r survey.Record) []walkLink {
	home := surveyPath(r.Survey.ID)
	ceiling := survey.Compute(r)
	states := survey.Covered(r, ceiling)
	_, _, open := coverCounts(states)
	cover := walkLink{home + "/cover", "What we will cover", "What the ceiling hides or closes in.", stateView{weightFine, "all answered"}}
	if open > 0 {
		cover.State = stateView{signOpen, fmt.Sprintf("%d of %d answered", len(states)-open, len(states))}
	}
	check := survey.Leave(r, ceiling)
	weight, verdict, _ := leaveVerdict(check.Count(survey.SeverityMissing), check.Count(survey.SeverityCheck))
	return []walkLink{cover, {home + "/leave", "Before you leave", "What is still missing or doubtful.", stateView{weight, lowerFirst(strings.TrimSuffix(verdict, "."))}}}
}

// walkRegion are the facts that stand for the company's region.
func walkRegion(r survey.Record) []walkAssumed {
	var list []walkAssumed
	for _, f := range survey.WalkRegion(survey.ResolveFacts(r)) {
		list = append(list, walkAssumed{f.Field.Label, f.Value.Read, viewSource(r.Survey.ID, f.Source)})
	}
	return list
}

// saveWalk keeps the answers of one step and goes on to the next.
func (s *Server) saveWalk(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	key := c.Request.PostForm.Get("step")
	steps := survey.WalkSteps(r)
	at := slices.IndexFunc(steps, func(v survey.WalkStep) bool { return v.Key == key })
	if at < 0 {
		return survey.Errorf(survey.Invalid, "The walk list has no such question. Open the page anew.")
	}
	form.takeReady(c.Request.PostForm, steps[at])
	fields := stepFields(r, steps[at])
	changes, clashes := form.merge(fields, func(key string) string { return r.Facts[key].Text })
	again := factForm{record: r, form: &form, clashes: clashes}
	if len(clashes) > 0 {
		again.err = errClash
		return s.showWalk(c, again, key)
	}
	facts := changedFacts(r, fields, changes)
	if form.button != "" {
		choice, err := settlement(r, form.button)
		if err != nil {
			again.err = err
			return s.showWalk(c, again, key)
		}
		facts = append(facts, choice)
	}
	err = checkWalk(r, facts)
	if err == nil {
		err = askFacts(r, facts, form)
	}
	if err != nil {
		again.texts, again.err = fieldTexts(err), err
		return s.showWalk(c, again, key)
	}
	_, err = s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts)
	switch {
	case survey.KindOf(err) == survey.Conflict:
		return s.retryWalk(c, form, fields, key)
	case err != nil: // whatever it is, what was answered stays on the page
		again.err = err
		return s.showWalk(c, again, key)
	}
	return s.walkOn(c, r.Survey.ID, key)
}

// walkOn goes to the step after one that was saved. The joists' step is shown once more when it has a sum that nobody was asked about, and any step
// whose sources were settled.
func (s *Server) walkOn(c *gin.Context, id survey.SurveyID, key string) error {
	r, err := s.store.Record(c.Request.Context(), id)
	if err != nil {
		return err
	}
	list := survey.Walk(r)
	at := slices.IndexFunc(list, func(v survey.WalkState) bool { return v.Key == key })
	sent, to := c.Request.PostForm, key
	toCount := list[at].Sum.Count > 0 && list[at].Sum.Counted == 0 && sent.Get("asked") == "" && sent.Get(fieldPrefix+survey.LaterKey(key)) != "yes"
	if !toCount && sent.Get("settle") == "" {
		to = firstToDo(list, at+1)
	}
	return redirect(c, fmt.Sprintf("%s/walk?q=%s#q-%s", surveyPath(id), url.QueryEscape(to), url.PathEscape(to)))
}

// takeReady puts the ready answers of a form in the place of the fields they stand for.
func (f typedForm) takeReady(sent url.Values, step survey.WalkStep) {
	for _, fact := range step.Facts {
		if answer := cleanText(sent.Get(readyPrefix + fact.Key)); answer != "" && answer != readyOther {
			f.text[fact.Key] = answer
		}
	}
}

// stepFields are all fields of a step's form.
func stepFields(r survey.Record, step survey.WalkStep) []survey.Field {
	var fields []survey.Field
	for _, f := range step.Facts {
		fields = append(fields, f.Field)
	}
	for _, f := range survey.WalkFields(r) {
		ofSlot := slices.ContainsFunc(step.Slots, func(slot survey.WalkSlot) bool { return f.Key == survey.SlotKey(slot.Key) })
		if ofSlot || f.Key == survey.LaterKey(step.Key) || f.Key == survey.NoneKey(step.Key) {
			fields = append(fields, f)
		}
	}
	return fields
}

// checkWalk checks facts as any are checked, and that a slot names a photo.
func checkWalk(r survey.Record, facts []survey.Fact) error {
	if err := survey.ValidateFacts(r, facts); err != nil {
		return err
	}
	for _, f := range facts {
		if strings.HasPrefix(f.Key, survey.SlotKey("")) && f.Text != "" {
			if _, err := survey.ParseID(f.Text); err != nil {
				return &survey.Error{Kind: survey.Invalid, Message: "Nothing was changed.", Fields: map[string]string{f.Key: "Choose one of the photos."}}
			}
		}
	}
	return nil
}

// retryWalk looks at what was saved in the very moment between reading and writing. The phone may have sent the same answers by itself, and then there
// is nothing left to save; else the form is shown against what somebody else has changed.
func (s *Server) retryWalk(c *gin.Context, form typedForm, fields []survey.Field, key string) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	changes, clashes := form.merge(fields, func(key string) string { return r.Facts[key].Text })
	if len(clashes) == 0 {
		_, err = s.store.PutFacts(c.Request.Context(), r.Survey.ID, changedFacts(r, fields, changes))
		if err == nil {
			return s.walkOn(c, r.Survey.ID, key)
		}
	}
	return s.showWalk(c, factForm{record: r, form: &form, clashes: clashes, err: errClash}, key)
}
