package web

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// everyHeader is what each answer must carry, whatever its route and status (OWASP ASVS 5.0.0, 3.4.3 to 3.4.8 and 3.5.8).
var everyHeader = map[string]string{
	"X-Content-Type-Options":       "nosniff",
	"Referrer-Policy":              "same-origin",
	"X-Frame-Options":              "DENY",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Resource-Policy": "same-origin",
}

func checkHeaders(t *testing.T, name string, h http.Header) {
	t.Helper()
	for key, want := range everyHeader {
		if key == "Referrer-Policy" && strings.Contains(name, " /s/") { // there the address is a secret
			want = "no-referrer"
		}
		if got := h.Get(key); got != want {
			t.Errorf("%s: %s is %q, want %q", name, key, got, want)
		}
	}
	csp := h.Get("Content-Security-Policy")
	if !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") {
		t.Errorf("%s: the policy is %q", name, csp)
	}
	if !strings.HasPrefix(csp, "sandbox") {
		for _, want := range []string{"object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'", "form-action 'self'", "script-src 'self'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("%s: the policy lacks %s", name, want)
			}
		}
	}
	if h.Get("Cache-Control") == "" || h.Get("X-Request-Id") == "" || h.Get("Permissions-Policy") == "" {
		t.Errorf("%s: no Cache-Control, X-Request-Id or Permissions-Policy", name)
	}
	if ct := h.Get("Content-Type"); strings.HasPrefix(ct, "text/") && !strings.Contains(ct, "charset=utf-8") {
		t.Errorf("%s: the type %q has no charset", name, ct)
	}
}

// TestHeadersOnEveryRouteAndStatus asks every registered route with every method, with ids that exist and with ids that do not.
func TestHeadersOnEveryRouteAndStatus(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	p := w.photo(v.ID)
	known := strings.NewReplacer(":survey", string(v.ID), ":photo", string(p.ID), ":pin", survey.NewID())
	unknown := strings.NewReplacer(":survey", survey.NewID(), ":photo", "nothing", ":pin", "nothing")
	seen := map[int]bool{}
	for _, route := range w.server.engine.Routes() {
		for _, fill := range []*strings.Replacer{known, unknown} {
			for _, method := range []string{route.Method, http.MethodTrace, "BREW"} {
				r := httptest.NewRequest(method, fill.Replace(route.Path), strings.NewReader("x"))
				a := w.do(r)
				seen[a.Code] = true
				checkHeaders(t, method+" "+r.URL.Path, a.Header())
				if method != route.Method && a.Code != http.StatusMethodNotAllowed && a.Code != http.StatusNotFound {
					t.Errorf("%s %s: got status %d, want 405", method, r.URL.Path, a.Code)
				}
				if a.Code >= 500 {
					t.Errorf("%s %s: got status %d: %s", method, r.URL.Path, a.Code, a.Body)
				}
			}
		}
	}
	for _, status := range []int{200, 303, 400, 404, 405} {
		if !seen[status] {
			t.Errorf("no answer had status %d: the test does not reach what it should", status)
		}
	}
}

func TestUnknownMethodIs405(t *testing.T) {
	w := newSite(t)
	a := w.do(httptest.NewRequest(http.MethodDelete, "/surveys", nil)).wants(http.StatusMethodNotAllowed)
	if !strings.Contains(a.Header().Get("Allow"), "GET") {
		t.Errorf("Allow is %q", a.Header().Get("Allow"))
	}
	w.do(httptest.NewRequest(http.MethodPost, "/surveys/", nil)).wants(http.StatusNotFound) // no redirect that repeats a POST
	head := w.do(httptest.NewRequest(http.MethodHead, "/surveys", nil)).wants(http.StatusOK)
	if head.Header().Get("Content-Type") != htmlType {
		t.Error("HEAD has no type")
	}
}

