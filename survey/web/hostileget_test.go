package web

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"undercroft/survey"
)

// keptByReading are the tables that a GET may write to, with the reason: nothing of them changes what a survey says.
var keptByReading = map[string]string{
	"rendition": "an issued revision's report is painted once, by whoever asks first, and stands from then on",
	"seal":      "the seal of that painted report, with it",
	"session":   "when a session was last used, so that an unused one ends",
}

// TestReadingChangesNothing asks every GET address, as GET and as HEAD, of a survey that has everything, with ids that are there and with queries that ask for changes, and compares all
// of the database before and after (RFC 9110, section 9.2.1; ASVS 5.0.0, 3.5.3).
func TestReadingChangesNothing(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	link := w.link(house.ID, 1)
	r := w.record(house.ID)
	photo := r.Photos[0]
	fill := strings.NewReplacer(":survey", string(house.ID), ":photo", string(photo.ID), ":number", "1", "/s/:token", link, ":list", "takeoff.csv", ":sha256", photo.Screen, ":pin", string(r.Pins[0].ID))
	before, read := w.dump(), 0
	for _, route := range w.server.engine.Routes() {
		if route.Method != http.MethodGet && route.Method != http.MethodHead {
			continue
		}
		path := fill.Replace(route.Path)
		w.now = w.now.Add(sharedEvery)
		a := w.do(newRequest(route.Method, path+fmt.Sprintf("?_method=DELETE&delete=1&restore=1&settle=width%%3Dtyped&f.title=x&version=%d&decision=approved&name=x", photo.Version), ""))
		if a.Code >= 500 {
			t.Errorf("%s %s: got status %d", route.Method, path, a.Code)
		}
		if a.Code == http.StatusOK {
			read++
		}
	}
	if read < 80 {
		t.Errorf("only %d addresses answered", read)
	}
	for _, name := range differing(before, w.dump()) {
		if keptByReading[name] == "" {
			t.Errorf("reading changed %s", name)
		}
	}
}

// TestEveryChangeIsGuarded: a page of another site can bring about no change: every route that changes something refuses what a browser sends from there, also when it hides where it comes
// from while it has a cookie, and nothing is changed. A link's forms are the exception: no cookie counts there, and who has the token may do all that it lets (OWASP ASVS 5.0.0, 3.5.1).
func TestEveryChangeIsGuarded(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	link := w.link(house.ID, 1)
	r := w.record(house.ID)
	cookie := w.session(w.person("R. Vance", survey.RoleOffice))
	fill := strings.NewReplacer(":survey", string(house.ID), ":photo", string(r.Photos[0].ID), ":number", "1", "/s/:token", link, ":pin", string(r.Pins[0].ID))
	before, asked := w.dump(), 0
	for _, route := range w.server.engine.Routes() {
		if route.Method == http.MethodGet || route.Method == http.MethodHead || strings.HasPrefix(route.Path, "/s/:token") {
			continue
		}
		for name, from := range map[string][]string{
			"another site":         {"Sec-Fetch-Site", "cross-site", "Origin", "https://evil.example"},
			"a subdomain":          {"Sec-Fetch-Site", "same-site", "Origin", "https://app.example.com"},
			"an older browser":     {"Origin", "https://evil.example"},
			"a sandboxed frame":    {"Origin", "null"},
			"another scheme":       {"Origin", "ftp://example.com.evil.example"},
			"another port or name": {"Origin", "http://example.com:81"},
			"nowhere":              nil,
			"a false referrer":     {"Referer", "http://example.com/surveys"},
		} {
			if strings.HasPrefix(route.Path, "/sign") && (len(from) == 0 || from[0] == "Referer") {
				continue // nobody's rights are used there; from another site it is refused all the same
			}
			for _, media := range []string{"application/x-www-form-urlencoded", "text/plain", "multipart/form-data; boundary=x"} {
				request := newRequest(route.Method, fill.Replace(route.Path), "f.title=stolen&number=2&version=1", append(from, "Content-Type", media)...)
				request.AddCookie(cookie)
				asked++
				if a := w.do(request); a.Code != http.StatusForbidden {
					t.Errorf("%s %s from %s: got status %d", route.Method, route.Path, name, a.Code)
				}
			}
		}
	}
	if asked < 24*25 {
		t.Errorf("only %d requests", asked)
	}
	for _, name := range differing(before, w.dump()) {
		if name != "session" {
			t.Errorf("%s has changed", name)
		}
	}
}
