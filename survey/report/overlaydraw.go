package report

import (
	"slices"
	"strconv"
	"strings"

	"undercroft/survey/report/draw"
	"undercroft/templates"
)

// The colours of what lies over a photo, the same on every page: a light line on a dark casing shows on any ground.
const (
	overCase  draw.Color = 0xff0b110d
	overLine  draw.Color = 0xffffffff
	overRow   draw.Color = 0xffffd54a
	overNotch draw.Color = 0xffff6a45
	overEdge  draw.Color = 0xff7fd8ff
	overInk   draw.Color = 0xff101713
)

// pointsPerPx is the size of a CSS pixel in points: what lies over a photo is placed in pixels, as on a page.
const pointsPerPx = 0.75

// photoOver draws a photo's pins and the computed ceiling for a picture width points wide, the ceiling below the pins; nil when there is neither. Places and
// shapes are those of the pages.
func photoOver(sheet PhotoSheet, width float64) *draw.Drawing {
	if len(sheet.Original)+len(sheet.Ceiling) == 0 || sheet.Width <= 0 || sheet.Height <= 0 {
		return nil
	}
	var pins []templates.PinnedPin
	for i, p := range sheet.Original {
		pins = append(pins, templates.PinnedPin{Kind: string(p.Kind), Number: p.Number, X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2, Caution: len(sheet.Pins[i].Ceiling) > 0, Count: p.Count()})
	}
	o := over{w: width, h: width * float64(sheet.Height) / float64(sheet.Width), dr: &draw.Drawing{}}
	o.dr.View = draw.Box{X1: o.w, Y1: o.h}
	placed := templates.PinPhoto("", "", sheet.Width, sheet.Height, width/pointsPerPx, pins).LayCeiling(sheet.Ceiling, width/pointsPerPx)
	for _, s := range sheet.Ceiling {
		o.ceiling(s)
	}
	o.words(placed)
	for _, m := range placed.Marks {
		o.line(m)
	}
	for _, m := range placed.Marks {
		o.mark(m)
	}
	return o.dr
}

// over draws over a picture of w by h points.
type over struct {
	dr   *draw.Drawing
	w, h float64
}

func px(v float64) draw.Pen { return draw.Pen(v * pointsPerPx) }

// cased draws chains of one colour on the dark casing, both in px.
func (o over) cased(chains [][]draw.Point, wide float64, ink draw.Color, dash []float64) {
	o.dr.Segments(chains, draw.Style{Pen: px(wide + 3), Ink: overCase})
	o.dr.Segments(chains, draw.Style{Pen: px(wide), Ink: ink, Dash: dash})
}

// ceiling draws one shape of the ceiling, cut at the picture's borders.
func (o over) ceiling(s templates.CeilingShape) {
	half := len(s.Points) / 2
	switch s.Kind {
	case "seam":
		o.cased(o.inside(s.Points), 1.75, overLine, nil)
	case "edge":
		o.cased(o.inside(s.Points), 2.5, overEdge, nil)
	case "gutter":
		o.cased(o.inside(s.Points), 4, overEdge, nil)
	case "row":
		o.cased(append(o.inside(s.Points[:half]), o.inside(s.Points[half:])...), 1.5, overRow, nil)
	case "notch":
		ring := o.ring(s.Points)
		style := draw.Style{Pen: px(1), Ink: overLine, Fill: overNotch}
		if s.Check {
			style = draw.Style{Pen: px(2), Ink: overNotch}
		}
		if draw.Box.Within(around(ring), o.dr.View) {
			o.dr.Polygon(ring, style)
		}
	}
}

func (o over) at(f [2]float64) draw.Point { return pt(f[0]*o.w, f[1]*o.h) }

func (o over) ring(points [][2]float64) []draw.Point {
	out := make([]draw.Point, len(points))
	for i, f := range points {
		out[i] = o.at(f)
	}
	return out
}

// inside are the stretches of a line that lie on the picture.
func (o over) inside(points [][2]float64) [][]draw.Point {
	var chains [][]draw.Point
	for i := range len(points) - 1 {
		a, b, ok := templates.OnPicture(points[i], points[i+1])
		if !ok {
			continue
		}
		from, to := o.at(a), o.at(b)
		if n := len(chains); n > 0 && chains[n-1][len(chains[n-1])-1] == from {
			chains[n-1] = append(chains[n-1], to)
		} else {
			chains = append(chains, []draw.Point{from, to})
		}
	}
	return chains
}

