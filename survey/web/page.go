package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

const htmlType = "text/html; charset=utf-8"

// basePage is what the frame around every page shows. A page's own struct embeds it.
type basePage struct {
	Title     string // of the page
	House     string // the survey's title, empty outside of a survey
	Ended     endedView
	Filed     string // that the survey is in the archive, empty when it is not
	Since     *sinceView
	HouseSize string // its deck, "28′ 4″ × 14′ 0″ deck", empty when unknown
	SurveyID  survey.SurveyID
	Nav       []navItem // empty outside of a survey
	BackHref  string    // of the arrow in a phone's title bar
	BackLabel string
	Now       time.Time
	Who       *whoView // who is signed in; empty when nobody has to
}

// whoView is who is signed in.
type whoView struct{ Name, Role string }

// showPerson writes into the frame who is signed in under ctx. It works on every copy of the page, since they share the view.
func (p basePage) showPerson(ctx context.Context) {
	if person, ok := survey.PersonOf(ctx); ok && p.Who != nil {
		*p.Who = whoView{person.Name, string(person.Role)}
	}
}

// navItem is one screen of a survey in the rail and in the bottom bar.
type navItem struct {
	Href, Label, Short, Icon string
	Count                    int    // 0 shows none
	CountOf                  string // what is counted, for those who hear it
	Alarm                    bool   // also on the bottom bar: stops and checks, not mere numbers
	More                     bool   // on the bottom bar only under More
	Current                  bool
}

// action is a link that looks like a button.
type action struct{ Href, Label string }

// The names of a survey's screens, as the frame's current one.
const (
	screenWalk    = "walk"
	screenSite    = "deck"
	screenPhotos  = "photos"
	screenPlan    = "plan"
	screenCeiling = "ceiling"
	screenReport  = "report"
	screenCover   = "cover"
	screenLeave   = "leave"
	screenFinish  = "finish"
	screenHistory = "history"

	screenReview    = "review"
	screenQuestions = "questions"
)

// plainPage is the frame outside of a survey.
func (s *Server) plainPage(title string) basePage {
	return basePage{Title: title, Now: s.now(), Who: &whoView{}}
}

// surveyPage is the frame inside a survey. current is the screen's name. Screens whose page is not built in are left out.
func (s *Server) surveyPage(title, current string, r survey.Record) basePage {
	home := surveyPath(r.Survey.ID)
	p := basePage{Title: title, House: r.Survey.Title, HouseSize: deckSize(r), SurveyID: r.Survey.ID, Now: s.now(), Who: &whoView{}, BackHref: home, BackLabel: "Back to " + r.Survey.Title}
	if current == screenSite {
		p.BackHref, p.BackLabel = "/surveys", "All surveys"
	}
	p.Ended = s.endedView(r)
	if r.Filed.Act == survey.Archived {
		p.Filed = "In the archive since " + r.Filed.At.In(s.now().Location()).Format("2\u00a0Jan\u00a02006") + "."
	}
	ceiling := survey.Compute(r)
	if tellsSince(current) {
		p.Since = &sinceView{record: r, ceiling: ceiling, list: current == screenSite}
	}
	openCover, toSettle := navCounts(r, ceiling)
	done, steps, _, _ := survey.WalkTally(survey.Walk(r))
	for _, item := range []struct {
		page string
		navItem
	}{
		{screenWalk, navItem{Href: home + "/walk", Label: "Walk list", Short: "Walk", Icon: "walk", Count: steps - done, CountOf: "questions left", Alarm: true}},
		{screenCover, navItem{Href: home + "/cover", Label: "What we will cover", Short: "What we will cover", Icon: "cover", Count: openCover, CountOf: "to answer or settle", More: true}},
		{screenSite, navItem{Href: home, Label: "Site and deck", Short: "Site and deck", Icon: "site", More: true}},
		{screenPhotos, navItem{Href: home + "/photos", Label: "Photos", Short: "Photos", Icon: "photos", Count: len(r.Photos), CountOf: "photos"}},
		{screenPlan, navItem{Href: home + "/plan", Label: "Plan", Short: "Plan", Icon: "plan", More: true}},
		{screenCeiling, navItem{Href: home + "/ceiling", Label: "Ceiling", Short: "Ceiling", Icon: "ceiling"}},
		{screenLeave, navItem{Href: home + "/leave", Label: "Before you leave", Short: "Leave", Icon: "tick", Count: toSettle, CountOf: "to settle or check", Alarm: true}},
		{screenReview, navItem{Href: home + "/review", Label: "Review", Short: "Review", Icon: "eye", More: true}},
		{screenQuestions, navItem{Href: home + "/questions", Label: "Questions", Short: "Questions", Icon: "ask", Count: len(r.OpenThreads()), CountOf: "open questions", More: true}},
		{screenReport, navItem{Href: home + "/report", Label: "Report", Short: "Report", Icon: "report", More: true}},
		{screenFinish, navItem{Href: home + "/finish", Label: "Finish", Short: "Finish", Icon: "finish", More: true}},
		{screenHistory, navItem{Href: home + "/history", Label: "History", Short: "History", Icon: "history", More: true}},
	} {
		if s.pages.Has(item.page) {
			item.Current = item.page == current
			p.Nav = append(p.Nav, item.navItem)
		}
	}
	return p
}

