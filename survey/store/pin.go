package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"

	"undercroft/survey"
)

// PutPin saves a pin. Version 0 makes it and gives it its number; otherwise Version is the one it was made from, and a pin that was deleted
// comes back when put with the version it had then. A pin stays on its photo. Conflict with the stored pin when that has changed or was
// deleted since; NotFound when the survey has no such pin, or no such photo any more; Invalid when an id is none or taken elsewhere.
// Values of the result is never nil.
func (s *Store) PutPin(ctx context.Context, p survey.Pin) (survey.Pin, error) {
	if _, err := survey.ParseID(string(p.ID)); err != nil {
		return survey.Pin{}, err
	}
	return write(ctx, s, "put pin", func(ctx context.Context, t *tx) (survey.Pin, error) {
		return putPin(ctx, t, p)
	})
}

// DeletePin hides a pin; its version stays, and putting it with that version brings it back. Deleting it again does nothing. Conflict with
// the stored pin when that has changed since version, NotFound when the survey has no such pin.
func (s *Store) DeletePin(ctx context.Context, in survey.SurveyID, id survey.PinID, version int) error {
	_, err := write(ctx, s, "delete pin", func(ctx context.Context, t *tx) (struct{}, error) {
		return struct{}{}, deletePin(ctx, t, in, id, version)
	})
	return err
}

const pinColumns = `id, survey, photo, kind, number, x, y, x2, y2, "values", note, placed_by, version, created_at, updated_at`

// storedPin is a pin with whether it is deleted.
type storedPin struct {
	survey.Pin
	deleted bool
}

func scanPin(row scanner) (storedPin, error) {
	var p storedPin
	var values string
	var created, updated int64
	var deletedAt sql.NullInt64
	err := row.Scan(&p.ID, &p.Survey, &p.Photo, &p.Kind, &p.Number, &p.X, &p.Y, &p.X2, &p.Y2, &values, &p.Note, &p.By, &p.Version,
		&created, &updated, &deletedAt)
	if err != nil {
		return storedPin{}, err
	}
	if err := json.Unmarshal([]byte(values), &p.Values); err != nil {
		return storedPin{}, fmt.Errorf("read the values of pin %s: %w", p.ID, err)
	}
	p.CreatedAt, p.UpdatedAt, p.deleted = storedTime(created), storedTime(updated), deletedAt.Valid
	return p, nil
}

func listPins(ctx context.Context, q query, in survey.SurveyID) ([]survey.Pin, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+pinColumns+`, deleted_at FROM pin WHERE survey = ? AND deleted_at IS NULL ORDER BY number`, in)
	return collect(rows, err, func(row scanner) (survey.Pin, error) {
		p, err := scanPin(row)
		return p.Pin, err
	})
}

// samePin tells whether two pins say the same, whatever their numbers, versions and times.
func samePin(a, b survey.Pin) bool {
	return a.Photo == b.Photo && a.Kind == b.Kind && a.X == b.X && a.Y == b.Y && sameEnd(a.X2, b.X2) && sameEnd(a.Y2, b.Y2) &&
		maps.Equal(a.Values, b.Values) && a.Note == b.Note && a.By == b.By
}

func sameEnd(a, b *float64) bool { return a == b || a != nil && b != nil && *a == *b }

func putPin(ctx context.Context, t *tx, p survey.Pin) (survey.Pin, error) {
	stored, err := scanPin(t.QueryRowContext(ctx, `SELECT `+pinColumns+`, deleted_at FROM pin WHERE id = ?`, p.ID))
	switch {
	case errors.Is(err, sql.ErrNoRows) && p.Version == 0:
		return createPin(ctx, t, p)
	case err != nil:
		return survey.Pin{}, missing("pin", err)
	case stored.Survey != p.Survey && p.Version == 0:
		return survey.Pin{}, elsewhere("pin")
	case stored.Survey != p.Survey:
		return survey.Pin{}, missing("pin", sql.ErrNoRows)
	// Repeated after it took effect. Put with the very version that was deleted it is no repetition but brings the pin back.
	case samePin(stored.Pin, p) && (p.Version < stored.Version || p.Version == stored.Version && !stored.deleted):
		return stored.Pin, nil
	case p.Version != stored.Version && stored.deleted:
		return survey.Pin{}, conflict(stored.Pin, "Somebody else deleted this pin in the meantime.")
	case p.Version != stored.Version:
		return survey.Pin{}, conflict(stored.Pin, "Somebody else changed this pin in the meantime. Nothing of yours was saved yet.")
	case p.Photo != stored.Photo:
		return survey.Pin{}, survey.Errorf(survey.Invalid, "A pin stays on its photo. Place a new one on the other photo.")
	}
	return updatePin(ctx, t, stored, p)
}

