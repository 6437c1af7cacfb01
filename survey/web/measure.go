package web

import (
	"fmt"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// measureView is the form of what was measured of one thing. Now says what stands.
type measureView struct {
	ID, Pin, Fact, About, Href string
	AskHref, AskWords          string
	Now                        []whereRow
	Doubts                     []string
	Rows                       [][]fieldView
	By                         fieldView
}

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
	subject, target := survey.SubjectPin, in.pin
	if in.pin == "" {
		subject, target = survey.SubjectFact, in.fact
	}
	v.AskHref, v.AskWords = askPath(r, subject, target, ""), askWords(r, subject, target)
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
