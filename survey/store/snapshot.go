package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"

	"undercroft/survey"
)

// Snapshot reads everything of one survey as it was at one moment. NotFound when there is no survey.
func (s *Store) Snapshot(ctx context.Context, id survey.SurveyID) (survey.Snapshot, error) {
	return read(ctx, s, "read snapshot", func(ctx context.Context, q query) (survey.Snapshot, error) {
		return findSnapshot(ctx, q, id)
	})
}

// Restore adds a survey that was read elsewhere, with its own ids, numbers, versions and times; what bytes it names must be stored already. A survey that is here
// and the same changes nothing; one that differs is a Conflict, and so is a photo or pin that belongs to another survey. NotFound when the survey was erased here.
func (s *Store) Restore(ctx context.Context, v survey.Snapshot) error {
	for _, p := range v.Record.Photos {
		if err := s.checkBlobs(p); err != nil {
			return s.explain("restore survey", err)
		}
	}
	for _, sum := range issuedBlobs(v) {
		if _, err := s.blobSize(sum); err != nil {
			return s.explain("restore survey", err)
		}
	}
	_, err := write(ctx, s, "restore survey", func(ctx context.Context, t *tx) (struct{}, error) {
		for _, p := range v.Record.Photos {
			if err := s.stillThere(p); err != nil {
				return struct{}{}, err
			}
		}
		return struct{}{}, restore(ctx, t, v)
	})
	return err
}

// issuedBlobs are the bytes that what was issued names.
func issuedBlobs(v survey.Snapshot) []string {
	var sums []string
	for _, r := range v.Revisions {
		sums = append(sums, r.SHA256)
	}
	for _, r := range v.Renditions {
		sums = append(sums, r.SHA256)
	}
	for _, r := range v.Record.Reviews {
		sums = append(sums, r.SHA256)
	}
	for _, f := range v.Finishes {
		sums = append(sums, f.SHA256)
	}
	return sums
}

func findSnapshot(ctx context.Context, q query, id survey.SurveyID) (survey.Snapshot, error) {
	var v survey.Snapshot
	var err error
	if v.Record, err = findRecord(ctx, q, id); err != nil {
		return survey.Snapshot{}, err
	}
	if err := q.QueryRowContext(ctx, `SELECT last_photo, last_pin FROM survey WHERE id = ?`, id).Scan(&v.LastPhoto, &v.LastPin); err != nil {
		return survey.Snapshot{}, err
	}
	if err := readIssued(ctx, q, id, &v); err != nil {
		return survey.Snapshot{}, err
	}
	if v.Finishes, err = listFinishes(ctx, q, id); err != nil {
		return survey.Snapshot{}, err
	}
	if v.Seals, err = listSeals(ctx, q, id); err != nil {
		return survey.Snapshot{}, err
	}
	if v.Filings, err = listFilings(ctx, q, id); err != nil {
		return survey.Snapshot{}, err
	}
	v.History, err = listChanges(ctx, q, id)
	return v, err
}

func scanRendition(row scanner) (survey.Rendition, error) {
	var r survey.Rendition
	var at int64
	if err := row.Scan(&r.Number, &r.Name, &r.SHA256, &at); err != nil {
		return survey.Rendition{}, err
	}
	r.At = storedTime(at)
	return r, nil
}

func scanChange(row scanner) (survey.Change, error) {
	var c survey.Change
	var text string
	var at int64
	if err := row.Scan(&c.Kind, &c.ID, &c.What, &c.Version, &text, &at, &c.By); err != nil {
		return survey.Change{}, err
	}
	c.Row, c.At = json.RawMessage(text), storedTime(at)
	return c, nil
}

