package store

import (
	"context"
	"encoding/json"
	"strings"

	"undercroft/survey"
)

// eventSources are the tables that tell what was done to a survey: each gives the time, the order among events of one moment, the kind, the record, what was done, by whom,
// and what it says as JSON, of the survey ?1. Whoever adds a table of things that people do adds it here. The marks of being ready that are written together are one event.
func eventSources() []string {
	return []string{
		`SELECT at, seq AS turn, kind, record, change AS what, by, CASE WHEN kind = 'fact' AND record = 'ready' THEN json_set(row, '$.by', (` + factThen + `'ready.by'` + newestThen + `),
			'$.although', (` + factThen + `'ready.reason'` + newestThen + `)) ELSE row END AS row FROM history h WHERE survey = ?1 AND NOT (kind = 'fact' AND record IN ('ready.by', 'ready.reason'))`,
		`SELECT at, number, 'revision', number, 'issued', by, json_object('number', number, 'although', although, 'sha256', sha256) FROM revision WHERE survey = ?1`,
		`SELECT at, 0, 'link', id, 'made', by, json_object('number', number, 'expires', expires_at) FROM link WHERE survey = ?1`,
		`SELECT revoked_at, 1, 'link', id, 'revoked', revoked_by, json_object('number', number) FROM link WHERE survey = ?1 AND revoked_at IS NOT NULL`,
		`SELECT at, 0, 'question', id, 'asked', name, json_object('number', number, 'text', text) FROM inquiry WHERE survey = ?1`,
		`SELECT answered_at, 1, 'question', id, 'answered', answered_by, json_object('number', number, 'text', answer) FROM inquiry WHERE survey = ?1 AND answered_at IS NOT NULL`,
		`SELECT at, seq, 'decision', seq, decision, name, json_object('number', number, 'text', reason, 'with', made_with) FROM approval WHERE survey = ?1`,
		`SELECT at, seq, 'review', seq, 'reviewed', by, json_object('number', revision) FROM review WHERE survey = ?1`,
		`SELECT at, 0, 'remark', id, kind, by, json_object('about', coalesce((SELECT about FROM remark q WHERE q.id = r.question), ''), 'text', text) FROM remark r WHERE survey = ?1`,
		`SELECT at, seq, 'verified', id, CASE withdraws WHEN '' THEN 'verified' ELSE 'withdrawn' END, by,
			json_object('pin', pin, 'set', json(set_values), 'was', json(was_values), 'before', before_words) FROM verification WHERE survey = ?1`,
		`SELECT at, seq, 'finish', seq, act, CASE act WHEN 'signed' THEN name ELSE by END, json_object('number', approved, 'text', reason) FROM finish WHERE survey = ?1`,
		`SELECT at, seq, 'filing', seq, act, by, '{}' FROM filing WHERE survey = ?1`,
	}
}

// What another fact said when an entry h of the history was made.
const (
	factThen   = `SELECT f.row ->> 'text' FROM history f WHERE f.survey = ?1 AND f.kind = 'fact' AND f.record = `
	newestThen = ` AND f.at <= h.at ORDER BY f.seq DESC LIMIT 1`
)

// Events lists what was done to a survey, the newest first, survey.EventPage at a time. NotFound when there is no survey.
func (s *Store) Events(ctx context.Context, in survey.SurveyID, f survey.EventFilter) (survey.Events, error) {
	return read(ctx, s, "list events", func(ctx context.Context, q query) (survey.Events, error) {
		if _, err := findSurvey(ctx, q, in); err != nil {
			return survey.Events{}, err
		}
		all := strings.Join(eventSources(), " UNION ALL ")
		where, args := eventWhere(in, f)
		rows, err := q.QueryContext(ctx, `SELECT at, turn, kind, record, what, by, row FROM (`+all+`) WHERE `+where+` ORDER BY at DESC, turn DESC, kind, record LIMIT ? OFFSET ?`,
			append(args, survey.EventPage+1, min(max(f.Page, 0), survey.EventPages)*survey.EventPage)...)
		found, err := collect(rows, err, scanEvent)
		if err != nil {
			return survey.Events{}, err
		}
		e := survey.Events{More: len(found) > survey.EventPage}
		for _, row := range found[:min(len(found), survey.EventPage)] {
			if row.Was, err = rowBefore(ctx, q, in, row); err != nil {
				return survey.Events{}, err
			}
			e.List = append(e.List, row.Event)
		}
		rows, err = q.QueryContext(ctx, `SELECT DISTINCT by FROM (`+all+`) WHERE by <> '' ORDER BY by`, in)
		e.People, err = collect(rows, err, func(row scanner) (string, error) {
			var name string
			return name, row.Scan(&name)
		})
		if err != nil {
			return survey.Events{}, err
		}
		e.Photos, err = photoNumbers(ctx, q, in)
		return e, err
	})
}

// photoNumbers are the numbers of all photos that a survey ever had.
func photoNumbers(ctx context.Context, q query, in survey.SurveyID) (map[survey.PhotoID]int, error) {
	numbers := map[survey.PhotoID]int{}
	rows, err := q.QueryContext(ctx, `SELECT id, number FROM photo WHERE survey = ?`, in)
	_, err = collect(rows, err, func(row scanner) (struct{}, error) {
		var id survey.PhotoID
		var number int
		err := row.Scan(&id, &number)
		numbers[id] = number
		return struct{}{}, err
	})
	return numbers, err
}

// eventWhere is the condition of a filter with its arguments, the survey first.
func eventWhere(in survey.SurveyID, f survey.EventFilter) (string, []any) {
	where, args := []string{"?1 <> ''"}, []any{in}
	if len(f.Kinds) > 0 {
		where = append(where, "kind IN (?"+strings.Repeat(", ?", len(f.Kinds)-1)+")")
		for _, k := range f.Kinds {
			args = append(args, k)
		}
	}
	if f.Record != "" {
		where, args = append(where, "record = ?"), append(args, f.Record)
	}
	if f.On != "" {
		where, args = append(where, "(kind = 'photo' AND record = ? OR kind = 'pin' AND row ->> 'photo' = ?)"), append(args, f.On, f.On)
	}
	if f.By != "" {
		where, args = append(where, "by = ?"), append(args, f.By)
	}
	return strings.Join(where, " AND "), args
}

// eventRow is an event with its place among those of one moment, which is the history's own number for what has one.
type eventRow struct {
	survey.Event
	turn int64
}

func scanEvent(row scanner) (eventRow, error) {
	var e eventRow
	var at int64
	var text string
	if err := row.Scan(&at, &e.turn, &e.Kind, &e.Record, &e.What, &e.By, &text); err != nil {
		return eventRow{}, err
	}
	e.At, e.Row = storedTime(at), json.RawMessage(text)
	return e, nil
}

// rowBefore is what the history says of a row before an event; nil when it was new, and for what has no history of its own.
func rowBefore(ctx context.Context, q query, in survey.SurveyID, e eventRow) (json.RawMessage, error) {
	switch e.Kind {
	case survey.EventSurvey, survey.EventPhoto, survey.EventPin, survey.EventFact:
	default:
		return nil, nil
	}
	rows, err := q.QueryContext(ctx, `SELECT row FROM history WHERE survey = ? AND kind = ? AND record = ? AND seq < ? ORDER BY seq DESC LIMIT 1`, in, e.Kind, e.Record, e.turn)
	list, err := collect(rows, err, func(row scanner) (string, error) {
		var text string
		return text, row.Scan(&text)
	})
	if err != nil || len(list) == 0 {
		return nil, err
	}
	return json.RawMessage(list[0]), nil
}
