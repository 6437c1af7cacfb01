package web

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
)

func TestSignIn(t *testing.T) {
	w := newSite(t)
	if a := w.get("/signin"); a.Code != http.StatusSeeOther {
		t.Errorf("where nobody has to sign in: got status %d", a.Code)
	}
	w.person("R. Vance", survey.RoleOffice)
	a := w.as(nil, http.MethodGet, "/surveys?q=mill", "").wants(http.StatusSeeOther)
	if got := a.Header().Get("Location"); got != "/signin?to="+url.QueryEscape("/surveys?q=mill") {
		t.Fatalf("sent on to %q", got)
	}
	form := formOf(w.get(a.Header().Get("Location")).wants(http.StatusOK).page().Find("main form"))
	if form.Get("to") != "/surveys?q=mill" || form.Get("carry") != "" {
		t.Errorf("the form holds %v", form)
	}
	a = w.signIn("  r. VANCE ", longPassword, "to", form.Get("to")).wants(http.StatusSeeOther)
	cookie := cookieOf(a)
	if cookie == nil || a.Header().Get("Location") != "/surveys?q=mill" {
		t.Fatalf("got %v", a.Header())
	}
	// OWASP ASVS 5.0.0, 3.3.1 to 3.3.4 and 7.2.3: at least 128 random bits; HttpOnly, SameSite, no Domain.
	token, err := base64.RawURLEncoding.DecodeString(cookie.Value)
	if err != nil || len(token)*8 < 256 || !cookie.HttpOnly || cookie.SameSite != http.SameSiteLaxMode || cookie.Domain != "" || cookie.Path != "/" || cookie.Secure {
		t.Errorf("the cookie is %v", cookie)
	}
	page := w.as(cookie, http.MethodGet, "/surveys", "").wants(http.StatusOK).page()
	if got := page.Find(".top a.who").AttrOr("aria-label", ""); got != "Signed in as R. Vance, office" {
		t.Errorf("the page says %q", got)
	}
	if got := w.as(cookie, http.MethodGet, "/signin?to=/settings", "").wants(http.StatusSeeOther).Header().Get("Location"); got != "/settings" {
		t.Errorf("signed in already: sent on to %q", got)
	}
	v := w.survey("Larkmoor house")
	page = w.as(cookie, http.MethodGet, surveyPath(v.ID), "").wants(http.StatusOK).page()
	for _, where := range []string{".nav .whoout", ".morelist .whoout"} {
		if s := page.Find(where); !strings.Contains(s.Text(), "R. Vance") || s.Find(`form[method="post"][action="/signout"] button`).Length() != 1 {
			t.Errorf("%s: %q", where, s.Text())
		}
	}
}

// TestCookieOverTLS: Secure and the __Host- prefix, over TLS here and at a proxy that is believed (OWASP ASVS 5.0.0, 3.3.1 and 3.3.3).
func TestCookieOverTLS(t *testing.T) {
	w := newSite(t)
	w.person("R. Vance", survey.RoleOffice)
	behind, err := New(Config{Store: w.store, Photos: brokenReader{}, Now: func() time.Time { return w.now }, TrustedProxies: []string{"192.0.2.1"}})
	if err != nil {
		t.Fatal(err)
	}
	sign := func(handler http.Handler, more ...string) *http.Cookie {
		r := newRequest(http.MethodPost, "/signin", url.Values{"name": {"R. Vance"}, "password": {longPassword}}.Encode(), append(more, "Content-Type", "application/x-www-form-urlencoded")...)
		rec := httptest.NewRecorder()
		handler.ServeHTTP(rec, r)
		return cookieOf(answer{rec, t})
	}
	if c := sign(behind.Handler(), "X-Forwarded-Proto", "https"); c == nil || c.Name != "__Host-undercroft" || !c.Secure || c.Path != "/" || c.Domain != "" {
		t.Errorf("behind a proxy with TLS: %v", c)
	}
	if c := sign(behind.Handler()); c == nil || c.Secure {
		t.Errorf("behind a proxy without: %v", c)
	}
	if c := sign(w.handler, "X-Forwarded-Proto", "https"); c == nil || c.Secure {
		t.Errorf("a header that no proxy can have sent is believed: %v", c)
	}
}

