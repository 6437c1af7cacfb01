package pdf

import (
	"fmt"

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
	f.need(heightOf(lines) + heightOf(aside) + 10 + f.least(next))
	if h.Level == 1 && len(aside) > 0 {
		f.to.Begin(tagP, "")
		f.y = f.lines(aside, f.left(), f.y, false)
		f.to.End()
	}
	f.list1(h)
	f.to.Begin([...]Tag{tagH1, tagH1, tagH2, tagH3}[min(max(h.Level, 0), 3)], "")
	if indent > 0 {
		f.line(plain(h.Number, fc.soft(), indent)[0], f.left(), f.y, true)
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
	if h.Number != "" {
		indent = max(draw.Measure(draw.Clean(h.Number), fc.size, true)+8, 22)
	}
	room := f.width() - indent
	if h.Aside != "" {
		if h.Level == 1 {
			aside = plain(h.Aside, faceBody.soft(), f.width())
		} else {
			aside = plain(draw.Fit(h.Aside, f.width()*0.45, faceSoft.size, false), faceSoft, f.width())
			room -= aside[0].w + 12
		}
	}
	return plain(h.Text, fc, room), aside, indent
}

// list1 enters a heading at the present height: as target, bookmark and line of the contents.
func (f *flow) list1(h document.Heading) {
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
		return 36 + f.least(next[1:])
	case b.Photo != nil:
		return f.photoBox(*b.Photo).H() + 20
	case b.Figure != nil && b.Figure.Drawing != nil && !b.Figure.Sheet:
		return b.Figure.Drawing.View.H()*f.figureScale(b.Figure.Drawing) + 20
	case b.Table != nil:
		return 70
	case b.Caution != nil:
		return min(heightOf(cautionLines(*b.Caution, f.width()-cautionIndent))+12, f.full()/2)
	case b.Sign != nil:
		return 110
	}
	return 30
}

// contents lists the parts with their pages, once an earlier layout has found them. Parts of parts are listed while all fit on half a page.
func (f *flow) contents() {
	list := f.known.entries
	if len(list) == 0 {
		return
	}
	const lead = 14.0
	short := float64(len(list))*lead > f.full()/2
	f.gap(16)
	f.need(60)
	f.to.Begin(tagP, "")
	f.y = f.lines(plain(f.doc.Labels.Contents, facePart, f.width()), f.left(), f.y, false)
	f.to.End()
	f.rule(f.left(), f.right(), f.y+2, draw.Medium, inkText)
	f.y += 6
	f.to.Begin(tagTOC, "")
	defer f.to.End()
	for _, e := range list {
		if short && e.level > 2 {
			continue
		}
		f.need(lead)
		f.contentsLine(e, lead)
		f.y += lead
	}
}

func (f *flow) contentsLine(e entry, lead float64) {
	fc := face{9.5, lead, false, inkText}
	x := f.left() + 26
	if e.level > 2 {
		fc.size, x = 8.5, x+14
	}
	number := plain(fmt.Sprint(e.page), fc, f.width())[0]
	title := plain(draw.Fit(e.text, f.right()-x-number.w-20, fc.size, false), fc, f.width())
	f.to.Begin(tagTOCItem, "")
	f.to.Begin(tagLink, "")
	f.to.Link(draw.Box{X0: f.left(), Y0: f.y, X1: f.right(), Y1: f.y + lead}, f.known.targets[e.id])
	if e.number != "" && e.level == 2 {
		f.line(plain(e.number, fc.soft(), f.width())[0], f.left(), f.y, true)
	}
	end := x
	if len(title) > 0 {
		f.line(title[0], x, f.y, true)
		end += title[0].w
	}
	f.line(number, f.right()-number.w, f.y, false)
	f.to.End()
	f.to.End()
	if y := f.y + lead/2 + 3; end+10 < f.right()-number.w-6 {
		f.to.Begin(tagArtifact, "")
		f.to.Path(draw.Path{Chains: [][]draw.Point{{{X: end + 6, Y: y}, {X: f.right() - number.w - 6, Y: y}}}, Style: draw.Style{Pen: draw.Light, Ink: inkEdge, Dash: []float64{0.5, 2.5}}})
		f.to.End()
	}
}
