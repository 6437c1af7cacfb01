package web

import (
	"strconv"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
)

// planPage is the outline as it is drawn and edited, the drawings and the places they are made from.
type planPage struct {
	basePage
	report.Model
	Outline              outlineView
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
	return s.showPlan(c, r, nil)
}

// showPlan renders the page; form is what was sent to change the outline and could not be done, nil for nothing.
func (s *Server) showPlan(c *gin.Context, r survey.Record, form *outlineForm) error {
	home := surveyPath(r.Survey.ID)
	ceiling := survey.Compute(r)
	page := planPage{basePage: s.surveyPage("Plan", screenPlan, r), Model: report.Build(r, ceiling, ceilingLinks(r), s.now()),
		SiteHref: home, PhotosHref: home + "/photos", SheetsHref: home + "/sheets"}
	side, err := strconv.Atoi(c.Query("side"))
	if err != nil {
		side = -1
	}
	page.Outline = s.outlineOf(r, ceiling, side, form)
	for _, p := range page.Places {
		if p.Place == "" {
			page.Unplaced++
		} else {
			page.Placed++
		}
	}
	if form != nil {
		requestOf(c.Request.Context()).err = form.err
	}
	return s.render(c, planStatus(form), "plan", page)
}
