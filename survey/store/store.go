// Package store keeps surveys in one data folder: the records in one SQLite database, the bytes of photos and of what is made from
// them as files named by their SHA-256.
package store

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"time"

	"undercroft/survey"
)

// Config says where the data lie. Now is the clock; Log may be nil.
type Config struct {
	Dir string
	Now func() time.Time
	Log *slog.Logger
}

// Store is one open data folder. Its methods are safe for use by several goroutines.
type Store struct{}

// Blob is one stored file: SHA256 is 64 lower-case hexadecimal digits, New is false when the same bytes were there before.
type Blob struct {
	SHA256 string
	Bytes  int64
	New    bool
}

var errStart = errors.New("the store is being built")

// Open opens the data folder.
func Open(ctx context.Context, c Config) (*Store, error) { return nil, errStart }

// Close ends all use of the folder.
func (s *Store) Close() error { return nil }

// Ready tells whether the store can answer.
func (s *Store) Ready(ctx context.Context) error { return errStart }

// CreateSurvey adds a survey.
func (s *Store) CreateSurvey(ctx context.Context, v survey.Survey) (survey.Survey, error) {
	return v, errStart
}

// UpdateSurvey changes a survey.
func (s *Store) UpdateSurvey(ctx context.Context, v survey.Survey) (survey.Survey, error) {
	return v, errStart
}

// Survey reads one survey.
func (s *Store) Survey(ctx context.Context, id survey.SurveyID) (survey.Survey, error) {
	return survey.Survey{}, errStart
}

// Surveys lists all surveys, newest change first.
func (s *Store) Surveys(ctx context.Context) ([]survey.Summary, error) { return nil, errStart }

// Record reads everything of one survey.
func (s *Store) Record(ctx context.Context, id survey.SurveyID) (survey.Record, error) {
	return survey.Record{}, errStart
}

// AddPhoto adds a photo.
func (s *Store) AddPhoto(ctx context.Context, p survey.Photo) (survey.Photo, error) {
	return p, errStart
}

// UpdatePhoto changes a caption.
func (s *Store) UpdatePhoto(ctx context.Context, p survey.Photo) (survey.Photo, error) {
	return p, errStart
}

// DeletePhoto removes a photo with its pins.
func (s *Store) DeletePhoto(ctx context.Context, in survey.SurveyID, id survey.PhotoID, version int) error {
	return errStart
}

// PutPin saves a pin.
func (s *Store) PutPin(ctx context.Context, p survey.Pin) (survey.Pin, error) { return p, errStart }

// DeletePin removes a pin.
func (s *Store) DeletePin(ctx context.Context, in survey.SurveyID, id survey.PinID, version int) error {
	return errStart
}

// PutFacts saves facts, all or none.
func (s *Store) PutFacts(ctx context.Context, in survey.SurveyID, facts []survey.Fact) ([]survey.Fact, error) {
	return facts, errStart
}

// ReceiveBlob stores the bytes of r.
func (s *Store) ReceiveBlob(ctx context.Context, r io.Reader, max int64) (Blob, error) {
	return Blob{}, errStart
}

// AdoptBlob stores a copy of a file.
func (s *Store) AdoptBlob(ctx context.Context, path string) (Blob, error) { return Blob{}, errStart }

// OpenBlob opens a stored file.
func (s *Store) OpenBlob(sha256 string) (*os.File, error) { return nil, errStart }

// BlobPath is the path of a stored file.
func (s *Store) BlobPath(sha256 string) (string, error) { return "", errStart }

// TempDir makes a scratch folder.
func (s *Store) TempDir() (string, func(), error) { return "", nil, errStart }
