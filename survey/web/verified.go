package web

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// verifiedPage is the values that were measured on site: all of them, the form for those of one pin or fact, and what one of them changed.
type verifiedPage struct {
	basePage
	Action  string
	Measure *measureView
	Result  *resultView
	List    []verifiedView // the newest first
	Problem problemView
	Saved   string
	Review  string // where what is uncertain is listed
}

// measureView is the form of what was measured of one thing. Now says what stands.
type measureView struct {
	ID, Pin, Fact, About, Href string
	Now                        []whereRow
	Doubts                     []string
	Rows                       [][]fieldView
	By                         fieldView
}

// resultView is what a verification changed in the plan.
type resultView struct {
	verifiedView
	Changes []report.Difference
	Holds   bool   // what it set stands
	Plan    string // where the ceiling is drawn
	BackID  string // of the form that takes it back
	Signer  fieldView
}

// verifiedView is one verification. BackAction is where it is taken back, empty when it does not stand.
type verifiedView struct {
	ID, About, Href, PageHref string
	Values                    []verifiedValue
	Before, By, When          string
	BackAction                string
	State                     stateView
	Withdraws                 bool
	NewerHref                 string // where it is measured again
	Located                   string // what the photos say now
}

// verifiedValue is one value with its name.
type verifiedValue struct{ Label, Read string }

func verifiedPath(in survey.SurveyID) string { return surveyPath(in) + "/verified" }

// measurePath is where the measured values of a pin or fact are typed.
func measurePath(in survey.SurveyID, kind, target string) string {
	return verifiedPath(in) + "?" + url.Values{kind: {target}}.Encode() + "#measure"
}

// measureInput is what the page is made of: the record, the thing that is measured, and, when the form is shown again, what was typed with what is wrong with it.
type measureInput struct {
	record    survey.Record
	pin, fact string
	form      *typedForm
	err       error
}

// verifiedPage shows what was measured; the query's "pin" or "fact" opens its form.
func (s *Server) verifiedPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showVerified(c, measureInput{record: r, pin: c.Query("pin"), fact: c.Query("fact")})
}

// showVerified renders the page, with the status of what went wrong, if anything.
func (s *Server) showVerified(c *gin.Context, in measureInput) error {
	r, ceiling := in.record, survey.Compute(in.record)
	page := s.newVerifiedPage(r, ceiling)
	var err error
	if page.Measure, err = s.measureForm(c, in, ceiling); err != nil {
		return err
	}
	status := http.StatusOK
	if in.err != nil {
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err)}
		if page.Measure != nil {
			page.Problem.Fields = problems(append(slices.Concat(page.Measure.Rows...), page.Measure.By))
		}
		if text := fieldTexts(in.err)["measured"]; text != "" {
			page.Problem.Head = text
		}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	}
	return s.render(c, status, "verified", page)
}

func (s *Server) newVerifiedPage(r survey.Record, ceiling survey.Ceiling) verifiedPage {
	page := verifiedPage{basePage: s.surveyPage("Verified on site", screenReview, r), Action: verifiedPath(r.Survey.ID), Review: surveyPath(r.Survey.ID) + "/review"}
	page.BackHref, page.BackLabel = page.Review, "Review"
	for _, v := range slices.Backward(r.Verified) {
		page.List = append(page.List, s.viewVerified(r, ceiling, v))
	}
	return page
}

// measureForm is the form of a pin's or fact's measured values; nil when the address names neither. NotFound when it is gone or has nothing to measure.
func (s *Server) measureForm(c *gin.Context, in measureInput, ceiling survey.Ceiling) (*measureView, error) {
	r := in.record
	v := &measureView{ID: survey.NewID(), Pin: in.pin, Fact: in.fact}
	if in.form != nil {
		v.ID = in.form.id
	}
	var fields []survey.Field
	switch {
	case in.pin != "":
		pin, ok := r.Pin(survey.PinID(in.pin))
		if !ok {
			return nil, survey.Errorf(survey.NotFound, "This pin is not there any more: somebody has deleted it.")
		}
		if fields = survey.VerifiableFields(r, pin); len(fields) == 0 {
			return nil, survey.Errorf(survey.NotFound, "%s has no length that could be measured in place of another. Correct it on its pin.", pinName(pin))
		}
		v.About, _ = r.NameSubject(survey.SubjectPin, in.pin)
		v.Href = fmt.Sprintf("%s?pin=%s#pin", photoPathOf(r.Survey.ID, pin.Photo), pin.ID)
		v.Now, v.Doubts = standsNow(r, ceiling, pin, fields)
	case in.fact != "":
		f, ok := survey.VerifiableFact(r, in.fact)
		if !ok {
			return nil, survey.Errorf(survey.NotFound, "There is no such length to measure.")
		}
		fields, v.About, v.Href = []survey.Field{f}, f.Label, surveyPath(r.Survey.ID)+"#"+controlID(fieldPrefix+f.Key)
		v.Now = factNow(r, f)
	default:
		return nil, nil
	}
	v.fill(in, fields)
	v.By = signedBy(c.Request.Context(), readyField("by", "Your name", "", leaveInput{record: r, form: in.form, err: in.err}))
	return v, nil
}

