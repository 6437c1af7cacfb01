package store

import (
	"fmt"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestEventsAreOfEverything: each thing that was done to a survey is there once, the newest first, with what the row said before.
func TestEventsAreOfEverything(t *testing.T) {
	s := newStore(t)
	id := busySurvey(t, s)
	ctx := survey.WithPerson(t.Context(), survey.Person{Name: "R. Vance"})
	l := must(s.CreateLink(ctx, survey.Link{ID: survey.LinkID(survey.NewID()), Survey: id, Number: 1, By: "R. Vance", Expires: s.now().AddDate(0, 0, 60)}, TokenSum{1}))(t)
	q := must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Name: "J. Quill", Text: "Why?"}))(t)
	must(s.Answer(ctx, id, q.ID, "Because.", "R. Vance"))(t)
	must(s.Decide(ctx, survey.Approval{Survey: id, Number: 1, SHA256: must(s.Revision(ctx, id, 1))(t).SHA256, Decision: survey.Declined, Name: "J. Quill", Reason: "too dear", Consent: "c", Lang: "en", Link: l.ID}))(t)
	if err := s.RevokeLink(ctx, id, l.ID, "R. Vance"); err != nil {
		t.Fatal(err)
	}
	must(s.PutFacts(ctx, id, []survey.Fact{{Key: "width", Text: "30'", Version: 1}, {Key: "ready", Text: "2026-05-30T09:00:00Z"}, {Key: "ready.by", Text: "Ana"}, {Key: "ready.reason", Text: "no rain"}}))(t)

	e := must(s.Events(ctx, id, survey.EventFilter{}))(t)
	var got []string
	for _, one := range e.List {
		got = append(got, strings.TrimSpace(fmt.Sprint(one.Kind, " ", one.What, " ", one.By)))
	}
	want := []string{"fact create R. Vance", "fact update R. Vance", "link revoked R. Vance", "decision declined J. Quill", "question answered R. Vance", "question asked J. Quill", "link made R. Vance"}
	if len(got) < len(want) || strings.Join(got[:len(want)], "; ") != strings.Join(want, "; ") {
		t.Errorf("got %q, want it to begin with %q", got, want)
	}
	if last := got[len(got)-1]; len(got) != 22 || last != "revision issued Ana" {
		t.Errorf("%d events, the oldest %q", len(got), last)
	}
	if row := string(e.List[0].Row); !strings.Contains(row, `"by":"Ana"`) || !strings.Contains(row, `"although":"no rain"`) {
		t.Errorf("the mark of being ready is %s", row)
	}
	if change := e.List[1]; !strings.Contains(string(change.Row), "30'") || !strings.Contains(string(change.Was), "28'") {
		t.Errorf("the width was %s, is %s", change.Was, change.Row)
	}
	if strings.Join(e.People, ", ") != "Ana, J. Quill, R. Vance" || e.More || len(e.Photos) != 3 {
		t.Errorf("people %q, more %t, photos %v", e.People, e.More, e.Photos)
	}
	if _, err := s.Events(ctx, survey.SurveyID(survey.NewID()), survey.EventFilter{}); survey.KindOf(err) != survey.NotFound {
		t.Errorf("no survey: %v", err)
	}
}

// TestEventsAreChosenAndPaged: by kind, record, photo and person; a hundred a page, every one on exactly one page.
func TestEventsAreChosenAndPaged(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	p, other := addTestPhoto(t, s, v.ID, 1), addTestPhoto(t, s, v.ID, 10)
	pin := addTestPin(t, s, p)
	addTestPin(t, s, other)
	for i := range 2*survey.EventPage + 30 {
		ctx := survey.WithPerson(t.Context(), survey.Person{Name: []string{"Ana", "Kim"}[i%2]})
		must(s.PutFacts(ctx, v.ID, []survey.Fact{{Key: "width", Text: fmt.Sprint(20+i, "'"), Version: i}}))(t)
	}
	all := 2*survey.EventPage + 30 + 5 // and the survey, two photos and two pins
	seen := map[string]bool{}
	for page, want := range []int{100, 100, all - 200, 0} {
		e := must(s.Events(t.Context(), v.ID, survey.EventFilter{Page: page}))(t)
		if len(e.List) != want || e.More != (page < 2) {
			t.Errorf("page %d: %d events, more %t", page, len(e.List), e.More)
		}
		for _, one := range e.List {
			seen[string(one.Kind)+one.Record+string(one.Row)] = true
		}
	}
	if len(seen) != all {
		t.Errorf("%d different events on all pages, want %d", len(seen), all)
	}
	for name, c := range map[string]struct {
		filter survey.EventFilter
		want   int
	}{
		"kind":                {survey.EventFilter{Kinds: []survey.EventKind{survey.EventPin, survey.EventPhoto}}, 4},
		"record":              {survey.EventFilter{Kinds: []survey.EventKind{survey.EventPin}, Record: string(pin.ID)}, 1},
		"a photo, its pins":   {survey.EventFilter{On: p.ID}, 2},
		"person":              {survey.EventFilter{By: "Kim", Page: 1}, 17}, // 115 of the facts and, since the pins name who placed them, 2 pins
		"person who is none":  {survey.EventFilter{By: "kim' OR 1=1 --"}, 0},
		"a page before first": {survey.EventFilter{Page: -3, Kinds: []survey.EventKind{survey.EventSurvey}}, 1},
	} {
		if got := must(s.Events(t.Context(), v.ID, c.filter))(t).List; len(got) != c.want {
			t.Errorf("%s: %d events, want %d", name, len(got), c.want)
		}
	}
}

// TestNothingDoneIsEdited tries to change, take out and put over each record that says what was done. The triggers refuse it whoever asks.
func TestNothingDoneIsEdited(t *testing.T) {
	s := newStore(t)
	id := busySurvey(t, s)
	if _, err := s.writer.ExecContext(t.Context(), `UPDATE survey SET changed_seq = changed_seq`); err != nil {
		t.Fatal("the database cannot be written at all:", err)
	}
	for _, table := range []struct{ name, set, key string }{
		{"history", "by = 'Nobody'", "seq"}, {"revision", "by = 'Nobody'", "number"}, {"rendition", "at = at + 1", "number"}, {"seal", "sum = prev", "seq"},
	} {
		var rows int
		if err := s.writer.QueryRowContext(t.Context(), `SELECT count(*) FROM `+table.name+` WHERE survey = ?`, id).Scan(&rows); err != nil || rows == 0 {
			t.Fatal(table.name, rows, err)
		}
		for _, try := range []string{`UPDATE ` + table.name + ` SET ` + table.set, `DELETE FROM ` + table.name, `DELETE FROM ` + table.name + ` WHERE ` + table.key + ` > 1 OR TRUE`,
			`INSERT OR REPLACE INTO ` + table.name + ` SELECT * FROM ` + table.name} {
			if _, err := s.writer.ExecContext(t.Context(), try); err == nil || !strings.Contains(err.Error(), "never") {
				t.Errorf("%s: got %v", try, err)
			}
		}
	}
}
