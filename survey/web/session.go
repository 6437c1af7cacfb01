package web

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"net/url"
	"strings"

	"undercroft/survey"
	"undercroft/survey/store"
)

// The cookie's name. Over TLS the prefix binds it to this host (RFC 6265bis, section 4.1.3.2); without TLS browsers refuse such a name.
const (
	cookieName       = "undercroft"
	secureCookieName = "__Host-undercroft"
)

// tokenBytes is the length of a session's token: 256 random bits.
const tokenBytes = 32

// overTLS tells whether the browser's connection is encrypted, to here or to a proxy that is believed.
func (s *Server) overTLS(r *http.Request) bool {
	return r.TLS != nil || s.proxied && r.Header.Get("X-Forwarded-Proto") == "https"
}

func (s *Server) cookieNameFor(r *http.Request) string {
	if s.overTLS(r) {
		return secureCookieName
	}
	return cookieName
}

// newToken makes a session's token: the cookie's value, and the sum that is kept.
func newToken() (value string, sum store.TokenSum) {
	token := make([]byte, tokenBytes)
	_, _ = rand.Read(token) // it never fails: crypto/rand ends the program instead
	return base64.RawURLEncoding.EncodeToString(token), sha256.Sum256(token)
}

// tokenOf is the sum of the token in a request's cookie; false when there is none that could be one.
func (s *Server) tokenOf(r *http.Request) (store.TokenSum, bool) {
	cookie, err := r.Cookie(s.cookieNameFor(r))
	if err != nil {
		return store.TokenSum{}, false
	}
	token, err := base64.RawURLEncoding.DecodeString(cookie.Value)
	if err != nil || len(token) != tokenBytes {
		return store.TokenSum{}, false
	}
	return sha256.Sum256(token), true
}

// whoAsks finds who is signed in; false when nobody is.
func (s *Server) whoAsks(r *http.Request) (survey.Person, bool, error) {
	sum, ok := s.tokenOf(r)
	if !ok {
		return survey.Person{}, false, nil
	}
	p, err := s.store.Session(r.Context(), sum)
	if survey.KindOf(err) == survey.NotFound {
		return survey.Person{}, false, nil
	}
	return p, err == nil, err
}

// open tells whether nobody has to sign in.
func (s *Server) open(ctx context.Context) (bool, error) {
	any, err := s.store.AnyPerson(ctx)
	return err == nil && !any, err
}

// beginSession signs a person in on this browser and gives the cookie that it has set. The token is a new one, and the browser's session before it ends.
func (s *Server) beginSession(w http.ResponseWriter, r *http.Request, p survey.Person) (*http.Cookie, error) {
	value, sum := newToken()
	before, _ := s.tokenOf(r)
	if err := s.store.BeginSession(r.Context(), p.ID, sum, before); err != nil {
		return nil, err
	}
	s.log.Info("signed in", "person", p.ID, "request", requestOf(r.Context()).id)
	cookie := s.cookie(r, value, int(survey.SessionLongest.Seconds()))
	http.SetCookie(w, cookie)
	return cookie, nil
}

// cookie is the session's cookie; an age below 0 removes it.
func (s *Server) cookie(r *http.Request, value string, age int) *http.Cookie {
	return &http.Cookie{Name: s.cookieNameFor(r), Value: value, Path: "/", MaxAge: age, HttpOnly: true, Secure: s.overTLS(r), SameSite: http.SameSiteLaxMode} // #nosec G124 -- Secure over TLS; without TLS serve binds to loopback alone
}

// localPath gives back where to go on to after signing in, when that is an address of this site alone; else the list of surveys. An address that browsers
// could take for another site's, and the pages of signing in themselves, are none.
func localPath(to string) string {
	const otherwise = "/surveys"
	u, err := url.Parse(to)
	if err != nil || u.Scheme != "" || u.Host != "" || u.Opaque != "" || u.User != nil || strings.ContainsAny(to, "\\\r\n\t") {
		return otherwise
	}
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.HasPrefix(u.Path, "//") || strings.HasPrefix(u.Path, "/sign") || strings.HasPrefix(u.Path, "/api/") {
		return otherwise
	}
	return to
}
