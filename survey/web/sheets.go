package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
)

// sheetsPage is the drawing sheets for the crew.
type sheetsPage struct {
	basePage
	Sheets   []*report.Drawn
	PlanHref string
}

// sheetsPage draws every sheet of the survey's ceiling.
func (s *Server) sheetsPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	sheets, err := report.DrawnSheets(r, survey.Compute(r))
	if err != nil {
		return err
	}
	page := sheetsPage{basePage: s.surveyPage("Drawing sheets", screenPlan, r), Sheets: sheets, PlanHref: surveyPath(r.Survey.ID) + "/plan"}
	return s.render(c, http.StatusOK, "sheets", page)
}
