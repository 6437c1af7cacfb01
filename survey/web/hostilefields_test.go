package web

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

// openPages are the addresses of every GET route that answers with a page or a report, with ids that are there. link is a link's path.
func (w *site) openPages(in survey.SurveyID, number int, link string) []string {
	w.t.Helper()
	r := w.record(in)
	fill := strings.NewReplacer(":survey", string(in), ":photo", string(r.Photos[0].ID), ":number", fmt.Sprint(number), "/s/:token", link)
	var pages []string
	for _, route := range w.server.engine.Routes() {
		path := fill.Replace(route.Path)
		if route.Method != http.MethodGet || strings.Contains(path, ":") || slices.Contains([]string{".pdf", ".zip", ".jpg"}, filepath.Ext(path)) {
			continue
		}
		if a := w.get(path); a.Code == http.StatusOK && strings.HasPrefix(a.Header().Get("Content-Type"), "text/html") {
			pages = append(pages, path)
		}
	}
	if len(pages) < 15 {
		w.t.Fatalf("only %d pages: %q", len(pages), pages)
	}
	seen := map[survey.PinKind]bool{}
	for _, p := range r.Pins {
		if !seen[p.Kind] { // the forms of one kind are alike
			pages = append(pages, photoPath(r.Photos[0])+"?pin="+string(p.ID))
		}
		seen[p.Kind] = true
	}
	for _, reader := range []string{"crew", "scope", "survey"} {
		pages = append(pages, surveyPath(in)+"/report.html?for="+reader)
	}
	return pages
}

// takesText tells whether a control takes what somebody types, or could be made to carry it by hand.
func takesText(control *goquery.Selection) bool {
	switch kind := control.AttrOr("type", "text"); {
	case control.Is("button"), control.Is("select"), kind == "submit", kind == "checkbox", kind == "radio", kind == "file":
		return false
	}
	name := control.AttrOr("name", "")
	return name != "" && name != "id" && name != "version" && !strings.HasPrefix(name, wasPrefix)
}

// textForm is a form of a page with the controls that take text.
type textForm struct {
	action string
	values url.Values
	names  []string
}

// textForms are the forms of the pages, each action with the same controls once, but those that remove something or end the session.
func (w *site) textForms(pages []string) []textForm {
	w.t.Helper()
	known := map[string]bool{}
	var forms []textForm
	for _, path := range pages {
		w.get(path).page().Find("form[method=post]").Each(func(_ int, form *goquery.Selection) {
			f := textForm{action: form.AttrOr("action", path), values: formOf(form)}
			form.Find("input, textarea").Each(func(_ int, control *goquery.Selection) {
				if takesText(control) {
					f.names = append(f.names, control.AttrOr("name", ""))
				}
			})
			key := routeLike(f.action) + strings.Join(f.names, " ")
			gone := strings.HasSuffix(f.action, "/remove") || strings.HasSuffix(f.action, "/delete") || strings.Contains(f.action, "/signout") || strings.HasSuffix(f.action, "/revoke")
			if form.AttrOr("enctype", "") == "" && !gone && len(f.names) > 0 && !known[key] {
				known[key] = true
				forms = append(forms, f)
			}
		})
	}
	return forms
}

// send sends a form with the payloads in its controls, the first one in the control at turn, and judges the answer.
func (w *site) send(t *testing.T, f textForm, turn int) {
	values := maps.Clone(f.values)
	for i, name := range f.names {
		values[name] = []string{payloads()[(i+turn)%len(payloads())]}
	}
	a := w.post(f.action, values)
	if a.Code >= 500 {
		t.Errorf("POST %s with %q: got status %d", f.action, values, a.Code)
	}
	if strings.HasPrefix(a.Header().Get("Content-Type"), "text/html") {
		inert(t, "POST "+f.action, a)
	}
	if to := a.Header().Get("Location"); to != "" && !safeAddress(to) {
		t.Errorf("POST %s leads to %q", f.action, to)
	}
}

// routeLike is an action without its ids.
func routeLike(action string) string {
	parts := strings.Split(action, "/")
	for i, part := range parts {
		if len(part) > 20 {
			parts[i] = ":id"
		}
	}
	return strings.Join(parts, "/")
}

// TestEveryFieldOfEveryFormIsInert: each control of each form that the pages offer takes a payload, and each payload is taken by some; the answers are inert, and so
// is every page and every report afterwards.
func TestEveryFieldOfEveryFormIsInert(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	link := w.link(house.ID, 1)
	forms, fields := w.textForms(w.openPages(house.ID, 1, link)), map[string]bool{}
	for i, f := range forms {
		w.now = w.now.Add(sharedEvery)
		w.send(t, f, 2*i)
		for _, name := range f.names {
			fields[strings.Replace(routeLike(f.action), link, "/s/:id", 1)+" "+name] = true
		}
	}
	t.Logf("%d forms, %d fields", len(forms), len(fields))
	for _, want := range []string{"/surveys f.title", "/settings f.name", "/surveys/:id/scope f.scope.included", "/surveys/:id/deck f.width", "/s/:id/ask question"} {
		if !fields[want] {
			t.Errorf("%q was not filled in, only %q", want, slices.Sorted(maps.Keys(fields)))
		}
	}
	w.plant(house.ID, `"><script>alert(1)</script><x-hostile onload=alert(1)>`)
	held := 0
	for _, page := range append(w.openPages(house.ID, 1, link), surveyPath(house.ID)+"/revisions/2") {
		a := w.get(page)
		doc := a.page()
		if strings.Contains(page, "report.html") { // a file for itself: one style and one policy of its own
			doc.Find("head > style").First().Remove()
			doc.Find(`head > meta[http-equiv="Content-Security-Policy"]`).First().Remove()
		}
		inertDocument(t, page, doc)
		held += strings.Count(a.Body.String(), "x-hostile")
	}
	if held < 20 {
		t.Errorf("the pages hold the text %d times: it was not kept", held)
	}
}

// plant saves a text wherever a survey and the company take one, past the forms.
func (w *site) plant(in survey.SurveyID, text string) {
	w.t.Helper()
	r := w.record(in)
	v := r.Survey
	for _, f := range siteFields() {
		if f.Key != "visit_date" {
			*siteText(&v, f.Key) = text
		}
	}
	if _, err := w.store.UpdateSurvey(w.t.Context(), v); err != nil {
		w.t.Fatal(err)
	}
	for _, p := range r.Pins {
		p.Note = text
		if _, err := w.store.PutPin(w.t.Context(), p); err != nil {
			w.t.Fatal(err)
		}
	}
	photo := r.Photos[0]
	photo.Caption = text
	if _, err := w.store.UpdatePhoto(w.t.Context(), photo); err != nil {
		w.t.Fatal(err)
	}
	company, err := w.store.Company(w.t.Context())
	if err != nil {
		w.t.Fatal(err)
	}
	company.Name, company.Address, company.Phone = text, text, text
	if _, err := w.store.SaveCompany(w.t.Context(), company); err != nil {
		w.t.Fatal(err)
	}
	w.issue(in, len(w.revisions(in))+1, url.Values{"f.by": {text}})
}
