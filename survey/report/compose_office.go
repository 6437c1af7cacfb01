package report

import (
	"fmt"

	"undercroft/survey"
	"undercroft/survey/report/document"
)

// office is what only the office reads: what the scope says beside the plan, and the photos as files, with what their cameras wrote.
func (c *composer) office() {
	c.part("scope", c.in("What the scope says besides the plan"), "")
	var list []document.Fact
	for _, f := range survey.ScopeFields() {
		if lines := c.typed(f.Key); len(lines) > 0 {
			list = append(list, fact(c.in(f.Label), lines...))
		}
	}
	k := c.opt.Company
	for _, t := range []struct{ name, text string }{{c.in("Contractor"), k.Name}, {c.in("License"), k.License}, {c.in("Terms"), k.Terms}, {c.in("Cancellation"), k.Cancellation}, {c.in("Care"), k.Care}} {
		if t.text != "" {
			list = append(list, fact(t.name, own(t.text)))
		}
	}
	if len(list) == 0 {
		c.text(document.Plain, c.plain(c.in("Nothing was typed.")))
	}
	c.facts(list...)
	c.files()
}

// files lists the photos as they were taken in.
func (c *composer) files() {
	c.part("files", c.in("Photos as files"), c.in("not for the homeowner"))
	t := document.Table{Columns: []document.Column{right(c.in("Photo"), 0), left(c.in("File"), 1), left(c.in("Taken"), 0.6), left(c.in("Camera"), 0.6), left(c.in("Place"), 0.8)}}
	for _, p := range c.m.from.record.Photos {
		size := fmt.Sprintf("%d × %d px, %s\u00a0MB", p.Width, p.Height, decimal(float64(p.Bytes)/1e6, 1))
		place := ""
		if lat, lon := p.Meta.Latitude, p.Meta.Longitude; lat != nil && lon != nil {
			place = fmt.Sprintf("%.5f, %.5f", *lat, *lon)
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{cell(document.Line{{Text: itoa(p.Number), To: "photo-" + itoa(p.Number)}}), cell(own(p.Name), c.soft(size), c.soft("SHA-256 "+p.SHA256[:min(16, len(p.SHA256))]+"…")),
			cell(c.plain(c.takenText(p.Meta.Taken))), cell(own(join(" ", p.Meta.Make, p.Meta.Model))), cell(c.plain(place))}})
	}
	t.Caption = c.plain(c.in("The originals are kept byte for byte. The pictures in this report carry no data of the camera."))
	c.table(t)
}