func TestCrossOriginChangesAreRefused(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	form := url.Values{"f.title": {"stolen"}, "was.title": {"Larkmoor house"}}.Encode()
	for name, header := range map[string][]string{
		"by fetch metadata": {"Sec-Fetch-Site", "cross-site"},
		"from a subdomain":  {"Sec-Fetch-Site", "same-site"},
		"by origin":         {"Origin", "https://elsewhere.example"},
		"from nowhere":      {"Origin", "null"},
	} {
		for _, request := range []*http.Request{
			newRequest(http.MethodPost, surveyPath(v.ID)+"/site", form, append(header, "Content-Type", "application/x-www-form-urlencoded")...),
			newRequest(http.MethodPut, photoAPI(v.ID, survey.NewID()), "x", header...),
			newRequest(http.MethodPost, surveyPath(v.ID)+"/photos", "x", header...),
		} {
			a := w.do(request).wants(http.StatusForbidden)
			checkHeaders(t, name, a.Header())
		}
	}
	if r := w.record(v.ID); r.Survey.Title != "Larkmoor house" || len(r.Photos) != 0 {
		t.Errorf("something was changed: %+v", r.Survey)
	}
}

// TestForeignHostOverLoopback is the guard against DNS rebinding.
func TestForeignHostOverLoopback(t *testing.T) {
	w := newSite(t)
	server := httptest.NewServer(w.handler)
	defer server.Close()
	for host, want := range map[string]int{
		"localhost:1": 200, "LOCALHOST": 200, "127.0.0.1": 200, "[::1]:8080": 200, "[::ffff:127.0.0.1]": 200,
		"evil.example": 421, "localhost.evil.example": 421, "127.0.0.1.evil.example": 421, "10.0.0.1": 421,
	} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, server.URL+"/surveys", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		if resp.StatusCode != want {
			t.Errorf("host %s: got status %d, want %d", host, resp.StatusCode, want)
		}
		checkHeaders(t, host, resp.Header)
		if err := resp.Body.Close(); err != nil {
			t.Error(err)
		}
	}
	outside := httptest.NewRequest(http.MethodGet, "/surveys", nil)
	outside.Host = "surveys.example"
	outside = outside.WithContext(context.WithValue(outside.Context(), http.LocalAddrContextKey, net.Addr(&net.TCPAddr{IP: net.IPv4(192, 0, 2, 1), Port: 80})))
	w.do(outside).wants(http.StatusOK)
}

func TestTraversalFindsNothing(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	secret := []string{"undercroft.db", "SQLite format"}
	var tails []string
	for _, dots := range []string{"..", "%2e%2e", "..%2f..", "..%5c..", "%252e%252e", "....//", "..;", "%c0%ae%c0%ae", "%00", "\u202e.."} {
		for _, file := range []string{"undercroft.db", "etc/passwd", "etc%2fpasswd", "blobs/00", "."} {
			tails = append(tails, dots+"/"+file, dots+"%2f"+file)
		}
	}
	for _, tail := range tails {
		for _, base := range []string{"/static/", "/static/" + tail + "/", "/surveys/", surveyPath(v.ID) + "/photos/", "/api/surveys/"} {
			r, err := http.NewRequest(http.MethodGet, "http://localhost"+base+tail, nil)
			if err != nil {
				continue // not even an address
			}
			a := w.do(r)
			if a.Code != http.StatusNotFound && a.Code != http.StatusMethodNotAllowed {
				t.Errorf("%s%s: got status %d", base, tail, a.Code)
			}
			for _, s := range secret {
				if strings.Contains(a.Body.String(), s) {
					t.Errorf("%s%s: the answer contains %q", base, tail, s)
				}
			}
		}
	}
}

func TestStaticFiles(t *testing.T) {
	w := newSite(t)
	for _, name := range w.server.pages.StaticFiles() {
		a := w.get(w.server.pages.Address(name)).wants(http.StatusOK)
		if !strings.Contains(a.Header().Get("Cache-Control"), "immutable") || a.Body.Len() == 0 {
			t.Errorf("%s: %v", name, a.Header())
		}
	}
	w.get("/static/0123456789abcdef/part/part.css").wants(http.StatusNotFound)
	w.get(strings.Replace(w.server.pages.Address("part/part.js"), "part.js", "base.html", 1)).wants(http.StatusNotFound)
	links := w.get("/surveys").page().Find("link[rel=stylesheet]")
	if links.Length() != 2 {
		t.Errorf("got %d styles, want the parts' and the page's", links.Length())
	}
	for i := range links.Length() {
		w.get(links.Eq(i).AttrOr("href", "")).wants(http.StatusOK)
	}
}