// words are the numbers of the carriers, the rows' words and the notches' chips; those that had no room, or of which a pin's head would hide a part, are left
// out, since the tables say the same.
func (o over) words(p templates.PinnedPhoto) {
	c := p.Ceiling
	hidden := func(b draw.Box) bool {
		return slices.ContainsFunc(p.Marks, func(m templates.PinMark) bool {
			spot := o.place(m.Left, m.Top, "0", "0")
			return b.Overlaps(draw.Centered(pt(spot.X+m.Head.DX*pointsPerPx, spot.Y+m.Head.DY*pointsPerPx), 27, 27), 0)
		})
	}
	for _, l := range c.Labels {
		ink, anchor := overLine, draw.Middle
		if l.Class == "rowt" {
			ink, anchor = overRow, draw.End
		}
		at := o.place(l.Left, l.Top, l.DX, l.DY)
		if box := (draw.Text{At: at, S: l.Text, Size: 9, Anchor: anchor, Width: draw.Measure(l.Text, 9, true)}).Box().Grow(1.5); !l.Tight && box.Within(o.dr.View) && !hidden(box) {
			o.dr.Rect(box, draw.Style{Fill: overCase})
			o.dr.Text(draw.Text{At: at, S: l.Text, Size: 9, Bold: true, Anchor: anchor, Ink: ink})
		}
	}
	for _, c := range c.Chips {
		spot, middle := o.place(c.Left, c.Top, "0", "0"), o.place(c.Left, c.Top, c.DX, c.DY)
		mark := draw.Style{Pen: px(2), Ink: overLine, Fill: overNotch}
		if c.Check {
			mark = draw.Style{Pen: px(2), Ink: overNotch}
		}
		if !c.Tight {
			o.cased([][]draw.Point{{spot, middle}}, 2, overNotch, nil)
		}
		o.dr.Rect(draw.Centered(spot, 8*pointsPerPx, 10*pointsPerPx), mark)
		if !c.Tight {
			o.dr.Rect(draw.Centered(middle, parsed(c.W)*pointsPerPx, 20*pointsPerPx), draw.Style{Pen: px(1.5), Ink: overNotch, Fill: overCase})
			o.dr.Text(draw.Text{At: pt(middle.X, middle.Y+3.2), S: c.Text, Size: 9, Bold: true, Anchor: draw.Middle, Ink: overLine})
		}
	}
}

// place is a point given in percents of the picture and px from there.
func (o over) place(left, top, dx, dy string) draw.Point {
	return pt(parsed(strings.TrimSuffix(left, "%"))/100*o.w+parsed(dx)*pointsPerPx, parsed(strings.TrimSuffix(top, "%"))/100*o.h+parsed(dy)*pointsPerPx)
}

// parsed reads a number that the templates have printed.
func parsed(text string) float64 {
	v, _ := strconv.ParseFloat(text, 64) // what they leave out counts as 0
	return v
}

// line draws the line of a pin with two ends, with a stroke across each end.
func (o over) line(m templates.PinMark) {
	if m.X2 == nil || m.Y2 == nil {
		return
	}
	a, b := o.at([2]float64{m.X, m.Y}), o.at([2]float64{*m.X2, *m.Y2})
	o.cased([][]draw.Point{{a, b}}, 2, overLine, nil)
	const arm = 6 * pointsPerPx
	for _, p := range []draw.Point{a, b} {
		o.cased([][]draw.Point{{pt(p.X-arm, p.Y+arm), pt(p.X+arm, p.Y-arm)}}, 2.5, overLine, nil)
	}
}

// mark draws a pin: leader, exact point, head with its number, how many it stands for, and the sign that the ceiling does something there.
func (o over) mark(m templates.PinMark) {
	spot := o.place(m.Left, m.Top, "0", "0")
	head := pt(spot.X+m.Head.DX*pointsPerPx, spot.Y+m.Head.DY*pointsPerPx)
	if m.Leader {
		foot := o.place(m.Left, m.Top, m.LX, m.LY)
		o.dr.Line(spot, foot, draw.Style{Pen: px(4.5), Ink: overLine})
		o.dr.Line(spot, foot, draw.Style{Pen: px(1.75), Ink: overInk})
		if m.Line == nil {
			o.dr.Circle(spot, 3.5*pointsPerPx, draw.Style{Pen: px(1.75), Ink: overInk, Fill: overLine})
		}
	}
	strokes := templates.PinSymbols()[m.Kind]
	for _, casing := range []bool{true, false} {
		for _, s := range strokes {
			o.stroke(head, s, casing)
		}
	}
	size := 9.4
	if m.Number > 99 {
		size = 7.5
	}
	o.dr.Text(draw.Text{At: pt(head.X, head.Y+parsed(m.TextY)*pointsPerPx), S: m.Text, Size: size, Bold: true, Anchor: draw.Middle, Ink: overInk})
	if m.Caution {
		o.dr.Polygon([]draw.Point{pt(head.X+9, head.Y-15), pt(head.X+15, head.Y-5.25), pt(head.X+3, head.Y-5.25)}, draw.Style{Pen: px(1.5), Ink: overInk, Fill: overRow})
	}
	if m.Count > 1 {
		box := draw.Box{X0: head.X + 11.25, Y0: head.Y - 7.5, X1: head.X + 36.75, Y1: head.Y + 7.5}
		o.dr.Rect(box, draw.Style{Pen: px(1.75), Ink: overInk, Fill: overLine})
		o.dr.Text(draw.Text{At: pt((box.X0+box.X1)/2, head.Y+3.3), S: "×" + itoa(m.Count), Size: 9, Bold: true, Anchor: draw.Middle, Ink: overInk})
	}
}

// stroke draws one stroke of a pin's mark about its head, or the white casing below it.
func (o over) stroke(head draw.Point, s templates.PinStroke, casing bool) {
	chain := make([]draw.Point, len(s.Points))
	for i, p := range s.Points {
		chain[i] = pt(head.X+p[0]*pointsPerPx, head.Y+p[1]*pointsPerPx)
	}
	wide, ink := 2.0, overInk
	if s.Thick {
		wide = 3.5
	}
	if casing {
		wide, ink = wide+4, overLine
	}
	if s.Filled {
		o.dr.Polygon(chain, draw.Style{Fill: overLine})
	}
	if s.Closed {
		o.dr.Polygon(chain, draw.Style{Pen: px(wide), Ink: ink})
	} else {
		o.dr.Polyline(chain, draw.Style{Pen: px(wide), Ink: ink})
	}
}
