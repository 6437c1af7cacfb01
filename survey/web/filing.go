package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// filingPage is where a survey is put away: into the archive, or deleted.
type filingPage struct {
	basePage
	State     stateView
	Archived  bool
	Days      int // in which a deleted survey can be brought back
	Links     int // to its revisions that work now
	Acts      []filedView
	Action    string
	Return    string
	EraseHref string
}

// filedView is one act about where the survey was kept, in words.
type filedView struct{ What, When string }

// filingPage shows it.
func (s *Server) filingPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	ctx, home := c.Request.Context(), surveyPath(r.Survey.ID)
	page := filingPage{basePage: s.surveyPage("Archive or delete", screenSite, r), Days: survey.DeletedDays, Action: home + "/filing", Return: home + "/return", EraseHref: home + "/erase"}
	page.BackHref, page.BackLabel = home, "Site and deck"
	acts, err := s.store.Filings(ctx, r.Survey.ID)
	if err != nil {
		return err
	}
	page.State = stateView{weightFine, "among the others"}
	for _, f := range acts {
		if page.Archived = f.Act == survey.Archived; page.Archived {
			page.State = stateView{weightNote, "in the archive"}
		} else {
			page.State = stateView{weightFine, "among the others"}
		}
		page.Acts = append(page.Acts, filedView{filingWords(f), f.At.In(s.now().Location()).Format("2\u00a0Jan\u00a02006, 15:04")})
	}
	links, err := s.store.Links(ctx, r.Survey.ID)
	if err != nil {
		return err
	}
	for _, l := range links {
		if l.Open(s.now()) {
			page.Links++
		}
	}
	return s.render(c, http.StatusOK, "filing", page)
}

// filingWords say an act with who did it.
func filingWords(f survey.Filing) string {
	words := map[survey.FilingAct]string{survey.Archived: "put into the archive", survey.Deleted: "deleted", survey.Returned: "brought back"}[f.Act]
	return words + byWhom(f.By, " by ")
}

// fileSurvey archives or deletes a survey.
func (s *Server) fileSurvey(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	act := survey.FilingAct(form.text["act"])
	if act != survey.Archived && act != survey.Deleted {
		return survey.Errorf(survey.Invalid, "Choose whether to archive the survey or to delete it.")
	}
	id, err := surveyID(c)
	if err != nil {
		return err
	}
	if _, err := s.store.File(c.Request.Context(), id, act); err != nil {
		return err
	}
	return redirect(c, "/surveys?saved="+string(act))
}

// returnSurvey brings a survey back from the archive, or one that was deleted. It is the one thing that can be done with a deleted survey.
func (s *Server) returnSurvey(c *gin.Context) error {
	id, err := surveyID(c)
	if err != nil {
		return err
	}
	if _, err := s.store.File(c.Request.Context(), id, survey.Returned); err != nil {
		return err
	}
	return redirect(c, surveyPath(id))
}

// returnRoute is the route of returnSurvey.
const returnRoute = "/surveys/:survey/return"

// notDeleted lets a request through to h unless the survey in its address is deleted: that is not there for anything but bringing it back.
func (s *Server) notDeleted(route string, h func(c *gin.Context) error) func(c *gin.Context) error {
	if !strings.Contains(route, "/:survey") || route == returnRoute {
		return h
	}
	return func(c *gin.Context) error {
		id, err := surveyID(c)
		if err != nil {
			return err
		}
		filed, err := s.store.Filing(c.Request.Context(), id)
		if err != nil {
			return s.keepForm(c, err)
		}
		if filed.Act == survey.Deleted {
			return s.keepForm(c, survey.Errorf(survey.NotFound, "This survey is deleted. For %d days it can be brought back from the list.", survey.DeletedDays))
		}
		return h(c)
	}
}