// TestGETChangesNothing opens every GET route and compares the data folder's records before and after.
func TestGETChangesNothing(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	p := w.photo(v.ID)
	before := w.record(v.ID)
	fill := strings.NewReplacer(":survey", string(v.ID), ":photo", string(p.ID), ":pin", survey.NewID())
	for _, route := range w.server.engine.Routes() {
		if route.Method == http.MethodGet {
			w.get(fill.Replace(route.Path) + "?f.title=x&delete=1&settle=width%3Dtyped")
		}
	}
	after := w.record(v.ID)
	if before.Survey != after.Survey || len(after.Photos) != 1 || len(after.Facts) != 0 || len(after.Pins) != 0 {
		t.Errorf("a GET changed something: %+v", after)
	}
	if all, err := w.store.Surveys(t.Context()); err != nil || len(all) != 1 {
		t.Errorf("a GET made a survey (%v)", err)
	}
}

// TestInternalErrorsAreNotShown: the page carries the request's id and nothing of the cause; the log carries both, on one line.
func TestInternalErrorsAreNotShown(t *testing.T) {
	w := newSite(t)
	broken := func(path string, h func(*gin.Context) error) { w.server.engine.GET(path, w.server.adapt(maxForm, h)) }
	broken("/broken", func(*gin.Context) error { return os.ErrPermission })
	broken("/api/broken", func(*gin.Context) error { return &fs.PathError{Op: "open", Path: "/secret", Err: fs.ErrPermission} })
	broken("/panics", func(*gin.Context) error { panic("secret\nsecond line") })
	for _, path := range []string{"/broken", "/api/broken", "/panics"} {
		w.log.Reset()
		a := w.get(path + "?token=hush").wants(http.StatusInternalServerError)
		checkHeaders(t, path, a.Header())
		id := a.Header().Get("X-Request-Id")
		if strings.Contains(a.Body.String(), "secret") || strings.Contains(a.Body.String(), "permission") || !strings.Contains(a.Body.String(), id) {
			t.Errorf("%s: %s", path, a.Body)
		}
		if !strings.Contains(w.log.String(), id) || strings.Contains(w.log.String(), "hush") {
			t.Errorf("%s: the log says %s", path, w.log)
		}
		for line := range strings.Lines(w.log.String()) {
			var v map[string]any
			if err := json.Unmarshal([]byte(line), &v); err != nil {
				t.Errorf("%s: the log has a line that is no JSON: %q", path, line)
			}
		}
	}
}

// TestLog: one line a request with the route's pattern; no ids, queries, names or cookies, and no line that a client made up.
func TestLog(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	w.log.Reset()
	r := newRequest("GET", surveyPath(v.ID)+"?q=secret", "", "Cookie", "session=secret", "User-Agent", "evil\u2028agent", "X-Forwarded-For", "secret", "X-Photo-Name", "secret")
	w.do(r).wants(http.StatusOK)
	w.get("/nothing/secret%0aINFO%20forged").wants(http.StatusNotFound)
	w.do(newRequest("SECRET", "/surveys", "")).wants(http.StatusMethodNotAllowed)
	text := w.log.String()
	if n := strings.Count(text, "\n"); n != 3 {
		t.Errorf("got %d lines, want 3: %s", n, text)
	}
	if !strings.Contains(text, `"route":"/surveys/:survey"`) || strings.Contains(strings.ToLower(text), "secret") || strings.Contains(text, string(v.ID)) || strings.Contains(text, "forged") {
		t.Errorf("the log says %s", text)
	}
}

func TestStrictTransportSecurity(t *testing.T) {
	w := newSite(t)
	if got := w.get("/surveys").Header().Get("Strict-Transport-Security"); got != "" {
		t.Errorf("plain HTTP carries %q", got)
	}
	r := httptest.NewRequest(http.MethodGet, "/surveys", nil)
	r.TLS = &tls.ConnectionState{}
	if got := w.do(r).Header().Get("Strict-Transport-Security"); !strings.Contains(got, "max-age=31536000") {
		t.Errorf("HTTPS carries %q", got)
	}
	r = httptest.NewRequest(http.MethodGet, "/surveys", nil)
	r.Header.Set("X-Forwarded-Proto", "https")
	if got := w.do(r).Header().Get("Strict-Transport-Security"); got != "" {
		t.Error("a header that no trusted proxy can have sent is believed")
	}
}

