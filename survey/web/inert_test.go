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
	"slices"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

// payloads are texts that a careless page would run, one for each way that the OWASP cheat sheets on cross-site scripting prevention and filter evasion show (from
// memory): markup in text and in attributes, addresses of scripts, ends of elements that hold raw text, foreign content, templates, entities, mixed cases,
// control characters and broken encodings. What one would bring into a page is found by inert.
func payloads() []string {
	return []string{
		`<script>alert(1)</script>`, `"><script>alert(1)</script>`, `'><img src=x onerror=alert(1)>`, `<svg/onload=alert(1)>`, `" onfocus=alert(1) autofocus x="`,
		`javascript:alert(1)`, `</textarea><script>alert(1)</script>`, `</title><script>alert(1)</script>`, `{{.Now}}{{template "links"}}`, `<!--<script>`,
		`<iframe srcdoc="<script>alert(1)</script>">`, `<a href="javascript:alert(1)">x</a>`, `<style>*{display:none}</style>`, "`${alert(1)}`", `<base href="//evil.example">`,
		`<form action="//evil.example"><input name=x>`, `<meta http-equiv=refresh content="0;url=//evil.example">`, `&lt;script&gt;alert(1)&lt;/script&gt;`, `<math><mi//xlink:href="data:x,<script>alert(1)</script>">`,
		`<x-hostile>`, `<ScRiPt SRC=//evil.example/x.js>`, `<img """><script>alert(1)</script>">`, `<img src=x:alert(alt) onerror=eval(src) alt=0>`, `' onmouseover='alert(1)`, `x onmouseover=alert(1) hostile=1`,
		`</option></select><script>alert(1)</script>`, `</button><script>alert(1)</script>`, `</style><script>alert(1)</script>`, `--><script>alert(1)</script>`, `]]><script>alert(1)</script>`,
		`</svg><script>alert(1)</script>`, `<svg><script>alert(1)</script></svg>`, `<svg><animate onbegin=alert(1) attributeName=x>`, `<svg><a xlink:href="javascript:alert(1)"><text>x</text></a></svg>`, `<svg><foreignObject><iframe src=//evil.example>`,
		`<details open ontoggle=alert(1)>`, `<video><source onerror=alert(1)>`, `<object data="data:text/html,<script>alert(1)</script>">`, `<embed src="//evil.example">`, `<link rel=stylesheet href=//evil.example>`,
		`<button formaction=javascript:alert(1)>x`, `<body onload=alert(1)>`, `<isindex type=image src=1 onerror=alert(1)>`, `jAvAsCrIpT&colon;alert(1)`, `java&#x09;script:alert(1)`,
		`data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==`, `\u003cscript\u003ealert(1)\u003c/script\u003e`, "<scr\x00ipt>alert(1)</scr\x00ipt>", "a\u2028<script>\u2029alert(1)</script>", "<img src=\x60x\x60 onerror=alert(1)>", "+ADw-script+AD4-alert(1)",
	}
}

// inert checks that a page holds no element, no attribute and no address that a payload could have brought.
func inert(t *testing.T, name string, a answer) {
	t.Helper()
	inertDocument(t, name, a.page())
	if strings.Contains(a.Body.String(), "ZgotmplZ") {
		t.Errorf("%s: a text reached a place where it is not safe", name)
	}
}

func inertDocument(t *testing.T, name string, doc *goquery.Document) {
	t.Helper()
	for _, bad := range []string{"script:not([src])", "iframe", "object", "embed", "base", "math", "style", "animate", "foreignObject", "video", "isindex", "[autofocus]", "meta[http-equiv]", "[srcdoc]", "img[src=x]"} {
		if n := doc.Find(bad).Length(); n > 0 {
			t.Errorf("%s: %d elements match %s", name, n, bad)
		}
	}
	doc.Find("*").Each(func(_ int, element *goquery.Selection) {
		node := element.Get(0)
		if strings.Contains(node.Data, "hostile") {
			t.Errorf("%s: an element %s", name, node.Data)
		}
		for _, attribute := range node.Attr {
			switch key := strings.ToLower(attribute.Key); {
			case strings.HasPrefix(key, "on"), strings.Contains(key, "hostile"):
				t.Errorf("%s: %s has the attribute %s", name, node.Data, key)
			case slices.Contains([]string{"href", "xlink:href", "src", "action", "formaction", "data", "poster", "srcset"}, key) && !safeAddress(attribute.Val):
				t.Errorf("%s: %s of %s leads to %q", name, key, node.Data, attribute.Val)
			}
		}
	})
}

// safeAddress tells whether an address as a browser reads it, without control characters (WHATWG URL, 4.4), leads nowhere but to this site, to a picture that the
// page holds itself, or to a phone or mail program.
func safeAddress(address string) bool {
	plain := strings.ToLower(strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' {
			return -1
		}
		return r
	}, address)))
	scheme, rest, found := strings.Cut(plain, ":")
	switch {
	case strings.HasPrefix(plain, "//"), strings.HasPrefix(plain, "\\"):
		return false
	case !found || strings.ContainsAny(scheme, "/?#"):
		return true
	case scheme == "data":
		return strings.HasPrefix(rest, "image/jpeg;base64,") || strings.HasPrefix(rest, "image/png;base64,")
	}
	return scheme == "tel" || scheme == "mailto"
}

// TestSafeAddress: the judge itself knows what browsers run.
func TestSafeAddress(t *testing.T) {
	for _, bad := range []string{"javascript:alert(1)", " JaVaScRiPt:alert(1)", "java\tscript:alert(1)", "\x01javascript:x", "vbscript:x", "data:text/html,x", "data:image/svg+xml,x", "//evil.example", "https://evil.example", `\\evil.example`, "blob:x"} {
		if safeAddress(bad) {
			t.Errorf("%q is called safe", bad)
		}
	}
	for _, good := range []string{"", "#top", "/surveys?q=javascript:x", "plan", "tel:555", "data:image/jpeg;base64,AA", "?a=b:c", "./x:y"} {
		if !safeAddress(good) {
			t.Errorf("%q is not called safe", good)
		}
	}
	if n := len(payloads()); n < 50 {
		t.Errorf("%d payloads", n)
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
		if got := page.page().Find(`[name="f.title"]`).AttrOr("value", ""); got != strings.ReplaceAll(payload, "\x00", "") {
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
		w.postPhotos(id, "", sent{strings.NewReplacer(`"`, "%22", "\n", " ", "\x00", "").Replace(payload), "no picture"}).wants(http.StatusSeeOther)
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
