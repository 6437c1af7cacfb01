package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/password"
)

// changePassword gives whoever asks a new password, against the one of now, which is tried as often as at signing in and no oftener. Every other session ends; this
// browser's goes on under a new token.
func (s *Server) changePassword(c *gin.Context) error {
	person, ok := survey.PersonOf(c.Request.Context())
	if !ok {
		return survey.Errorf(survey.NotFound, "Nobody has to sign in here.")
	}
	if _, err := readForm(c); err != nil {
		return err
	}
	typed, next := c.Request.PostForm.Get("now"), c.Request.PostForm.Get("next")
	if err := password.Judge(next, person.Name); err != nil {
		return s.keepPassword(c, http.StatusUnprocessableEntity, "next", "New password", "This will not do: "+err.Error()+".")
	}
	if wait := s.throttled(c, person.Name); wait > 0 {
		c.Header("Retry-After", fmt.Sprint(int(wait.Seconds())+1))
		return s.keepPassword(c, http.StatusTooManyRequests, "now", "Current password", fmt.Sprintf("Too many tries. Wait %s, then try again.", waiting(wait)))
	}
	_, was, err := s.store.Credentials(c.Request.Context(), person.Name)
	if err != nil {
		return err
	}
	if _, err = s.identify(c.Request.Context(), person.Name, typed); errors.Is(err, errWrong) {
		return s.keepPassword(c, http.StatusUnprocessableEntity, "now", "Current password", "This is not your current password. Type it again.")
	}
	if err != nil {
		return err
	}
	hash, err := s.hash(c.Request.Context(), next)
	if err != nil {
		return err
	}
	if err := s.store.ChangePassword(c.Request.Context(), person.ID, was, hash); err != nil {
		return err
	}
	s.names.forget(survey.NameKey(person.Name))
	if _, err := s.beginSession(c.Writer, c.Request, person); err != nil {
		return err
	}
	return redirect(c, "/account?done=password")
}

// hash makes the hash of a password in its turn: few are made at once, each takes its memory.
func (s *Server) hash(ctx context.Context, typed string) (string, error) {
	select {
	case s.hashing <- struct{}{}:
		defer func() { <-s.hashing }()
		return password.Hash(typed), nil
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

// keepPassword shows the page again with what is wrong with one field. No password comes back.
func (s *Server) keepPassword(c *gin.Context, status int, field, label, text string) error {
	page, err := s.account(c)
	if err != nil {
		return err
	}
	requestOf(c.Request.Context()).err = survey.Errorf(survey.Invalid, "The password was not changed.")
	page.Problem = problemView{Weight: weightStop, Head: "The password is the old one still.", Fields: []problemField{{field, label, text}}}
	page.Wrong = map[string]string{field: text}
	return s.render(c, status, "account", page)
}
