package web

import (
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// ceilingPage is the computed ceiling: what one may change, the key figures, then the sheets of the report's model.
type ceilingPage struct {
	basePage
	report.Model
	Action               string
	From                 string
	Saved                string
	Unsaved              bool
	Problem              problemView
	Fields               []fieldView
	BeamFields           []beamView
	ReportHref, SiteHref string
}

// beamView is what may be chosen about one beam, and what passing under it would take.
type beamView struct {
	Field fieldView
	Under string
}

// beamPrefix starts the key of the field that chooses a beam's treatment; the pin's id follows.
const beamPrefix = "beam."

// ceilingPage computes the survey's ceiling and shows it.
func (s *Server) ceilingPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showCeiling(c, factForm{record: r})
}

// showCeiling renders the page, with the status of what went wrong with its form, if anything. The plan is that of what is saved.
func (s *Server) showCeiling(c *gin.Context, in factForm) error {
	r, home := in.record, surveyPath(in.record.Survey.ID)
	page := ceilingPage{
		basePage: s.surveyPage("Ceiling", screenCeiling, r), Model: report.Build(r, survey.Compute(r), ceilingLinks(r), s.now()), Action: home + "/ceiling",
		From: countedText(r), Unsaved: in.form != nil, ReportHref: home + "/report", SiteHref: home,
	}
	views := s.ceilingViews(in)
	for _, v := range views {
		if id, ok := strings.CutPrefix(v.Key, beamPrefix); ok {
			page.BeamFields = append(page.BeamFields, beamView{v, underText(r, survey.PinID(id), page.Beams)})
		} else {
			page.Fields = append(page.Fields, v)
		}
	}
	status := http.StatusOK
	switch {
	case in.err != nil:
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems(views)}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	case c.Query("saved") == "ceiling":
		page.Saved = "Saved, and computed again."
	}
	return s.render(c, status, "ceiling", page)
}

// ceilingLinks lead to a pin on its photo, and to a fact in the form that asks for it: this page's own or Site and deck.
func ceilingLinks(r survey.Record) report.Links {
	return report.Links{
		Pin: func(number int, _ survey.PinID, photo survey.PhotoID) string {
			return fmt.Sprintf("%s#p%d", photoPathOf(r.Survey.ID, photo), number)
		},
		Field: func(key string) string {
			anchor := "#" + controlID(fieldPrefix+key)
			if slices.Contains(ceilingKeys(), key) {
				return surveyPath(r.Survey.ID) + "/ceiling" + anchor
			}
			return surveyPath(r.Survey.ID) + anchor
		},
	}
}

// countedText says what the ceiling is computed from.
func countedText(r survey.Record) string {
	typed := 0
	for _, f := range survey.FactFields(r) {
		if r.Facts[f.Key].Text != "" {
			typed++
		}
	}
	return fmt.Sprintf("from %s and %s", counted(len(r.Pins), "pin"), counted(typed, "typed value"))
}

// ceilingKeys are the facts that may be changed on the page.
func ceilingKeys() []string {
	return []string{"system", "fall.direction", "fall.per_foot", "base", "low_edge", "max_build_down"}
}

// ceilingFields are the fields of the page's form: facts of the ceiling, then the treatment of every dropped beam.
func ceilingFields(r survey.Record) []survey.Field {
	var fields []survey.Field
	for _, key := range ceilingKeys() {
		if f, ok := survey.FactField(r, key); ok {
			fields = append(fields, f)
		}
	}
	for _, pin := range r.Pins {
		if pin.Kind != survey.PinBeam || pin.Values["set"] != "dropped" {
			continue
		}
		for _, f := range survey.PinFields(r, pin.Kind) {
			if f.Key == "treatment" {
				f.Key, f.Label = beamPrefix+string(pin.ID), fmt.Sprintf("The ceiling at beam %d", pin.Number)
				fields = append(fields, f)
			}
		}
	}
	return fields
}

// savedCeiling is the saved text of one of the form's fields.
func savedCeiling(r survey.Record, key string) string {
	id, ok := strings.CutPrefix(key, beamPrefix)
	if !ok {
		return r.Facts[key].Text
	}
	pin, _ := r.Pin(survey.PinID(id))
	return pin.Values["treatment"]
}

