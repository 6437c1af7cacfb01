package web

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// newSurveyPage asks for a new survey. ID is the survey's id to be, so that sending the form twice makes one survey.
type newSurveyPage struct {
	basePage
	ID      survey.SurveyID
	Problem problemView
	Made    *cautionView // the form was sent before and made a survey
	Fields  []fieldView
}

// newSurveyPage shows the empty form with today as the day of the visit.
func (s *Server) newSurveyPage(c *gin.Context) error {
	return s.showNewSurvey(c, survey.SurveyID(survey.NewID()), s.now().Format(time.DateOnly))
}

// showNewSurvey renders the empty form of a survey that gets this id, with the day of the visit.
func (s *Server) showNewSurvey(c *gin.Context, id survey.SurveyID, day string) error {
	page := s.emptySurveyForm()
	page.ID = id
	for _, f := range siteFields() {
		v := newFieldView(f, fieldPrefix+f.Key, "")
		switch person, ok := survey.PersonOf(c.Request.Context()); {
		case f.Key == "visit_date":
			v.Text = day
		case f.Key == "surveyor" && ok && person.Role == survey.RoleSurveyor:
			v.Text = person.Name
		}
		page.Fields = append(page.Fields, siteControl(v))
	}
	return s.render(c, http.StatusOK, "newsurvey", page)
}

func (s *Server) emptySurveyForm() newSurveyPage {
	page := newSurveyPage{basePage: s.plainPage("New survey"), ID: survey.SurveyID(survey.NewID())}
	page.BackHref, page.BackLabel = "/surveys", "All surveys"
	return page
}

// createSurvey makes a survey and goes to its first screen.
func (s *Server) createSurvey(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	id, err := survey.ParseID(form.id)
	if err != nil {
		return survey.Errorf(survey.Invalid, "The form's own number is missing. Open the page anew.")
	}
	v := survey.Survey{ID: survey.SurveyID(id)}
	setSite(&v, form.text)
	made, err := s.store.CreateSurvey(c.Request.Context(), v)
	if err != nil {
		return s.showSurveyForm(c, form, v, err)
	}
	return redirect(c, surveyPath(made.ID)+"/walk?saved=new")
}

// showSurveyForm shows the form again with what was typed and why it made no survey.
func (s *Server) showSurveyForm(c *gin.Context, form typedForm, v survey.Survey, err error) error {
	requestOf(c.Request.Context()).err = err
	page := s.emptySurveyForm()
	if survey.KindOf(err) == survey.Conflict {
		page.Made = &cautionView{
			Weight: weightWarn, Head: "This form has made a survey already.",
			Body: "Open it to change it there, or start another one with what stands here.", Actions: []action{{surveyPath(v.ID), "Open the survey"}},
		}
	} else {
		page.ID = v.ID
	}
	texts := fieldTexts(err)
	for _, f := range siteFields() {
		view := newFieldView(f, fieldPrefix+f.Key, "")
		view.Problem, view.Text = texts[f.Key], form.text[f.Key]
		page.Fields = append(page.Fields, siteControl(view))
	}
	switch survey.KindOf(err) {
	case survey.Conflict:
	case survey.Invalid:
		page.Problem = problemView{weightStop, "The survey was not started yet.", problems(page.Fields)}
	default:
		page.Problem = problemView{weightStop, survey.Message(err), nil}
	}
	return s.render(c, statusOf(err), "newsurvey", page)
}
