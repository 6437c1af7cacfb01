package web

import (
	"maps"
	"mime"
	"slices"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// resend is a form that could not be taken, to be sent once more as it was.
type resend struct {
	Action  string
	Problem problemView
	Fields  []sentField
}

// sentField is one control of a form as it was sent.
type sentField struct{ Name, Value string }

// sentForm reads a request's form; false when what was sent is no plain form.
func sentForm(c *gin.Context) bool {
	media, _, err := mime.ParseMediaType(c.ContentType())
	return err == nil && media == "application/x-www-form-urlencoded" && c.Request.ParseForm() == nil
}

// keepForm answers a form that came while it could not be found out who sends it: with a page that keeps what was typed and sends it again. Anything
// else is answered with the error itself.
func (s *Server) keepForm(c *gin.Context, err error) error {
	if forAPI(c.Request) || !changes(c.Request) || !sentForm(c) {
		return err
	}
	requestOf(c.Request.Context()).err = err
	status := statusOf(err)
	again := &resend{Action: c.Request.URL.RequestURI(), Problem: problemView{Weight: weightStop, Head: survey.Message(err)}}
	for _, name := range slices.Sorted(maps.Keys(c.Request.PostForm)) {
		for _, value := range c.Request.PostForm[name] {
			again.Fields = append(again.Fields, sentField{name, value})
		}
	}
	page := failurePage{Request: requestOf(c.Request.Context()).id, Again: again}
	page.Head, page.What, page.Safe = words(status)
	page.basePage = s.plainPage(page.Head)
	return s.render(c, status, "failure", page)
}
