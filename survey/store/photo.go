package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"undercroft/annotate"
	"undercroft/survey"
)

// photoRow is a photo as it stands in the history; the names stay when the Go names change.
type photoRow struct {
	ID       survey.PhotoID  `json:"id"`
	Survey   survey.SurveyID `json:"survey"`
	Number   int             `json:"number"`
	Name     string          `json:"name"`
	Caption  string          `json:"caption"`
	SHA256   string          `json:"sha256"`
	Bytes    int64           `json:"bytes"`
	Width    int             `json:"width"`
	Height   int             `json:"height"`
	Screen   string          `json:"screen"`
	Thumb    string          `json:"thumb"`
	Meta     annotate.Meta   `json:"meta"`
	Version  int             `json:"version"`
	AddedAt  time.Time       `json:"added_at"`
	Sequence int64           `json:"sequence"`
}

// AddPhoto adds a photo whose blobs are stored already; number, version, time and sequence are given here. Repeated with the same id and
// SHA256 it gives the stored photo, whatever has become of it since; the same id with other bytes is a Conflict. NotFound when there is no
// such survey, Invalid when an id is none, TooLarge when the survey has as many photos or bytes as it may have.
func (s *Store) AddPhoto(ctx context.Context, p survey.Photo) (survey.Photo, error) {
	if _, err := survey.ParseID(string(p.ID)); err != nil {
		return survey.Photo{}, err
	}
	if err := s.checkBlobs(p); err != nil {
		return survey.Photo{}, s.explain("add photo", err)
	}
	return write(ctx, s, "add photo", func(ctx context.Context, t *tx) (survey.Photo, error) {
		if err := s.stillThere(p); err != nil {
			return survey.Photo{}, err
		}
		return addPhoto(ctx, t, p)
	})
}

// RoomForPhoto is nil when a survey may have one more photo of so many bytes and the disk has space for it: to be asked before the bytes are taken in. TooLarge when the survey has
// as many photos or bytes as it may have, NoSpace when too little of the disk would be left.
func (s *Store) RoomForPhoto(ctx context.Context, in survey.SurveyID, bytes int64) error {
	if err := s.spaceForPhoto(bytes); err != nil {
		return s.explain("look for room", err)
	}
	_, err := read(ctx, s, "look for room", func(ctx context.Context, q query) (struct{}, error) {
		return struct{}{}, checkRoom(ctx, q, in, bytes)
	})
	return err
}

// Photo reads one photo and nothing else of its survey. NotFound when the survey has none of this id, or it is deleted.
func (s *Store) Photo(ctx context.Context, in survey.SurveyID, id survey.PhotoID) (survey.Photo, error) {
	return read(ctx, s, "read photo", func(ctx context.Context, q query) (survey.Photo, error) {
		p, err := findPhoto(ctx, q, in, id)
		if err == nil && p.deleted {
			err = missing("photo", sql.ErrNoRows)
		}
		return p.Photo, err
	})
}

// UpdatePhoto replaces the caption and nothing else; Version is the one it was made from. Conflict with the stored photo when that has
// changed or was deleted since, NotFound when the survey has no such photo.
func (s *Store) UpdatePhoto(ctx context.Context, p survey.Photo) (survey.Photo, error) {
	return write(ctx, s, "update photo", func(ctx context.Context, t *tx) (survey.Photo, error) {
		return updatePhoto(ctx, t, p)
	})
}

// SetPreview gives a photo that cannot be shown the derivatives that were made of it elsewhere: Screen, Thumb, Width, Height and Meta of p are
// kept. A photo that is shown already stays as it is. NotFound when the survey has no such photo; the derivatives must be stored already.
func (s *Store) SetPreview(ctx context.Context, p survey.Photo) (survey.Photo, error) {
	if err := s.checkBlobs(p); err != nil {
		return survey.Photo{}, s.explain("set preview", err)
	}
	return write(ctx, s, "set preview", func(ctx context.Context, t *tx) (survey.Photo, error) {
		if err := s.stillThere(p); err != nil {
			return survey.Photo{}, err
		}
		return setPreview(ctx, t, p)
	})
}

// DeletePhoto hides a photo and the pins on it; its bytes stay. Deleting it again does nothing. Conflict with the stored photo when that
// has changed since version, NotFound when the survey has no such photo.
func (s *Store) DeletePhoto(ctx context.Context, in survey.SurveyID, id survey.PhotoID, version int) error {
	_, err := writeAlways(ctx, s, "delete photo", func(ctx context.Context, t *tx) (struct{}, error) {
		return struct{}{}, deletePhoto(ctx, t, in, id, version)
	})
	return err
}

