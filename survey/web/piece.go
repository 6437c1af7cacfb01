package web

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/store"
)

// A photo may be sent in pieces, so that a cut connection costs one piece and not the photo. The names and meanings of the headers are those of the
// resumable upload protocol tus 1.0 (core and the checksum extension), as is status 460; the photo's id is made by the client, so there is nothing to create
// first.
const (
	headerOffset   = "Upload-Offset"
	headerLength   = "Upload-Length"
	headerChecksum = "Upload-Checksum"
	pieceType      = "application/offset+octet-stream"

	statusChecksum = 460
)

// piecesThere answers HEAD with how much of a photo has arrived: all of it once it is stored, NotFound when nothing has.
func (s *Server) piecesThere(c *gin.Context) error {
	r, id, err := s.recordAndNewPhoto(c)
	if err != nil {
		return err
	}
	now, err := s.arrived(r, id)
	if err != nil {
		return err
	}
	if now.Length == 0 {
		return survey.Errorf(survey.NotFound, "Nothing of this photo has arrived.")
	}
	setPieces(c, now)
	c.Status(http.StatusNoContent)
	return nil
}

// arrived tells how much of a photo is there; a photo that is stored is there whole.
func (s *Server) arrived(r survey.Record, id survey.PhotoID) (store.Pieces, error) {
	if stored, ok := r.Photo(id); ok {
		return store.Pieces{Offset: stored.Bytes, Length: stored.Bytes}, nil
	}
	return s.store.Pieces(id)
}

// addPiece takes one piece of a photo in. The last one makes the photo; sent again it is answered with the photo, too.
func (s *Server) addPiece(c *gin.Context) error {
	r, id, err := s.recordAndNewPhoto(c)
	if err != nil {
		return err
	}
	at, sum, err := readPieceHeaders(c.Request.Header)
	if err != nil {
		return err
	}
	if utf8.RuneCountInString(cleanText(c.Query("caption"))) > maxCaption {
		text := fmt.Sprintf("Keep this under %d characters.", maxCaption)
		return &survey.Error{Kind: survey.Invalid, Message: "The caption is too long, so the photo was not saved.", Fields: map[string]string{"caption": text}}
	}
	defer longUpload(c)()
	if stored, ok := r.Photo(id); ok {
		return s.addPieceAgain(c, stored, at, sum)
	}
	if err := s.mayAddPiece(c.Request.Context(), r, id, at); err != nil {
		return err
	}
	now, err := s.store.AddPiece(c.Request.Context(), r.Survey.ID, id, at, sum, c.Request.Body)
	if now, err = pieceAfter(now, err); err != nil {
		return s.failPiece(c, err)
	}
	s.meter.pieces.Inc()
	s.meter.pieceBytes.Add(float64(max(0, now.Offset-at.Offset)))
	setPieces(c, now)
	if !now.Whole() {
		c.Status(http.StatusNoContent)
		return nil
	}
	photo, err := s.takePieces(c, r, id, now.Length)
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusCreated, photoAnswer(photo))
}

// mayAddPiece is nil when a photo that is not stored may go on arriving, and for its first piece when it may begin.
func (s *Server) mayAddPiece(ctx context.Context, r survey.Record, id survey.PhotoID, at store.Pieces) error {
	there, err := s.store.Pieces(id)
	if err != nil || there.Length > 0 {
		return err
	}
	return s.mayTake(ctx, r.Survey.ID, at.Length)
}

// addPieceAgain answers a piece of a photo that is stored with the photo, and refuses one of any other file, so that nobody takes a file for saved that is not. What
// two senders at once may have left of the photo's pieces is removed.
func (s *Server) addPieceAgain(c *gin.Context, stored survey.Photo, at store.Pieces, sum [sha256.Size]byte) error {
	same, err := s.store.HasPiece(c.Request.Context(), stored.SHA256, at, sum, c.Request.Body)
	if err != nil {
		return err
	}
	if !same || stored.Bytes != at.Length {
		return &survey.Error{Kind: survey.Conflict, Message: "Another photo was saved under this id.", Current: stored}
	}
	if err := s.store.DropPieces(stored.ID); err != nil {
		return err
	}
	return sendJSON(c, http.StatusOK, photoAnswer(stored))
}

