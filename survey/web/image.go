package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/annotate"
	"undercroft/survey"
)

// screenImage sends the picture that pages show.
func (s *Server) screenImage(c *gin.Context) error {
	p, err := s.photoAlone(c)
	if err != nil {
		return err
	}
	return s.sendImage(c, p.Screen)
}

// thumbImage sends the small picture of lists.
func (s *Server) thumbImage(c *gin.Context) error {
	p, err := s.photoAlone(c)
	if err != nil {
		return err
	}
	return s.sendImage(c, p.Thumb)
}

// sendImage sends a derivative. It was made here, so it is a JPEG. An address that names its bytes may be kept for ever.
func (s *Server) sendImage(c *gin.Context, sum string) error {
	if sum == "" {
		return survey.Errorf(survey.NotFound, "This photo cannot be shown. Its original can be downloaded.")
	}
	c.Header("Content-Type", "image/jpeg")
	cache := "private, no-cache"
	if c.Query("v") == sum {
		cache = "private, max-age=31536000, immutable"
	}
	return s.sendBlob(c, sum, cache)
}

// originalPhoto sends a photo as it was taken in, as a file to save and never to be shown: it may be anything.
func (s *Server) originalPhoto(c *gin.Context) error {
	p, err := s.photoAlone(c)
	if err != nil {
		return err
	}
	c.Header("Content-Type", originalType(p.Meta.Format))
	c.Header("Content-Disposition", attachment(fmt.Sprintf("%02d-%s", p.Number, p.Name)))
	c.Header("Content-Security-Policy", "sandbox; default-src 'none'")
	return s.sendBlob(c, p.SHA256, "private, no-cache")
}

func originalType(f annotate.Format) string {
	switch f {
	case annotate.FormatJPEG, annotate.FormatPNG, annotate.FormatWebP, annotate.FormatHEIC:
		return "image/" + string(f)
	}
	return "application/octet-stream"
}

// sendBlob sends stored bytes under an ETag that is their hash, whole or in part.
func (s *Server) sendBlob(c *gin.Context, sum, cache string) error {
	f, err := s.store.OpenBlob(sum)
	if err != nil {
		return err
	}
	defer f.Close()
	c.Header("Cache-Control", cache)
	c.Header("ETag", `"`+sum+`"`)
	w := newSlowWriter(c.Writer)
	defer w.done()
	http.ServeContent(w, c.Request, "", time.Time{}, f)
	return nil
}

// attachment is a Content-Disposition with the file's name twice (RFC 6266, section 5): plain for old clients, and exact.
func attachment(name string) string {
	plain := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || strings.ContainsRune(`"\/%;`, r) {
			return '_'
		}
		return r
	}, name)
	exact := strings.ReplaceAll(url.QueryEscape(name), "+", "%20") // escapes all but the unreserved characters of RFC 3986
	return fmt.Sprintf(`attachment; filename="%s"; filename*=UTF-8''%s`, plain, exact)
}
