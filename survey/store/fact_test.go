package store

import (
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

func TestPutFacts(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	put := func(facts ...survey.Fact) []survey.Fact {
		t.Helper()
		return must(s.PutFacts(t.Context(), v.ID, facts))(t)
	}
	if got := must(s.PutFacts(t.Context(), v.ID, nil))(t); len(got) != 0 {
		t.Errorf("none: got %+v", got)
	}
	first := put(survey.Fact{Key: "width", Text: "16'"}, survey.Fact{Key: "outline"}, survey.Fact{Key: "projection", Text: "12' 3\""})
	want := []survey.Fact{
		{Survey: v.ID, Key: "width", Text: "16'", Version: 1, UpdatedAt: first[0].UpdatedAt},
		{Survey: v.ID, Key: "outline"},
		{Survey: v.ID, Key: "projection", Text: "12' 3\"", Version: 1, UpdatedAt: first[0].UpdatedAt},
	}
	if diff := gocmp.Diff(want, first); diff != "" {
		t.Error(diff)
	}
	if diff := gocmp.Diff(first, put(survey.Fact{Key: "width", Text: "16'"}, survey.Fact{Key: "outline"}, first[2])); diff != "" {
		t.Error("repeated:", diff)
	}
	if got := must(s.Record(t.Context(), v.ID))(t).Facts; len(got) != 2 {
		t.Errorf("got %+v, want two facts", got)
	}

	gone := put(survey.Fact{Key: "width", Version: 1})[0]
	if gone.Version != 2 || gone.Text != "" {
		t.Errorf("taken back: %+v", gone)
	}
	if got := must(s.Record(t.Context(), v.ID))(t).Facts["width"]; got != gone {
		t.Errorf("the record has %+v, want %+v", got, gone)
	}
	if _, err := s.PutFacts(t.Context(), v.ID, []survey.Fact{{Key: "width", Text: "17'"}}); err == nil {
		t.Error("a value that was taken back was typed anew without its version")
	}
	if got := put(survey.Fact{Key: "width", Text: "17'", Version: 2})[0]; got.Version != 3 {
		t.Errorf("typed again: %+v", got)
	}
	if got := historyOf(t, s, "width"); !gocmp.Equal(got, []string{"create 1", "update 2", "update 3"}) {
		t.Errorf("history %q", got)
	}
}

func TestPutFactsAllOrNothing(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	stored := must(s.PutFacts(t.Context(), v.ID, []survey.Fact{{Key: "a", Text: "1"}, {Key: "b", Text: "2"}, {Key: "c", Text: "3"}}))(t)
	stored[2] = must(s.PutFacts(t.Context(), v.ID, []survey.Fact{{Key: "c", Version: 1}}))(t)[0]
	before := must(s.Record(t.Context(), v.ID))(t)
	_, err := s.PutFacts(t.Context(), v.ID, []survey.Fact{
		{Key: "new", Text: "x"},
		{Key: "a", Text: "mine", Version: 1},
		{Key: "b", Text: "mine", Version: 0},
		{Key: "c", Text: "mine", Version: 1},
		{Key: "never", Text: "mine", Version: 4},
	})
	e := wantKind(t, err, survey.Conflict)
	if e.Current != stored[1] {
		t.Errorf("current is %+v, want %+v", e.Current, stored[1])
	}
	if len(e.Fields) != 3 || !strings.Contains(e.Fields["b"], "2") || e.Fields["c"] == "" || e.Fields["never"] == "" {
		t.Errorf("fields %q, want b, c and never", e.Fields)
	}
	if diff := gocmp.Diff(before, must(s.Record(t.Context(), v.ID))(t)); diff != "" {
		t.Error("something was saved:", diff)
	}
	if got := historyOf(t, s, "new"); len(got) != 0 {
		t.Errorf("history of what was not saved: %q", got)
	}
}

func TestPutFactsIsRefused(t *testing.T) {
	s := newStore(t)
	v, other := addSurvey(t, s), addSurvey(t, s)
	for name, facts := range map[string][]survey.Fact{
		"no key":         {{Text: "x"}},
		"twice":          {{Key: "a", Text: "1"}, {Key: "a", Text: "2"}},
		"another survey": {{Key: "a", Text: "1", Survey: other.ID}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := s.PutFacts(t.Context(), v.ID, facts)
			wantKind(t, err, survey.Invalid)
		})
	}
	_, err := s.PutFacts(t.Context(), sampleSurvey().ID, []survey.Fact{{Key: "a", Text: "1"}})
	wantKind(t, err, survey.NotFound)
}
