package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

// demo fills a survey with the demo's facts and pins, all on one photo.
func (w *site) demo() survey.Survey {
	w.t.Helper()
	data, err := os.ReadFile("../../cmd/undercroft/demo/survey.json")
	if err != nil {
		w.t.Fatal(err)
	}
	var demo struct {
		Facts map[string]string
		Pins  []struct {
			Kind   survey.PinKind
			X, Y   float64
			X2, Y2 *float64
			Values map[string]string
			Note   string
		}
	}
	if err := json.Unmarshal(data, &demo); err != nil {
		w.t.Fatal(err)
	}
	v := w.survey("Larkmoor house")
	photo := w.photo(v.ID)
	for _, p := range demo.Pins {
		w.pin(survey.Pin{Survey: v.ID, Photo: photo.ID, Kind: p.Kind, X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2, Values: p.Values, Note: p.Note})
	}
	w.facts(v.ID, demo.Facts)
	return v
}

// figure is the text of one of the ceiling page's figures.
func figure(doc *goquery.Document, key string) string {
	return flat(doc.Find(`[data-figure="` + key + `"]`).Text())
}

func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// TestCeilingPage shows the demo's figures: 29 panels a zone, cut to 10' 6 3/4" and 2' 9 7/8" (the deck's lengths less gaps, rounded
// down; common practice, no source).
func TestCeilingPage(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	doc := w.get(surveyPath(v.ID) + "/ceiling").wants(http.StatusOK).page()
	for key, want := range map[string]string{
		"area": "389.6 ft²", "panels": "58", "carriers": "56", "furring": "4 rows, to 1 5/16″", "panels-1": "29", "panels-2": "29",
		"cut-1": "29 × 10′ 6 3/4″", "cut-2": "29 × 2′ 9 7/8″", "row-1-1-build": "1/2″", "row-1-last-build": "1 5/16″", "buy-panel": "29",
	} {
		if got := figure(doc, key); got != want {
			t.Errorf("figure %s: got %q, want %q", key, got, want)
		}
	}
	heads := doc.Find(".sheet > h2 .n").Map(func(_ int, n *goquery.Selection) string { return n.Text() })
	if got := strings.Join(heads, " "); got != "1 2 3 4 5 6 7 8 9 10 11 12 13 14" {
		t.Errorf("sheets are numbered %s", got)
	}
	if doc.Find(".strip .src").Length() < 6 || doc.Find("table.notches tbody tr").Length() == 0 {
		t.Error("key figures lack sources, or there are no notches")
	}
	for _, table := range []string{".furring", ".panels", ".notches", ".cutouts", ".takeoff", ".water", ".checks"} {
		if doc.Find("table"+table+" caption .src").Length() == 0 {
			t.Errorf("the caption of %s names no source", table)
		}
	}
	link, _ := doc.Find("table.notches td.key a").First().Attr("href")
	if !regexp.MustCompile(`^/surveys/[0-9a-f-]+/photos/[0-9a-f-]+#p\d+$`).MatchString(link) {
		t.Errorf("a notch leads to %q, not to its pin", link)
	}
	if doc.Find(`nav.nav a[aria-current]`).Text() != "Ceiling" {
		t.Error("the rail does not mark the page")
	}
}

// TestCeilingLinksLeadSomewhere follows every link of the page that stays on it, and every link to a field of the deck's form.
func TestCeilingLinksLeadSomewhere(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	doc := w.get(surveyPath(v.ID) + "/ceiling").page()
	deck := w.get(surveyPath(v.ID)).page()
	doc.Find("main a[href]").Each(func(_ int, a *goquery.Selection) {
		href := a.AttrOr("href", "")
		page, anchor, found := strings.Cut(href, "#")
		if !found {
			w.get(href).wants(http.StatusOK)
			return
		}
		in := map[string]*goquery.Document{"": doc, surveyPath(v.ID) + "/ceiling": doc, surveyPath(v.ID): deck}[page]
		if in != nil && in.Find("#"+anchor).Length() != 1 {
			t.Errorf("%s leads nowhere", href)
		}
	})
}

