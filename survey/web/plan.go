package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
)

// planPage is the drawings and the places they are made from.
type planPage struct {
	basePage
	report.Model
	Placed, Unplaced     int
	SiteHref, PhotosHref string
	SheetsHref           string
}

// planPage draws the survey's plan and lists where everything on it is.
func (s *Server) planPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	home := surveyPath(r.Survey.ID)
	page := planPage{basePage: s.surveyPage("Plan", screenPlan, r), Model: report.Build(r, survey.Compute(r), ceilingLinks(r), s.now()),
		SiteHref: home, PhotosHref: home + "/photos", SheetsHref: home + "/sheets"}
	for _, p := range page.Places {
		if p.Place == "" {
			page.Unplaced++
		} else {
			page.Placed++
		}
	}
	return s.render(c, http.StatusOK, "plan", page)
}
