package store

import (
	"strings"
	"testing"

	"undercroft/survey"
)

// TestCompany: none at first; a save is read back; a stale version is a conflict that carries the stored one; the same again changes nothing.
func TestCompany(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	if c, err := s.Company(ctx); err != nil || c != (survey.Company{}) {
		t.Fatalf("at first: got %+v, %v", c, err)
	}
	first := must(s.SaveCompany(ctx, survey.Company{Name: "Fenn & Daughter", License: "C-1", Terms: "Half on order.\nHalf at the end.", ValidDays: 30, KeepYears: 7}))(t)
	if first.Version != 1 || first.UpdatedAt.IsZero() {
		t.Errorf("saved: got %+v", first)
	}
	if got := must(s.Company(ctx))(t); got != first {
		t.Errorf("read back: got %+v, want %+v", got, first)
	}
	if again := must(s.SaveCompany(ctx, first))(t); again != first {
		t.Errorf("the same again: got %+v, want %+v", again, first)
	}
	stale := first
	stale.Version, stale.Name = 0, "Other"
	_, err := s.SaveCompany(ctx, stale)
	if survey.KindOf(err) != survey.Conflict {
		t.Errorf("stale: got %v, want a conflict", err)
	}
	changed := first
	changed.Care = "Hose it down in spring."
	if got := must(s.SaveCompany(ctx, changed))(t); got.Version != 2 || got.Name != first.Name {
		t.Errorf("changed: got %+v", got)
	}
}

// TestCompanyIsValidated: what is too long, on two lines or no number of days is refused by field and nothing is saved.
func TestCompanyIsValidated(t *testing.T) {
	s := newStore(t)
	for name, c := range map[string]survey.Company{
		"name":       {Name: strings.Repeat("n", 201)},
		"license":    {License: "A\nB"},
		"terms":      {Terms: strings.Repeat("t", 20001)},
		"valid_days": {ValidDays: 367},
		"keep_years": {KeepYears: 51},
	} {
		_, err := s.SaveCompany(t.Context(), c)
		if survey.KindOf(err) != survey.Invalid || !strings.Contains(survey.Message(err), "company") {
			t.Errorf("%s: got %v, want it refused", name, err)
		}
	}
	if c := must(s.Company(t.Context()))(t); c.Version != 0 {
		t.Errorf("something was saved: %+v", c)
	}
}

// TestSavedCompanyIsNeverChanged: the database itself refuses to change what an older scope printed.
func TestSavedCompanyIsNeverChanged(t *testing.T) {
	s := newStore(t)
	must(s.SaveCompany(t.Context(), survey.Company{Name: "First"}))(t)
	for _, try := range []string{`UPDATE company SET name = 'Other'`, `DELETE FROM company`,
		`INSERT OR REPLACE INTO company (` + companyColumns + `) SELECT version, 'Other', address, phone, license, terms, cancellation, care, valid_days, keep_years, updated_at FROM company`} {
		if _, err := s.writer.ExecContext(t.Context(), try); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: got %v, want it refused", try, err)
		}
	}
	if c := must(s.Company(t.Context()))(t); c.Name != "First" {
		t.Errorf("got %+v", c)
	}
}
