package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/store"
)

// TestReportRefusesWhatItDoesNotKnow: a reader, a language or a paper that there is none of is said with those that there are.
func TestReportRefusesWhatItDoesNotKnow(t *testing.T) {
	for _, c := range []struct{ flag, value, says string }{
		{"-for", "neighbor", "use crew, scope or survey"}, {"-lang", "fr", "use en or es"}, {"-paper", "tabloid", "use letter or a4"}, {"-o", "x.doc", ".html"},
	} {
		status, stdout, stderr := command(t, "", "report", "-o", "x.html", c.flag, c.value, "house")
		if status != exitUsage || stdout != "" || !strings.Contains(stderr, c.says) {
			t.Errorf("%s %s: status %d, stdout %q, stderr %q", c.flag, c.value, status, stdout, stderr)
		}
	}
}

// TestReportWritesEachReader writes a survey's reports for each reader and looks at what tells them apart.
func TestReportWritesEachReader(t *testing.T) {
	dir := t.TempDir()
	s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.CreateSurvey(t.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Quarry Lane house", Notes: "gate code in the office"}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.SaveCompany(t.Context(), survey.Company{Name: "Fenn Ceilings"}); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	for reader, want := range map[string]string{"crew": "Report for the crew", "scope": "Scope of work", "survey": "Survey, complete"} {
		out := filepath.Join(t.TempDir(), reader+".html")
		status, _, stderr := command(t, "", "report", "-data", dir, "-for", reader, "-paper", "a4", "-metric", "-o", out, "Quarry")
		body, err := os.ReadFile(out)
		if status != exitOK || err != nil {
			t.Fatalf("%s: status %d, %s, %v", reader, status, stderr, err)
		}
		page := string(body)
		if !strings.Contains(page, want) || !strings.Contains(page, "Fenn Ceilings") || !strings.Contains(page, `class="doc a4`) {
			t.Errorf("%s: the page lacks its title, the company or its paper", reader)
		}
		if internal := strings.Contains(page, "gate code"); internal != (reader != "scope") {
			t.Errorf("%s: the office's note is in it: %v", reader, internal)
		}
	}
}
