package web

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"os"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/store"
)

// errMethod is the answer to a method that an address does not know.
var errMethod = errors.New("the address does not know the method")

// errUnreadable is the answer to a form that is none.
var errUnreadable = errors.New("the request could not be read")

// failurePage says what happened, what is safe and what to do.
type failurePage struct {
	basePage
	Head, What, Safe string
	Fields           []problemField
	Actions          []action
	Request          string
	Again            *resend // what was sent, nil when it is not kept
}

// statusOf is the HTTP status of an error.
func statusOf(err error) int {
	switch survey.KindOf(err) {
	case survey.NotFound:
		return http.StatusNotFound
	case survey.Invalid:
		return http.StatusUnprocessableEntity
	case survey.Conflict:
		return http.StatusConflict
	case survey.TooLarge:
		return http.StatusRequestEntityTooLarge
	case survey.NoSpace:
		return http.StatusInsufficientStorage
	case survey.SignedOut:
		return http.StatusUnauthorized
	case survey.Forbidden:
		return http.StatusForbidden
	case survey.Busy:
		return http.StatusServiceUnavailable
	case survey.TooOften:
		return http.StatusTooManyRequests
	}
	if _, ok := errors.AsType[*http.MaxBytesError](err); ok {
		return http.StatusRequestEntityTooLarge
	}
	switch {
	case errors.Is(err, store.ErrPieceSum):
		return statusChecksum
	case errors.Is(err, errMethod):
		return http.StatusMethodNotAllowed
	case errors.Is(err, os.ErrDeadlineExceeded):
		return http.StatusRequestTimeout
	case errors.Is(err, errUnreadable), errors.Is(err, io.ErrUnexpectedEOF):
		return http.StatusBadRequest
	}
	return http.StatusInternalServerError
}

// fail answers for a handler that returned an error. When the answer has begun there is nothing left to say; when the client has gone
// there is nobody to say it to.
func (s *Server) fail(c *gin.Context, err error) {
	requestOf(c.Request.Context()).err = err
	if c.Writer.Written() {
		return
	}
	if errors.Is(err, context.Canceled) && c.Request.Context().Err() != nil {
		c.Status(499) // as proxies log it: the client closed the request
		return
	}
	s.sendFailure(c.Writer, c.Request, statusOf(err), err)
}

// sendFailure writes a problem document for programs and a page for people. err may be nil.
func (s *Server) sendFailure(w http.ResponseWriter, r *http.Request, status int, err error) {
	w.Header().Set("Cache-Control", "no-store")
	if status == http.StatusRequestEntityTooLarge || status == http.StatusRequestTimeout || status == http.StatusForbidden {
		w.Header().Set("Connection", "close")
	}
	if status == http.StatusUnauthorized {
		w.Header().Set("WWW-Authenticate", challenge)
	}
	if e, ok := errors.AsType[*survey.Error](err); ok && e.Retry > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(e.Retry.Seconds()))))
	}
	if forAPI(r) {
		s.sendProblem(w, r, status, err)
		return
	}
	page := failurePage{Request: requestOf(r.Context()).id, Actions: []action{{"/surveys", "Surveys"}}}
	if isShared(r) {
		page.Actions = nil // the rest of the site is not for who has a link
	}
	page.Head, page.What, page.Safe = words(status)
	page.basePage = s.plainPage(page.Head)
	page.showPerson(r.Context())
	if survey.KindOf(err) != survey.Internal {
		page.What = survey.Message(err)
		page.Fields = problemFields(err)
	}
	body, renderErr := s.pages.Render("failure", page)
	if renderErr != nil {
		s.log.Error("the page for errors failed", "request", page.Request, "error", renderErr)
		http.Error(w, http.StatusText(status), status)
		return
	}
	w.Header().Set("Content-Type", htmlType)
	w.WriteHeader(status)
	_, _ = w.Write(body) // a client that has gone is seen in the log by its bytes
}

