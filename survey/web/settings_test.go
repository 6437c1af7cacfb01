package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestCompanySettings types the company's texts, reads them back on the page and on the scope, and changes one of them.
func TestCompanySettings(t *testing.T) {
	w := newSite(t)
	form := formOf(w.get("/settings").wants(http.StatusOK).page().Find("form#company"))
	form.Set("f.name", "Fenn Ceilings")
	form.Set("f.license", "C-104")
	form.Set("f.terms", "Half on order.\r\n\r\nHalf at the end.")
	form.Set("f.valid_days", "30")
	if got := w.post("/settings", form).wants(http.StatusSeeOther).Header().Get("Location"); got != "/settings?saved=company" {
		t.Errorf("sent to %s", got)
	}
	page := w.get("/settings?saved=company").wants(http.StatusOK).page()
	again := formOf(page.Find("form#company"))
	if again.Get("f.name") != "Fenn Ceilings" || again.Get("f.terms") != "Half on order.\n\nHalf at the end." || again.Get("f.valid_days") != "30" || page.Find(".done").Length() != 1 {
		t.Errorf("read back: %v", again)
	}
	id := w.demo().ID
	scope := w.get(surveyPath(id) + "/report?for=scope").wants(http.StatusOK).page()
	if got := scope.Find(".cover").Text(); !strings.Contains(got, "Fenn Ceilings") || !strings.Contains(scope.Find("#terms").Text(), "Half at the end.") {
		t.Errorf("the scope's cover says %q", got)
	}
}

// TestCompanySettingsRefuse keeps what was typed and says beside the field what is wrong.
func TestCompanySettingsRefuse(t *testing.T) {
	w := newSite(t)
	form := formOf(w.get("/settings").page().Find("form#company"))
	form.Set("f.valid_days", "a month")
	form.Set("f.name", "Fenn")
	page := w.post("/settings", form).wants(http.StatusUnprocessableEntity).page()
	if got := page.Find("#c-f-valid_days-read").Text(); !strings.Contains(got, "whole days") {
		t.Errorf("beside the days: %q", got)
	}
	if again := formOf(page.Find("form#company")); again.Get("f.valid_days") != "a month" || again.Get("f.name") != "Fenn" {
		t.Errorf("what was typed is lost: %v", again)
	}
}

// TestCompanySettingsOfTwo: two people change different fields, and both stand; the same field, and the second is asked.
func TestCompanySettingsOfTwo(t *testing.T) {
	w := newSite(t)
	first := formOf(w.get("/settings").page().Find("form#company"))
	second := formOf(w.get("/settings").page().Find("form#company"))
	first.Set("f.name", "Fenn")
	w.post("/settings", first).wants(http.StatusSeeOther)
	second.Set("f.phone", "555 0100")
	w.post("/settings", second).wants(http.StatusSeeOther)
	k, err := w.store.Company(t.Context())
	if err != nil || k.Name != "Fenn" || k.Phone != "555 0100" {
		t.Fatalf("got %+v, %v", k, err)
	}
	first.Set("f.phone", "555 0999")
	page := w.post("/settings", first).wants(http.StatusConflict).page()
	if page.Find("fieldset.two").Length() != 1 || !strings.Contains(page.Find("fieldset.two").Text(), "555 0100") {
		t.Error("nobody is asked which telephone stands")
	}
}

// TestScopeAndPrice types a price that cannot be added up, mends it, and finds it on the homeowner's scope and nowhere on the crew's report.
func TestScopeAndPrice(t *testing.T) {
	w := newSite(t)
	id := w.demo().ID
	path := surveyPath(id) + "/scope"
	form := formOf(w.get(path).wants(http.StatusOK).page().Find("form#scope"))
	form.Set("f."+survey.ScopePrice, "Ceiling $4,680.00\nGutters")
	form.Set("f."+survey.ScopeFinish, "White")
	page := w.post(path, form).wants(http.StatusUnprocessableEntity).page()
	if got := page.Find("#c-f-scope-price-read").Text(); !strings.Contains(got, "Gutters") || !strings.Contains(got, "no amount") {
		t.Errorf("beside the price: %q", got)
	}
	form = formOf(page.Find("form#scope"))
	if form.Get("f."+survey.ScopeFinish) != "White" {
		t.Error("what was typed is lost")
	}
	form.Set("f."+survey.ScopePrice, "Ceiling $4,680.00\nGutters $960.00")
	w.post(path, form).wants(http.StatusSeeOther)
	if got := w.get(surveyPath(id) + "/report?for=scope&saved=scope").page().Find("#price").Text(); !strings.Contains(got, "$5,640.00") {
		t.Errorf("the price reads %q", got)
	}
	if got := w.get(surveyPath(id) + "/report?for=crew").page().Find("main").Text(); strings.Contains(got, "$4,680.00") {
		t.Error("the crew reads the price")
	}
}

// TestReportChoices asks for each reader, language, paper and for metric lengths; an answer that is none gives the first.
func TestReportChoices(t *testing.T) {
	w := newSite(t)
	path := surveyPath(w.demo().ID)
	for _, c := range []struct{ query, at, want string }{
		{"", ".cover .kind", "Report for the crew"}, {"for=scope", ".cover .kind", "Scope of work"}, {"for=survey", ".cover .kind", "Survey, complete"}, {"for=nobody&lang=xx&paper=tabloid", ".doc.letter .kind", "Report for the crew"},
		{"metric=yes", "#panels", "3.22\u00a0m"}, {"paper=a4", ".doc.a4 .kind", "Report for the crew"}, {"for=scope&lang=es", `.doc[lang="es"] h1`, "Larkmoor house"},
	} {
		page := w.get(path + "/report?" + c.query).wants(http.StatusOK).page()
		if got := page.Find(c.at).Text(); !strings.Contains(got, c.want) {
			t.Errorf("%s: %s says %q, want %q", c.query, c.at, got, c.want)
		}
		asked, err := url.ParseQuery(c.query)
		if err != nil {
			t.Fatal(err)
		}
		file := page.Find("a[download]").First().AttrOr("href", "")
		if reader := asked.Get("for"); reader == "scope" && !strings.Contains(file, "for=scope") {
			t.Errorf("%s: the file is %s", c.query, file)
		}
	}
	if got, want := w.get(path+"/report.html?for=scope&lang=es").wants(http.StatusOK).Header().Get("Content-Disposition"), `attachment; filename="larkmoor-house-scope-es.html"`; !strings.HasPrefix(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
