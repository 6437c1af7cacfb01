package web

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"

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
	About, Href, PageHref string
	Values                []verifiedValue
	Before, By, When      string
	BackAction            string
	State                 stateView
	Withdraws             bool
	NewerHref             string // where it is measured again
	Located               string // what the photos say now
}

// verifiedValue is one value with its name.
type verifiedValue struct{ Label, Read string }

func verifiedPath(in survey.SurveyID) string { return surveyPath(in) + "/verified" }

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

// viewVerified is one verification in words.
func (s *Server) viewVerified(r survey.Record, ceiling survey.Ceiling, v survey.Verification) verifiedView {
	view := verifiedView{Before: v.Before, By: v.By, When: templates.When(s.now(), v.At), PageHref: verifiedPath(r.Survey.ID) + "/" + v.ID, Withdraws: v.Withdraws != "", About: "A pin that was deleted"}
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
