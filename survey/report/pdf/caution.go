package pdf

import (
	"math"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// cautionIndent is the room of edge and icon before a caution's text.
const cautionIndent = 38

// weightInk is the colour of a weight's word, icon and edge.
func weightInk(w document.Weight) draw.Color {
	switch w {
	case document.Stop:
		return 0xff9c1c13
	case document.Warn:
		return 0xff7a4700
	}
	return 0xff2b4a63
}

// cautionLines are all lines of a caution, to know its height.
func cautionLines(c document.Caution, width float64) []textLine {
	var all []textLine
	for _, part := range cautionParts(c, width) {
		all = append(all, part...)
	}
	return all
}

// cautionParts are head, body and rule of a caution.
func cautionParts(c document.Caution, width float64) [][]textLine {
	width = min(width, measure)
	return [][]textLine{
		set(document.Line{{Text: c.Word + " ", Bold: true}, {Text: c.Head, Bold: true}}, faceBody, width),
		set(c.Body, faceBody, width),
		set(c.Rule, faceSoft, width),
	}
}

// caution writes a caution with the edge and the icon of its weight; it is broken over pages only when it is taller than one.
func (f *flow) caution(c document.Caution) {
	parts := cautionParts(c, f.width()-cautionIndent)
	h := heightOf(cautionLines(c, f.width()-cautionIndent))
	f.gap(3)
	f.need(min(h, f.full()/2))
	if h <= f.full() {
		f.need(h)
	}
	f.mark(c.ID, f.y)
	f.icon(c.Weight, draw.Point{X: f.left() + 22, Y: f.y + 8})
	f.to.Begin(tagDiv, "")
	for _, lines := range parts {
		if len(lines) == 0 {
			continue
		}
		f.to.Begin(tagP, "")
		for len(lines) > 0 {
			n := fitting(lines, f.room())
			if n == 0 && !f.fresh() {
				f.newPage()
				continue
			}
			n = max(n, 1)
			top := f.y
			f.y = f.lines(lines[:n], f.left()+cautionIndent, f.y, n < len(lines))
			f.edge(c.Weight, top, f.y)
			lines = lines[n:]
		}
		f.to.End()
	}
	f.to.End()
	f.y += 6
}

// edge draws the left edge of a weight: thick, double or thin.
func (f *flow) edge(w document.Weight, y0, y1 float64) {
	f.to.Begin(tagArtifact, "")
	defer f.to.End()
	bar := func(x, wide float64) {
		f.to.Path(draw.Path{Chains: [][]draw.Point{draw.Box{X0: x, Y0: y0, X1: x + wide, Y1: y1}.Corners()}, Closed: true, Style: draw.Style{Fill: weightInk(w)}})
	}
	switch w {
	case document.Stop:
		bar(f.left(), 4.5)
	case document.Warn:
		bar(f.left(), 1.5)
		bar(f.left()+3, 1.5)
	default:
		bar(f.left(), 1.5)
	}
}

// icon draws the sign of a weight: a filled octagon with a bar, an open triangle, an open circle with an i.
func (f *flow) icon(w document.Weight, c draw.Point) {
	ink := weightInk(w)
	f.to.Begin(tagArtifact, "")
	defer f.to.End()
	poly := func(fill draw.Color, points ...draw.Point) {
		st := draw.Style{Fill: fill}
		if fill == draw.None {
			st = draw.Style{Pen: draw.Heavy, Ink: ink}
		}
		f.to.Path(draw.Path{Chains: [][]draw.Point{points}, Closed: true, Style: st})
	}
	switch w {
	case document.Stop:
		var ring []draw.Point
		for i := range 8 {
			a := math.Pi/8 + float64(i)*math.Pi/4
			ring = append(ring, draw.Point{X: c.X + 8*math.Cos(a), Y: c.Y + 8*math.Sin(a)})
		}
		poly(ink, ring...)
		poly(draw.White, draw.Box{X0: c.X - 4.5, Y0: c.Y - 1.3, X1: c.X + 4.5, Y1: c.Y + 1.3}.Corners()...)
	case document.Warn:
		poly(draw.None, draw.Point{X: c.X, Y: c.Y - 7.5}, draw.Point{X: c.X + 8.2, Y: c.Y + 6.5}, draw.Point{X: c.X - 8.2, Y: c.Y + 6.5})
		poly(ink, draw.Box{X0: c.X - 0.8, Y0: c.Y - 2.8, X1: c.X + 0.8, Y1: c.Y + 2.2}.Corners()...)
		poly(ink, draw.Box{X0: c.X - 0.8, Y0: c.Y + 3.3, X1: c.X + 0.8, Y1: c.Y + 4.9}.Corners()...)
	default:
		f.to.Circle(draw.Circle{Center: c, R: 7, Style: draw.Style{Pen: draw.Heavy, Ink: ink}})
		poly(ink, draw.Box{X0: c.X - 0.8, Y0: c.Y - 1.4, X1: c.X + 0.8, Y1: c.Y + 3.8}.Corners()...)
		poly(ink, draw.Box{X0: c.X - 0.8, Y0: c.Y - 4.1, X1: c.X + 0.8, Y1: c.Y - 2.5}.Corners()...)
	}
}