// ceilingViews are the form's fields with what was typed or saved, and where each value comes from.
func (s *Server) ceilingViews(in factForm) []fieldView {
	form, texts, clashes := typedForm{}, in.texts, in.clashes
	if in.form != nil {
		form = *in.form
	}
	facts := survey.ResolveFacts(in.record)
	var views []fieldView
	for _, f := range ceilingFields(in.record) {
		lookup := f.Key
		if strings.HasPrefix(f.Key, beamPrefix) {
			lookup = ""
		}
		v := form.view(newFieldView(f, fieldPrefix+f.Key, lookup), savedCeiling(in.record, f.Key), templates.When(s.now(), in.record.Facts[f.Key].UpdatedAt),
			texts[f.Key], clashes[f.Key])
		if lookup != "" {
			v = withSources(v, in.record, facts.Get(f.Key))
		}
		views = append(views, v)
	}
	return views
}

// underText says what passing under a beam would take, or what became of the beam.
func underText(r survey.Record, id survey.PinID, beams []report.BeamLine) string {
	pin, _ := r.Pin(id)
	for _, b := range beams {
		if b.ID != survey.InputID(pin.Number) {
			continue
		}
		switch {
		case b.Treatment == "outside":
			return "It meets no zone of the ceiling."
		case b.Under == "":
			return ""
		case b.Treatment == "under":
			return "Passes under: " + b.Under + "."
		}
		return "Passing under " + b.Under + "."
	}
	return ""
}

// saveCeiling changes what was chosen differently: facts of the ceiling, and the treatment on the beams' pins.
func (s *Server) saveCeiling(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	changes, clashes := form.merge(ceilingFields(r), func(key string) string { return savedCeiling(r, key) })
	if len(clashes) > 0 {
		return s.showCeiling(c, factForm{record: r, form: &form, clashes: clashes, err: errClash})
	}
	facts, pins := ceilingChanges(r, changes)
	if err := validateCeiling(r, facts, pins); err != nil {
		return s.showCeiling(c, factForm{record: r, form: &form, texts: fieldTexts(err), err: err})
	}
	err = s.putCeiling(c, r, facts, pins)
	if survey.KindOf(err) == survey.Conflict {
		return s.retryCeiling(c, form)
	}
	if err != nil {
		return err
	}
	return redirect(c, surveyPath(r.Survey.ID)+"/ceiling?saved=ceiling")
}

// ceilingChanges parts the changed texts into facts and beams' pins, each with the version it was made from.
func ceilingChanges(r survey.Record, changes map[string]string) ([]survey.Fact, []survey.Pin) {
	var facts []survey.Fact
	var pins []survey.Pin
	for _, f := range ceilingFields(r) {
		text, ok := changes[f.Key]
		if !ok {
			continue
		}
		id, beam := strings.CutPrefix(f.Key, beamPrefix)
		if !beam {
			facts = append(facts, survey.Fact{Survey: r.Survey.ID, Key: f.Key, Text: text, Version: r.Facts[f.Key].Version})
			continue
		}
		pin, _ := r.Pin(survey.PinID(id))
		pin.Values = maps.Clone(pin.Values)
		pin.Values["treatment"] = text
		pins = append(pins, pin)
	}
	return facts, pins
}

// validateCeiling checks everything before anything is saved. What is wrong with a beam is named by the form's own field.
func validateCeiling(r survey.Record, facts []survey.Fact, pins []survey.Pin) error {
	if err := survey.ValidateFacts(r, facts); err != nil {
		return err
	}
	for _, pin := range pins {
		if err := survey.ValidatePin(r, pin); err != nil {
			text := survey.Message(err)
			if say := fieldTexts(err)["treatment"]; say != "" {
				text = say
			}
			return &survey.Error{Kind: survey.Invalid, Message: "Some of it could not be read. Nothing was changed.", Fields: map[string]string{beamPrefix + string(pin.ID): text}}
		}
	}
	return nil
}

// putCeiling saves the changes: the pins one by one, then the facts together.
func (s *Server) putCeiling(c *gin.Context, r survey.Record, facts []survey.Fact, pins []survey.Pin) error {
	for _, pin := range pins {
		if _, err := s.store.PutPin(c.Request.Context(), pin); err != nil {
			return err
		}
	}
	if len(facts) == 0 {
		return nil
	}
	_, err := s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts)
	return err
}

// retryCeiling shows the form against what somebody else saved in the very moment between reading and writing.
func (s *Server) retryCeiling(c *gin.Context, form typedForm) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	_, clashes := form.merge(ceilingFields(r), func(key string) string { return savedCeiling(r, key) })
	return s.showCeiling(c, factForm{record: r, form: &form, clashes: clashes, err: errClash})
}

// counted says a number of things whose plural takes an s.
func counted(n int, what string) string {
	if n == 1 {
		return "1\u00a0" + what
	}
	return fmt.Sprintf("%d\u00a0%ss", n, what)
}
