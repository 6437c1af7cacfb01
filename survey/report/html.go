package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"io"
	"strings"
	"sync"

	"undercroft/survey/report/document"
	"undercroft/templates"
)

// ImageSource gives the bytes of a report's picture, an upright JPEG, by its SHA-256.
type ImageSource func(sha256 string) ([]byte, error)

// The addresses that stand in a rendered file for what is put in their place: the styles, and a picture by its SHA-256.
const (
	styleMark = `<link rel="stylesheet" href="report-file.css">`
	imageMark = "report-file-image/"
)

// pages are the templates, loaded once.
var pages = sync.OnceValues(templates.Load)

// WriteHTML writes a document as one self-contained file for paper "letter" or "a4": pictures and styles are inside, no script, nothing is fetched. A
// picture that cannot be opened is an error, since a report without its photos is not what was asked for.
func WriteHTML(w io.Writer, doc document.Document, paper string, images ImageSource) error {
	set, err := pages()
	if err != nil {
		return fmt.Errorf("load templates: %w", err)
	}
	page := NewPage(doc, paper, func(sha256 string) string { return imageMark + sha256 })
	var out bytes.Buffer
	if err := set.Template("report").ExecuteTemplate(&out, "report-file", page); err != nil {
		return fmt.Errorf("render report: %w", err)
	}
	body := strings.Replace(out.String(), styleMark, "<style>\n"+styles(set)+"</style>", 1)
	for {
		before, after, found := strings.Cut(body, `src="`+imageMark)
		if _, err := io.WriteString(w, before); err != nil {
			return fmt.Errorf("write report: %w", err)
		}
		if !found {
			return nil
		}
		sha, rest, _ := strings.Cut(after, `"`)
		if err := writeImage(w, images, sha); err != nil {
			return err
		}
		body = rest
	}
}

// styles are the shared style sheet and the report's own.
func styles(set *templates.Set) string {
	var b strings.Builder
	for _, name := range []string{"part/part.css", "report/report.css"} {
		parts := strings.Split(strings.Trim(set.Address(name), "/"), "/")
		if file, ok := set.Static(parts[1], parts[2], parts[3]); ok {
			b.Write(file.Body)
		}
	}
	return b.String()
}

// writeImage writes the src attribute of one picture as a data address.
func writeImage(w io.Writer, images ImageSource, sha string) error {
	picture, err := images(sha)
	if err != nil {
		return fmt.Errorf("open picture %s: %w", sha, err)
	}
	if _, err := io.WriteString(w, `src="data:image/jpeg;base64,`+base64.StdEncoding.EncodeToString(picture)+`"`); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	return nil
}
