package web

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// What each role must be kept from, and what nobody has to sign in for: written down here a second time, without the table. Everything else is for
// everybody who is signed in.
var (
	forNobody = []string{
		"GET /healthz", "GET /readyz", "GET /static/:hash/:folder/:file", "GET /sw.js", "GET /shell", "GET /shell/:page", "GET /waiting", "GET /signin", "POST /signin", "POST /signin/form", "POST /signout",
		"GET /s/:token", "POST /s/:token/ask", "POST /s/:token/decide", "GET /s/:token/scope.pdf", "GET /s/:token/receipt.pdf", "GET /s/:token/pictures/:sha256",
		"GET /s/:token/finish", "POST /s/:token/finish", "GET /s/:token/record.pdf", "GET /s/:token/care.pdf", "GET /s/:token/finish/pictures/:sha256",
	}
	keptFrom = map[survey.Role][]string{
		survey.RoleOffice:   {},
		survey.RoleSurveyor: {"POST /settings", "GET /surveys/erased", "GET /surveys/:survey/erase", "POST /surveys/:survey/erase"},
		survey.RoleInstaller: {
			"GET /surveys/erased", "GET /surveys/:survey/erase", "POST /surveys/:survey/erase", "GET /surveys/:survey/filing", "POST /surveys/:survey/filing", "POST /surveys/:survey/return",
			"POST /settings", "GET /surveys/new", "POST /surveys", "PUT /api/surveys/:survey", "POST /surveys/:survey/site", "POST /surveys/:survey/ready", "POST /surveys/:survey/revisions",
			"POST /surveys/:survey/scope", "GET /surveys/:survey/bundle.zip", "GET /surveys/:survey/photos/:photo/remove",
			"POST /surveys/:survey/photos/:photo/remove", "POST /surveys/:survey/finish/reopen", "POST /surveys/:survey/revisions/:number/links", "POST /surveys/:survey/links/:link/revoke", "POST /surveys/:survey/questions/:question",
			"GET /surveys/:survey/revisions/:number/sign", "POST /surveys/:survey/revisions/:number/sign/decide", "GET /surveys/:survey/revisions/:number/sign/pictures/:sha256",
			"GET /surveys/:survey/revisions/:number/sign/scope.pdf",
		},
	}
)

// TestEveryRoleOnEveryRoute asks every route as nobody and as each role, and with a session that is over.
func TestEveryRoleOnEveryRoute(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	p := w.photo(v.ID)
	fill := strings.NewReplacer(":survey", string(v.ID), ":photo", string(p.ID), ":pin", survey.NewID())
	people := map[survey.Role]survey.Person{}
	for _, role := range survey.Roles() {
		people[role] = w.person("The "+string(role), role)
	}
	over := w.session(w.person("Somebody", survey.RoleOffice))
	if _, err := w.store.DisablePerson(t.Context(), "Somebody"); err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, route := range w.server.engine.Routes() {
		key := strings.Replace(route.Method, "HEAD", "GET", 1) + " " + route.Path
		if route.Path == "/api/surveys/:survey/photos/:photo/upload" {
			key = route.Method + " " + route.Path
		}
		seen++
		path := fill.Replace(route.Path)
		for name, cookie := range map[string]*http.Cookie{"nobody": nil, "a disabled person": over} {
			a := w.as(cookie, route.Method, path, "x=1", "Content-Type", "application/x-www-form-urlencoded")
			refused := a.Code == http.StatusUnauthorized || a.Code == http.StatusSeeOther && strings.HasPrefix(a.Header().Get("Location"), "/signin?to=")
			if strings.HasPrefix(key, "POST /signin") { // an empty form is no way in
				refused = false
			}
			if public := slices.Contains(forNobody, key); refused == public {
				t.Errorf("%s as %s: got status %d to %q", key, name, a.Code, a.Header().Get("Location"))
			}
			if strings.HasPrefix(path, "/api/") && (a.Code != http.StatusUnauthorized || a.Header().Get("Content-Type") != "application/problem+json") {
				t.Errorf("%s as %s: got status %d, %v", key, name, a.Code, a.Header())
			}
			checkHeaders(t, key, a.Header())
		}
		for _, role := range survey.Roles() {
			a := w.as(w.session(people[role]), route.Method, path, "x=1", "Content-Type", "application/x-www-form-urlencoded")
			if kept := slices.Contains(keptFrom[role], key); kept != (a.Code == http.StatusForbidden) {
				t.Errorf("%s as %s: got status %d", key, role, a.Code)
			}
			if a.Code >= 500 || a.Code == http.StatusUnauthorized && !strings.HasPrefix(key, "POST /signin") {
				t.Errorf("%s as %s: got status %d", key, role, a.Code)
			}
		}
	}
	if seen < 50 {
		t.Errorf("only %d routes", seen)
	}
	for _, role := range survey.Roles() {
		for _, key := range append(keptFrom[role], forNobody...) {
			method, path, _ := strings.Cut(key, " ")
			if !slices.ContainsFunc(w.server.engine.Routes(), func(r gin.RouteInfo) bool { return r.Method == method && r.Path == path }) {
				t.Errorf("the test names %s, which is no route", key)
			}
		}
	}
	// Nothing came of what was refused: the photo is there, and nothing of the survey was changed but by who may.
	if r := w.record(v.ID); len(r.Photos) != 1 {
		t.Errorf("the survey has %d photos", len(r.Photos))
	}
}

