package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/password"
)

// challenge names how one signs in here (RFC 9110, section 11.6.1); browsers know no such scheme and ask nothing by themselves.
const challenge = `Session realm="Undercroft"`

// signInPage asks for name and password. Carry is a form that was sent when nobody was signed in any more, and Action where it was to go: it is sent on
// after signing in.
type signInPage struct {
	basePage
	Name, To, Carry, Action string
	Problem                 problemView
	Note                    string
}

// errWrong is the one answer to a wrong password, an unknown name and a disabled person.
var errWrong = survey.Errorf(survey.SignedOut, "The name or the password is wrong. Check both and try again.")

// signInPage shows the empty form, or goes on when somebody is signed in already or nobody has to.
func (s *Server) signInPage(c *gin.Context) error {
	to := localPath(c.Query("to"))
	_, signedIn, err := s.whoAsks(c.Request)
	if err != nil {
		return err
	}
	open, err := s.open(c.Request.Context())
	if err != nil {
		return err
	}
	if signedIn || open {
		return redirect(c, to)
	}
	page := signInPage{To: to}
	if c.Query("out") != "" {
		page.Note = "You are signed out. What waits on this phone stays there and is sent when you sign in again."
	}
	return s.showSignIn(c, http.StatusOK, page)
}

func (s *Server) showSignIn(c *gin.Context, status int, page signInPage) error {
	page.basePage = s.plainPage("Sign in")
	if status != http.StatusOK {
		c.Header("WWW-Authenticate", challenge)
	}
	return s.render(c, status, "signin", page)
}

// askToSignIn answers a request that needs somebody signed in. A page is asked for again after signing in; a form comes along and is sent then; a
// program gets a problem document and keeps what it has.
func (s *Server) askToSignIn(c *gin.Context) error {
	switch {
	case forAPI(c.Request):
		return survey.Errorf(survey.SignedOut, "Sign in again to send this.")
	case !changes(c.Request) && strings.Contains(c.GetHeader("Accept"), "text/html"):
		return redirect(c, "/signin?to="+url.QueryEscape(localPath(c.Request.URL.RequestURI())))
	case !changes(c.Request):
		return survey.Errorf(survey.SignedOut, "Sign in to see this.")
	}
	release, err := s.readingForm(c)
	if err != nil {
		return err
	}
	defer release()
	page := signInPage{To: backTo(c.Request), Problem: problemView{Weight: weightWarn, Head: "You are not signed in any more. Nothing is saved yet."}}
	if !sentForm(c) {
		c.Header("Connection", "close") // what was sent is not read
		page.Note = "Files that you chose have to be chosen again after signing in."
		return s.showSignIn(c, http.StatusUnauthorized, page)
	}
	page.Carry, page.Action = c.Request.PostForm.Encode(), c.Request.URL.RequestURI()
	page.Note = "What you typed is kept in this page and is saved as soon as you have signed in."
	return s.showSignIn(c, http.StatusUnauthorized, page)
}

// backTo is the page that a form stood on.
func backTo(r *http.Request) string {
	from, err := url.Parse(r.Referer())
	if err != nil || !strings.EqualFold(from.Host, r.Host) {
		return localPath("")
	}
	return localPath(from.RequestURI())
}

// formsAtOnce is how many forms of people who are not signed in are read at once, and formTime how long one may take: such a form may be large and is held in memory.
const (
	formsAtOnce = 8
	formTime    = 30 * time.Second
)

// readingForm lets the form of somebody who is not signed in be read until the function is called. Busy when too many are being read.
func (s *Server) readingForm(c *gin.Context) (func(), error) {
	select {
	case s.forms <- struct{}{}:
	default:
		s.meter.limited.WithLabelValues(limitForms).Inc()
		return nil, &survey.Error{Kind: survey.Busy, Retry: busyRetry, Message: "Too many forms come from people who are not signed in. Go back, where what you typed still stands, and send it again in a moment."}
	}
	control := http.NewResponseController(c.Writer)
	late := time.AfterFunc(formTime, func() { _ = control.SetReadDeadline(time.Unix(longAgo, 0)) }) // no deadlines on this connection: nobody to be cut off
	return func() {
		late.Stop()
		<-s.forms
	}, nil
}