// TestChangeTheCeiling posts the form as a browser without scripts would, with another fall.
func TestChangeTheCeiling(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	path := surveyPath(v.ID) + "/ceiling"
	form := formOf(w.get(path).page().Find("form.change"))
	form.Set("f.fall.per_foot", "1/4")
	answer := w.post(path, form).wants(http.StatusSeeOther)
	if got := answer.Header().Get("Location"); got != path+"?saved=ceiling" {
		t.Errorf("redirected to %s", got)
	}
	fact := w.record(v.ID).Facts["fall.per_foot"]
	if fact.Text != "1/4" || fact.Version != 2 {
		t.Errorf("saved %q, version %d", fact.Text, fact.Version)
	}
	doc := w.get(path + "?saved=ceiling").page()
	if got := figure(doc, "row-1-1-build"); got != "1″" {
		t.Errorf("with twice the fall the first row is %s, want 1″", got)
	}
	if doc.Find(".done").Length() != 1 {
		t.Error("nothing says that it was saved")
	}
	if other := w.record(v.ID).Facts["base"]; other.Text != "" {
		t.Errorf("a field that was left alone was saved as %q", other.Text)
	}
}

// TestChangeTheBeam lets the ceiling pass under the demo's beam: one zone remains, and the pin carries the choice.
func TestChangeTheBeam(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	path := surveyPath(v.ID) + "/ceiling"
	page := w.get(path).page()
	if got := flat(page.Find(".under").Text()); !strings.Contains(got, "needs base 7 15/16″, leaves 7′ 10 13/16″") {
		t.Errorf("passing under is described as %q", got)
	}
	form := formOf(page.Find("form.change"))
	name, _ := page.Find(`form.change select[name^="f.beam."]`).Attr("name")
	form.Set(name, "under")
	w.post(path, form).wants(http.StatusSeeOther)
	id := survey.PinID(strings.TrimPrefix(name, "f.beam."))
	pin, _ := w.record(v.ID).Pin(id)
	if pin.Values["treatment"] != "under" || pin.Values["drop"] == "" || pin.Version != 2 {
		t.Errorf("the pin holds %v, version %d", pin.Values, pin.Version)
	}
	doc := w.get(path).page()
	if got := doc.Find("table.panels thead th").Length(); got != 2 {
		t.Errorf("%d columns of zones, want one zone", got-1)
	}
	if got := figure(doc, "lowest"); got != "7′ 10 13/16″" {
		t.Errorf("lowest ceiling: got %s, want what was announced", got)
	}
}

func TestCeilingFormWrongInput(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	path := surveyPath(v.ID) + "/ceiling"
	form := formOf(w.get(path).page().Find("form.change"))
	form.Set("f.fall.per_foot", "much")
	form.Set("f.base", "1/2")
	doc := w.post(path, form).wants(http.StatusUnprocessableEntity).page()
	if got := doc.Find("#c-f-fall-per_foot").AttrOr("value", ""); got != "much" {
		t.Errorf("the form shows %q again, want what was typed", got)
	}
	if !strings.Contains(doc.Find("form.change .bad .read").Text(), "much") || doc.Find("[role=alert]").Length() == 0 {
		t.Error("what is wrong is not said")
	}
	if w.record(v.ID).Facts["base"].Text != "" {
		t.Error("half of the form was saved")
	}
	if figure(doc, "panels") != "58" {
		t.Error("the plan of what is saved is gone")
	}
}

// TestTwoPeopleAtTheCeiling: what somebody else saved meanwhile is never overwritten unseen.
func TestTwoPeopleAtTheCeiling(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	path := surveyPath(v.ID) + "/ceiling"
	form := formOf(w.get(path).page().Find("form.change"))
	w.facts(v.ID, map[string]string{"fall.per_foot": "3/16"})
	form.Set("f.fall.per_foot", "1/4")
	doc := w.post(path, form).wants(http.StatusConflict).page()
	if w.record(v.ID).Facts["fall.per_foot"].Text != "3/16" {
		t.Fatal("the other person's value is lost")
	}
	again := formOf(doc.Find("form.change"))
	again.Set("pick.fall.per_foot", "mine")
	w.post(path, again).wants(http.StatusSeeOther)
	if got := w.record(v.ID).Facts["fall.per_foot"].Text; got != "1/4" {
		t.Errorf("after choosing: got %q", got)
	}
}

func TestBeamOfNoSurveyIsNotChanged(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	w.post(surveyPath(v.ID)+"/ceiling", url.Values{"f.beam." + survey.NewID(): {"under"}, "f.beam.x": {"under"}, "f.width": {"1'"}}).wants(http.StatusSeeOther)
	for _, p := range w.record(v.ID).Pins {
		if p.Version != 1 {
			t.Errorf("pin %d was changed", p.Number)
		}
	}
	if w.record(v.ID).Facts["width"].Text != "" {
		t.Error("a field of another form was saved")
	}
}

