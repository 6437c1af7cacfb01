package web

import (
	"context"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey/store"
)

// probeEvery is how long an answer about readiness stands: the question costs a sync of the disk, and anybody may ask it.
const probeEvery = 2 * time.Second

// probe is the last answer.
type probe struct {
	mu      sync.Mutex
	at      time.Time
	reasons []store.Reason
	err     error
}

// healthy answers as long as the process serves.
func (s *Server) healthy(c *gin.Context) error {
	c.String(http.StatusOK, "ok\n")
	return nil
}

// ready answers 200 when changes can be kept, else 503 with why not as a word each: what exactly is wrong is in the log alone.
func (s *Server) ready(c *gin.Context) error {
	reasons, err := s.readiness(c.Request.Context())
	if len(reasons) == 0 {
		c.String(http.StatusOK, "ready\n")
		return nil
	}
	requestOf(c.Request.Context()).err = err
	var text strings.Builder
	text.WriteString("not ready\n")
	for _, r := range reasons {
		text.WriteString(string(r) + "\n")
	}
	c.String(http.StatusServiceUnavailable, "%s", text.String())
	return nil
}

// readiness asks the store, or gives what it said a moment ago. Those who ask meanwhile wait for the one answer.
func (s *Server) readiness(ctx context.Context) ([]store.Reason, error) {
	s.probe.mu.Lock()
	defer s.probe.mu.Unlock()
	if age := s.now().Sub(s.probe.at); s.probe.at.IsZero() || age < 0 || age >= probeEvery {
		s.probe.reasons, s.probe.err = s.store.Ready(context.WithoutCancel(ctx))
		s.probe.at = s.now()
	}
	return s.probe.reasons, s.probe.err
}
