package web

import (
	"context"
	"net/http"
	"net/url"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// maxUploadTime is how long one request may take to send photos.
const maxUploadTime = 30 * time.Minute

// putPhoto takes the body in as one photo, whatever it is. Sending the same again is answered with what is there. X-Photo-Name is the file's
// name, percent-encoded, kept as a note and never used as a path.
func (s *Server) putPhoto(c *gin.Context) error {
	in, err := surveyID(c)
	if err != nil {
		return err
	}
	id, err := photoID(c)
	if err != nil {
		return err
	}
	r, err := s.store.Record(c.Request.Context(), in)
	if err != nil {
		return err
	}
	if c.Request.ContentLength > survey.MaxPhotoBytes {
		return tooLarge()
	}
	if _, ok := r.Photo(id); !ok {
		if err := s.mayTake(c.Request.Context(), in, c.Request.ContentLength); err != nil {
			return err
		}
	}
	defer longUpload(c)()
	blob, err := s.intake.receive(c.Request.Context(), c.Request.Body)
	if err != nil {
		return err
	}
	if stored, ok := r.Photo(id); ok && stored.SHA256 == blob.SHA256 {
		return sendJSON(c, http.StatusOK, photoAnswer(stored))
	} else if ok {
		return &survey.Error{Kind: survey.Conflict, Message: "Another photo was saved under this id.", Current: stored}
	}
	name, err := url.PathUnescape(c.GetHeader("X-Photo-Name"))
	if err != nil {
		name = c.GetHeader("X-Photo-Name")
	}
	photo, err := s.intake.take(c.Request.Context(), survey.Photo{ID: id, Survey: in, Name: photoName(name)}, blob)
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusCreated, photoAnswer(photo))
}

// mayTake is nil when one more photo of so many bytes, negative when that is not known, may be sent to a survey now: asked before its bytes are taken in.
func (s *Server) mayTake(ctx context.Context, in survey.SurveyID, bytes int64) error {
	if err := s.store.RoomForPhoto(ctx, in, max(0, bytes)); err != nil {
		if survey.KindOf(err) == survey.NoSpace {
			s.meter.limited.WithLabelValues(limitLowSpace).Inc()
		}
		return err
	}
	if s.intake.full() {
		s.meter.limited.WithLabelValues(limitQueue).Inc()
		return errBusy
	}
	return s.mayBeginPhoto(ctx)
}

func tooLarge() error {
	return survey.Errorf(survey.TooLarge, "The photo is too large: at most %d MB are taken.", survey.MaxPhotoBytes>>20)
}

// longUpload lifts the server's limit on the whole answer, since bodies of photos may take longer, and sets a wide one instead. The function
// ends it.
func longUpload(c *gin.Context) func() {
	control := http.NewResponseController(c.Writer)
	_ = control.SetWriteDeadline(time.Time{}) // no deadlines on this connection: nothing to lift
	timer := time.AfterFunc(maxUploadTime, func() {
		_ = control.SetReadDeadline(time.Unix(longAgo, 0))
		_ = control.SetWriteDeadline(time.Unix(longAgo, 0))
	})
	return func() { timer.Stop() }
}

// photoJSON is a photo as programs see it; where it was taken is not in it.
type photoJSON struct {
	ID       survey.PhotoID  `json:"id"`
	Survey   survey.SurveyID `json:"survey"`
	Number   int             `json:"number"`
	Name     string          `json:"name"`
	Caption  string          `json:"caption"`
	SHA256   string          `json:"sha256"`
	Bytes    int64           `json:"bytes"`
	Width    int             `json:"width"`
	Height   int             `json:"height"`
	Shown    bool            `json:"shown"`
	Problem  string          `json:"problem,omitempty"` // why it is not shown
	Warnings []string        `json:"warnings,omitempty"`
	Taken    string          `json:"taken,omitempty"`
	Page     string          `json:"page"`
	Screen   string          `json:"screen,omitempty"` // address of the picture
	Thumb    string          `json:"thumb,omitempty"`
	Version  int             `json:"version"`
	AddedAt  time.Time       `json:"added_at"`
}

func photoAnswer(p survey.Photo) photoJSON {
	answer := photoJSON{
		ID: p.ID, Survey: p.Survey, Number: p.Number, Name: p.Name, Caption: p.Caption, SHA256: p.SHA256, Bytes: p.Bytes, Width: p.Width, Height: p.Height,
		Shown: p.Shown(), Problem: p.Meta.Problem, Warnings: p.Meta.Warnings, Taken: p.Meta.Taken, Page: photoPath(p), Version: p.Version, AddedAt: p.AddedAt,
	}
	if p.Shown() {
		answer.Screen, answer.Thumb = screenPath(p), thumbPath(p)
	}
	return answer
}