// navCounts are the stops and checks beside the screens' names: of what will be covered, with the questions that nobody has answered, and of all
// that is to be settled before one leaves.
func navCounts(r survey.Record, ceiling survey.Ceiling) (cover, leave int) {
	stops, checks, open := coverCounts(survey.Covered(r, ceiling))
	check := survey.Leave(r, ceiling)
	return stops + checks + open, check.Count(survey.SeverityMissing) + check.Count(survey.SeverityCheck)
}

// changedSince is what the frame says about changes since the approval; nil on a page that says nothing of it.
func (p basePage) changedSince() *sinceView { return p.Since }

// MoreCurrent tells whether the page stands under More on the bottom bar.
func (p basePage) MoreCurrent() bool {
	return slices.ContainsFunc(p.Nav, func(n navItem) bool { return n.More && n.Current })
}

// surveyPath is the address of a survey's first screen.
func surveyPath(id survey.SurveyID) string { return "/surveys/" + string(id) }

// photoPath is the address of a photo's page.
func photoPath(p survey.Photo) string { return photoPathOf(p.Survey, p.ID) }

func photoPathOf(in survey.SurveyID, id survey.PhotoID) string {
	return fmt.Sprintf("%s/photos/%s", surveyPath(in), id)
}

// screenPath and thumbPath are the addresses of a photo's pictures; their query names the bytes, so that they may be kept for ever.
func screenPath(p survey.Photo) string { return photoPath(p) + "/screen.jpg?v=" + p.Screen }

func thumbPath(p survey.Photo) string { return photoPath(p) + "/thumb.jpg?v=" + p.Thumb }

// deckSize is the deck's width and projection in words, empty unless both are known.
func deckSize(r survey.Record) string {
	facts := survey.ResolveFacts(r)
	width, projection := facts.Get("width"), facts.Get("projection")
	if !width.Known() || !projection.Known() {
		return ""
	}
	return width.Value.Inches().Typeset() + " × " + projection.Value.Inches().Typeset() + " deck"
}

// render sends a page, with who is signed in on its frame.
func (s *Server) render(c *gin.Context, status int, page string, data any) error {
	if frame, ok := data.(interface{ showPerson(ctx context.Context) }); ok {
		frame.showPerson(c.Request.Context())
	}
	if frame, ok := data.(interface{ changedSince() *sinceView }); ok {
		if err := s.fillSince(c.Request.Context(), frame.changedSince()); err != nil {
			return err
		}
	}
	body, err := s.pages.Render(page, data)
	if err != nil {
		return err
	}
	c.Header("Content-Length", strconv.Itoa(len(body)))
	c.Data(status, htmlType, body)
	return nil
}

// redirect sends the browser on with a GET after a form was taken.
func redirect(c *gin.Context, to string) error {
	c.Redirect(http.StatusSeeOther, to)
	return nil
}

// surveyID is the survey that the address names. What is no id names nothing.
func surveyID(c *gin.Context) (survey.SurveyID, error) {
	id, err := survey.ParseID(c.Param("survey"))
	if err != nil {
		return "", survey.Errorf(survey.NotFound, "There is no such survey.")
	}
	return survey.SurveyID(id), nil
}

// photoID is the photo that the address names.
func photoID(c *gin.Context) (survey.PhotoID, error) {
	id, err := survey.ParseID(c.Param("photo"))
	if err != nil {
		return "", survey.Errorf(survey.NotFound, "There is no such photo.")
	}
	return survey.PhotoID(id), nil
}

// record loads the whole survey that the address names.
func (s *Server) record(c *gin.Context) (survey.Record, error) {
	id, err := surveyID(c)
	if err != nil {
		return survey.Record{}, err
	}
	return s.store.Record(c.Request.Context(), id)
}

// photoAlone loads the photo that the address names and nothing else: a page of photos asks for a picture of each.
func (s *Server) photoAlone(c *gin.Context) (survey.Photo, error) {
	id, err := photoID(c)
	if err != nil {
		return survey.Photo{}, err
	}
	in, err := surveyID(c)
	if err != nil {
		return survey.Photo{}, err
	}
	return s.store.Photo(c.Request.Context(), in, id)
}

// recordAndPhoto loads the survey and the photo that the address names.
func (s *Server) recordAndPhoto(c *gin.Context) (survey.Record, survey.Photo, error) {
	id, err := photoID(c)
	if err != nil {
		return survey.Record{}, survey.Photo{}, err
	}
	r, err := s.record(c)
	if err != nil {
		return survey.Record{}, survey.Photo{}, err
	}
	p, ok := r.Photo(id)
	if !ok {
		return survey.Record{}, survey.Photo{}, survey.Errorf(survey.NotFound, "There is no such photo.")
	}
	return r, p, nil
}