// fill makes the form's fields, empty or as they were typed; a place stands in one row.
func (v *measureView) fill(in measureInput, fields []survey.Field) {
	texts := fieldTexts(in.err)
	for _, f := range fields {
		f.Required, f.Assumed, f.Offers, f.Group = false, "", nil, ""
		if f.Key == "pm" {
			f.Label, f.Hint = "Measured within", "± 95 %; empty: 1/8″"
		}
		view := newFieldView(f, fieldPrefix+f.Key, f.Key)
		if pin, ok := in.record.Pin(survey.PinID(in.pin)); ok {
			view.LookupKey = "pin." + string(pin.Kind) + "." + f.Key
		}
		view.Problem = texts[f.Key]
		if in.form != nil {
			view.setText(in.form.text[f.Key])
		}
		if n := len(v.Rows); f.Key == "y" && n > 0 && v.Rows[n-1][0].Key == "x" {
			v.Rows[n-1] = append(v.Rows[n-1], view)
			continue
		}
		v.Rows = append(v.Rows, []fieldView{view})
	}
}

// standsNow are the values of a pin as they stand, each with its source, and what doubts there are about its place.
func standsNow(r survey.Record, ceiling survey.Ceiling, pin survey.Pin, fields []survey.Field) (rows []whereRow, doubts []string) {
	photo, _ := r.Photo(pin.Photo)
	at := placeOf(r, ceiling, photo, pin)
	if w := at.where(); w != nil {
		rows, doubts = append(rows, w.Rows...), append(doubts, w.Doubts...)
		if w.Words != "" {
			doubts = append(doubts, w.Words)
		}
	}
	for _, f := range fields {
		if pin.Values[f.Key] == "" || f.Key == "pm" {
			continue
		}
		source := sourceView{Kind: string(survey.SourceTyped), Words: string(survey.SourceTyped)}
		if v, ok := r.VerifiedValue(pin.ID, f.Key); ok {
			source = sourceView{Kind: string(survey.SourceVerified), Words: "verified by " + v.By}
		}
		row := whereRow{Label: f.Label, Value: label(f, pin.Values[f.Key]), Source: source}
		if f.Key == "x" || f.Key == "y" {
			row.PM = pmText(at.pm)
		}
		rows = append(rows, row)
	}
	return rows, doubts
}

// factNow is a fact as it stands: its value, or all that was said while nobody has chosen.
func factNow(r survey.Record, f survey.Field) []whereRow {
	fact := survey.ResolveFacts(r).Get(f.Key)
	if fact.State == survey.FactAssumed {
		return []whereRow{{Label: f.Label, Value: fact.Value.Read, Source: viewSource(r.Survey.ID, fact.Source)}}
	}
	var rows []whereRow
	for _, c := range fact.Candidates {
		rows = append(rows, whereRow{Label: f.Label, Value: c.Value.Read, Source: viewSource(r.Survey.ID, c.Source)})
	}
	return rows
}

// viewVerified is one verification in words.
func (s *Server) viewVerified(r survey.Record, ceiling survey.Ceiling, v survey.Verification) verifiedView {
	view := verifiedView{ID: v.ID, Before: v.Before, By: v.By, When: templates.When(s.now(), v.At), PageHref: verifiedPath(r.Survey.ID) + "/" + v.ID, Withdraws: v.Withdraws != "", About: "A pin that was deleted"}
	var fields []survey.Field
	if pin, ok := r.Pin(v.Pin); ok {
		fields = survey.PinFields(r, pin.Kind)
		view.About, _ = r.NameSubject(survey.SubjectPin, string(pin.ID))
		view.Href, view.NewerHref = fmt.Sprintf("%s?pin=%s#pin", photoPathOf(r.Survey.ID, pin.Photo), pin.ID), measurePath(r.Survey.ID, "pin", string(pin.ID))
		if at, located := ceiling.Located[pin.ID]; located && v.Set["x"] != "" {
			view.Located = fmt.Sprintf("Its photo says %s %s.", planPlace(at.X, at.Y), pmText(at.PM()))
		}
	}
	for key := range v.Set {
		if f, ok := survey.FactField(r, key); ok && v.Pin == "" {
			fields = append(fields, f)
			view.About, view.Href, view.NewerHref = f.Label, surveyPath(r.Survey.ID)+"#"+controlID(fieldPrefix+key), measurePath(r.Survey.ID, "fact", key)
		}
	}
	for _, f := range fields {
		if text, ok := v.Set[f.Key]; ok && f.Type != survey.TypeYesNo {
			read := cmp.Or(label(f, text), "as it was located or not known")
			if f.Key == "pm" && text != "" {
				read = "±\u00a0" + read
			}
			view.Values = append(view.Values, verifiedValue{f.Label, read})
		}
	}
	switch {
	case view.Withdraws:
		view.State = stateView{weightNote, "takes back what was measured"}
	case r.Stands(v):
		view.State, view.BackAction = stateView{weightFine, "stands"}, view.PageHref+"/back"
	default:
		view.State = stateView{weightNote, "does not stand any more"}
	}
	return view
}

