package web

import (
	"net/http"
	"strings"
	"testing"

	"undercroft/survey"
)

func TestSurveysEmpty(t *testing.T) {
	w := newSite(t)
	doc := w.get("/surveys").wants(http.StatusOK).page()
	if text := doc.Find(".empty").Text(); !strings.Contains(text, "No surveys yet") {
		t.Errorf("got %q, want words about what to do", text)
	}
	if doc.Find(`.empty a[href="/surveys/new"]`).Length() != 1 {
		t.Error("the empty list has no way to the first survey")
	}
	if doc.Find("html").AttrOr("lang", "") != "en" || doc.Find("a.skip").AttrOr("href", "") != "#main" || doc.Find("main#main").Length() != 1 {
		t.Error("the frame lacks its language, its skip link or its main part")
	}
}

func TestSurveysList(t *testing.T) {
	w := newSite(t)
	w.survey("Orchard row 5")
	measured := w.survey("Larkmoor house")
	w.facts(measured.ID, map[string]string{"width": "28' 4", "projection": "14'"})
	w.photo(measured.ID)
	doc := w.get("/surveys").wants(http.StatusOK).page()
	rows := doc.Find(".list li")
	if rows.Length() != 2 {
		t.Fatalf("got %d rows, want 2", rows.Length())
	}
	first := rows.First()
	if got := first.Find("a").AttrOr("href", ""); got != "/surveys/"+string(measured.ID) {
		t.Errorf("the newest change is not first: %s", got)
	}
	for _, want := range []string{"Larkmoor house", "28′\u00a04″ × 14′\u00a00″", "397\u00a0ft²", "1\u00a0photo", "0\u00a0pins", "pins to be placed", "today\u00a009:42"} {
		if !strings.Contains(first.Text(), want) {
			t.Errorf("the row lacks %q: %s", want, first.Text())
		}
	}
	if text := rows.Last().Text(); !strings.Contains(text, "not measured yet") {
		t.Errorf("the other row: %s", text)
	}
	doc = w.get("/surveys?q=LARK+house").wants(http.StatusOK).page()
	if n := doc.Find(".list li").Length(); n != 1 {
		t.Errorf("the search found %d surveys, want 1", n)
	}
	if text := w.get("/surveys?q=nowhere").page().Find(".empty").Text(); !strings.Contains(text, "No survey matches “nowhere”") {
		t.Errorf("an empty search says %q", text)
	}
	if to := w.get("/").wants(http.StatusSeeOther).Header().Get("Location"); to != "/surveys" {
		t.Errorf("/ leads to %q", to)
	}
}

func TestNewSurvey(t *testing.T) {
	w := newSite(t)
	doc := w.get("/surveys/new").wants(http.StatusOK).page()
	form := formOf(doc.Find(`form[action="/surveys"]`))
	if got := form.Get("f.visit_date"); got != "2026-05-31" {
		t.Errorf("the day of the visit is %q, want today", got)
	}
	form.Set("f.title", "  Larkmoor house ")
	form.Set("f.access", "gate\r\ndog")
	to := w.post("/surveys", form).wants(http.StatusSeeOther).Header().Get("Location")
	if to != "/surveys/"+form.Get("id")+"/walk?saved=new" {
		t.Errorf("led to %q", to)
	}
	r := w.record(survey.SurveyID(form.Get("id")))
	if r.Survey.Title != "Larkmoor house" || r.Survey.Access != "gate\ndog" {
		t.Errorf("stored %+v", r.Survey)
	}
	w.post("/surveys", form).wants(http.StatusSeeOther) // sending twice is harmless
	if all, err := w.store.Surveys(t.Context()); err != nil || len(all) != 1 {
		t.Errorf("got %d surveys (%v), want 1", len(all), err)
	}
	form.Set("f.title", "Another")
	doc = w.post("/surveys", form).wants(http.StatusConflict).page()
	if doc.Find(`.caut a[href="/surveys/`+form.Get("id")+`"]`).Length() != 1 {
		t.Error("the form that was used before does not lead to its survey")
	}
	again := formOf(doc.Find(`form[action="/surveys"]`))
	if again.Get("id") == form.Get("id") || again.Get("f.title") != "Another" {
		t.Errorf("the form shown again: %v", again)
	}
	w.post("/surveys", again).wants(http.StatusSeeOther)
}

func TestNewSurveyKeepsWhatWasTyped(t *testing.T) {
	w := newSite(t)
	form := formOf(w.get("/surveys/new").page().Find(`form[action="/surveys"]`))
	form.Set("f.address", "14 Larkmoor lane")
	form.Set("f.visit_date", "yesterday")
	doc := w.post("/surveys", form).wants(http.StatusUnprocessableEntity).page()
	again := formOf(doc.Find(`form[action="/surveys"]`))
	for _, name := range []string{"id", "f.address", "f.visit_date"} {
		if again.Get(name) != form.Get(name) {
			t.Errorf("%s: got %q, want %q kept", name, again.Get(name), form.Get(name))
		}
	}
	title := doc.Find(`[name="f.title"]`)
	if title.AttrOr("aria-invalid", "") != "true" || doc.Find("#"+title.AttrOr("aria-describedby", "none")+" use[href='#w-stop']").Length() != 1 {
		t.Error("the empty title is not marked")
	}
	if doc.Find(`.caut.stop[role=alert] a[href="#c-f-title"]`).Length() != 1 {
		t.Error("the summary does not lead to the title")
	}
	form.Set("id", "../../etc")
	w.post("/surveys", form).wants(http.StatusUnprocessableEntity)
}

// TestTypedTextsSurviveAFailure: when the store fails, the form comes back with what was typed and nothing of the cause.
func TestTypedTextsSurviveAFailure(t *testing.T) {
	w := newSite(t)
	form := formOf(w.get("/surveys/new").page().Find(`form[action="/surveys"]`))
	form.Set("f.title", "Larkmoor house")
	if err := w.store.Close(); err != nil {
		t.Fatal(err)
	}
	a := w.post("/surveys", form).wants(http.StatusInternalServerError)
	if again := formOf(a.page().Find(`form[action="/surveys"]`)); again.Get("f.title") != "Larkmoor house" || again.Get("id") != form.Get("id") {
		t.Errorf("the form came back as %v", again)
	}
	if strings.Contains(a.Body.String(), "closed") || !strings.Contains(a.page().Find(".caut.stop").Text(), "not lost") {
		t.Errorf("the page says %q", a.page().Find(".caut.stop").Text())
	}
	if !strings.Contains(w.log.String(), `"level":"ERROR"`) {
		t.Error("the failure is not in the log")
	}
}

// TestListOrderDoesNotHangOnTheClock: what was changed last stands first, also when an earlier change was made while the clock was ahead.
func TestListOrderDoesNotHangOnTheClock(t *testing.T) {
	w := newSite(t)
	w.now = w.now.AddDate(0, 0, 40)
	ahead, right := w.survey("Made while the clock was ahead"), w.survey("Changed when it was right")
	w.facts(ahead.ID, map[string]string{"rain.inches_per_hour": "4"})
	w.now = w.now.AddDate(0, 0, -40)
	w.facts(right.ID, map[string]string{"rain.inches_per_hour": "4"})
	if got := w.get("/surveys").wants(http.StatusOK).page().Find(".list .one").First().AttrOr("href", ""); !strings.HasPrefix(got, surveyPath(right.ID)) {
		t.Errorf("the first is %s, want %s", got, surveyPath(right.ID))
	}
}
