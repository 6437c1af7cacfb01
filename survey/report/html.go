package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"io"
	"strings"

	"undercroft/templates"
)

// ImageSource gives the bytes of a report's picture, an upright JPEG, by its SHA-256.
type ImageSource func(sha256 string) ([]byte, error)

// Page is the data of the report's template, on a page and in a file alike.
type Page struct {
	Model
	Pinned []templates.PinnedPhoto // by the order of Photos; one without a picture has no Src
}

// paperWidth is the width in px for which the heads of pins are placed on a report's photos: about that of a Letter page's column.
const paperWidth = 640

// NewPage places the pins of every photo for print. src gives the address of a photo's picture.
func NewPage(m Model, src func(PhotoSheet) string) Page {
	p := Page{Model: m}
	for _, sheet := range m.Photos {
		var pins []templates.PinnedPin
		for i, pin := range sheet.Original {
			pins = append(pins, templates.PinnedPin{Kind: string(pin.Kind), Number: pin.Number, X: pin.X, Y: pin.Y, X2: pin.X2, Y2: pin.Y2,
				Label: fmt.Sprintf("Pin %d%s, %s", pin.Number, times(pin.Count()), sheet.Pins[i].Label), Href: "#pin-" + itoa(pin.Number), Caution: len(sheet.Pins[i].Ceiling) > 0, Count: pin.Count()})
		}
		address := ""
		if sheet.Screen != "" {
			address = src(sheet)
		}
		p.Pinned = append(p.Pinned, templates.PinPhoto(address, sheet.alt(), sheet.Width, sheet.Height, paperWidth, pins).LayCeiling(sheet.Ceiling, paperWidth))
	}
	return p
}

// alt describes a photo to those who do not see it.
func (p PhotoSheet) alt() string {
	if p.Caption == "" {
		return fmt.Sprintf("Photo %d with %s", p.Number, plural(len(p.Pins), "pin", "pins"))
	}
	return fmt.Sprintf("Photo %d, %s, with %s", p.Number, p.Caption, plural(len(p.Pins), "pin", "pins"))
}

// The addresses that stand in a rendered file for what is put in their place: the styles, and a picture by its SHA-256.
const (
	styleMark = `<link rel="stylesheet" href="report-file.css">`
	imageMark = "report-file-image/"
)

// WriteHTML writes the report as one self-contained file: pictures and styles are inside, no script, nothing is fetched. A picture that
// cannot be opened is an error, since a report without its photos is not what was asked for.
func WriteHTML(w io.Writer, m Model, images ImageSource) error {
	set, err := templates.Load()
	if err != nil {
		return fmt.Errorf("load templates: %w", err)
	}
	page := NewPage(m, func(p PhotoSheet) string { return imageMark + p.Screen })
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

// times is " ×19" for a row of 19, as the picture shows it beside the number, and empty for a single one.
func times(n int) string {
	if n > 1 {
		return " ×" + itoa(n)
	}
	return ""
}