// TestCeilingWithoutFacts says exactly what is missing, with a way there.
func TestCeilingWithoutFacts(t *testing.T) {
	w := newSite(t)
	v := w.survey("Empty house")
	doc := w.get(surveyPath(v.ID) + "/ceiling").wants(http.StatusOK).page()
	if doc.Find(".empty").Length() != 1 || doc.Find("table.panels, .strip").Length() != 0 {
		t.Error("the empty page is not empty")
	}
	links := map[string]bool{}
	doc.Find(".empty .caut a").Each(func(_ int, a *goquery.Selection) { links[a.AttrOr("href", "")] = true })
	deck := w.get(surveyPath(v.ID)).page()
	for _, key := range []string{"width", "projection", "joist-spacing", "joist-direction", "built_before_1978"} {
		anchor := "#c-f-" + key
		if !links[surveyPath(v.ID)+anchor] || deck.Find(anchor).Length() != 1 {
			t.Errorf("no link to %s of the deck's form among %v", anchor, links)
		}
	}
}

func TestPlanPage(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	doc := w.get(surveyPath(v.ID) + "/plan").wants(http.StatusOK).page()
	if n := doc.Find("svg.drawn").Length(); n != 4 {
		t.Errorf("%d drawings, want plan and section in two widths", n)
	}
	text := flat(doc.Find("table.places").Text())
	for _, want := range []string{"Light", "14′ 2″ along, 5′ 0″ out", "±", "Door"} {
		if !strings.Contains(text, want) {
			t.Errorf("the places lack %q", want)
		}
	}
	if got := flat(doc.Find("table.edges").Text()); !strings.Contains(got, "House side") || !strings.Contains(got, "Brick") || !strings.Contains(got, "wall ends after 5′") {
		t.Errorf("the sides: %s", got)
	}
	empty := w.survey("Empty house")
	doc = w.get(surveyPath(empty.ID) + "/plan").wants(http.StatusOK).page()
	if doc.Find(".empty .caut").Length() == 0 || doc.Find("svg.drawn").Length() != 0 || doc.Find("table.edges tbody tr").Length() != 4 {
		t.Error("the empty plan does not say what is missing")
	}
}

func TestReportPage(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	answer := w.get(surveyPath(v.ID) + "/report").wants(http.StatusOK)
	doc := answer.page()
	src, _ := doc.Find(".shot img").First().Attr("src")
	if got := w.get(src).wants(http.StatusOK).Header().Get("Content-Type"); got != "image/jpeg" {
		t.Errorf("the photo is %s", got)
	}
	if strings.Contains(answer.Body.String(), "data:image") || doc.Find("style, [style]").Length() > 0 {
		t.Error("the page carries what belongs into the file")
	}
	doc.Find("main a[href^='#']").Each(func(_ int, a *goquery.Selection) {
		if href := a.AttrOr("href", ""); doc.Find(href).Length() != 1 {
			t.Errorf("%s leads nowhere", href)
		}
	})
	style := doc.Find(`link[rel=stylesheet]`).Map(func(_ int, l *goquery.Selection) string { return l.AttrOr("href", "") })
	printed := false
	for _, href := range style {
		printed = printed || strings.Contains(w.get(href).wants(http.StatusOK).Body.String(), "@media print")
	}
	if !printed {
		t.Error("no style sheet of the page has a part for print")
	}
}

// TestReportFile sends the self-contained file as a download with a harmless name.
func TestReportFile(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	answer := w.get(surveyPath(v.ID) + "/report.html").wants(http.StatusOK)
	if got, want := answer.Header().Get("Content-Disposition"), `attachment; filename="larkmoor-house-report.html"`; !strings.HasPrefix(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	doc := answer.page()
	if doc.Find("script, link").Length() != 0 || !strings.HasPrefix(doc.Find(".shot img").AttrOr("src", ""), "data:image/jpeg;base64,") {
		t.Error("the file needs others")
	}
	for title, want := range map[string]string{"../../etc/x": "etc-x", "Ünï \"q\"\r\nX": "n-q-x", "…": "survey", strings.Repeat("ab ", 40): "ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-a"} {
		if got := fileName(title); got != want {
			t.Errorf("file name of %q: got %q, want %q", title, got, want)
		}
	}
}

// TestPagesOfNoSurvey answers 404 for a survey that is not there.
func TestPagesOfNoSurvey(t *testing.T) {
	w := newSite(t)
	for _, page := range []string{"ceiling", "plan", "report", "report.html"} {
		w.get("/surveys/" + survey.NewID() + "/" + page).wants(http.StatusNotFound)
		w.get("/surveys/none/" + page).wants(http.StatusNotFound)
	}
	w.post("/surveys/"+survey.NewID()+"/ceiling", url.Values{}).wants(http.StatusNotFound)
}
