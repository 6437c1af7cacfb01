package web

import (
	"context"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/calc/length"
	"undercroft/survey"
)

// surveysPage lists the surveys, the newest change first.
type surveysPage struct {
	basePage
	Query   string
	Total   int
	Surveys []surveyRow
}

// surveyRow is one survey of the list. The drawing is the deck from above, in px of its box, 0 wide when it is not measured.
type surveyRow struct {
	Href, Title, Address, Size string
	State                      stateView
	Photos, Pins               int
	ChangedAt                  time.Time
	DrawX, DrawW, DrawH        int
}

// surveysPage shows the list, or what of it matches the query.
func (s *Server) surveysPage(c *gin.Context) error {
	all, err := s.store.Surveys(c.Request.Context())
	if err != nil {
		return err
	}
	page := surveysPage{basePage: s.plainPage("Surveys"), Query: cleanText(c.Query("q")), Total: len(all)}
	for _, v := range all {
		if !matches(v, page.Query) {
			continue
		}
		row, err := s.viewSummary(c.Request.Context(), v)
		if err != nil {
			return err
		}
		page.Surveys = append(page.Surveys, row)
	}
	return s.render(c, http.StatusOK, "surveys", page)
}

// matches tells whether every word of the query is in the survey's title, address or client.
func matches(v survey.Summary, query string) bool {
	text := strings.ToLower(v.Title + "\n" + v.Address + "\n" + v.Client)
	for word := range strings.FieldsSeq(strings.ToLower(query)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

// viewSummary makes a row of the list. The size is what the survey's facts come to, taped lengths included, so it is the same as on the
// survey's own page.
func (s *Server) viewSummary(ctx context.Context, v survey.Summary) (surveyRow, error) {
	r, err := s.store.Record(ctx, v.ID)
	if err != nil {
		return surveyRow{}, err
	}
	facts := survey.ResolveFacts(r)
	row := surveyRow{
		Href: surveyPath(v.ID), Title: v.Title, Address: v.Address, Size: "not measured yet",
		State: summaryState(v, facts), Photos: v.Photos, Pins: v.Pins, ChangedAt: v.ChangedAt,
	}
	if !facts.Get("width").Known() || !facts.Get("projection").Known() {
		return row, nil
	}
	width, projection := facts.Get("width").Value.Inches(), facts.Get("projection").Value.Inches()
	area := float64(width*projection) / float64(length.PerFoot*length.PerFoot)
	row.Size = width.Typeset() + " × " + projection.Typeset() + " · " + strconv.FormatFloat(math.Round(area), 'f', -1, 64) + "\u00a0ft²"
	scale := math.Min(64/float64(width), 40/float64(projection))
	row.DrawW, row.DrawH = max(2, int(scale*float64(width))), max(2, int(scale*float64(projection)))
	row.DrawX = (72 - row.DrawW) / 2
	return row, nil
}

// summaryState says what comes next for a survey.
func summaryState(v survey.Summary, facts survey.FactSet) stateView {
	switch {
	case !facts.Get("width").Known() || !facts.Get("projection").Known():
		return stateView{weightNote, "deck to be measured"}
	case v.Photos == 0:
		return stateView{weightNote, "photos to be taken"}
	case v.Pins == 0:
		return stateView{weightNote, "pins to be placed"}
	}
	return neededState(facts)
}

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
