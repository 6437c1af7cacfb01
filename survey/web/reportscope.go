package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/templates"
)

// scopePage is what the homeowner's scope says besides the plan, and its price.
type scopePage struct {
	basePage
	Action  string
	Unsaved bool
	Problem problemView
	Fields  []fieldView
	ShowIt  string
}

// scopePage shows the form.
func (s *Server) scopePage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showScope(c, factForm{record: r})
}

// showScope renders the page, with the status of what went wrong, if anything.
func (s *Server) showScope(c *gin.Context, in factForm) error {
	r, home := in.record, surveyPath(in.record.Survey.ID)
	page := scopePage{basePage: s.surveyPage("Scope and price", screenReport, r), Action: home + "/scope", Unsaved: in.form != nil, ShowIt: home + "/report?for=scope"}
	page.BackHref, page.BackLabel = home+"/report", "Back to the report"
	form := typedForm{}
	if in.form != nil {
		form = *in.form
	}
	for _, f := range survey.ScopeFields() {
		saved := r.Facts[f.Key]
		v := newFieldView(f, fieldPrefix+f.Key, "")
		v.Control = "area"
		page.Fields = append(page.Fields, form.view(v, saved.Text, templates.When(s.now(), saved.UpdatedAt), in.texts[f.Key], in.clashes[f.Key]))
	}
	status := http.StatusOK
	if in.err != nil {
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems(page.Fields)}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	}
	return s.render(c, status, "scope", page)
}

// saveScope changes the texts that were typed differently. A price that cannot be added up is refused.
func (s *Server) saveScope(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	saved := func(key string) string { return r.Facts[key].Text }
	changes, clashes := form.merge(survey.ScopeFields(), saved)
	if len(clashes) > 0 {
		return s.showScope(c, factForm{record: r, form: &form, clashes: clashes, err: errClash})
	}
	facts := changedFacts(r, survey.ScopeFields(), changes)
	err = survey.ValidateFacts(r, facts)
	texts := fieldTexts(err)
	if _, _, wrong := survey.PriceLines(changes[survey.ScopePrice]); wrong != nil {
		texts[survey.ScopePrice], err = survey.Message(wrong), survey.Errorf(survey.Invalid, "Something needs another look. Nothing was saved yet.")
	}
	if err != nil {
		return s.showScope(c, factForm{record: r, form: &form, texts: texts, err: err})
	}
	_, err = s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts)
	switch {
	case survey.KindOf(err) == survey.Conflict:
		return s.retryScope(c, form)
	case err != nil: // whatever it is, what was typed stays on the page
		return s.showScope(c, factForm{record: r, form: &form, err: err})
	}
	return redirect(c, surveyPath(r.Survey.ID)+"/report?for=scope&saved=scope")
}

// retryScope shows the form against what somebody else saved in the very moment between reading and writing.
func (s *Server) retryScope(c *gin.Context, form typedForm) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	_, clashes := form.merge(survey.ScopeFields(), func(key string) string { return r.Facts[key].Text })
	return s.showScope(c, factForm{record: r, form: &form, clashes: clashes, err: errClash})
}
