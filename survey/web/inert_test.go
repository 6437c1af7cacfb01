package web

import (
	"bytes"
	"io/fs"
	"maps"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"undercroft/survey"
)

// payloads are texts that a careless page would run: a selection after the OWASP cross-site scripting cheat sheets.
func payloads() []string {
	return []string{
		`<script>alert(1)</script>`, `"><script>alert(1)</script>`, `'><img src=x onerror=alert(1)>`, `<svg/onload=alert(1)>`, `" onfocus=alert(1) autofocus x="`,
		`javascript:alert(1)`, `</textarea><script>alert(1)</script>`, `</title><script>alert(1)</script>`, `{{.Now}}{{template "links"}}`, `<!--<script>`,
		`<iframe srcdoc="<script>alert(1)</script>">`, `<a href="javascript:alert(1)">x</a>`, `<style>*{display:none}</style>`, "`${alert(1)}`", `<base href="//evil.example">`,
		`<form action="//evil.example"><input name=x>`, `<meta http-equiv=refresh content="0;url=//evil.example">`, `&lt;script&gt;alert(1)&lt;/script&gt;`, `<math><mi//xlink:href="data:x,<script>alert(1)</script>">`,
	}
}

// inert checks that a page holds no element and no attribute that a payload could have brought.
func inert(t *testing.T, name string, a answer) {
	t.Helper()
	doc := a.page()
	for _, bad := range []string{"script:not([src])", "iframe", "base", "math", "style", "[onerror]", "[onload]", "[onfocus]", "[autofocus]", "a[href^=javascript]", "meta[http-equiv]", `form[action*="evil"]`, "img[src=x]"} {
		if n := doc.Find(bad).Length(); n > 0 {
			t.Errorf("%s: %d elements match %s", name, n, bad)
		}
	}
	if strings.Contains(a.Body.String(), "ZgotmplZ") {
		t.Errorf("%s: a text reached a place where it is not safe", name)
	}
}

func TestTextsAreInert(t *testing.T) {
	w := newSite(t)
	for _, payload := range payloads() {
		form := formOf(w.get("/surveys/new").page().Find(`form[action="/surveys"]`))
		for _, f := range siteFields() {
			if f.Key != "visit_date" {
				form.Set("f."+f.Key, payload)
			}
		}
		bad := url.Values{}
		maps.Copy(bad, form)
		bad.Set("f.visit_date", payload)
		inert(t, "new survey, refused", w.post("/surveys", bad).wants(http.StatusUnprocessableEntity))
		w.post("/surveys", form).wants(http.StatusSeeOther)
		id := survey.SurveyID(form.Get("id"))
		page := w.get(surveyPath(id)).wants(http.StatusOK)
		inert(t, "site and deck", page)
		if got := page.page().Find(`[name="f.title"]`).AttrOr("value", ""); got != payload {
			t.Errorf("the title came back as %q, want %q", got, payload)
		}
		deck := formOf(page.page().Find("form#deck"))
		for name := range deck {
			if strings.HasPrefix(name, "f.") {
				deck.Set(name, payload)
			}
		}
		inert(t, "deck, refused", w.post(surveyPath(id)+"/deck", deck).wants(http.StatusUnprocessableEntity))
		deck.Set("settle", payload)
		inert(t, "settle, refused", w.post(surveyPath(id)+"/deck", deck))
		w.postPhotos(id, "", sent{strings.NewReplacer(`"`, "%22", "\n", " ").Replace(payload), "no picture"}).wants(http.StatusSeeOther)
		inert(t, "search", w.get("/surveys?q="+url.QueryEscape(payload)))
		for _, page := range []string{"/photos", "/plan", "/ceiling", "/report"} {
			a := w.get(surveyPath(id) + page)
			if a.Code >= 500 {
				t.Errorf("%s: got status %d", page, a.Code)
			}
			inert(t, page, a)
		}
		answer := w.get("/api/length?key=" + url.QueryEscape(payload) + "&text=" + url.QueryEscape(payload)).wants(http.StatusOK)
		if answer.Header().Get("Content-Type") != "application/json" {
			t.Error("the length answer is not JSON")
		}
	}
	inert(t, "surveys", w.get("/surveys"))
}

// TestScriptsAreCareful: no script makes markup of text, evaluates text or reaches another site.
func TestScriptsAreCareful(t *testing.T) {
	banned := regexp.MustCompile(`innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function|setAttribute\(["']on|setAttribute\(["']style|https?://[^w]`)
	checked := 0
	err := filepath.WalkDir("../../templates", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".js") {
			return err
		}
		body, err := os.ReadFile(name)
		for _, found := range banned.FindAll(body, -1) {
			t.Errorf("%s contains %q", name, found)
		}
		checked++
		if lines := bytes.Count(body, []byte("\n")); lines > 200 {
			t.Errorf("%s has %d lines: split it", name, lines)
		}
		return err
	})
	if err != nil || checked < 3 {
		t.Errorf("checked %d scripts, %v", checked, err)
	}
}