// saveVerified keeps what was measured and goes to the page that says what it changed.
func (s *Server) saveVerified(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	in := measureInput{record: r, pin: c.Request.PostForm.Get("pin"), fact: c.Request.PostForm.Get("fact"), form: &form}
	v, err := s.measured(c, in)
	if err == nil {
		if v.ID, err = survey.ParseID(form.id); err == nil {
			v, err = s.store.Verify(c.Request.Context(), v)
		}
	}
	switch survey.KindOf(err) {
	case survey.Invalid, survey.Conflict:
		in.err = err
		return s.showVerified(c, in)
	}
	if err != nil {
		return err
	}
	return redirect(c, verifiedPath(r.Survey.ID)+"/"+v.ID+"?saved=verified")
}

// measured makes the verification of what was typed. A length that does not suit what it names is asked about first.
func (s *Server) measured(c *gin.Context, in measureInput) (survey.Verification, error) {
	r, by := in.record, signer(c.Request.Context(), in.form.text["by"])
	if in.pin == "" {
		v, err := survey.VerifyFact(r, in.fact, in.form.text[in.fact], by)
		if err != nil {
			return v, err
		}
		return v, askFacts(r, []survey.Fact{{Key: in.fact, Text: v.Set[in.fact]}}, *in.form)
	}
	pin, ok := r.Pin(survey.PinID(in.pin))
	if !ok {
		return survey.Verification{}, survey.Errorf(survey.NotFound, "This pin is not there any more: somebody has deleted it.")
	}
	v, err := survey.VerifyPin(r, survey.Compute(r), pin, in.form.text, by)
	if err != nil {
		return v, err
	}
	changed, _ := v.Apply(r)
	return v, askPin(r, pin, changed, func(control string) string {
		return in.form.right[strings.TrimPrefix(control, rightPrefix+valuePrefix)]
	})
}

// verification finds the verification that the address names.
func (s *Server) verification(c *gin.Context) (survey.Record, survey.Verification, error) {
	r, err := s.record(c)
	if err != nil {
		return r, survey.Verification{}, err
	}
	i := slices.IndexFunc(r.Verified, func(v survey.Verification) bool { return v.ID == c.Param("verification") })
	if i < 0 {
		return r, survey.Verification{}, survey.Errorf(survey.NotFound, "There is no such measured value.")
	}
	return r, r.Verified[i], nil
}

// verificationPage says what one verification changed in the plan as it stands now.
func (s *Server) verificationPage(c *gin.Context) error {
	r, v, err := s.verification(c)
	if err != nil {
		return err
	}
	return s.showVerification(c, r, v, leaveInput{record: r})
}

// showVerification renders the page; back is the form that takes it back, when that was sent and is shown again.
func (s *Server) showVerification(c *gin.Context, r survey.Record, v survey.Verification, back leaveInput) error {
	ceiling := survey.Compute(r)
	page := s.newVerifiedPage(r, ceiling)
	page.Result = &resultView{verifiedView: s.viewVerified(r, ceiling, v), Plan: surveyPath(r.Survey.ID) + "/ceiling", BackID: survey.NewID(), Signer: signedBy(c.Request.Context(), readyField("by", "Your name", "", back))}
	if page.Result.Holds = r.Holds(v); page.Result.Holds {
		before := v.Undone(r)
		page.Result.Changes = report.PlanChanges(report.StateOf(before, survey.Compute(before)), r, ceiling, catalogue.English)
	}
	status := http.StatusOK
	if back.err != nil {
		requestOf(c.Request.Context()).err = back.err
		status = statusOf(back.err)
		page.Problem = problemView{Weight: weightStop, Head: "Nothing was taken back yet.", Fields: problems([]fieldView{page.Result.Signer})}
		if len(page.Problem.Fields) == 0 {
			page.Problem.Head = survey.Message(back.err)
		}
		return s.render(c, status, "verified", page)
	}
	page.Saved = map[string]string{"verified": "It is kept, and the plan is computed again.", "back": "It is taken back, and the plan is computed again."}[c.Query("saved")]
	return s.render(c, status, "verified", page)
}

// takeBack takes a verification back: what stood before stands again.
func (s *Server) takeBack(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, v, err := s.verification(c)
	if err != nil {
		return err
	}
	back, err := survey.Withdraw(r, v.ID, signer(c.Request.Context(), form.text["by"]))
	switch survey.KindOf(err) {
	case survey.Invalid, survey.Conflict:
		return s.showVerification(c, r, v, leaveInput{record: r, form: &form, err: err})
	}
	if err != nil {
		return err
	}
	if back.ID, err = survey.ParseID(form.id); err != nil {
		return survey.Errorf(survey.Invalid, "The form's own number is missing. Open the page anew.")
	}
	if back, err = s.store.Verify(c.Request.Context(), back); err != nil {
		return err
	}
	return redirect(c, verifiedPath(r.Survey.ID)+"/"+back.ID+"?saved=back")
}
