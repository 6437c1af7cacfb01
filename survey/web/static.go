package web

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// homePage sends the browser to the list of surveys.
func (s *Server) homePage(c *gin.Context) error { return redirect(c, "/surveys") }

// staticFile sends a style, a script or the site's icon. Its address names the hash of them all, so it never changes.
func (s *Server) staticFile(c *gin.Context) error {
	file, ok := s.pages.Static(c.Param("hash"), c.Param("folder"), c.Param("file"))
	if !ok {
		return survey.Errorf(survey.NotFound, "There is no such file.")
	}
	c.Header("Cache-Control", "public, max-age=31536000, immutable")
	c.Header("Content-Length", strconv.Itoa(len(file.Body)))
	c.Data(http.StatusOK, file.Type, file.Body)
	return nil
}