// signInAndSend is signIn with a form that came along.
func (s *Server) signInAndSend(c *gin.Context) error {
	release, err := s.readingForm(c)
	if err != nil {
		return err
	}
	defer release()
	return s.signIn(c)
}

// signIn checks name and password. Whatever is wrong with them, the answer is the same and costs the same.
func (s *Server) signIn(c *gin.Context) error {
	if err := c.Request.ParseForm(); err != nil {
		return fmt.Errorf("%w: %w", errUnreadable, err)
	}
	form := c.Request.PostForm
	page := signInPage{Name: cleanText(form.Get("name")), To: localPath(form.Get("to")), Carry: form.Get("carry"), Action: form.Get("action")}
	if wait := s.throttled(c, page.Name); wait > 0 {
		c.Header("Retry-After", strconv.Itoa(int(math.Ceil(wait.Seconds()))))
		page.Problem = problemView{Weight: weightStop, Head: fmt.Sprintf("Too many tries. Wait %s, then try again.", waiting(wait))}
		s.meter.limited.WithLabelValues(limitSignIn).Inc()
		s.log.Warn("sign-in held up", "request", requestOf(c.Request.Context()).id)
		return s.showSignIn(c, http.StatusTooManyRequests, page)
	}
	person, err := s.identify(c.Request.Context(), page.Name, form.Get("password"))
	if errors.Is(err, errWrong) {
		s.meter.signInFails.Inc()
		s.log.Warn("sign-in refused", "request", requestOf(c.Request.Context()).id)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(err)}
		return s.showSignIn(c, http.StatusUnauthorized, page)
	}
	if err != nil {
		return err
	}
	s.names.forget(survey.NameKey(page.Name))
	cookie, err := s.beginSession(c.Writer, c.Request, person)
	if err != nil {
		return err
	}
	if page.Carry != "" {
		return s.sendOn(c, cookie, page)
	}
	return redirect(c, page.To)
}

// throttled takes a try to sign in by this name from this address, or tells how long to wait for one.
func (s *Server) throttled(c *gin.Context, name string) time.Duration {
	now := s.now()
	if wait := s.addresses.wait(network(c.ClientIP()), now); wait > 0 {
		return wait
	}
	return s.names.wait(survey.NameKey(name), now)
}

// waiting says a short time in words.
func waiting(wait time.Duration) string {
	if wait <= time.Minute {
		return "a minute"
	}
	return fmt.Sprintf("%d minutes", int(math.Ceil(wait.Minutes())))
}

// identify finds who has this name and this password, errWrong when nobody does. A hash that was made at lower costs is made anew.
func (s *Server) identify(ctx context.Context, name, typed string) (survey.Person, error) {
	person, hash, err := s.store.Credentials(ctx, name)
	known := err == nil && !person.Disabled
	switch {
	case survey.KindOf(err) == survey.NotFound || err == nil && person.Disabled:
		hash = password.Nobody()
	case err != nil:
		return survey.Person{}, err
	}
	select {
	case s.hashing <- struct{}{}:
		defer func() { <-s.hashing }()
	case <-ctx.Done():
		return survey.Person{}, ctx.Err()
	}
	fits, old, err := password.Check(typed, hash)
	switch {
	case err != nil:
		return survey.Person{}, fmt.Errorf("check a password: %w", err)
	case !known || !fits:
		return survey.Person{}, errWrong
	case old:
		if err := s.store.RenewHash(ctx, person.ID, hash, password.Hash(typed)); err != nil {
			s.log.Warn("a password's hash was not renewed", "request", requestOf(ctx).id, "person", person.ID, "error", err)
		}
	}
	return person, nil
}

// sendOn does what the form was to do that came along, as if it had been sent by who has just signed in: with that person's rights.
func (s *Server) sendOn(c *gin.Context, cookie *http.Cookie, page signInPage) error {
	target, err := url.Parse(page.Action)
	if err != nil || localPath(page.Action) != page.Action {
		return redirect(c, page.To)
	}
	r := c.Request.Clone(c.Request.Context())
	r.URL, r.RequestURI, r.Form, r.PostForm = target, page.Action, nil, nil
	r.Header.Set("Cookie", cookie.Name+"="+cookie.Value)
	r.Body, r.ContentLength = io.NopCloser(strings.NewReader(page.Carry)), int64(len(page.Carry))
	s.engine.ServeHTTP(c.Writer, r)
	return nil
}
