package web

import (
	"bytes"
	"io"
	"net/http"
	"os"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/bundle"
	"undercroft/survey/report"
)

// listFile sends a list of the ceiling as CSV.
func (s *Server) listFile(c *gin.Context) error {
	name, ok := strings.CutSuffix(c.Param("list"), ".csv")
	if !ok {
		return survey.Errorf(survey.NotFound, "There is no such list.")
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := report.WriteCSV(&out, report.List(name), r, survey.Compute(r)); err != nil {
		return err
	}
	c.Header("Content-Disposition", attachment(fileName(r.Survey.Title)+"-"+name+".csv"))
	c.Header("Content-Length", strconv.Itoa(out.Len()))
	c.Header("Cache-Control", "no-store")
	c.Data(http.StatusOK, "text/csv; charset=utf-8; header=present", out.Bytes())
	return nil
}

// bundleFile sends the survey's bundle. It is written to the disk first, so that what is wrong with it is an error and not half a file.
func (s *Server) bundleFile(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	dir, remove, err := s.store.TempDir()
	if err != nil {
		return err
	}
	defer remove()
	f, err := os.CreateTemp(dir, "bundle-")
	if err != nil {
		return err
	}
	defer f.Close()
	if err := bundle.Write(c.Request.Context(), f, s.store, r.Survey.ID); err != nil {
		return err
	}
	size, err := f.Seek(0, io.SeekCurrent)
	if err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	c.Header("Content-Type", "application/zip")
	c.Header("Content-Disposition", attachment(fileName(r.Survey.Title)+".zip"))
	c.Header("Content-Length", strconv.FormatInt(size, 10))
	c.Header("Cache-Control", "no-store")
	c.Status(http.StatusOK)
	w := newSlowWriter(c.Writer)
	defer w.done()
	_, _ = io.Copy(w, f) // a client that has gone is seen in the log by its bytes
	return nil
}