// TestWrongNames: a wrong password, an unknown name and a disabled person cannot be told apart (OWASP ASVS 5.0.0, 6.3.8). What was typed but the password
// stays.
func TestWrongNames(t *testing.T) {
	w := newSite(t)
	w.person("R. Vance", survey.RoleOffice)
	w.person("J. Fenn", survey.RoleSurveyor)
	if _, err := w.store.DisablePerson(t.Context(), "J. Fenn"); err != nil {
		t.Fatal(err)
	}
	first := ""
	for name, typed := range map[string]string{"R. Vance": longPassword + " ", "J. Fenn": longPassword, "N. Obody": longPassword, "-": ""} {
		a := w.signIn(name, typed, "to", "/settings").wants(http.StatusUnauthorized)
		text := strings.ReplaceAll(a.Body.String(), `value="`+name+`"`, `value="NAME"`)
		if first == "" {
			first = text
		}
		if text != first {
			t.Errorf("%q is answered in another way: %s", name, text)
		}
		if cookieOf(a) != nil || strings.Contains(text, longPassword) || a.Header().Get("WWW-Authenticate") == "" || formOf(a.page().Find("main form")).Get("to") != "/settings" {
			t.Errorf("%q: %v %s", name, a.Header(), text)
		}
	}
}

// TestThrottledByName: ten tries, whatever the name; then a wait that the answer names, and after it one more. Who signs in begins anew.
func TestThrottledByName(t *testing.T) {
	for _, name := range []string{"R. Vance", "N. Obody"} {
		w := newSite(t)
		w.person("R. Vance", survey.RoleOffice)
		for range triesByName {
			w.signIn(name, "wrong").wants(http.StatusUnauthorized)
		}
		a := w.signIn(strings.ToLower(name), longPassword).wants(http.StatusTooManyRequests)
		wait, err := strconv.Atoi(a.Header().Get("Retry-After"))
		if err != nil || wait < 1 || wait > 90 || cookieOf(a) != nil || a.page().Find(".problem").Length() != 1 {
			t.Errorf("%s: Retry-After is %q", name, a.Header().Get("Retry-After"))
		}
		w.now = w.now.Add(time.Duration(wait) * time.Second)
		a = w.signIn(name, longPassword)
		if (a.Code == http.StatusSeeOther) != (name == "R. Vance") || a.Code == http.StatusTooManyRequests {
			t.Errorf("%s, after waiting: got status %d", name, a.Code)
		}
		if name == "R. Vance" {
			w.signIn(name, "wrong").wants(http.StatusUnauthorized)
		}
	}
}

// TestThrottledByAddress: many names from one address, and from one IPv6 customer's network; another address is not held up.
func TestThrottledByAddress(t *testing.T) {
	for from, same := range map[string]string{"192.0.2.7:1": "192.0.2.7:2", "[2001:db8:1:2::7]:1": "[2001:db8:1:2:ffff::9]:1"} {
		w := newSite(t)
		w.person("R. Vance", survey.RoleOffice)
		try := func(address, name string) int {
			r := newRequest(http.MethodPost, "/signin", url.Values{"name": {name}, "password": {""}}.Encode(), "Content-Type", "application/x-www-form-urlencoded")
			r.RemoteAddr = address
			return w.do(r).Code
		}
		for i := range triesByAddress {
			if code := try(from, "name "+strconv.Itoa(i)); code != http.StatusUnauthorized {
				t.Fatalf("try %d from %s: got status %d", i, from, code)
			}
		}
		if code := try(same, "another"); code != http.StatusTooManyRequests {
			t.Errorf("%s after %s: got status %d", same, from, code)
		}
		for _, other := range []string{"192.0.2.8:1", "[2001:db8:1:3::7]:1"} {
			if code := try(other, "yet another"); code != http.StatusUnauthorized {
				t.Errorf("%s: got status %d", other, code)
			}
		}
	}
}

