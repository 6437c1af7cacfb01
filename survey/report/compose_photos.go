package report

import (
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// What lies over a photo is drawn for a picture as wide as a column of a Letter page, or narrower where it would be higher than a good half of the
// page; where two stand in a row, for a picture of half that. In points.
const (
	columnWide, photoHigh = 520, 390
	rowWide, rowHigh      = 262, 214
)

// overWidth is the width for which what lies over a photo is drawn; the homeowner's photos stand two in a row.
func (c *composer) overWidth(p PhotoSheet) float64 {
	wide, high := float64(columnWide), float64(photoHigh)
	if c.reader == document.Scope {
		wide, high = rowWide, rowHigh
	}
	if p.Width <= 0 || p.Height <= 0 {
		return wide
	}
	return min(wide, high*float64(p.Width)/float64(p.Height))
}

// photos are the photos with their pins, and what each pin says.
func (c *composer) photos() {
	c.part("photos", c.in("Photos and pins"), c.count(len(c.m.Photos), "photo", "photos"))
	if len(c.m.Photos) == 0 {
		c.text(document.Plain, c.plain(c.in("No photos yet.")))
	}
	for _, p := range c.m.Photos {
		c.sub("photo-"+itoa(p.Number), c.photoTitle(p), p.Taken)
		c.photo(p, "", photoOver(p, c.overWidth(p)), c.overKey(p))
		c.pinTable(p)
	}
}

func (c *composer) photoTitle(p PhotoSheet) string {
	title := c.say("Photo %d", p.Number)
	if p.Caption != "" {
		title += ": " + p.Caption
	}
	return title
}

// photo puts a photo with what lies over it, or says why it cannot be shown.
func (c *composer) photo(p PhotoSheet, id string, over *draw.Drawing, caption document.Line) {
	ph := document.Photo{ID: id, SHA256: p.Screen, Width: p.Width, Height: p.Height, Alt: c.photoAlt(p), Caption: caption}
	switch {
	case p.Screen == "" && p.Problem != "":
		ph.Problem = c.in(p.Problem)
	case p.Screen == "":
		ph.Problem = c.in("The picture cannot be shown.")
	case over != nil:
		ph.Over, ph.OverWidth = over, c.overWidth(p)
	}
	c.add(document.Block{Photo: &ph})
}

// overKey says what the lines of the ceiling over a photo are; nothing where there is none.
func (c *composer) overKey(p PhotoSheet) document.Line {
	if len(p.Ceiling) == 0 || p.Screen == "" {
		return nil
	}
	return c.soft(c.in("Drawn over it: white, seams with the carrier’s number; yellow, furring rows; blue, high edge and gutter; orange, notches, an open box where it is to be checked on site."))
}

// photoAlt describes a photo to those who do not see it.
func (c *composer) photoAlt(p PhotoSheet) string {
	alt := c.say("Photo %d", p.Number)
	if p.Caption != "" {
		alt += ", " + p.Caption
	}
	if c.reader == document.Scope {
		return alt
	}
	return c.say("%s, with %s", alt, c.count(len(p.Pins), "pin", "pins"))
}

// pinTable lists the pins of a photo with all they say.
func (c *composer) pinTable(p PhotoSheet) {
	if len(p.Pins) == 0 {
		c.text(document.Small, c.soft(c.in("No pins on this photo.")))
		return
	}
	t := document.Table{Columns: []document.Column{right(c.in("Pin"), 0), left(c.in("What it says"), 1)}}
	for _, pin := range p.Pins {
		says := cell(c.pinHead(pin), c.pinPlace(pin))
		for _, line := range pin.Ceiling {
			says.Lines = append(says.Lines, c.bold(line))
		}
		if pin.Note != "" {
			says.Lines = append(says.Lines, document.Line{{Text: pin.Note, Soft: true}})
		}
		t.Rows = append(t.Rows, document.Row{ID: "pin-" + itoa(pin.Number), Cells: []document.Cell{cell(c.bold(itoa(pin.Number))), says}})
	}
	c.table(t)
}

func (c *composer) pinHead(pin pinLine) document.Line {
	head := c.bold(pin.Label)
	if s := pin.Summary(); s != "" {
		head[0].Text += ": "
		head = append(head, c.plain(s)...)
	}
	return head
}

// pinPlace says where the pin's thing is on the plan, how well that is known, and by what.
func (c *composer) pinPlace(pin pinLine) document.Line {
	if pin.Position == "" {
		return nil
	}
	line := c.plain(c.say("at %s", pin.Position) + join(" ", "", pin.PM, pin.From))
	if pin.PM != "" || pin.From != "" {
		line = spaced(c.plain(c.say("at %s", pin.Position)), c.soft(join(" ", pin.PM, pin.From)))
	}
	if pin.Says != "" {
		line = append(line, c.plain("; "+pin.Says)...)
	}
	return line
}