func restore(ctx context.Context, t *tx, v survey.Snapshot) error {
	id := v.Record.Survey.ID
	switch here, err := findSnapshot(ctx, t, id); {
	case err == nil && sameSnapshot(here, v):
		return nil
	case err == nil:
		return conflict(here.Record.Survey, "This survey is here already and differs: "+difference(here, v)+". Nothing was changed.")
	case survey.KindOf(err) != survey.NotFound:
		return err
	}
	if err := checkErased(ctx, t, id); err != nil {
		return err
	}
	if err := restoreSurvey(ctx, t, v); err != nil {
		return err
	}
	arrived, err := restoreHistory(ctx, t, id, v.History)
	if err != nil {
		return err
	}
	for _, p := range v.Record.Photos {
		if p.Survey = id; arrived[p.ID] == 0 {
			return survey.Errorf(survey.Invalid, "The history does not say when photo %d came.", p.Number)
		}
		p.Sequence = arrived[p.ID]
		if err := taken(ctx, t, "photo", string(p.ID)); err != nil {
			return err
		}
		if err := savePhoto(ctx, t, p); err != nil {
			return err
		}
	}
	for _, p := range v.Record.Pins {
		if err := restorePin(ctx, t, id, p); err != nil {
			return err
		}
	}
	if err := restoreSaid(ctx, t, v.Record); err != nil {
		return err
	}
	for _, f := range v.Filings {
		f.Survey = id
		if err := insertFiling(ctx, t, f); err != nil {
			return err
		}
	}
	return restoreIssued(ctx, t, id, v)
}

// restoreSurvey writes the survey's own row and its facts.
func restoreSurvey(ctx context.Context, t *tx, v survey.Snapshot) error {
	s := v.Record.Survey
	_, err := t.ExecContext(ctx, `INSERT INTO survey (`+surveyColumns+`, changed_at, changed_seq, last_photo, last_pin) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 0, ?, ?)`,
		s.ID, s.Title, s.Address, s.Client, s.Contact, s.Surveyor, s.VisitDate, s.Access, s.Notes, s.Version, s.CreatedAt.UnixMilli(), s.UpdatedAt.UnixMilli(),
		v.Record.ChangedAt.UnixMilli(), v.LastPhoto, v.LastPin)
	if err != nil {
		return err
	}
	for key, f := range v.Record.Facts {
		_, err := t.ExecContext(ctx, `INSERT INTO fact (survey, key, text, version, updated_at) VALUES (?, ?, ?, ?, ?)`, s.ID, key, f.Text, f.Version, f.UpdatedAt.UnixMilli())
		if err != nil {
			return err
		}
	}
	return nil
}

