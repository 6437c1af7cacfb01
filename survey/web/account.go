package web

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// accountPage says who is signed in and what that role may do, with the ways out.
type accountPage struct {
	basePage
	RoleSays string
	Saved    string
	Problem  problemView
	Wrong    map[string]string // what is wrong with a field, by its name
}

// accountPage shows the page. Where nobody has to sign in there is nothing to show.
func (s *Server) accountPage(c *gin.Context) error {
	page, err := s.account(c)
	if err != nil {
		return err
	}
	if c.Query("done") == "password" {
		page.Saved = "You have a new password. You are signed out everywhere else."
	}
	return s.render(c, http.StatusOK, "account", page)
}

func (s *Server) account(c *gin.Context) (accountPage, error) {
	person, ok := survey.PersonOf(c.Request.Context())
	if !ok {
		return accountPage{}, survey.Errorf(survey.NotFound, "Nobody has to sign in here.")
	}
	page := accountPage{basePage: s.plainPage("Signed in"), RoleSays: roleSays(person.Role)}
	page.BackHref, page.BackLabel = "/surveys", "All surveys"
	return page, nil
}

// roleSays is what a role may do, in words; rules in may.go is what counts.
func roleSays(role survey.Role) string {
	switch role {
	case survey.RoleInstaller:
		return "Reads every survey and report, takes photos, places pins and writes down what is measured. Surveys are started, scopes written and revisions issued by a surveyor or the office."
	case survey.RoleSurveyor:
		return "Does everything with surveys. The company’s texts are the office’s."
	}
	return "Does everything, the company’s texts too."
}

// signer is the name that something is signed with: that of who is signed in, else the one that was typed.
func signer(ctx context.Context, typed string) string {
	if person, ok := survey.PersonOf(ctx); ok {
		return person.Name
	}
	return typed
}

// signedBy makes the field of a signing name one that is not typed, when somebody is signed in.
func signedBy(ctx context.Context, v fieldView) fieldView {
	if person, ok := survey.PersonOf(ctx); ok {
		v.Control, v.Text = "fixed", person.Name
	}
	return v
}

// signOut ends the session of this browser.
func (s *Server) signOut(c *gin.Context) error {
	if sum, ok := s.tokenOf(c.Request); ok {
		if err := s.store.EndSession(c.Request.Context(), sum); err != nil {
			return err
		}
	}
	return s.signedOut(c)
}

// signOutEverywhere ends all sessions of whoever asks.
func (s *Server) signOutEverywhere(c *gin.Context) error {
	if person, ok := survey.PersonOf(c.Request.Context()); ok {
		if err := s.store.EndSessions(c.Request.Context(), person.ID); err != nil {
			return err
		}
		s.log.Info("signed out everywhere", "request", requestOf(c.Request.Context()).id, "person", person.ID)
	}
	return s.signedOut(c)
}

// signedOut removes the cookie and what the browser has kept of answers; what waits to be sent is kept elsewhere and stays.
func (s *Server) signedOut(c *gin.Context) error {
	http.SetCookie(c.Writer, s.cookie(c.Request, "", -1))
	c.Header("Clear-Site-Data", `"cache"`)
	return redirect(c, "/signin?out=1")
}
