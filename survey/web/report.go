package web

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
)

// reportPage is the report for the crew as a page.
type reportPage struct {
	basePage
	report.Page
	FileHref string
}

// reportPage shows the report; printing it is the browser's business, the style sheet's print part makes it fit for paper.
func (s *Server) reportPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	page := reportPage{basePage: s.surveyPage("Report", screenReport, r), FileHref: surveyPath(r.Survey.ID) + "/report.html"}
	page.Page = report.NewPage(s.crewReport(r), func(p report.PhotoSheet) string {
		photo, _ := r.Photo(p.ID)
		return screenPath(photo)
	})
	return s.render(c, http.StatusOK, "report", page)
}

// crewReport is the model of the report as it stands now.
func (s *Server) crewReport(r survey.Record) report.Model {
	return report.Build(r, survey.Compute(r), report.WithinReport(), s.now())
}

// reportFile sends the report as one file that needs no other, to be kept or passed on.
func (s *Server) reportFile(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := report.WriteHTML(&out, s.crewReport(r), s.picture); err != nil {
		return err
	}
	c.Header("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": fileName(r.Survey.Title) + "-report.html"}))
	c.Header("Content-Length", strconv.Itoa(out.Len()))
	c.Header("Cache-Control", "no-store")
	c.Data(http.StatusOK, htmlType, out.Bytes())
	return nil
}

// picture reads a stored picture.
func (s *Server) picture(sha256 string) ([]byte, error) {
	f, err := s.store.OpenBlob(sha256)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	body, err := io.ReadAll(f)
	if err != nil {
		return nil, fmt.Errorf("read picture %s: %w", sha256, err)
	}
	return body, nil
}

// fileName makes a file's name of a title: letters and digits of ASCII, at most 40, with dashes between; "survey" when none are left.
func fileName(title string) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	name := strings.Join(words, "-")
	if len(name) > 40 {
		name = strings.Trim(name[:40], "-")
	}
	if name == "" {
		return "survey"
	}
	return name
}