// TestRouteWithoutRule: such a route does not come up and the server does not start; nor does it with a rule for a route that is not there.
func TestRouteWithoutRule(t *testing.T) {
	w := newSite(t)
	w.server.handle(http.MethodGet, "/forgotten", func(*gin.Context) error { return nil })
	w.get("/forgotten").wants(http.StatusNotFound)
	if err := w.server.checkRules(); err == nil || !strings.Contains(err.Error(), "/forgotten") {
		t.Errorf("got %v", err)
	}
	w.server.unruled, w.server.unused = nil, map[string]access{"GET /gone": {public: true}}
	if err := w.server.checkRules(); err == nil || !strings.Contains(err.Error(), "/gone") {
		t.Errorf("got %v", err)
	}
}

// TestChangeFromNowhere: with a cookie, a change that does not say where it comes from is refused (OWASP ASVS 5.0.0, 3.5.1: no change without
// a check of its origin).
func TestChangeFromNowhere(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	cookie := w.session(w.person("R. Vance", survey.RoleOffice))
	form := "f.title=stolen&was.title=Larkmoor+house"
	r := newRequest(http.MethodPost, surveyPath(v.ID)+"/site", form, "Content-Type", "application/x-www-form-urlencoded")
	r.AddCookie(cookie)
	w.do(r).wants(http.StatusForbidden)
	r = newRequest(http.MethodPost, surveyPath(v.ID)+"/site", form, "Content-Type", "application/x-www-form-urlencoded", "Sec-Fetch-Site", "cross-site")
	r.AddCookie(cookie)
	w.do(r).wants(http.StatusForbidden)
	if got := w.record(v.ID).Survey.Title; got != "Larkmoor house" {
		t.Errorf("the title is %q", got)
	}
	r = newRequest(http.MethodPost, surveyPath(v.ID)+"/site", form, "Content-Type", "application/x-www-form-urlencoded", "Origin", "http://example.com")
	r.AddCookie(cookie)
	w.do(r).wants(http.StatusSeeOther)
}

// TestNothingIsOfferedThatIsRefused: a page shows no form and no link for what the role of who is signed in does not allow, and says who does it.
func TestNothingIsOfferedThatIsRefused(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	people := map[survey.Role]survey.Person{}
	for _, role := range survey.Roles() {
		people[role] = w.person("The "+string(role), role)
	}
	home := surveyPath(v.ID)
	for _, test := range []struct {
		page, offers string
		roles        []survey.Role
	}{
		{"/surveys", `a[href="/surveys/new"]`, []survey.Role{survey.RoleSurveyor, survey.RoleOffice}},
		{"/settings", `#company button`, []survey.Role{survey.RoleOffice}},
		{home, `#site button`, []survey.Role{survey.RoleSurveyor, survey.RoleOffice}},
		{home, `#deck .savebar button`, survey.Roles()},
		{home + "/scope", `#scope button`, []survey.Role{survey.RoleSurveyor, survey.RoleOffice}},
		{home + "/leave", `form[action$="/ready"] button`, []survey.Role{survey.RoleSurveyor, survey.RoleOffice}},
		{home + "/revisions", `form[action$="/revisions"] button`, []survey.Role{survey.RoleSurveyor, survey.RoleOffice}},
		{home + "/revisions", `a[href$="/bundle.zip"]`, []survey.Role{survey.RoleSurveyor, survey.RoleOffice}},
	} {
		for _, role := range survey.Roles() {
			found := w.as(w.session(people[role]), http.MethodGet, test.page, "").wants(http.StatusOK).page().Find(test.offers).Length() > 0
			if want := slices.Contains(test.roles, role); found != want {
				t.Errorf("%s as %s: %s is there: %t, want %t", test.page, role, test.offers, found, want)
			}
		}
	}
}

// TestScopeByTheBack: the address where facts are saved one by one is no way round the rule for the scope's own form.
func TestScopeByTheBack(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	for role, want := range map[survey.Role]int{survey.RoleInstaller: http.StatusForbidden, survey.RoleSurveyor: http.StatusOK} {
		cookie := w.session(w.person("The "+string(role), role))
		send := func(key, text string) answer {
			return w.as(cookie, http.MethodPut, "/api/surveys/"+string(v.ID)+"/facts", `{"facts":[{"key":"`+key+`","text":"`+text+`","version":0}]}`, "Content-Type", "application/json")
		}
		for _, field := range survey.ScopeFields() {
			send(field.Key, "Gutters $1.00").wants(want)
		}
	}
	cookie := w.session(w.person("K. Moss", survey.RoleInstaller))
	w.as(cookie, http.MethodPut, "/api/surveys/"+string(v.ID)+"/facts", `{"facts":[{"key":"width","text":"28'","version":0}]}`, "Content-Type", "application/json").wants(http.StatusOK)
}

// TestSurveyorIsWhoBegins: the form for a new survey knows who is signed in.
func TestSurveyorIsWhoBegins(t *testing.T) {
	w := newSite(t)
	for role, want := range map[survey.Role]string{survey.RoleSurveyor: "The surveyor", survey.RoleOffice: ""} {
		page := w.as(w.session(w.person("The "+string(role), role)), http.MethodGet, "/surveys/new", "").wants(http.StatusOK).page()
		if got := page.Find(`[name="f.surveyor"]`).AttrOr("value", ""); got != want {
			t.Errorf("%s: the form says %q", role, got)
		}
	}
}
