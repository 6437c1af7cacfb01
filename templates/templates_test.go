package templates

import (
	"bytes"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"undercroft/calc/length"
)

func TestLoad(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	if len(set.Pages()) < 4 || !set.Has("surveys") || set.Has("nothing") || set.Template("nothing") != nil {
		t.Errorf("pages: %v", set.Pages())
	}
	if _, err := set.Render("nothing", nil); err == nil {
		t.Error("a page that is not there was rendered")
	}
	if body, err := set.Render("surveys", struct{ Title string }{"x"}); err == nil || body != nil {
		t.Errorf("data that does not fit gave %q, %v; want nothing and an error", body, err)
	}
}

func TestEveryFileMustBeListed(t *testing.T) {
	embedded := fstest.MapFS{"photo/photo.html": {}, "photo/photo.css": {}}
	if err := checkListed(embedded, []string{"photo/photo.html", "photo/photo.css"}); err != nil {
		t.Error(err)
	}
	if err := checkListed(embedded, []string{"photo/photo.html"}); err == nil || !strings.Contains(err.Error(), "photo/photo.css") {
		t.Errorf("an unused file: %v", err)
	}
	if err := checkListed(embedded, []string{"photo/photo.html", "photo/photo.css", "photo/photo.js"}); err == nil || !strings.Contains(err.Error(), "photo/photo.js") {
		t.Errorf("a missing file: %v", err)
	}
}

func TestStatic(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	css, ok := set.Static(set.hash, "part", "part.css")
	if !ok || css.Type != "text/css; charset=utf-8" || !bytes.Contains(css.Body, []byte("--tap:")) || !bytes.Contains(css.Body, []byte("@media print")) {
		t.Errorf("the parts' styles: %v, %s, %d bytes", ok, css.Type, len(css.Body))
	}
	for _, name := range [][3]string{{"0000000000000000", "part", "part.css"}, {set.hash, "part", "base.html"}, {set.hash, "part", "tokens.css"}, {set.hash, "..", "templates.go"}} {
		if _, ok := set.Static(name[0], name[1], name[2]); ok {
			t.Errorf("%v is served", name)
		}
	}
	if got := set.Address("part/part.js"); got != "/static/"+set.hash+"/part/part.js" {
		t.Errorf("address %s", got)
	}
}

// TestModulesAreUsed: every script that is listed is joined into one that a page links.
func TestModulesAreUsed(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range listedFiles() {
		if strings.HasSuffix(name, ".js") && !set.scripts.joined[name] {
			t.Errorf("no page's script imports %s", name)
		}
	}
}

func TestWhen(t *testing.T) {
	zone := time.FixedZone("here", -5*60*60)
	now := time.Date(2026, 5, 31, 9, 42, 0, 0, zone) // a Sunday
	for want, at := range map[string]time.Time{
		"today\u00a009:42":      now,
		"today\u00a000:00":      time.Date(2026, 5, 31, 5, 0, 0, 0, time.UTC),
		"yesterday":             time.Date(2026, 5, 31, 4, 59, 0, 0, time.UTC),
		"Mon":                   now.AddDate(0, 0, -6),
		"24\u00a0May":           now.AddDate(0, 0, -7),
		"31\u00a0Dec\u00a02025": time.Date(2025, 12, 31, 12, 0, 0, 0, zone),
		"2\u00a0Jun\u00a02026":  now.AddDate(0, 0, 2), // a clock that ran ahead
		"":                      {},
	} {
		if got := When(now, at); got != want {
			t.Errorf("When(%v) = %q, want %q", at, got, want)
		}
	}
}

func TestWords(t *testing.T) {
	for _, row := range []struct{ got, want string }{
		{typeset(length.Inches(126.75)), "10′\u00a06\u00a03/4″"},
		{plusMinus(length.Inches(.375)), "±\u00a03/8″"},
		{count(1, "photo", "photos"), "1\u00a0photo"},
		{count(0, "photo", "photos"), "0\u00a0photos"},
		{nonBreaking("a b"), "a\u00a0b"},
		{iso(time.Date(2026, 5, 31, 9, 42, 0, 0, time.FixedZone("", 3600))), "2026-05-31T08:42:00Z"},
	} {
		if row.got != row.want {
			t.Errorf("got %q, want %q", row.got, row.want)
		}
	}
}
