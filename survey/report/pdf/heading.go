package pdf

import (
	"fmt"
	"strings"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// heading writes a heading with what follows it; one that is followed by a whole sheet of paper goes on that sheet.
func (f *flow) heading(h document.Heading, next []document.Block) {
	if h.Level == 2 && !f.listed {
		f.listed = true
		f.contents()
	}
	if beforeSheet(next) {
		f.held = append(f.held, h)
		return
	}
	fc, before := facePart, 12.0
	switch h.Level {
	case 1:
		fc, before = faceTitle, 0
	case 2:
		fc, before = faceSection, 20
	}
	lines, aside, indent := f.headLines(h, fc)
	f.gap(before)
	below := 2.0
	if h.Level < 3 {
		below = 10
	}
	if h.Level == 1 {
		below += heightOf(aside)
	}
	f.need(heightOf(lines) + below + f.least(next))
	if h.Level == 1 && len(aside) > 0 {
		f.to.Begin(tagP, "")
		f.y = f.lines(aside, f.left(), f.y, false)
		f.to.End()
	}
	f.enter(h)
	f.to.Begin([...]Tag{tagH1, tagH1, tagH2, tagH3}[min(max(h.Level, 0), 3)], "")
	if indent > 0 {
		f.line(plain(h.Number, fc.soft(), f.width())[0], f.left(), f.y, true)
	}
	end := f.lines(lines, f.left()+indent, f.y, false)
	f.to.End()
	if h.Level > 1 && len(aside) > 0 {
		f.to.Begin(tagP, "")
		f.line(aside[0], f.right()-aside[0].w, f.y+fc.lead-aside[0].face.lead-1, false)
		f.to.End()
	}
	f.y = end + 2
	if h.Level < 3 {
		f.rule(f.left(), f.right(), f.y+1, draw.Heavy, inkText)
		f.y += 8
	}
}

// headLines are the lines of a heading, of its aside, and how far the text stands behind its number.
func (f *flow) headLines(h document.Heading, fc face) (lines, aside []textLine, indent float64) {
	if strings.TrimSpace(draw.Clean(h.Number)) != "" {
		indent = max(draw.Measure(draw.Clean(h.Number), fc.size, true)+8, 22)
	}
	room := f.width() - indent
	if strings.TrimSpace(draw.Clean(h.Aside)) != "" {
		if h.Level == 1 {
			aside = plain(h.Aside, faceBody.soft(), f.width())
		} else {
			aside = plain(draw.Fit(h.Aside, f.width()*0.45, faceSoft.size, false), faceSoft, f.width())
			room -= aside[0].w + 12
		}
	}
	return plain(h.Text, fc, room), aside, indent
}

// enter enters a heading at the present height: as target, bookmark and line of the contents.
func (f *flow) enter(h document.Heading) {
	f.mark(h.ID, f.y)
	title := h.Text
	if h.Number != "" {
		title = h.Number + " " + h.Text
	}
	f.to.Bookmark(draw.Clean(title), h.Level, max(f.y-6, 0))
	if h.Level > 1 {
		f.found.entries = append(f.found.entries, entry{h.Level, draw.Clean(h.Number), draw.Clean(h.Text), h.ID, f.page})
	}
}

// beforeSheet tells whether a whole sheet of paper comes next, after nothing but headings.
func beforeSheet(next []document.Block) bool {
	for _, b := range next {
		if b.Heading == nil {
			return b.Figure != nil && b.Figure.Sheet
		}
	}
	return false
}

// least is how much of what follows must stand with a heading: the first lines or rows, a photo or a caution whole.
func (f *flow) least(next []document.Block) float64 {
	if len(next) == 0 {
		return 0
	}
	switch b := next[0]; {
	case b.Heading != nil:
		return 50 + f.least(next[1:])
	case b.Photo != nil:
		return f.leastPhoto(b.Photo, next[1:])
	case b.Figure != nil && b.Figure.Drawing != nil && !b.Figure.Sheet:
		return 7 + b.Figure.Drawing.View.H()*f.figureScale(b.Figure.Drawing) + heightOf(set(b.Figure.Caption, faceSoft, min(f.width(), measure)))
	case b.Table != nil:
		return 4 + min(f.newTable(*b.Table).first(), f.full()/2)
	case b.Caution != nil:
		return 3 + min(heightOf(cautionLines(*b.Caution, f.width()-cautionIndent)), f.full()/2)
	case b.Sign != nil:
		return 8 + min(signHeight(*b.Sign, f.width()), f.full()/2)
	case b.Text != nil && leadsIn(*b.Text):
		return 25 + f.least(next[1:])
	case b.List != nil && len(b.List.Items) > 0:
		lines := set(b.List.Items[0], faceBody, min(f.width(), measure)-listIndent)
		return heightOf(lines[:min(len(lines), 3)])
	case b.Facts != nil && len(b.Facts.Items) > 0:
		name, value := f.fact(b.Facts.Items[0])
		return 5 + min(max(heightOf(name), heightOf(value)), f.full()/2)
	}
	return 2 * faceLead.lead
}

// contents lists the numbered parts with their pages, once an earlier layout has found them; a long list stands in two columns.
func (f *flow) contents() {
	var list []entry
	for _, e := range f.known.entries {
		if e.level == 2 {
			list = append(list, e)
		}
	}
	if len(list) < 2 {
		return
	}
	const lead, between = 14.0, 22.0
	columns, w := 1, f.width()
	if len(list) > 10 {
		columns, w = 2, (f.width()-between)/2
	}
	f.gap(12)
	f.need(min(40+lead*float64((len(list)+columns-1)/columns), f.full()))
	f.to.Begin(tagP, "")
	f.y = f.lines(plain(f.doc.Labels.Contents, facePart, f.width()), f.left(), f.y, false)
	f.to.End()
	f.rule(f.left(), f.right(), f.y+2, draw.Medium, inkText)
	f.y += 6
	f.to.Begin(tagTOC, "")
	for len(list) > 0 {
		rows := min((len(list)+columns-1)/columns, max(int(f.room()/lead), 1))
		for i, e := range list[:min(rows*columns, len(list))] {
			f.contentsLine(e, draw.Box{X0: f.left() + float64(i/rows)*(w+between), Y0: f.y + float64(i%rows)*lead, X1: f.left() + float64(i/rows)*(w+between) + w, Y1: f.y + float64(i%rows+1)*lead})
		}
		f.y += float64(rows) * lead
		if list = list[min(rows*columns, len(list)):]; len(list) > 0 {
			f.newPage()
		}
	}
	f.to.End()
}

// contentsLine writes one line of the contents: number, title, dots, page.
func (f *flow) contentsLine(e entry, box draw.Box) {
	fc := face{9.5, box.H(), false, inkText}
	x := box.X0 + 26
	page := plain(fmt.Sprint(e.page), fc, f.width())[0]
	f.to.Begin(tagTOCItem, "")
	f.to.Begin(tagLink, "")
	f.to.Link(box, f.known.targets[e.id])
	for _, l := range plain(e.number, fc.soft(), f.width()) {
		f.line(l, box.X0, box.Y0, true)
	}
	for _, l := range plain(draw.Fit(e.text, box.X1-x-page.w-20, fc.size, false), fc, f.width()) {
		f.line(l, x, box.Y0, true)
		x += l.w
	}
	f.line(page, box.X1-page.w, box.Y0, false)
	f.to.End()
	f.to.End()
	if y := box.Y0 + box.H()/2 + 3; x+10 < box.X1-page.w-6 {
		f.to.Begin(tagArtifact, "")
		f.to.Path(draw.Path{Chains: [][]draw.Point{{{X: x + 6, Y: y}, {X: box.X1 - page.w - 6, Y: y}}}, Style: draw.Style{Pen: draw.Light, Ink: inkEdge, Dash: []float64{0.5, 2.5}}})
		f.to.End()
	}
}