// checkBlobs makes sure that a row never names bytes that are not there.
func (s *Store) checkBlobs(p survey.Photo) error {
	size, err := s.blobSize(p.SHA256)
	if err != nil {
		return fmt.Errorf("original: %w", err)
	}
	if size != p.Bytes {
		return fmt.Errorf("original has %d bytes, not %d", size, p.Bytes)
	}
	for _, sum := range []string{p.Screen, p.Thumb} {
		if sum == "" {
			continue
		}
		if _, err := s.blobSize(sum); err != nil {
			return fmt.Errorf("derivative: %w", err)
		}
	}
	return nil
}

const photoColumns = `id, survey, number, name, caption, sha256, bytes, width, height, screen, thumb, meta, version, added_at, seq`

// storedPhoto is a photo with whether it is deleted.
type storedPhoto struct {
	survey.Photo
	deleted bool
}

func scanPhoto(row scanner) (storedPhoto, error) {
	var p storedPhoto
	var meta string
	var added int64
	var deletedAt sql.NullInt64
	err := row.Scan(&p.ID, &p.Survey, &p.Number, &p.Name, &p.Caption, &p.SHA256, &p.Bytes, &p.Width, &p.Height, &p.Screen, &p.Thumb,
		&meta, &p.Version, &added, &p.Sequence, &deletedAt)
	if err != nil {
		return storedPhoto{}, err
	}
	if err := json.Unmarshal([]byte(meta), &p.Meta); err != nil {
		return storedPhoto{}, fmt.Errorf("read what photo %s says of itself: %w", p.ID, err)
	}
	p.AddedAt, p.deleted = storedTime(added), deletedAt.Valid
	return p, nil
}

func listPhotos(ctx context.Context, q query, in survey.SurveyID) ([]survey.Photo, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+photoColumns+`, deleted_at FROM photo WHERE survey = ? AND deleted_at IS NULL ORDER BY number`, in)
	return collect(rows, err, func(row scanner) (survey.Photo, error) {
		p, err := scanPhoto(row)
		return p.Photo, err
	})
}

// findPhoto reads a photo of one survey, deleted or not; NotFound when that survey has none of this id.
func findPhoto(ctx context.Context, q query, in survey.SurveyID, id survey.PhotoID) (storedPhoto, error) {
	p, err := scanPhoto(q.QueryRowContext(ctx, `SELECT `+photoColumns+`, deleted_at FROM photo WHERE survey = ? AND id = ?`, in, id))
	return p, missing("photo", err)
}

func addPhoto(ctx context.Context, t *tx, p survey.Photo) (survey.Photo, error) {
	stored, err := scanPhoto(t.QueryRowContext(ctx, `SELECT `+photoColumns+`, deleted_at FROM photo WHERE id = ?`, p.ID))
	switch {
	case err == nil && stored.Survey != p.Survey:
		return survey.Photo{}, elsewhere("photo")
	case err == nil && stored.SHA256 == p.SHA256:
		return stored.Photo, nil
	case err == nil:
		return survey.Photo{}, conflict(stored.Photo, "Another photo was saved under this id.")
	case !errors.Is(err, sql.ErrNoRows):
		return survey.Photo{}, err
	}
	if err := checkRoom(ctx, t, p.Survey, p.Bytes); err != nil {
		return survey.Photo{}, err
	}
	err = t.QueryRowContext(ctx, `UPDATE survey SET last_photo = last_photo + 1 WHERE id = ? RETURNING last_photo`, p.Survey).Scan(&p.Number)
	if err != nil {
		return survey.Photo{}, missing("survey", err)
	}
	if p.Sequence, err = t.next(ctx); err != nil {
		return survey.Photo{}, err
	}
	p.Version, p.AddedAt = 1, t.now
	return p, insertPhoto(ctx, t, p)
}

// checkRoom is TooLarge when a survey may not have one more photo of so many bytes. Removed photos keep their bytes, so these count.
func checkRoom(ctx context.Context, q query, in survey.SurveyID, bytes int64) error {
	var photos int
	var taken int64
	err := q.QueryRowContext(ctx, `SELECT count(*) FILTER (WHERE deleted_at IS NULL), coalesce(sum(bytes), 0) FROM photo WHERE survey = ?`, in).Scan(&photos, &taken)
	switch {
	case err != nil:
		return err
	case photos >= survey.MaxPhotos:
		return survey.Errorf(survey.TooLarge, "This survey has %d photos, and no more are taken. Remove some that are not needed, or go on in another survey.", photos)
	case taken+bytes > survey.MaxSurveyBytes:
		return survey.Errorf(survey.TooLarge, "The photos of this survey have reached %d GB together, and no more are taken. Go on in another survey.", int64(survey.MaxSurveyBytes)>>30)
	}
	return nil
}

