package web

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
)

// pinnedPhoto sends a photo with its pins drawn into it, for a message to somebody.
func (s *Server) pinnedPhoto(c *gin.Context) error {
	r, photo, err := s.recordAndPhoto(c)
	if err != nil {
		return err
	}
	if !photo.Shown() {
		return survey.Errorf(survey.NotFound, "This photo cannot be shown. Its original can be downloaded.")
	}
	picture, err := s.picture(photo.Screen)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := report.WritePinned(&out, r, survey.Compute(r), photo.ID, picture); err != nil {
		return err
	}
	c.Header("Content-Disposition", attachment(fmt.Sprintf("%s-photo-%d-pins.jpg", fileName(r.Survey.Title), photo.Number)))
	c.Header("Content-Length", strconv.Itoa(out.Len()))
	c.Header("Cache-Control", "no-store")
	c.Data(http.StatusOK, "image/jpeg", out.Bytes())
	return nil
}
