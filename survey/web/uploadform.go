package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"

	"github.com/gin-gonic/gin"
	"github.com/google/uuid"

	"undercroft/survey"
)

// sendPhotos takes in the photos of a plain form, each as it arrives, and goes to the photos page, which says what became of them. The
// form's field "id" makes sending it twice harmless: a photo's id follows from it and from the photo's bytes.
func (s *Server) sendPhotos(c *gin.Context) error {
	in, err := surveyID(c)
	if err != nil {
		return err
	}
	if _, err := s.store.Survey(c.Request.Context(), in); err != nil {
		return err
	}
	parts, err := c.Request.MultipartReader()
	if err != nil {
		return fmt.Errorf("%w: %w", errUnreadable, err)
	}
	defer longUpload(c)()
	form := photoForm{server: s, survey: in, id: survey.NewID(), body: c.Request.Body}
	if err := form.read(c.Request.Context(), parts); err != nil {
		return err
	}
	if form.outcome.empty() {
		return survey.Errorf(survey.Invalid, "No photo was chosen. Go back and choose one or more.")
	}
	key := s.outcomes.put(in, form.outcome)
	return redirect(c, surveyPath(in)+"/photos?sent="+key)
}

// photoForm is a form of photos while it arrives.
type photoForm struct {
	server  *Server
	survey  survey.SurveyID
	id      string // of the form, from its page or else made here
	body    io.Reader
	outcome outcomeView
}

// read goes through the parts in order. An error ends it; the photos before it are kept.
func (f *photoForm) read(ctx context.Context, parts *multipart.Reader) error {
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return unreadable(err)
		}
		switch {
		case part.FormName() == "id":
			if err := f.readID(part); err != nil {
				return err
			}
		case part.FormName() == "photos" && part.FileName() != "":
			if err := f.readPhoto(ctx, part); err != nil {
				return err
			}
		}
	}
}

// unreadable marks a broken form as such, and leaves limits and deadlines what they are.
func unreadable(err error) error {
	if status := statusOf(err); status != http.StatusInternalServerError {
		return fmt.Errorf("read form: %w", err)
	}
	return fmt.Errorf("%w: %w", errUnreadable, err)
}

func (f *photoForm) readID(part io.Reader) error {
	text, err := io.ReadAll(io.LimitReader(part, 64))
	if err != nil {
		return unreadable(err)
	}
	if id, err := survey.ParseID(string(text)); err == nil {
		f.id = id
	}
	return nil
}

// readPhoto takes one photo in. A photo that is refused by itself is noted; the others go on.
func (f *photoForm) readPhoto(ctx context.Context, part *multipart.Part) error {
	name := photoName(part.FileName())
	err := f.server.mayTake(ctx, f.survey, -1)
	if survey.KindOf(err) == survey.TooLarge {
		f.outcome.Refused = append(f.outcome.Refused, photoOutcome{name, survey.Message(err)})
		return nil
	}
	if err != nil {
		return err
	}
	blob, err := f.server.intake.receive(ctx, part)
	switch survey.KindOf(err) {
	case survey.Invalid, survey.TooLarge:
		f.outcome.Refused = append(f.outcome.Refused, photoOutcome{name, survey.Message(err)})
		return nil
	}
	if err != nil {
		return unreadable(err)
	}
	if body, ok := f.body.(*timedBody); ok {
		body.pause()
	}
	photo, err := f.server.intake.take(ctx, survey.Photo{ID: f.photoID(blob.SHA256), Survey: f.survey, Name: name}, blob)
	if err != nil {
		return err
	}
	f.outcome.Added++
	if !photo.Shown() {
		f.outcome.Unshown = append(f.outcome.Unshown, photoOutcome{fmt.Sprintf("Photo %d, %s,", photo.Number, photo.Name), photo.Meta.Problem})
	}
	return nil
}

// photoID follows from the form and the photo's bytes: a version 5 UUID (RFC 9562, section 5.5) in the form's name space.
func (f *photoForm) photoID(sha256 string) survey.PhotoID {
	return survey.PhotoID(uuid.NewSHA1(uuid.MustParse(f.id), []byte(sha256)).String())
}