// livePhoto is NotFound unless the survey has this photo and it is not deleted.
func livePhoto(ctx context.Context, t *tx, in survey.SurveyID, id survey.PhotoID) error {
	photo, err := findPhoto(ctx, t, in, id)
	if err == nil && photo.deleted {
		return survey.Errorf(survey.NotFound, "The photo of this pin was deleted.")
	}
	return err
}

func createPin(ctx context.Context, t *tx, p survey.Pin) (survey.Pin, error) {
	if _, err := findSurvey(ctx, t, p.Survey); err != nil {
		return survey.Pin{}, err
	}
	if err := livePhoto(ctx, t, p.Survey, p.Photo); err != nil {
		return survey.Pin{}, err
	}
	err := t.QueryRowContext(ctx, `UPDATE survey SET last_pin = last_pin + 1 WHERE id = ? RETURNING last_pin`, p.Survey).Scan(&p.Number)
	if err != nil {
		return survey.Pin{}, err
	}
	p.Version, p.CreatedAt, p.UpdatedAt = 1, t.now, t.now
	p, values, err := ownValues(p)
	if err != nil {
		return survey.Pin{}, err
	}
	now := t.now.UnixMilli()
	_, err = t.ExecContext(ctx, `INSERT INTO pin (`+pinColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		p.ID, p.Survey, p.Photo, p.Kind, p.Number, p.X, p.Y, p.X2, p.Y2, values, p.Note, p.By, p.Version, now, now)
	if err != nil {
		return survey.Pin{}, err
	}
	return p, t.record(ctx, pinEntry(p, created))
}

func updatePin(ctx context.Context, t *tx, stored storedPin, p survey.Pin) (survey.Pin, error) {
	if err := livePhoto(ctx, t, p.Survey, p.Photo); err != nil {
		return survey.Pin{}, err
	}
	p.Number, p.Version, p.CreatedAt, p.UpdatedAt = stored.Number, stored.Version+1, stored.CreatedAt, t.now
	p, values, err := ownValues(p)
	if err != nil {
		return survey.Pin{}, err
	}
	_, err = t.ExecContext(ctx, `UPDATE pin SET kind = ?, x = ?, y = ?, x2 = ?, y2 = ?, "values" = ?, note = ?, placed_by = ?, version = ?,
		updated_at = ?, deleted_at = NULL WHERE id = ?`,
		p.Kind, p.X, p.Y, p.X2, p.Y2, values, p.Note, p.By, p.Version, t.now.UnixMilli(), p.ID)
	if err != nil {
		return survey.Pin{}, err
	}
	if stored.deleted {
		return p, t.record(ctx, pinEntry(p, restored))
	}
	return p, t.record(ctx, pinEntry(p, updated))
}

// ownValues gives the pin a copy of its values, never nil, and their JSON.
func ownValues(p survey.Pin) (survey.Pin, string, error) {
	values := maps.Clone(p.Values)
	if values == nil {
		values = map[string]string{}
	}
	p.Values = values
	text, err := json.Marshal(values)
	return p, string(text), err
}

func deletePin(ctx context.Context, t *tx, in survey.SurveyID, id survey.PinID, version int) error {
	stored, err := scanPin(t.QueryRowContext(ctx, `SELECT `+pinColumns+`, deleted_at FROM pin WHERE id = ? AND survey = ?`, id, in))
	switch {
	case err != nil:
		return missing("pin", err)
	case stored.deleted:
		return nil
	case version != stored.Version:
		return conflict(stored.Pin, "Somebody else changed this pin in the meantime, so it was not deleted.")
	}
	return hidePin(ctx, t, stored.Pin)
}

// hidePin marks a pin as deleted.
func hidePin(ctx context.Context, t *tx, p survey.Pin) error {
	if _, err := t.ExecContext(ctx, `UPDATE pin SET deleted_at = ? WHERE id = ?`, t.now.UnixMilli(), p.ID); err != nil {
		return err
	}
	e := pinEntry(p, deleted)
	e.by = "" // the pin names who placed it, not who deletes it
	return t.record(ctx, e)
}

func pinEntry(p survey.Pin, c change) entry {
	return entry{survey: p.Survey, kind: kindPin, record: string(p.ID), change: c, version: p.Version, row: p, by: p.By}
}
