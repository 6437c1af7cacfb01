package web

import (
	"context"
	"crypto/rand"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"strings"

	"undercroft/survey"
)

// request is what is known of one request for the log. It is written by the one goroutine that serves it.
type request struct {
	id    string
	route string
	err   error
}

type requestKey struct{}

// requestOf is the request's notes; outside of a request they are thrown away.
func requestOf(ctx context.Context) *request {
	if r, ok := ctx.Value(requestKey{}).(*request); ok {
		return r
	}
	return &request{}
}

// statusWriter remembers what was answered.
type statusWriter struct {
	http.ResponseWriter
	status int
	bytes  int64
}

// WriteHeader sends the status.
func (w *statusWriter) WriteHeader(status int) {
	if w.status == 0 && status >= 200 {
		w.status = status
	}
	w.ResponseWriter.WriteHeader(status)
}

// Write sends bytes.
func (w *statusWriter) Write(p []byte) (int, error) {
	if w.status == 0 {
		w.status = http.StatusOK
	}
	n, err := w.ResponseWriter.Write(p)
	w.bytes += int64(n)
	return n, err
}

// Unwrap lets http.ResponseController reach the connection.
func (w *statusWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// observe gives each request an id, answers for a handler that panics, and writes one line to the log: the route's pattern and never the
// address with its ids and queries, no names, no cookies.
func (s *Server) observe(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := s.now()
		notes := &request{id: rand.Text()}
		sw := &statusWriter{ResponseWriter: w}
		s.meter.inFlight.Inc()
		r = r.WithContext(context.WithValue(r.Context(), requestKey{}, notes))
		defer func() {
			cut := s.recovered(recover(), sw, r)
			took := s.now().Sub(start)
			s.meter.inFlight.Dec()
			s.meter.answered(notes.route, r.Method, sw.status, took.Seconds())
			s.logRequest(r, notes, sw, took.Milliseconds())
			if cut {
				panic(http.ErrAbortHandler) // ends the connection, so that half an answer is not taken for a whole one
			}
		}()
		next.ServeHTTP(sw, r)
	})
}

// recovered answers for a handler that panicked, p being what it panicked with or nil, and tells whether the answer had begun and must be
// cut off.
func (s *Server) recovered(p any, w *statusWriter, r *http.Request) bool {
	switch {
	case p == nil:
		return false
	case p == http.ErrAbortHandler:
		return true
	}
	s.log.Error("a handler failed", "request", requestOf(r.Context()).id, "panic", p, "stack", string(debug.Stack()))
	if w.status != 0 {
		return true
	}
	s.sendFailure(w, r, http.StatusInternalServerError, nil)
	return false
}

func (s *Server) logRequest(r *http.Request, notes *request, w *statusWriter, ms int64) {
	args := []any{"request", notes.id, "method", knownMethod(r.Method), "route", notes.route, "status", w.status, "bytes", w.bytes, "ms", ms}
	switch {
	case notes.err == nil:
		s.log.Info("request", args...)
	case survey.KindOf(notes.err) == survey.Internal && r.Context().Err() == nil && w.status >= 500:
		s.log.Error("request", append(args, "error", errorForLog(notes.err))...)
	default:
		s.log.Info("request", append(args, "error", errorForLog(notes.err))...)
	}
}

// knownMethod keeps what a client made up out of the log.
func knownMethod(method string) string {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions, http.MethodTrace, http.MethodConnect:
		return method
	}
	return "other"
}

// policy is the Content-Security-Policy of every answer: nothing inline, nothing from elsewhere, in no frame.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; " +
	"form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'"

// secure sets the headers that every answer carries, errors and refusals too. Nothing is kept by caches unless a handler says so.
func (s *Server) secure(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin") // "no-referrer" would also hide the Origin that a form's POST is judged by
		h.Set("X-Frame-Options", "DENY")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self), geolocation=(self), microphone=(), payment=(), usb=()")
		h.Set("Cache-Control", "no-store")
		if isShared(r) { // the address is the secret; what is sent from there is judged by the token in it, not by where it comes from
			h.Set("Referrer-Policy", "no-referrer")
			h.Set("X-Robots-Tag", "noindex, nofollow, noarchive")
		}
		h.Set("X-Request-Id", requestOf(r.Context()).id)
		if len(r.TransferEncoding) > 0 { // it may have had a length, too, and another reader another end: nothing behind it is believed (RFC 9112, section 6.1)
			h.Set("Connection", "close")
		}
		if s.overTLS(r) {
			h.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
		}
		next.ServeHTTP(w, r)
	})
}

// ownHost refuses a Host that is no name of this machine when the connection came over the loopback address: a page of another site
// could else have its own name point here and read the answers (DNS rebinding). Behind a proxy the proxy knows its names.
func (s *Server) ownHost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		local, _ := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
		if !s.proxied && local != nil && isLoopback(local.String()) && !isLoopback(r.Host) {
			s.sendFailure(w, r, http.StatusMisdirectedRequest, survey.Errorf(survey.Invalid, "This server answers to localhost only."))
			return
		}
		next.ServeHTTP(w, r)
	})
}

// isLoopback tells whether a host, with or without a port, is this machine itself.
func isLoopback(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	host = strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
	if strings.EqualFold(host, "localhost") {
		return true
	}
	ip, err := netip.ParseAddr(host)
	return err == nil && ip.Unmap().IsLoopback()
}

// refuseCrossOrigin answers a change that another site's page has asked for.
func (s *Server) refuseCrossOrigin(w http.ResponseWriter, r *http.Request) {
	s.sendFailure(w, r, http.StatusForbidden, survey.Errorf(survey.Invalid, "This came from another site's page, so nothing was changed."))
}