func insertPhoto(ctx context.Context, t *tx, p survey.Photo) error {
	if err := savePhoto(ctx, t, p); err != nil {
		return err
	}
	return t.keep(ctx, p.Sequence, photoEntry(p, created))
}

// savePhoto writes a new photo's row.
func savePhoto(ctx context.Context, t *tx, p survey.Photo) error {
	meta, err := json.Marshal(p.Meta)
	if err != nil {
		return fmt.Errorf("write what photo %s says of itself: %w", p.ID, err)
	}
	_, err = t.ExecContext(ctx, `INSERT INTO photo (`+photoColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		p.ID, p.Survey, p.Number, p.Name, p.Caption, p.SHA256, p.Bytes, p.Width, p.Height, p.Screen, p.Thumb, string(meta), p.Version,
		p.AddedAt.UnixMilli(), p.Sequence)
	return err
}

func updatePhoto(ctx context.Context, t *tx, p survey.Photo) (survey.Photo, error) {
	stored, err := findPhoto(ctx, t, p.Survey, p.ID)
	switch {
	case err != nil:
		return survey.Photo{}, err
	case p.Version <= stored.Version && p.Caption == stored.Caption && !stored.deleted:
		return stored.Photo, nil
	case stored.deleted:
		return survey.Photo{}, conflict(stored.Photo, "Somebody else deleted this photo in the meantime.")
	case p.Version != stored.Version:
		return survey.Photo{}, conflict(stored.Photo, "Somebody else changed this photo in the meantime. Nothing of yours was saved yet.")
	}
	changed := stored.Photo
	changed.Caption, changed.Version = p.Caption, stored.Version+1
	if _, err := t.ExecContext(ctx, `UPDATE photo SET caption = ?, version = ? WHERE id = ?`, changed.Caption, changed.Version, changed.ID); err != nil {
		return survey.Photo{}, err
	}
	return changed, t.record(ctx, photoEntry(changed, updated))
}

func setPreview(ctx context.Context, t *tx, p survey.Photo) (survey.Photo, error) {
	stored, err := findPhoto(ctx, t, p.Survey, p.ID)
	switch {
	case err != nil:
		return survey.Photo{}, err
	case stored.deleted:
		return survey.Photo{}, conflict(stored.Photo, "Somebody else deleted this photo in the meantime.")
	case stored.Shown():
		return stored.Photo, nil
	}
	changed := stored.Photo
	changed.Screen, changed.Thumb, changed.Width, changed.Height, changed.Meta, changed.Version = p.Screen, p.Thumb, p.Width, p.Height, p.Meta, stored.Version+1
	meta, err := json.Marshal(changed.Meta)
	if err != nil {
		return survey.Photo{}, fmt.Errorf("write what photo %s says of itself: %w", p.ID, err)
	}
	if _, err := t.ExecContext(ctx, `UPDATE photo SET screen = ?, thumb = ?, width = ?, height = ?, meta = ?, version = ? WHERE id = ?`,
		changed.Screen, changed.Thumb, changed.Width, changed.Height, string(meta), changed.Version, changed.ID); err != nil {
		return survey.Photo{}, err
	}
	return changed, t.record(ctx, photoEntry(changed, updated))
}

func deletePhoto(ctx context.Context, t *tx, in survey.SurveyID, id survey.PhotoID, version int) error {
	stored, err := findPhoto(ctx, t, in, id)
	switch {
	case err != nil:
		return err
	case stored.deleted:
		return nil
	case version != stored.Version:
		return conflict(stored.Photo, "Somebody else changed this photo in the meantime, so it was not deleted.")
	}
	pins, err := listPins(ctx, t, in)
	if err != nil {
		return err
	}
	for _, p := range pins {
		if p.Photo != id {
			continue
		}
		if err := hidePin(ctx, t, p); err != nil {
			return err
		}
	}
	if _, err := t.ExecContext(ctx, `UPDATE photo SET deleted_at = ? WHERE id = ?`, t.now.UnixMilli(), id); err != nil {
		return err
	}
	return t.record(ctx, photoEntry(stored.Photo, deleted))
}

func photoEntry(p survey.Photo, c change) entry {
	return entry{survey: p.Survey, kind: kindPhoto, record: string(p.ID), change: c, version: p.Version, row: photoRow(p)}
}