// pieceAfter takes a conflict with a photo of which every piece is there for what it is: the last piece came before, and the photo was not yet made of it.
func pieceAfter(now store.Pieces, err error) (store.Pieces, error) {
	if e, ok := errors.AsType[*survey.Error](err); ok && e.Kind == survey.Conflict {
		if there, ok := e.Current.(store.Pieces); ok && there.Whole() {
			return there, nil
		}
	}
	return now, err
}

// failPiece says in the headers where to go on after a piece that did not fit.
func (s *Server) failPiece(c *gin.Context, err error) error {
	switch survey.KindOf(err) {
	case survey.NoSpace:
		s.meter.limited.WithLabelValues(limitLowSpace).Inc()
	case survey.TooOften:
		s.meter.limited.WithLabelValues(limitBegun).Inc()
	}
	if e, ok := errors.AsType[*survey.Error](err); ok {
		if now, ok := e.Current.(store.Pieces); ok {
			setPieces(c, now)
			return survey.Errorf(e.Kind, "%s", e.Message)
		}
	}
	return err
}

// takePieces makes the photo of pieces that are all there, and removes them when it is stored. When another sender of the same pieces was faster, they may be gone and
// the photo is there.
func (s *Server) takePieces(c *gin.Context, r survey.Record, id survey.PhotoID, length int64) (survey.Photo, error) {
	photo, err := s.makeOfPieces(c, r, id, length)
	if err == nil {
		return photo, nil
	}
	if stored, loadErr := s.store.Photo(c.Request.Context(), r.Survey.ID, id); loadErr == nil && stored.Bytes == length {
		return stored, nil
	}
	return survey.Photo{}, err
}

// makeOfPieces makes the photo, and fails when the pieces are not all there or are not what their names say.
func (s *Server) makeOfPieces(c *gin.Context, r survey.Record, id survey.PhotoID, length int64) (survey.Photo, error) {
	whole, err := s.store.OpenPieces(id)
	if err != nil {
		return survey.Photo{}, err
	}
	defer whole.Close()
	blob, err := s.intake.receive(c.Request.Context(), whole)
	if err != nil {
		return survey.Photo{}, err
	}
	if blob.Bytes != length {
		return survey.Photo{}, fmt.Errorf("the pieces of photo %s have %d bytes, not %d", id, blob.Bytes, length)
	}
	photo, err := s.intake.take(c.Request.Context(), survey.Photo{ID: id, Survey: r.Survey.ID, Name: photoName(c.Query("name")), Caption: cleanText(c.Query("caption"))}, blob)
	if err != nil {
		return survey.Photo{}, err
	}
	return photo, s.store.DropPieces(id)
}

// recordAndNewPhoto loads the survey and reads the id of a photo that need not be there yet.
func (s *Server) recordAndNewPhoto(c *gin.Context) (survey.Record, survey.PhotoID, error) {
	id, err := photoID(c)
	if err != nil {
		return survey.Record{}, "", err
	}
	r, err := s.record(c)
	return r, id, err
}

func setPieces(c *gin.Context, p store.Pieces) {
	c.Header(headerOffset, strconv.FormatInt(p.Offset, 10))
	c.Header(headerLength, strconv.FormatInt(p.Length, 10))
}

// readPieceHeaders reads where a piece belongs and its SHA-256.
func readPieceHeaders(h http.Header) (at store.Pieces, sum [sha256.Size]byte, err error) {
	if got := h.Get("Content-Type"); got != pieceType {
		return at, sum, fmt.Errorf("%w: Content-Type must be %s", errUnreadable, pieceType)
	}
	for header, number := range map[string]*int64{headerOffset: &at.Offset, headerLength: &at.Length} {
		if *number, err = strconv.ParseInt(h.Get(header), 10, 64); err != nil || *number < 0 {
			return at, sum, fmt.Errorf("%w: %s must be a number of bytes", errUnreadable, header)
		}
	}
	algorithm, encoded, _ := strings.Cut(h.Get(headerChecksum), " ")
	raw, err := base64.StdEncoding.Strict().DecodeString(encoded)
	if err != nil || algorithm != "sha256" || len(raw) != len(sum) {
		return at, sum, fmt.Errorf("%w: %s must be sha256 and the sum in base64", errUnreadable, headerChecksum)
	}
	return at, [sha256.Size]byte(raw), nil
}