func TestHealth(t *testing.T) {
	w := newSite(t)
	w.get("/healthz").wants(http.StatusOK)
	w.get("/readyz").wants(http.StatusOK)
	if err := w.store.Close(); err != nil {
		t.Fatal(err)
	}
	w.get("/healthz").wants(http.StatusOK)
	w.now = w.now.Add(probeEvery)
	a := w.get("/readyz").wants(http.StatusServiceUnavailable)
	if strings.Contains(a.Body.String(), "store") {
		t.Errorf("the reason is shown: %s", a.Body)
	}
}

// TestServerLimits: a server without these limits can be held by clients that send or take nothing.
func TestServerLimits(t *testing.T) {
	s := HTTPServer(http.NotFoundHandler())
	if s.ReadHeaderTimeout == 0 || s.WriteTimeout == 0 || s.IdleTimeout == 0 || s.MaxHeaderBytes > 64<<10 || s.MaxHeaderBytes == 0 {
		t.Errorf("%+v", s)
	}
}

// TestSlowBodyIsCutOff: a body that stops arriving ends the request, measured with a short time in place of the real one.
func TestSlowBodyIsCutOff(t *testing.T) {
	ended := make(chan error, 1)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body := newBody(w, r.Body, 1<<20)
		if _, err := body.Read(make([]byte, 5)); err != nil {
			ended <- err
			return
		}
		body.timer.Reset(1) // the time is over at once
		_, err := io.ReadAll(body)
		ended <- err
	}))
	defer server.Close()
	conn, err := net.Dial("tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := io.WriteString(conn, "POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100\r\n\r\nhello"); err != nil {
		t.Fatal(err)
	}
	err = <-ended
	if statusOf(err) != http.StatusRequestTimeout {
		t.Errorf("got %v, want a deadline", err)
	}
}

// TestStatusOfErrors: each kind has its status, and what cannot be mended is 500.
func TestStatusOfErrors(t *testing.T) {
	for kind, want := range map[survey.Kind]int{
		survey.NotFound: 404, survey.Invalid: 422, survey.Conflict: 409, survey.TooLarge: 413, survey.NoSpace: 507, survey.Internal: 500,
	} {
		if got := statusOf(fmt.Errorf("save: %w", survey.Errorf(kind, "x"))); got != want {
			t.Errorf("kind %d: got %d, want %d", kind, got, want)
		}
	}
	for err, want := range map[error]int{
		&http.MaxBytesError{Limit: 1}: 413, os.ErrDeadlineExceeded: 408, io.ErrUnexpectedEOF: 400, errUnreadable: 400, errMethod: 405, io.EOF: 500,
	} {
		if got := statusOf(fmt.Errorf("read: %w", err)); got != want {
			t.Errorf("%v: got %d, want %d", err, got, want)
		}
	}
}

// TestTrustedProxies: what cannot be read as addresses is refused at the start; behind a proxy its scheme is believed and its names are
// its own business.
func TestTrustedProxies(t *testing.T) {
	w := newSite(t)
	c := Config{Store: w.store, Photos: brokenReader{}, Now: func() time.Time { return w.now }, TrustedProxies: []string{"no address"}}
	if _, err := New(c); err == nil {
		t.Error("a proxy without an address was accepted")
	}
	c.TrustedProxies = []string{"127.0.0.1"}
	s, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodGet, "/surveys", nil)
	r.Host = "surveys.example"
	r.Header.Set("X-Forwarded-Proto", "https")
	r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, net.Addr(&net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80})))
	rec := httptest.NewRecorder()
	s.Handler().ServeHTTP(rec, r)
	if rec.Code != http.StatusOK || rec.Header().Get("Strict-Transport-Security") == "" {
		t.Errorf("got status %d, %v", rec.Code, rec.Header())
	}
	for _, missing := range []Config{{}, {Store: w.store}, {Store: w.store, Photos: brokenReader{}}} {
		if _, err := New(missing); err == nil {
			t.Error("a server without what it needs was made")
		}
	}
}
