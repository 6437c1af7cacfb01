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
	sent, err := s.photoSent(c)
	if err != nil {
		return err
	}
	now, err := s.arrived(sent)
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
func (s *Server) arrived(sent photoSent) (store.Pieces, error) {
	if sent.there {
		return store.Pieces{Offset: sent.stored.Bytes, Length: sent.stored.Bytes}, nil
	}
	return s.store.Pieces(sent.id)
}

// addPiece takes one piece of a photo in. The last one makes the photo; sent again it is answered with the photo, too.
func (s *Server) addPiece(c *gin.Context) error {
	sent, err := s.photoSent(c)
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
	if sent.there {
		return s.addPieceAgain(c, sent.stored, at, sum)
	}
	if err := s.mayAddPiece(c.Request.Context(), sent, at); err != nil {
		return err
	}
	now, err := s.store.AddPiece(c.Request.Context(), sent.survey, sent.id, at, sum, c.Request.Body)
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
	photo, err := s.takePieces(c, sent, now.Length)
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusCreated, photoAnswer(photo))
}

// mayAddPiece is nil when a photo that is not stored may go on arriving, and for its first piece when it may begin.
func (s *Server) mayAddPiece(ctx context.Context, sent photoSent, at store.Pieces) error {
	there, err := s.store.Pieces(sent.id)
	if err != nil || there.Length > 0 {
		return err
	}
	return s.mayTake(ctx, sent.survey, at.Length)
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
func (s *Server) takePieces(c *gin.Context, sent photoSent, length int64) (survey.Photo, error) {
	photo, err := s.makeOfPieces(c, sent, length)
	if err == nil {
		return photo, nil
	}
	if stored, loadErr := s.store.Photo(c.Request.Context(), sent.survey, sent.id); loadErr == nil && stored.Bytes == length {
		return stored, nil
	}
	return survey.Photo{}, err
}

// makeOfPieces makes the photo, and fails when the pieces are not all there or are not what their names say.
func (s *Server) makeOfPieces(c *gin.Context, sent photoSent, length int64) (survey.Photo, error) {
	whole, err := s.store.OpenPieces(sent.id)
	if err != nil {
		return survey.Photo{}, err
	}
	defer whole.Close()
	blob, err := s.intake.receive(c.Request.Context(), whole)
	if err != nil {
		return survey.Photo{}, err
	}
	if blob.Bytes != length {
		return survey.Photo{}, fmt.Errorf("the pieces of photo %s have %d bytes, not %d", sent.id, blob.Bytes, length)
	}
	photo, err := s.intake.take(c.Request.Context(), survey.Photo{ID: sent.id, Survey: sent.survey, Name: photoName(c.Query("name")), Caption: cleanText(c.Query("caption"))}, blob)
	if err != nil {
		return survey.Photo{}, err
	}
	return photo, s.store.DropPieces(sent.id)
}

// photoSent is a photo that a phone sends: its survey is there, it itself need not be.
type photoSent struct {
	survey survey.SurveyID
	id     survey.PhotoID
	stored survey.Photo // when there
	there  bool
}

// photoSent finds the photo that the address names. A photo may come in a hundred pieces, so no more of the survey is read for each.
func (s *Server) photoSent(c *gin.Context) (photoSent, error) {
	id, err := photoID(c)
	if err != nil {
		return photoSent{}, err
	}
	in, err := surveyID(c)
	if err != nil {
		return photoSent{}, err
	}
	if _, err := s.store.Survey(c.Request.Context(), in); err != nil {
		return photoSent{}, err
	}
	stored, err := s.store.Photo(c.Request.Context(), in, id)
	if survey.KindOf(err) == survey.NotFound {
		return photoSent{survey: in, id: id}, nil
	}
	return photoSent{in, id, stored, err == nil}, err
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
