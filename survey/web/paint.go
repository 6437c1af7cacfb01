package web

import (
	"bytes"
	"fmt"
	"path"

	"github.com/gin-gonic/gin"

	"undercroft/survey/report"
	"undercroft/survey/report/document"
	"undercroft/survey/report/pdf"
)

// The kinds of file that a report is sent as, as their names end.
const (
	kindHTML = "html"
	kindPDF  = "pdf"
)

// fileTypes are the media types of the kinds.
var fileTypes = map[string]string{kindHTML: htmlType, kindPDF: "application/pdf"}

// paintersAtOnce is how many files are painted at the same time: each holds all its photos in memory.
const paintersAtOnce = 2

// fileKind is the kind of file that the address names.
func fileKind(c *gin.Context) string {
	if path.Ext(c.Request.URL.Path) == "."+kindPDF {
		return kindPDF
	}
	return kindHTML
}

// paintFile paints a document as a file of one kind, when it is its turn.
func (s *Server) paintFile(c *gin.Context, out *bytes.Buffer, doc document.Document, choice reportChoice, kind string) error {
	select {
	case s.painters <- struct{}{}:
		defer func() { <-s.painters }()
	case <-c.Request.Context().Done():
		return fmt.Errorf("wait to paint a report: %w", c.Request.Context().Err())
	}
	if kind == kindHTML {
		return report.WriteHTML(out, doc, choice.paper, s.picture)
	}
	return pdf.Write(out, doc, pdf.Paper(choice.paper), s.picture)
}
