package store

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

// frozen stores a frozen content and gives its sum.
func frozen(t *testing.T, s *Store, text string) string {
	t.Helper()
	return must(s.ReceiveBlob(t.Context(), strings.NewReader(text), 1000))(t).SHA256
}

func TestRevisions(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	house := must(s.CreateSurvey(ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house"}))(t)
	if list := must(s.Revisions(ctx, house.ID))(t); len(list) != 0 {
		t.Fatalf("at first: %+v", list)
	}
	at := time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	first := survey.NextRevision(house.ID, nil)
	first.SHA256, first.By, first.At = frozen(t, s, `{"number":1}`), "Ana", at
	if got := must(s.Issue(ctx, first))(t); got != first {
		t.Errorf("issued: got %+v, want %+v", got, first)
	}
	if again := must(s.Issue(ctx, first))(t); again != first {
		t.Errorf("the same again: got %+v", again)
	}
	stale := first
	stale.SHA256 = frozen(t, s, `{"number":1,"other":true}`)
	if _, err := s.Issue(ctx, stale); survey.KindOf(err) != survey.Conflict {
		t.Errorf("a second first revision: got %v, want a conflict", err)
	}
	second := survey.NextRevision(house.ID, []survey.Revision{first})
	second.SHA256, second.By, second.Although, second.At = frozen(t, s, `{"number":2}`), "Ben", "the flue is moved on Monday", at.Add(time.Hour)
	forged := second
	forged.Prev = strings.Repeat("0", 64)
	if _, err := s.Issue(ctx, forged); survey.KindOf(err) != survey.Conflict {
		t.Errorf("a revision that follows none: got %v, want a conflict", err)
	}
	must(s.Issue(ctx, second))(t)
	if diff := cmp.Diff([]survey.Revision{first, second}, must(s.Revisions(ctx, house.ID))(t)); diff != "" {
		t.Error(diff)
	}
	if got := must(s.Revision(ctx, house.ID, 2))(t); got != second {
		t.Errorf("read back: %+v", got)
	}
	for name, err := range map[string]error{
		"no such number": errorOf(s.Revision(ctx, house.ID, 3)),
		"no such survey": errorOf(s.Revisions(ctx, survey.SurveyID(survey.NewID()))),
		"no content":     errorOf(s.Issue(ctx, survey.Revision{Survey: house.ID, Number: 3, Prev: second.SHA256, SHA256: strings.Repeat("a", 64)})),
	} {
		if survey.KindOf(err) != survey.NotFound {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

// errorOf is the error of a call that gives two values.
func errorOf[T any](_ T, err error) error { return err }

func TestTheFirstRenditionStands(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	house := must(s.CreateSurvey(ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house"}))(t)
	v := survey.NextRevision(house.ID, nil)
	v.SHA256, v.By, v.At = frozen(t, s, `{}`), "Ana", time.UnixMilli(0).UTC()
	must(s.Issue(ctx, v))(t)
	if _, err := s.Rendition(ctx, v, "crew-en-letter.pdf"); survey.KindOf(err) != survey.NotFound {
		t.Errorf("never painted: got %v", err)
	}
	first, later := frozen(t, s, "first"), frozen(t, s, "later")
	for _, sum := range []string{first, later} {
		if got := must(s.KeepRendition(ctx, v, "crew-en-letter.pdf", sum))(t); got != first {
			t.Errorf("got %s, want the first one's %s", got, first)
		}
	}
	if got := must(s.Rendition(ctx, v, "crew-en-letter.pdf"))(t); got != first {
		t.Errorf("got %s, want %s", got, first)
	}
}

// TestIssuedRevisionIsNeverChanged: the database itself refuses.
func TestIssuedRevisionIsNeverChanged(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	house := must(s.CreateSurvey(ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house"}))(t)
	v := survey.NextRevision(house.ID, nil)
	v.SHA256, v.By, v.At = frozen(t, s, `{}`), "Ana", time.UnixMilli(0).UTC()
	must(s.Issue(ctx, v))(t)
	must(s.KeepRendition(ctx, v, "crew-en-letter.pdf", v.SHA256))(t)
	for _, statement := range []string{
		`UPDATE revision SET by = 'Eve'`,
		`DELETE FROM revision`,
		`INSERT OR REPLACE INTO revision SELECT survey, number, sha256, prev, 'Eve', although, at FROM revision`,
		`REPLACE INTO revision SELECT survey, number, sha256, prev, 'Eve', although, at FROM revision`,
		`UPDATE rendition SET sha256 = '` + strings.Repeat("a", 64) + `'`,
		`DELETE FROM rendition`,
		`INSERT OR REPLACE INTO rendition SELECT survey, number, name, '` + strings.Repeat("a", 64) + `', at FROM rendition`,
	} {
		if _, err := s.writer.ExecContext(ctx, statement); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: got %v, want it refused", statement, err)
		}
	}
	if got := must(s.Revision(ctx, house.ID, 1))(t); got != v {
		t.Errorf("it was changed: %+v", got)
	}
}
