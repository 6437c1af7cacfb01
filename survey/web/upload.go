package web

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/store"
)

// photoLimit is how long one photo may take once its bytes are here, waiting for its turn included.
const photoLimit = 5 * time.Minute

// maxUploadTime is how long one request may take to send photos.
const maxUploadTime = 30 * time.Minute

// errEmpty refuses a photo without bytes.
var errEmpty = survey.Errorf(survey.Invalid, "The photo is empty: no bytes arrived. Choose it again.")

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
	defer longUpload(c)()
	blob, err := s.receive(c.Request.Context(), c.Request.Body)
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
	photo, err := s.takePhoto(c.Request.Context(), in, id, name, blob)
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusCreated, photoAnswer(photo))
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

// receive stores the bytes of one photo. None at all is an Invalid error, too many are TooLarge.
func (s *Server) receive(ctx context.Context, r io.Reader) (store.Blob, error) {
	body := bufio.NewReaderSize(r, 64<<10)
	if _, err := body.Peek(1); errors.Is(err, io.EOF) {
		return store.Blob{}, errEmpty
	} else if err != nil {
		return store.Blob{}, fmt.Errorf("receive photo: %w", err)
	}
	return s.store.ReceiveBlob(ctx, body, survey.MaxPhotoBytes)
}

// takePhoto makes a photo of stored bytes: what it says of itself, its derivatives, its row. The bytes have all arrived, so a client
// that hangs up now does not stop it. A picture that cannot be opened makes a photo that says why.
func (s *Server) takePhoto(ctx context.Context, in survey.SurveyID, id survey.PhotoID, name string, blob store.Blob) (survey.Photo, error) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), photoLimit)
	defer cancel()
	photo := survey.Photo{ID: id, Survey: in, Name: photoName(name), SHA256: blob.SHA256, Bytes: blob.Bytes}
	if err := s.openPicture(ctx, &photo); err != nil {
		return survey.Photo{}, err
	}
	return s.store.AddPhoto(ctx, photo)
}

// openPicture reads the photo and stores its derivatives. When the reader itself fails, the photo is kept without a picture, because the
// bytes are what counts; the log says why.
func (s *Server) openPicture(ctx context.Context, photo *survey.Photo) error {
	select {
	case s.reading <- struct{}{}:
		defer func() { <-s.reading }()
	case <-ctx.Done():
		return fmt.Errorf("wait for a photo's turn: %w", context.Cause(ctx))
	}
	from, err := s.store.BlobPath(photo.SHA256)
	if err != nil {
		return err
	}
	dir, remove, err := s.store.TempDir()
	if err != nil {
		return err
	}
	defer remove()
	result, err := s.photos.Read(ctx, from, dir)
	if err != nil {
		s.log.Error("a photo could not be read", "request", requestOf(ctx).id, "photo", photo.ID, "error", err)
		photo.Meta = result.Meta
		photo.Meta.Problem = "The server could not open the picture. The original is kept."
		return nil
	}
	photo.Meta, photo.Width, photo.Height = result.Meta, result.Meta.Width, result.Meta.Height
	if result.Screen == "" || result.Thumb == "" {
		return nil
	}
	for _, d := range []struct {
		path string
		sum  *string
	}{{result.Screen, &photo.Screen}, {result.Thumb, &photo.Thumb}} {
		blob, err := s.store.AdoptBlob(ctx, d.path)
		if err != nil {
			return err
		}
		*d.sum = blob.SHA256
	}
	return nil
}

// photoName is a file's name as it is shown: no folders, nothing that does not print, at most 200 characters.
func photoName(name string) string {
	name = strings.ReplaceAll(cleanText(name), "\n", " ")
	if name = path.Base(strings.ReplaceAll(name, `\`, "/")); name == "." || name == "/" || name == ".." {
		return "photo"
	}
	if utf8.RuneCountInString(name) > 200 {
		name = string([]rune(name)[:200])
	}
	return name
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
