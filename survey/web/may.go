package web

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// access is who may use one route: everybody, or those who are signed in with one of the roles.
type access struct {
	public bool
	roles  []survey.Role
}

// may tells whether somebody of a role may use the route.
func (a access) may(role survey.Role) bool { return a.public || slices.Contains(a.roles, role) }

// rules say who may do what, by method and pattern. A route that is not here does not come up: New fails. GET rules count for HEAD, too.
//
//   - public: what signing in needs, what holds nothing of any survey, and what a link's secret opens.
//   - staff: reading, and all that is found out and noted on site, by whoever stands there.
//   - sales: what a survey is about, what is offered, and what leaves the company's hands.
//   - office: the company's own texts.
func rules() map[string]access {
	public := access{public: true}
	staff := access{roles: survey.Roles()}
	sales := access{roles: []survey.Role{survey.RoleSurveyor, survey.RoleOffice}}
	office := access{roles: []survey.Role{survey.RoleOffice}}
	return map[string]access{
		"GET /healthz":                     public,
		"GET /readyz":                      public,
		"GET /static/:hash/:folder/:file":  public,
		"GET /sw.js":                       public,
		"GET /shell":                       public,
		"GET /shell/:page":                 public,
		"GET /waiting":                     public,
		"GET /signin":                      public,
		"POST /signin":                     public,
		"POST /signin/form":                public,
		"POST /signout":                    public,
		"GET /account":                     staff,
		"POST /account/password":           staff,
		"POST /account/signout-everywhere": staff,
		"GET /":                            staff,
		"GET /surveys":                     staff,
		"GET /surveys/new":                 sales,
		"POST /surveys":                    sales,
		"GET /surveys/:survey":             staff,
		"GET /surveys/erased":              office,
		"GET /surveys/:survey/filing":      sales,
		"POST /surveys/:survey/filing":     sales,
		"POST /surveys/:survey/return":     sales,
		"GET /surveys/:survey/erase":       office,
		"POST /surveys/:survey/erase":      office,
		"POST /surveys/:survey/site":       sales,
		"POST /surveys/:survey/deck":       staff,
		"GET /surveys/:survey/walk":        staff,
		"POST /surveys/:survey/walk":       staff,
		"GET /surveys/:survey/photos":      staff,
		"POST /surveys/:survey/photos":     staff,
		"GET /surveys/:survey/plan":        staff,
		"POST /surveys/:survey/outline":    staff,
		"GET /surveys/:survey/sheets":      staff,
		"GET /surveys/:survey/ceiling":     staff,
		"POST /surveys/:survey/ceiling":    staff,
		"GET /surveys/:survey/cover":       staff,
		"POST /surveys/:survey/cover":      staff,
		"GET /surveys/:survey/leave":       staff,
		"POST /surveys/:survey/ready":      sales,
		"GET /surveys/:survey/review":      staff,
		"POST /surveys/:survey/review":     staff,
		"GET /surveys/:survey/questions":   staff,
		"POST /surveys/:survey/questions":  staff,
		"GET /surveys/:survey/verified":    staff,
		"POST /surveys/:survey/verified":   staff,

		"POST /surveys/:survey/questions/:question/reply":   staff,
		"GET /surveys/:survey/verified/:verification":       staff,
		"POST /surveys/:survey/verified/:verification/back": staff,

		"GET /surveys/:survey/history":       staff,
		"GET /surveys/:survey/report":        staff,
		"GET /surveys/:survey/report.html":   staff,
		"GET /surveys/:survey/report.pdf":    staff,
		"GET /surveys/:survey/revisions":     staff,
		"POST /surveys/:survey/revisions":    sales,
		"GET /surveys/:survey/lists/:list":   staff,
		"GET /surveys/:survey/bundle.zip":    sales,
		"GET /surveys/:survey/scope":         staff,
		"POST /surveys/:survey/scope":        sales,
		"GET /settings":                      staff,
		"POST /settings":                     office,
		"GET /api/length":                    staff,
		"GET /api/surveys/:survey":           staff,
		"PUT /api/surveys/:survey":           sales,
		"PUT /api/surveys/:survey/facts":     staff,
		"PUT /api/surveys/:survey/pins/:pin": staff,

		"GET /surveys/:survey/photos/:photo":                      staff,
		"POST /surveys/:survey/photos/:photo":                     staff,
		"GET /surveys/:survey/photos/:photo/remove":               sales,
		"POST /surveys/:survey/photos/:photo/remove":              sales,
		"GET /surveys/:survey/photos/:photo/screen.jpg":           staff,
		"GET /surveys/:survey/photos/:photo/thumb.jpg":            staff,
		"GET /surveys/:survey/photos/:photo/original":             staff,
		"GET /surveys/:survey/photos/:photo/pinned.jpg":           staff,
		"POST /surveys/:survey/photos/:photo/pins":                staff,
		"POST /surveys/:survey/pins/:pin":                         staff,
		"POST /surveys/:survey/pins/:pin/delete":                  staff,
		"DELETE /api/surveys/:survey/pins/:pin":                   staff,
		"PUT /api/surveys/:survey/photos/:photo":                  staff,
		"HEAD /api/surveys/:survey/photos/:photo/upload":          staff,
		"PATCH /api/surveys/:survey/photos/:photo/upload":         staff,
		"PUT /api/surveys/:survey/photos/:photo/preview":          staff,
		"GET /surveys/:survey/revisions/:number":                  staff,
		"GET /surveys/:survey/revisions/:number/report.html":      staff,
		"GET /surveys/:survey/revisions/:number/report.pdf":       staff,
		"GET /surveys/:survey/revisions/:number/pictures/:sha256": staff,

		"POST /surveys/:survey/revisions/:number/links":                sales,
		"POST /surveys/:survey/links/:link/revoke":                     sales,
		"POST /surveys/:survey/questions/:question":                    sales,
		"GET /surveys/:survey/revisions/:number/sign":                  sales,
		"POST /surveys/:survey/revisions/:number/sign/decide":          sales,
		"GET /surveys/:survey/revisions/:number/sign/pictures/:sha256": sales,
		"GET /surveys/:survey/revisions/:number/sign/scope.pdf":        sales,
		"GET /surveys/:survey/revisions/:number/sign/receipt.pdf":      staff,

		"GET /surveys/:survey/finish":                       staff,
		"POST /surveys/:survey/finish":                      staff,
		"POST /surveys/:survey/finish/reopen":               sales,
		"GET /surveys/:survey/finish/record.pdf":            staff,
		"GET /surveys/:survey/finish/care.pdf":              staff,
		"GET /surveys/:survey/finish/sign":                  staff,
		"POST /surveys/:survey/finish/sign":                 staff,
		"GET /surveys/:survey/finish/sign/pictures/:sha256": staff,

		"GET /s/:token/finish":                  public,
		"POST /s/:token/finish":                 public,
		"GET /s/:token/record.pdf":              public,
		"GET /s/:token/care.pdf":                public,
		"GET /s/:token/finish/pictures/:sha256": public,

		"GET /s/:token":                  public,
		"POST /s/:token/ask":             public,
		"POST /s/:token/decide":          public,
		"GET /s/:token/scope.pdf":        public,
		"GET /s/:token/receipt.pdf":      public,
		"GET /s/:token/pictures/:sha256": public,
	}
}