func TestSignOut(t *testing.T) {
	w := newSite(t)
	p := w.person("R. Vance", survey.RoleOffice)
	other := w.session(w.person("J. Fenn", survey.RoleSurveyor))
	phone, desk := w.session(p), w.session(p)
	in := func(c *http.Cookie) bool { return w.as(c, http.MethodGet, "/surveys", "").Code == http.StatusOK }
	a := w.as(phone, http.MethodPost, "/signout", "").wants(http.StatusSeeOther)
	if c := cookieOf(a); c == nil || c.MaxAge >= 0 || c.Value != "" || a.Header().Get("Clear-Site-Data") != `"cache"` || a.Header().Get("Location") != "/signin?out=1" {
		t.Errorf("got %v", a.Header())
	}
	if in(phone) || !in(desk) || !in(other) {
		t.Errorf("after signing out: phone %t, desk %t, other %t", in(phone), in(desk), in(other))
	}
	phone = w.session(p)
	account := w.as(desk, http.MethodGet, "/account", "").wants(http.StatusOK).page()
	if account.Find(`form[method="post"][action="/account/signout-everywhere"] button`).Length() != 1 {
		t.Error("no way to sign out everywhere")
	}
	w.as(desk, http.MethodPost, "/account/signout-everywhere", "").wants(http.StatusSeeOther)
	if in(phone) || in(desk) || !in(other) {
		t.Errorf("after signing out everywhere: phone %t, desk %t, other %t", in(phone), in(desk), in(other))
	}
	w.as(nil, http.MethodPost, "/signout", "").wants(http.StatusSeeOther) // nobody: no harm
}

// TestSessionIsRotated: signing in on a browser that was signed in gives a new token and ends the old one (OWASP ASVS 5.0.0, 7.2.4).
func TestSessionIsRotated(t *testing.T) {
	w := newSite(t)
	before := w.session(w.person("R. Vance", survey.RoleOffice))
	form := url.Values{"name": {"R. Vance"}, "password": {longPassword}}.Encode()
	after := cookieOf(w.as(before, http.MethodPost, "/signin", form, "Content-Type", "application/x-www-form-urlencoded").wants(http.StatusSeeOther))
	if after == nil || after.Value == before.Value {
		t.Fatalf("got %v", after)
	}
	w.as(before, http.MethodGet, "/surveys", "").wants(http.StatusSeeOther)
	w.as(after, http.MethodGet, "/surveys", "").wants(http.StatusOK)
	for name, value := range map[string]string{"empty": "", "short": "AAAA", "no base64": strings.Repeat("!", 43), "made up": strings.Repeat("A", 43), "the sum": sumText(t, after.Value)} {
		w.as(&http.Cookie{Name: cookieName, Value: value}, http.MethodGet, "/surveys", "").wants(http.StatusSeeOther)
		_ = name
	}
}

// sumText is what the database holds of a cookie, written as a cookie.
func sumText(t *testing.T, value string) string {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	r.AddCookie(&http.Cookie{Name: cookieName, Value: value})
	sum, ok := (&Server{}).tokenOf(r)
	if !ok {
		t.Fatal("no token")
	}
	return base64.RawURLEncoding.EncodeToString(sum[:])
}

// TestFormOfAnExpiredSession: what was typed comes along through signing in and is then saved, under the name of who has signed in.
func TestFormOfAnExpiredSession(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	cookie := w.session(w.person("R. Vance", survey.RoleOffice))
	form := formOf(w.as(cookie, http.MethodGet, surveyPath(v.ID), "").page().Find("#site"))
	const typed = "12 \"Mill\" Lane & <b>yard</b>\nbehind 100% + more"
	form.Set("f.access", typed)
	w.now = w.now.Add(survey.SessionIdle + time.Minute)
	a := w.as(cookie, http.MethodPost, surveyPath(v.ID)+"/site", form.Encode(), "Content-Type", "application/x-www-form-urlencoded", "Referer", "http://example.com"+surveyPath(v.ID)).wants(http.StatusUnauthorized)
	next := formOf(a.page().Find("main form"))
	if next.Get("to") != surveyPath(v.ID) || !strings.Contains(a.page().Find("main").Text(), "What you typed is kept") {
		t.Errorf("the page holds %v", next)
	}
	a = w.signIn("R. Vance", "wrong", "to", next.Get("to"), "carry", next.Get("carry"), "action", next.Get("action")).wants(http.StatusUnauthorized)
	if again := formOf(a.page().Find("main form")); again.Get("carry") != next.Get("carry") || again.Get("action") != next.Get("action") {
		t.Errorf("after a wrong password the page holds %v", again)
	}
	a = w.signIn("R. Vance", longPassword, "to", next.Get("to"), "carry", next.Get("carry"), "action", next.Get("action")).wants(http.StatusSeeOther)
	if cookieOf(a) == nil || !strings.HasPrefix(a.Header().Get("Location"), surveyPath(v.ID)+"?saved=") {
		t.Errorf("sent on to %q, %v", a.Header().Get("Location"), a.Header())
	}
	if got := w.record(v.ID).Survey.Access; got != typed {
		t.Errorf("got %q", got)
	}
	if got := w.lastBy(v.ID); got != "R. Vance" {
		t.Errorf("the history says %q", got)
	}
}

