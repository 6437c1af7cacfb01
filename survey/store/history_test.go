package store

import (
	"encoding/json"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

func TestHistoryCannotBeChanged(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	for _, text := range []string{
		`UPDATE history SET by = 'x'`,
		`UPDATE OR REPLACE history SET seq = seq + 1`,
		`DELETE FROM history`,
		`REPLACE INTO history SELECT seq, survey, kind, record, change, version, '{}', at, by FROM history`,
		`INSERT OR IGNORE INTO history SELECT seq, survey, kind, record, change, version, '{}', at, by FROM history`,
		`INSERT INTO history SELECT * FROM history WHERE true ON CONFLICT (seq) DO UPDATE SET row = '{}'`,
	} {
		if _, err := s.writer.ExecContext(t.Context(), text); err == nil || !strings.Contains(err.Error(), "history is never") {
			t.Errorf("%s: got error %v", text, err)
		}
	}
	if got := historyOf(t, s, string(v.ID)); !gocmp.Equal(got, []string{"create 1"}) {
		t.Errorf("history %q", got)
	}
}

func TestRowsKeepTheirPlace(t *testing.T) {
	s := newStore(t)
	v, other := addSurvey(t, s), addSurvey(t, s)
	photo, second := addTestPhoto(t, s, v.ID, 1), addTestPhoto(t, s, v.ID, 10)
	pin := addTestPin(t, s, photo)
	for _, c := range []struct {
		text string
		args []any
	}{
		{`UPDATE photo SET survey = ? WHERE id = ?`, []any{other.ID, second.ID}},
		{`UPDATE photo SET sha256 = ? WHERE id = ?`, []any{second.SHA256, photo.ID}},
		{`UPDATE photo SET number = 9 WHERE id = ?`, []any{photo.ID}},
		{`UPDATE pin SET photo = ? WHERE id = ?`, []any{second.ID, pin.ID}},
		{`UPDATE pin SET number = 9 WHERE id = ?`, []any{pin.ID}},
		{`UPDATE survey SET id = ? WHERE id = ?`, []any{survey.NewID(), other.ID}},
		{`INSERT INTO pin SELECT ?, ?, photo, kind, number, x, y, x2, y2, "values", note, placed_by, version, created_at, updated_at, deleted_at FROM pin`, []any{survey.NewID(), other.ID}},
		{`UPDATE pin SET x = 1.5 WHERE id = ?`, []any{pin.ID}},
		{`UPDATE pin SET x2 = 0.5 WHERE id = ?`, []any{pin.ID}},
	} {
		if _, err := s.writer.ExecContext(t.Context(), c.text, c.args...); err == nil {
			t.Errorf("%s: it was done", c.text)
		}
	}
}

// TestHistoryRows reads the rows of each kind back from the history.
func TestHistoryRows(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	photo := addTestPhoto(t, s, v.ID, 1)
	pin := addTestPin(t, s, photo)
	fact := must(s.PutFacts(t.Context(), v.ID, []survey.Fact{{Key: "width", Text: "16'"}}))(t)[0]
	row := func(record string, target any) string {
		t.Helper()
		var text, by string
		if err := s.reader.QueryRowContext(t.Context(), `SELECT row, by FROM history WHERE record = ?`, record).Scan(&text, &by); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal([]byte(text), target); err != nil {
			t.Fatal(err)
		}
		return by
	}
	var gotSurvey surveyRow
	var gotPhoto photoRow
	var gotPin survey.Pin
	var gotFact factRow
	row(string(v.ID), &gotSurvey)
	row(string(photo.ID), &gotPhoto)
	if by := row(string(pin.ID), &gotPin); by != "Kim" {
		t.Errorf("by %q, want Kim", by)
	}
	row("width", &gotFact)
	for _, diff := range []string{gocmp.Diff(v, survey.Survey(gotSurvey)), gocmp.Diff(photo, survey.Photo(gotPhoto)), gocmp.Diff(pin, gotPin), gocmp.Diff(fact, survey.Fact(gotFact))} {
		if diff != "" {
			t.Error(diff)
		}
	}
}
