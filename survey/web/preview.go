package web

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/store"
)

// maxPreviewBytes is the largest preview that is taken in; a screen-size JPEG has less than a megabyte.
const maxPreviewBytes = 10 << 20

// previewNote says on the photo where its picture came from.
const previewNote = "Its picture was made by the phone or browser that sent it; the original is kept as it is."

// putPreview takes the body in as a JPEG that the client made of a photo which this server cannot show, such as a HEIC file. It goes through the
// same reader as any photo. A photo that is shown already stays as it is.
func (s *Server) putPreview(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	id, err := photoID(c)
	if err != nil {
		return err
	}
	photo, ok := r.Photo(id)
	switch {
	case !ok:
		return survey.Errorf(survey.NotFound, "There is no such photo.")
	case photo.Shown():
		return sendJSON(c, http.StatusOK, photoAnswer(photo))
	case c.Request.ContentLength > maxPreviewBytes:
		return survey.Errorf(survey.TooLarge, "The preview is too large: at most %d MB are taken.", maxPreviewBytes>>20)
	}
	defer longUpload(c)()
	blob, err := s.store.ReceiveBlob(c.Request.Context(), c.Request.Body, maxPreviewBytes)
	if err != nil {
		return err
	}
	if photo, err = s.intake.preview(c.Request.Context(), photo, blob); err != nil {
		return err
	}
	return sendJSON(c, http.StatusOK, photoAnswer(photo))
}

// preview opens a client's preview and makes it the photo's picture. What the original says of itself stays; its size does too where it is
// known.
func (in *intake) preview(ctx context.Context, photo survey.Photo, blob store.Blob) (survey.Photo, error) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), turnLimit+photoLimit)
	defer cancel()
	made := survey.Photo{ID: photo.ID, SHA256: blob.SHA256}
	if err := in.openPicture(ctx, &made); err != nil {
		return survey.Photo{}, err
	}
	if !made.Shown() {
		return survey.Photo{}, survey.Errorf(survey.Invalid, "The preview could not be opened either. The original is kept.")
	}
	photo.Screen, photo.Thumb = made.Screen, made.Thumb
	if photo.Width == 0 || photo.Height == 0 {
		photo.Width, photo.Height = made.Width, made.Height
	}
	photo.Meta.Problem, photo.Meta.Quality = "", made.Meta.Quality
	photo.Meta.Warnings = append(append([]string{previewNote}, photo.Meta.Warnings...), made.Meta.Warnings...)
	return in.store.SetPreview(ctx, photo)
}