// TestCarriedFormGoesWhereItMay: a form that comes along cannot do more than who signs in may, and goes to this site alone.
func TestCarriedFormGoesWhereItMay(t *testing.T) {
	w := newSite(t)
	w.person("K. Moss", survey.RoleInstaller)
	carry := url.Values{"f.name": {"Stolen"}, "was.name": {""}}.Encode()
	w.signIn("K. Moss", longPassword, "carry", carry, "action", "/settings").wants(http.StatusForbidden)
	for _, action := range []string{"https://elsewhere.example/settings", "//elsewhere.example/settings", "/signin", "/api/surveys/x", ""} {
		a := w.signIn("K. Moss", longPassword, "carry", carry, "action", action, "to", "/waiting").wants(http.StatusSeeOther)
		if got := a.Header().Get("Location"); got != "/waiting" {
			t.Errorf("%s: sent on to %q", action, got)
		}
	}
	if k, err := w.store.Company(t.Context()); err != nil || k.Version != 0 {
		t.Errorf("got %+v, %v", k, err)
	}
}

// TestUploadOfAnExpiredSession: a program keeps what it has, and is told why; photos of a plain form have to be chosen again.
func TestUploadOfAnExpiredSession(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	w.person("R. Vance", survey.RoleOffice)
	a := w.put(photoAPI(v.ID, survey.NewID()), bytes.NewReader(gradient(t))).wants(http.StatusUnauthorized)
	var p problem
	a.json(&p)
	if p.Status != http.StatusUnauthorized || p.Detail != "Sign in again to send this." || a.Header().Get("WWW-Authenticate") == "" {
		t.Errorf("got %+v", p)
	}
	a = w.as(nil, http.MethodPost, surveyPath(v.ID)+"/photos", "--x--", "Content-Type", "multipart/form-data; boundary=x").wants(http.StatusUnauthorized)
	if !strings.Contains(a.page().Find("main").Text(), "chosen again") || a.Header().Get("Connection") != "close" {
		t.Errorf("got %s", a.Body)
	}
	w.do(newRequest(http.MethodGet, surveyPath(v.ID)+"/photos/"+survey.NewID()+"/thumb.jpg", "", "Accept", "image/*")).wants(http.StatusUnauthorized)
}

func TestLocalPath(t *testing.T) {
	for to, want := range map[string]string{
		"/surveys/1?a=b#c": "/surveys/1?a=b#c", "/": "/", "": "/surveys", "surveys": "/surveys", "https://elsewhere.example/": "/surveys", "//elsewhere.example/": "/surveys",
		"/\\elsewhere.example": "/surveys", "\\\\elsewhere.example": "/surveys", "/\t/elsewhere.example": "/surveys", "javascript:alert(1)": "/surveys", "/%2f/elsewhere.example": "/surveys",
		"/signin?to=/signin": "/surveys", "/signout": "/surveys", "/api/surveys/1": "/surveys", "///elsewhere.example": "/surveys", "/a\r\nSet-Cookie: x": "/surveys", "http:/surveys": "/surveys",
	} {
		if got := localPath(to); got != want {
			t.Errorf("%q: got %q, want %q", to, got, want)
		}
	}
}

