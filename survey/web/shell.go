package web

import (
	"fmt"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/templates"
)

// What stands in the empty pages for the ids and the name of a survey that the server does not know; templates/offline/shells.js writes the real
// ones in their place, on the phone.
const (
	shellSurvey = survey.SurveyID("00000000-0000-7000-8000-00000000a001")
	shellPhoto  = survey.PhotoID("00000000-0000-7000-8000-00000000b002")
	shellHouse  = "This survey"
	shellSum    = "phone" // the version of a picture that was made on the phone
)

// shellList is what a phone keeps to work without a connection: the hash of the static files, their addresses, and the empty pages.
type shellList struct {
	Hash  string   `json:"hash"`
	Files []string `json:"files"`
	Pages []string `json:"pages"`
}

// workerScript is the service worker: it imports the module of this version, so that its bytes change when any script does.
func (s *Server) workerScript(c *gin.Context) error {
	c.Header("Cache-Control", "no-cache")
	c.Data(http.StatusOK, "text/javascript; charset=utf-8", fmt.Appendf(nil, "import %q;\n", s.pages.Address(templates.WorkerScript)))
	return nil
}

// shellList sends the list of what a phone keeps.
func (s *Server) shellList(c *gin.Context) error {
	list := shellList{Hash: s.pages.Hash(), Files: s.pages.Linked()}
	for name := range s.shells() {
		list.Pages = append(list.Pages, "/shell/"+name)
	}
	slices.Sort(list.Pages)
	return sendJSON(c, http.StatusOK, list)
}

// shellPage sends one empty page.
func (s *Server) shellPage(c *gin.Context) error {
	page, ok := s.shells()[c.Param("page")]
	if !ok {
		return survey.Errorf(survey.NotFound, "There is no such page.")
	}
	return page(c)
}

// shells are the pages of a survey with nothing in it, for a survey that was begun on a phone without a connection, and what is said where there is no
// page to show.
func (s *Server) shells() map[string]func(*gin.Context) error {
	empty := survey.Record{Survey: survey.Survey{ID: shellSurvey, Title: shellHouse}}
	return map[string]func(*gin.Context) error{
		"surveys": func(c *gin.Context) error {
			return s.render(c, http.StatusOK, "surveys", surveysPage{basePage: s.plainPage("Surveys")})
		},
		"newsurvey": func(c *gin.Context) error { return s.showNewSurvey(c, shellSurvey, "") },
		"deck":      func(c *gin.Context) error { return s.showDeck(c, deckInput{record: empty}) },
		"walk":      func(c *gin.Context) error { return s.showWalk(c, factForm{record: empty}, "") },
		"cover":     func(c *gin.Context) error { return s.showCover(c, factForm{record: empty}) },
		"photos":    func(c *gin.Context) error { return s.showPhotos(c, empty) },
		"photo":     s.emptyPhoto,
		"waiting":   s.waitingPage,
		"offline": s.saying("No connection", "This page needs the server, and it has not been opened on this phone before.",
			"What waits on this phone stays there and is sent when there is a connection."),
		"unsent": s.saying("Not sent: no connection", "This form needs the server, so nothing of it was sent.",
			"Go back: what you typed is still in it. Send it again when there is a connection. What waits on this phone stays there."),
	}
}

// emptyPhoto is the page of a photo that has not arrived: its picture, size and pins are filled in on the phone.
func (s *Server) emptyPhoto(c *gin.Context) error {
	photo := survey.Photo{ID: shellPhoto, Survey: shellSurvey, Width: 4000, Height: 3000, Screen: shellSum, Thumb: shellSum}
	r := survey.Record{Survey: survey.Survey{ID: shellSurvey, Title: shellHouse}, Photos: []survey.Photo{photo}}
	page, err := s.newPhotoPage(photoInput{record: r, photo: photo})
	if err != nil {
		return err
	}
	page.Title, page.Shell = "Photo on this phone", true
	page.Picture.Alt = page.Title
	page.Templates = s.kindForms(r, photo)
	return s.render(c, http.StatusOK, "photoshell", page)
}

// saying is a page that says what is not possible without a connection.
func (s *Server) saying(head, what, safe string) func(*gin.Context) error {
	return func(c *gin.Context) error {
		page := failurePage{basePage: s.plainPage(head), Head: head, What: what, Safe: safe, Actions: []action{{"/waiting", "What waits on this phone"}, {"/surveys", "Surveys"}}}
		return s.render(c, http.StatusOK, "failure", page)
	}
}

// waitingPage is the page of what waits on the phone. The phone fills it; the server gives the names of things.
type waitingPage struct {
	basePage
	Labels []keyLabel
}

// keyLabel is the label of a fact, a field of the site, a kind of pin or one of its fields, "fact.width".
type keyLabel struct{ Key, Label string }

// waitingPage shows the empty list.
func (s *Server) waitingPage(c *gin.Context) error {
	page := waitingPage{basePage: s.plainPage("Waiting on this phone")}
	page.BackHref, page.BackLabel = "/surveys", "All surveys"
	add := func(prefix string, fields []survey.Field) {
		for _, f := range fields {
			page.Labels = append(page.Labels, keyLabel{prefix + f.Key, f.Label})
		}
	}
	add("site.", siteFields())
	add("fact.", slices.Concat(survey.FactFields(survey.Record{}), survey.CoverFields(survey.Record{}), survey.WalkFields(survey.Record{})))
	for _, kind := range survey.PinKinds() {
		page.Labels = append(page.Labels, keyLabel{"kind." + string(kind.Kind), kind.Label})
		add(fmt.Sprintf("pin.%s.", kind.Kind), kind.Fields)
	}
	return s.render(c, http.StatusOK, "waiting", page)
}
