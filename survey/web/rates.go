package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// How much one person may send, whose phone may come back with a whole visit at once: so many calls in a row and then 20 a second; so many pieces of photos in a row and then 40 a
// second, which is 10 MB; so many new photos in a row and then 600 an hour. While nobody has to sign in, only this machine reaches the server, and these do not hold.
const (
	callBurst  = 240
	callEvery  = 50 * time.Millisecond
	pieceBurst = 480
	pieceEvery = 25 * time.Millisecond
	photoBurst = survey.MaxPhotos
	photoEvery = 6 * time.Second
)

// rates count what is sent, by person.
type rates struct{ calls, pieces, photos *throttle }

func newRates() rates {
	return rates{newThrottle(callBurst, callEvery, mostKeys), newThrottle(pieceBurst, pieceEvery, mostKeys), newThrottle(photoBurst, photoEvery, mostKeys)}
}

// mayCall is nil when a person may send this request to a program's address now, else TooOften. Pages are not counted.
func (s *Server) mayCall(c *gin.Context, person survey.Person) error {
	switch {
	case !forAPI(c.Request):
		return nil
	case c.Request.Method == http.MethodPatch && strings.HasSuffix(c.FullPath(), "/upload"):
		return s.within(s.rates.pieces, limitPieces, person)
	}
	return s.within(s.rates.calls, limitCalls, person)
}

// mayBeginPhoto is nil when who is signed in under ctx may send one more new photo now, else TooOften.
func (s *Server) mayBeginPhoto(ctx context.Context) error {
	person, ok := survey.PersonOf(ctx)
	if !ok {
		return nil
	}
	return s.within(s.rates.photos, limitPhotos, person)
}

// within takes one of what a throttle lets through, or says how long to wait.
func (s *Server) within(t *throttle, limit string, person survey.Person) error {
	wait := t.wait(string(person.ID), s.now())
	if wait <= 0 {
		return nil
	}
	s.meter.limited.WithLabelValues(limit).Inc()
	return &survey.Error{
		Kind: survey.TooOften, Retry: wait,
		Message: "This is more at once than the server takes from one person. Keep it and send it again in a moment.",
	}
}
