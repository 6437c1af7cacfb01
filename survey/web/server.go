// Package web serves surveys over HTTP: pages that work without scripts, the addresses that the scripts use, and the photos.
//
// A handler is a method that returns an error; one place turns errors into pages or problem documents (RFC 9457) and logs them once
// under the request's id. What an internal error says is logged and never sent. Pages are rendered whole before a byte is sent.
//
// Who may do what stands in one table, may.go. While the store knows no person, nobody has to sign in, and whoever reaches the server may do
// everything: the caller then binds it to the loopback address.
package web

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/annotate"
	"undercroft/survey/store"
	"undercroft/templates"
)

// PhotoReader reads the photo file at path and writes its derivatives into the folder outDir; annotate.Child is one. What the file
// itself makes impossible is told in the result's Meta.Problem and is no error.
type PhotoReader interface {
	Read(ctx context.Context, path, outDir string) (annotate.Result, error)
}

// Config is what a Server needs. Store, Photos and Now must be set; Log may be nil. Times on pages are in the zone of Now.
// TrustedProxies are the addresses or networks (CIDR) of proxies in front, whose X-Forwarded-For and X-Forwarded-Proto are believed; with none,
// nobody's are.
type Config struct {
	Store          *store.Store
	Photos         PhotoReader
	Now            func() time.Time
	Log            *slog.Logger
	TrustedProxies []string
}

// Server answers requests. It holds no state of its own but the outcomes of uploads that a page has yet to show, revisions that were just read, and counts of tries to sign in.
type Server struct {
	store    *store.Store
	intake   *intake
	now      func() time.Time
	log      *slog.Logger
	pages    *templates.Set
	engine   *gin.Engine
	proxied  bool
	outcomes *outcomes
	thawed   thawed
	compress func(http.Handler) http.HandlerFunc
	meter    *meter
	rates    rates
	probe    probe
	painters chan struct{} // one element for each report being painted

	unused    map[string]access // rules that no route has had yet
	unruled   []string          // routes without a rule
	names     *throttle         // tries to sign in, by name
	addresses *throttle         // and by address
	hashing   chan struct{}     // one element for each password being hashed
	forms     chan struct{}     // one element for each form of somebody who is not signed in, being read
}

// hashesAtOnce is how many passwords are hashed at once: each takes 46 MiB and a core.
const hashesAtOnce = 2

// New makes a server. It fails when something of the Config is missing, a proxy's address cannot be read, a template is faulty,
// or a route has no rule.
func New(c Config) (*Server, error) {
	if c.Store == nil || c.Photos == nil || c.Now == nil {
		return nil, errors.New("web: Store, Photos and Now are needed")
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	pages, err := templates.Load()
	if err != nil {
		return nil, fmt.Errorf("load templates: %w", err)
	}
	compress, err := compressor()
	if err != nil {
		return nil, err
	}
	gin.SetMode(gin.ReleaseMode)
	m := newMeter()
	s := &Server{
		store: c.Store, intake: newIntake(c.Store, c.Photos, c.Log, m), meter: m, rates: newRates(), forms: make(chan struct{}, formsAtOnce), now: c.Now, log: c.Log, pages: pages, engine: gin.New(), proxied: len(c.TrustedProxies) > 0,
		outcomes: newOutcomes(), compress: compress, painters: make(chan struct{}, paintersAtOnce), unused: rules(),
		names: newThrottle(triesByName, everyByName, mostKeys), addresses: newThrottle(triesByAddress, everyByAddress, mostKeys), hashing: make(chan struct{}, hashesAtOnce),
	}
	s.engine.RedirectTrailingSlash = false
	s.engine.HandleMethodNotAllowed = true
	if err := s.engine.SetTrustedProxies(c.TrustedProxies); err != nil {
		return nil, fmt.Errorf("trusted proxies: %w", err)
	}
	if err := m.registry.Register(gauges{s.store, s.intake}); err != nil {
		return nil, fmt.Errorf("count: %w", err)
	}
	s.routes()
	return s, s.checkRules()
}

// Handler is the whole site: the log and the recovery outermost, then the headers that every answer carries, then the compression, then the
// refusals, then the routes.
func (s *Server) Handler() http.Handler {
	crossOrigin := http.NewCrossOriginProtection()
	crossOrigin.AddInsecureBypassPattern("POST " + sharePrefix + "{token}/") // no cookie counts there: who has the token may do all that it lets
	crossOrigin.SetDenyHandler(http.HandlerFunc(s.refuseCrossOrigin))
	return s.observe(s.secure(s.compress(s.ownHost(crossOrigin.Handler(s.engine)))))
}

// The limits on a connection: how large and how slow a request's headers may be, how long an answer may take, and how long a connection is kept that nobody uses.
const (
	maxHeader  = 32 << 10
	headerTime = 10 * time.Second
	answerTime = 60 * time.Second
	idleTime   = 60 * time.Second
)

// HTTPServer is a server with limits that a slow or hostile client cannot get round. There is no limit on reading a body here, since one
// figure would cut off slow uploads or let slow forms hang: the handlers set their own as the bytes arrive. The caller sets Addr
// and ErrorLog.
func HTTPServer(handler http.Handler) *http.Server {
	return &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: headerTime,
		WriteTimeout:      answerTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    maxHeader,
	}
}