// words are the head, the explanation and what is safe for a status.
func words(status int) (head, what, safe string) {
	safe = "Nothing was changed."
	switch status {
	case http.StatusNotFound:
		return "Nothing here", "There is nothing at this address. It may have been removed, or the address was cut short.", ""
	case http.StatusUnprocessableEntity, http.StatusBadRequest:
		return "This could not be read", "What was sent could not be read.", safe
	case http.StatusConflict:
		return "Somebody else was faster", "This has changed since the page was opened.", safe + " Go back and open the page again to see both."
	case http.StatusRequestEntityTooLarge:
		return "Too large", fmt.Sprintf("A photo may have at most %d MB, a form 1 MB.", survey.MaxPhotoBytes>>20), safe + " Photos that were sent before it are kept."
	case http.StatusInsufficientStorage:
		return "No space left", "The server has too little space left.", "Keep what you have; everything saved before is safe. Tell whoever looks after the server."
	case http.StatusServiceUnavailable:
		return "Busy", "The server has as much to do as it takes on at once.", safe + " Send it again in a moment; sending twice does no harm."
	case http.StatusTooManyRequests:
		return "Too much at once", "This was asked for more often than the server allows.", safe + " Send it again in a moment; sending twice does no harm."
	case http.StatusMethodNotAllowed:
		return "Not possible here", "This address cannot do that.", safe
	case statusChecksum:
		return "Arrived damaged", "The piece did not arrive as it was sent. Send it again.", safe
	case http.StatusUnauthorized:
		return "Sign in first", "Nobody is signed in here, or not any more. Sign in, then go on.", safe
	case http.StatusForbidden:
		return "Refused", "This request was refused.", safe
	case http.StatusMisdirectedRequest:
		return "Wrong name", "This server does not answer to that name.", safe
	case http.StatusRequestTimeout:
		return "The connection is too slow", "What was sent did not arrive in time.", safe + " Send it again; sending twice does no harm."
	}
	return "Something went wrong", "Something went wrong on the server.", "Everything saved before is safe. Try once more; sending twice does no harm."
}

// problem is a problem document of RFC 9457 with the members that this site adds.
type problem struct {
	Type    string            `json:"type"`
	Title   string            `json:"title"`
	Status  int               `json:"status"`
	Detail  string            `json:"detail,omitempty"`
	Request string            `json:"request"`
	Fields  map[string]string `json:"fields,omitempty"`
	Current any               `json:"current,omitempty"` // the stored row, in a conflict
}

func (s *Server) sendProblem(w http.ResponseWriter, r *http.Request, status int, err error) {
	p := problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Request: requestOf(r.Context()).id}
	head, detail, _ := words(status)
	p.Title, p.Detail = cmp.Or(p.Title, head), detail // 460 has no name in the standard library
	if e, ok := errors.AsType[*survey.Error](err); ok && e.Kind != survey.Internal {
		p.Detail, p.Fields, p.Current = e.Message, e.Fields, currentRow(e.Current)
	}
	if e, ok := errors.AsType[*jsonError](err); ok {
		p.Detail = e.Error()
	}
	body, marshalErr := json.Marshal(p)
	if marshalErr != nil {
		s.log.Error("a problem document failed", "request", p.Request, "error", marshalErr)
		http.Error(w, http.StatusText(status), status)
		return
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(status)
	_, _ = w.Write(body) // a client that has gone is seen in the log by its bytes
}

// currentRow is the stored row of a conflict as the site's JSON writes it, nil for rows that no program sends.
func currentRow(row any) any {
	switch row := row.(type) {
	case survey.Photo:
		return photoAnswer(row)
	case survey.Survey:
		return surveyJSON(row)
	case survey.Pin, deletedPin, []factJSON:
		return row
	}
	return nil
}

// problemFields lists what an error says of single fields, by name.
func problemFields(err error) []problemField {
	e, ok := errors.AsType[*survey.Error](err)
	if !ok {
		return nil
	}
	var list []problemField
	for key, text := range e.Fields {
		list = append(list, problemField{Name: key, Text: text})
	}
	slices.SortFunc(list, func(a, b problemField) int { return cmp.Compare(a.Name, b.Name) })
	return list
}

// sendJSON answers a program.
func sendJSON(c *gin.Context, status int, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("write JSON: %w", err)
	}
	c.Header("Content-Length", strconv.Itoa(len(body)))
	c.Data(status, "application/json", body)
	return nil
}
