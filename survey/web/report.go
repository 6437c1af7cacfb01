package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
)

// reportPage is the report for the crew as a page.
type reportPage struct {
	basePage
	report.Page
}

// reportPage shows the report; printing it is the browser's business, the style sheet's print part makes it fit for paper.
func (s *Server) reportPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	model := report.Build(r, survey.Compute(r), report.WithinReport(), s.now())
	page := reportPage{basePage: s.surveyPage("Report", screenReport, r), Page: report.NewPage(model, func(p report.PhotoSheet) string {
		photo, _ := r.Photo(p.ID)
		return screenPath(photo)
	})}
	return s.render(c, http.StatusOK, "report", page)
}
