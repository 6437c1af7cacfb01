package store

import (
	"context"
	"fmt"

	"undercroft/survey"
)

// Issued reads what was issued, decided and finished in every survey of the folder, by title: each snapshot holds the survey's own texts, its revisions, their reports, links,
// questions, decisions and acts about its end, and nothing else. A folder of an older schema is an error: it has no seals yet.
func (a *Aside) Issued(ctx context.Context) ([]survey.Snapshot, error) {
	known, err := migrations()
	if err != nil {
		return nil, err
	}
	if a.schema != len(known) {
		return nil, fmt.Errorf("the data folder %s is of an older Undercroft (schema %d, this one's is %d): start the server on it once", a.dir, a.schema, len(known))
	}
	begun, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return nil, fmt.Errorf("read the database: %w", err)
	}
	defer begun.Rollback()
	rows, err := begun.QueryContext(ctx, `SELECT id FROM survey ORDER BY title, id`)
	ids, err := collect(rows, err, func(row scanner) (survey.SurveyID, error) {
		var id survey.SurveyID
		return id, row.Scan(&id)
	})
	if err != nil {
		return nil, fmt.Errorf("list surveys: %w", err)
	}
	var list []survey.Snapshot
	for _, id := range ids {
		var v survey.Snapshot
		if v.Record.Survey, err = findSurvey(ctx, begun, id); err != nil {
			return nil, fmt.Errorf("read survey %s: %w", id, err)
		}
		if err := readIssued(ctx, begun, id, &v); err != nil {
			return nil, fmt.Errorf("read survey %s: %w", id, err)
		}
		if v.Finishes, err = listFinishes(ctx, begun, id); err != nil {
			return nil, fmt.Errorf("read survey %s: %w", id, err)
		}
		list = append(list, v)
	}
	return list, nil
}