// TestLeakedDataGiveNoSession looks for the cookie's value, as sent and as bytes, in all that is kept and in the log. The sum is there, which shows that
// the search would have found the token.
func TestLeakedDataGiveNoSession(t *testing.T) {
	dir := t.TempDir()
	w := newSiteAt(t, dir, brokenReader{})
	w.person("R. Vance", survey.RoleOffice)
	cookie := cookieOf(w.signIn("R. Vance", longPassword).wants(http.StatusSeeOther))
	w.as(cookie, http.MethodGet, "/surveys", "").wants(http.StatusOK)
	w.as(cookie, http.MethodPost, "/settings", "no form").wants(http.StatusBadRequest)
	token, err := base64.RawURLEncoding.DecodeString(cookie.Value)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.store.Close(); err != nil { // the database's log is in the database now
		t.Fatal(err)
	}
	kept := w.log.Bytes()
	err = fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := fs.ReadFile(os.DirFS(dir), name)
		kept = append(kept, body...)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	r.AddCookie(cookie)
	sum, _ := w.server.tokenOf(r)
	if !bytes.Contains(kept, sum[:]) {
		t.Fatal("the search does not find the session's sum, so it would not find a token")
	}
	for name, secret := range map[string][]byte{
		"the cookie": []byte(cookie.Value), "the token": token, "its hex": []byte(hex.EncodeToString(token)), "its base64": []byte(base64.StdEncoding.EncodeToString(token)), "the password": []byte(longPassword),
	} {
		if bytes.Contains(kept, secret) {
			t.Errorf("%s is kept", name)
		}
	}
}

// lastBy is who made the newest change of a survey, as its history says.
func (w *site) lastBy(in survey.SurveyID) string {
	w.t.Helper()
	snapshot, err := w.store.Snapshot(w.t.Context(), in)
	if err != nil || len(snapshot.History) == 0 {
		w.t.Fatalf("%v", err)
	}
	return snapshot.History[len(snapshot.History)-1].By
}

// TestSameWorkForEveryName: an unknown name and a disabled person wait for a password to be hashed as everybody does, and no more than two are hashed at once.
func TestSameWorkForEveryName(t *testing.T) {
	w := newSite(t)
	w.person("R. Vance", survey.RoleOffice)
	w.person("J. Fenn", survey.RoleSurveyor)
	if _, err := w.store.DisablePerson(t.Context(), "J. Fenn"); err != nil {
		t.Fatal(err)
	}
	if cap(w.server.hashing) != 2 {
		t.Errorf("%d are hashed at once", cap(w.server.hashing))
	}
	w.server.hashing = make(chan struct{}) // one turn at a time, given and taken back by the test
	for name, want := range map[string]error{"R. Vance": nil, "J. Fenn": errWrong, "N. Obody": errWrong} {
		ended := make(chan error, 1)
		go func() {
			_, err := w.server.identify(t.Context(), name, longPassword)
			ended <- err
		}()
		select {
		case <-w.server.hashing:
			w.server.hashing <- struct{}{}
		case err := <-ended:
			t.Fatalf("%s was answered without hashing: %v", name, err)
		}
		if err := <-ended; !errors.Is(err, want) {
			t.Errorf("%s: got %v, want %v", name, err, want)
		}
	}
}

// TestHashIsRenewed: a hash that was made at lower costs is made anew when its person signs in; it is the reference implementation's encoded form of
// "password" (src/test.c of P-H-C/phc-winner-argon2).
func TestHashIsRenewed(t *testing.T) {
	w := newSite(t)
	const old = "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"
	if _, err := w.store.AddPerson(t.Context(), survey.Person{Name: "R. Vance", Role: survey.RoleOffice}, old); err != nil {
		t.Fatal(err)
	}
	w.signIn("R. Vance", "not it").wants(http.StatusUnauthorized)
	if _, hash, err := w.store.Credentials(t.Context(), "R. Vance"); hash != old || err != nil {
		t.Errorf("a wrong password changed the hash (%v)", err)
	}
	for range 2 {
		w.signIn("R. Vance", "password").wants(http.StatusSeeOther)
		if _, hash, err := w.store.Credentials(t.Context(), "R. Vance"); err != nil || !strings.HasPrefix(hash, "$argon2id$v=19$m=47104,t=1,p=1$") {
			t.Errorf("got %s, %v", hash, err)
		}
	}
}
