package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"undercroft/survey"
)

// factRow is a fact as it stands in the history; the names stay when the Go names change.
type factRow struct {
	Survey    survey.SurveyID `json:"survey"`
	Key       string          `json:"key"`
	Text      string          `json:"text"`
	Version   int             `json:"version"`
	UpdatedAt time.Time       `json:"updated_at"`
}

// PutFacts saves facts of one survey, all or none, and gives them in the same order. Version 0 makes a fact, otherwise it is the one it was
// made from; an empty Text takes the value back, and the version goes on. A fact that is sent as it is stored is not changed; one that is
// empty and was never there stays so, with Version 0. Conflict when any has changed since: Fields names each such key, Current is
// the first of them as stored. NotFound when there is no survey; Invalid when a key is empty or comes twice, or a fact names
// another survey.
func (s *Store) PutFacts(ctx context.Context, in survey.SurveyID, facts []survey.Fact) ([]survey.Fact, error) {
	if err := checkFacts(in, facts); err != nil {
		return nil, err
	}
	return write(ctx, s, "put facts", func(ctx context.Context, t *tx) ([]survey.Fact, error) {
		return putFacts(ctx, t, in, facts)
	})
}

func checkFacts(in survey.SurveyID, facts []survey.Fact) error {
	seen := map[string]bool{}
	for _, f := range facts {
		switch {
		case f.Key == "":
			return survey.Errorf(survey.Invalid, "A fact has no key.")
		case seen[f.Key]:
			return survey.Errorf(survey.Invalid, "The fact %q comes twice.", f.Key)
		case f.Survey != "" && f.Survey != in:
			return survey.Errorf(survey.Invalid, "The fact %q belongs to another survey.", f.Key)
		}
		seen[f.Key] = true
	}
	return nil
}

func scanFact(row scanner) (survey.Fact, error) {
	var f survey.Fact
	var updated int64
	if err := row.Scan(&f.Survey, &f.Key, &f.Text, &f.Version, &updated); err != nil {
		return survey.Fact{}, err
	}
	f.UpdatedAt = storedTime(updated)
	return f, nil
}

func listFacts(ctx context.Context, q query, in survey.SurveyID) (map[string]survey.Fact, error) {
	rows, err := q.QueryContext(ctx, `SELECT survey, key, text, version, updated_at FROM fact WHERE survey = ?`, in)
	list, err := collect(rows, err, scanFact)
	if err != nil {
		return nil, err
	}
	facts := make(map[string]survey.Fact, len(list))
	for _, f := range list {
		facts[f.Key] = f
	}
	return facts, nil
}

// findFact reads a fact; one that was never there has Version 0.
func findFact(ctx context.Context, q query, in survey.SurveyID, key string) (survey.Fact, error) {
	f, err := scanFact(q.QueryRowContext(ctx, `SELECT survey, key, text, version, updated_at FROM fact WHERE survey = ? AND key = ?`, in, key))
	if errors.Is(err, sql.ErrNoRows) {
		return survey.Fact{Survey: in, Key: key}, nil
	}
	return f, err
}

func putFacts(ctx context.Context, t *tx, in survey.SurveyID, facts []survey.Fact) ([]survey.Fact, error) {
	if _, err := findSurvey(ctx, t, in); err != nil {
		return nil, err
	}
	saved := make([]survey.Fact, 0, len(facts))
	var clash *survey.Error
	for _, f := range facts {
		f.Survey = in
		stored, err := findFact(ctx, t, in, f.Key)
		if err != nil {
			return nil, err
		}
		switch {
		case f.Version <= stored.Version && f.Text == stored.Text:
			saved = append(saved, stored)
		case f.Version != stored.Version:
			clash = addClash(clash, stored)
		case clash == nil: // otherwise the transaction comes to nothing anyway
			f.Version, f.UpdatedAt = stored.Version+1, t.now
			if err := saveFact(ctx, t, f); err != nil {
				return nil, err
			}
			saved = append(saved, f)
		}
	}
	if clash != nil {
		return nil, clash
	}
	return saved, nil
}

// addClash notes that a fact has changed since.
func addClash(clash *survey.Error, stored survey.Fact) *survey.Error {
	if clash == nil {
		clash = &survey.Error{
			Kind: survey.Conflict, Current: stored, Fields: map[string]string{},
			Message: "Somebody else changed some of this in the meantime. Nothing of yours was saved yet.",
		}
	}
	clash.Fields[stored.Key] = "Now empty: somebody else took the value back."
	if stored.Text != "" {
		clash.Fields[stored.Key] = fmt.Sprintf("Somebody else wrote “%s”.", stored.Text)
	}
	return clash
}

func saveFact(ctx context.Context, t *tx, f survey.Fact) error {
	_, err := t.ExecContext(ctx, `INSERT INTO fact (survey, key, text, version, updated_at) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (survey, key) DO UPDATE SET text = excluded.text, version = excluded.version, updated_at = excluded.updated_at`,
		f.Survey, f.Key, f.Text, f.Version, f.UpdatedAt.UnixMilli())
	if err != nil {
		return err
	}
	what := updated
	if f.Version == 1 {
		what = created
	}
	return t.record(ctx, entry{survey: f.Survey, kind: kindFact, record: f.Key, change: what, version: f.Version, row: factRow(f)})
}