// restoreHistory writes the changes under new numbers of the sequence, and gives the number of each photo's arrival.
func restoreHistory(ctx context.Context, t *tx, in survey.SurveyID, changes []survey.Change) (map[survey.PhotoID]int64, error) {
	arrived := map[survey.PhotoID]int64{}
	var seq int64
	for _, c := range changes {
		var err error
		if seq, err = t.next(ctx); err != nil {
			return nil, err
		}
		if c.Kind == string(kindPhoto) && c.What == string(created) {
			arrived[survey.PhotoID(c.ID)] = seq
		}
		_, err = t.ExecContext(ctx, `INSERT INTO history (seq, survey, kind, record, change, version, row, at, by) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			seq, in, c.Kind, c.ID, c.What, c.Version, string(c.Row), c.At.UnixMilli(), c.By)
		if err != nil {
			return nil, err
		}
	}
	_, err := t.ExecContext(ctx, `UPDATE survey SET changed_seq = ? WHERE id = ?`, seq, in)
	return arrived, err
}

func restorePin(ctx context.Context, t *tx, in survey.SurveyID, p survey.Pin) error {
	if err := taken(ctx, t, "pin", string(p.ID)); err != nil {
		return err
	}
	p, values, err := ownValues(p)
	if err != nil {
		return err
	}
	_, err = t.ExecContext(ctx, `INSERT INTO pin (`+pinColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		p.ID, in, p.Photo, p.Kind, p.Number, p.X, p.Y, p.X2, p.Y2, values, p.Note, p.By, p.Version, p.CreatedAt.UnixMilli(), p.UpdatedAt.UnixMilli())
	return err
}

// taken is a Conflict when a row of this id is there, which then belongs to another survey.
func taken(ctx context.Context, t *tx, table, id string) error {
	var there int
	err := t.QueryRowContext(ctx, `SELECT 1 FROM `+table+` WHERE id = ?`, id).Scan(&there)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err == nil {
		err = elsewhere(table)
	}
	return err
}

// restoreIssued writes the revisions, which must follow each other, and their reports.
func restoreIssued(ctx context.Context, t *tx, in survey.SurveyID, v survey.Snapshot) error {
	for i, r := range v.Revisions {
		if next := survey.NextRevision(in, v.Revisions[:i]); r.Number != next.Number || r.Prev != next.Prev {
			return survey.Errorf(survey.Invalid, "Revision %d does not follow the one before it.", r.Number)
		}
		r.Survey = in
		if err := insertRevision(ctx, t, r); err != nil {
			return err
		}
	}
	for _, r := range v.Renditions {
		if _, err := t.ExecContext(ctx, `INSERT INTO rendition (survey, number, name, sha256, at) VALUES (?, ?, ?, ?, ?)`, in, r.Number, r.Name, r.SHA256, r.At.UnixMilli()); err != nil {
			return err
		}
	}
	return restoreDecided(ctx, t, in, v)
}

// restoreDecided writes the links, which do not work here, the questions, and the decisions, which must be what they were.
func restoreDecided(ctx context.Context, t *tx, in survey.SurveyID, v survey.Snapshot) error {
	for _, l := range v.Links {
		if err := taken(ctx, t, "link", string(l.ID)); err != nil {
			return err
		}
		l.Survey = in
		if err := insertLink(ctx, t, l, nil); err != nil {
			return err
		}
	}
	for _, i := range v.Inquiries {
		if err := taken(ctx, t, "inquiry", i.ID); err != nil {
			return err
		}
		i.Survey = in
		if err := insertInquiry(ctx, t, i); err != nil {
			return err
		}
	}
	if err := survey.CheckApprovals(v.Approvals, v.Revisions); err != nil {
		return err
	}
	for _, a := range v.Approvals {
		if err := insertApproval(ctx, t, a); err != nil {
			return err
		}
	}
	if err := survey.CheckFinishes(v.Finishes, v.Revisions); err != nil {
		return err
	}
	for _, f := range v.Finishes {
		if err := insertFinish(ctx, t, f); err != nil {
			return err
		}
	}
	return restoreSeals(ctx, t, v)
}

// restoreSeals writes the seals, which must be of what was restored.
func restoreSeals(ctx context.Context, t *tx, v survey.Snapshot) error {
	if err := survey.CheckSeals(v); err != nil {
		return err
	}
	for _, s := range v.Seals {
		if err := insertSeal(ctx, t, s); err != nil {
			return err
		}
	}
	return nil
}

// sameSnapshot compares two snapshots of one survey; a store's own sequence numbers do not count.
func sameSnapshot(a, b survey.Snapshot) bool { return difference(a, b) == "" }

// difference names the first part in which two snapshots of one survey differ, empty for none.
func difference(a, b survey.Snapshot) string {
	photos := func(v survey.Snapshot) []survey.Photo {
		list := slices.Clone(v.Record.Photos)
		for i := range list {
			list[i].Sequence = 0
		}
		return list
	}
	history := func(v survey.Snapshot) []string {
		var list []string
		for _, c := range v.History {
			var row bytes.Buffer
			if err := json.Compact(&row, c.Row); err != nil {
				row.WriteString(err.Error())
			}
			list = append(list, fmt.Sprint(c.Kind, c.ID, c.What, c.Version, c.At.UnixMilli(), c.By, row.String()))
		}
		return list
	}
	for _, part := range []struct {
		name string
		a, b any
	}{
		{"the site", a.Record.Survey, b.Record.Survey}, {"its photos", photos(a), photos(b)}, {"its pins", a.Record.Pins, b.Record.Pins}, {"its facts", a.Record.Facts, b.Record.Facts},
		{"its revisions", a.Revisions, b.Revisions}, {"its reports", a.Renditions, b.Renditions}, {"its links", a.Links, b.Links},
		{"its questions", a.Inquiries, b.Inquiries}, {"its decisions", a.Approvals, b.Approvals}, {"its end", a.Finishes, b.Finishes}, {"its seals", a.Seals, b.Seals}, {"where it is kept", a.Filings, b.Filings}, {"its history", history(a), history(b)},
		{"what was said", a.Record.Remarks, b.Record.Remarks}, {"its reviews", a.Record.Reviews, b.Record.Reviews}, {"its verified values", a.Record.Verified, b.Record.Verified},
		{"its numbers", [2]int{a.LastPhoto, a.LastPin}, [2]int{b.LastPhoto, b.LastPin}},
	} {
		if !reflect.DeepEqual(part.a, part.b) && (reflect.ValueOf(part.a).Kind() != reflect.Slice || reflect.ValueOf(part.a).Len()+reflect.ValueOf(part.b).Len() > 0) {
			return part.name
		}
	}
	return ""
}