// mayNow tells whether who is signed in under ctx may use a route, "POST /settings"; everybody may while nobody has to sign in.
func mayNow(ctx context.Context, route string) bool {
	person, ok := survey.PersonOf(ctx)
	return !ok || rules()[route].may(person.Role)
}

// May is mayNow for the page's templates: what somebody's role does not allow is not offered.
func (p basePage) May(route string) bool {
	return p.Who == nil || p.Who.Name == "" || rules()[route].may(survey.Role(p.Who.Role))
}

// ruleOf gives the rule of a route and strikes it from those that wait for theirs; false, noting the route, when there is none.
func (s *Server) ruleOf(method, path string) (access, bool) {
	key := method + " " + path
	rule, ok := s.unused[key]
	if !ok {
		s.unruled = append(s.unruled, key)
	}
	delete(s.unused, key)
	return rule, ok
}

// checkRules is nil when every route has had a rule and every rule a route.
func (s *Server) checkRules() error {
	if len(s.unruled) > 0 {
		return fmt.Errorf("routes without a rule of who may use them: %q", s.unruled)
	}
	if len(s.unused) > 0 {
		return fmt.Errorf("rules without a route: %q", slices.Sorted(maps.Keys(s.unused)))
	}
	return nil
}

// errNotAllowed is the answer to somebody whose role may not do a thing.
var errNotAllowed = survey.Errorf(survey.Forbidden, "Your role does not allow this. Ask somebody in the office to do it, or to change your role.")

// guarded lets a request through to h when the rule allows it, and hands the person on in the request's context. While nobody was ever given a
// password, everything is open: then only this machine reaches the server.
func (s *Server) guarded(rule access, h func(c *gin.Context) error) func(c *gin.Context) error {
	if rule.public {
		return h
	}
	return func(c *gin.Context) error {
		person, signedIn, err := s.whoAsks(c.Request)
		switch {
		case err != nil:
			return s.keepForm(c, err)
		case !signedIn:
			open, err := s.open(c.Request.Context())
			if err != nil {
				return s.keepForm(c, err)
			}
			if open {
				return h(c)
			}
			return s.askToSignIn(c)
		case !rule.may(person.Role):
			return errNotAllowed
		case changes(c.Request) && c.GetHeader("Sec-Fetch-Site") == "" && c.GetHeader("Origin") == "":
			return survey.Errorf(survey.Forbidden, "The browser did not say which page this came from, so nothing was changed. Open the page again, or use a newer browser.")
		}
		if err := s.mayCall(c, person); err != nil {
			return err
		}
		c.Request = c.Request.WithContext(survey.WithPerson(c.Request.Context(), person))
		return h(c)
	}
}

// changes tells whether a request asks for a change.
func changes(r *http.Request) bool {
	switch r.Method {
	case http.MethodGet, http.MethodHead, http.MethodOptions:
		return false
	}
	return true
}
