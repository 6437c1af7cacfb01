// Package draw is a display list for drawings: paths, circles and text in points, and the drafting signs built on them. One drawing
// is painted unchanged on a screen, on paper and into other formats: a painter is anything that takes paths, circles and text.
//
// Units are points (1/72 in), x to the right, y down, the origin at the top left. Text is measured by the metrics of DejaVu Sans
// Condensed, so that boxes drawn round text fit whatever font the reader has. Nothing depends on time, order of maps or the
// machine: the same calls give the same bytes.
//
// To look at the sheets of the report, let their test write them as SVG: go test ./survey/report -run Sheets -sheets DIR.
package draw

import "math"

// Pen is a line weight in points; each is about one and a half times the one before. Zero draws no line.
type Pen float64

// The pens.
const (
	Hair   Pen = 0.25 // hatches, extension lines, table rules
	Thin   Pen = 0.35 // dimension lines, outlines of small things
	Light  Pen = 0.5  // carriers, wall outlines, frames of labels
	Medium Pen = 0.8  // cut lumber, ticks, rules
	Heavy  Pen = 1.2  // outlines, arrows
	Strong Pen = 1.4  // channel in plan
	Cut    Pen = 1.8  // wall faces, ground, channel in section
)

// Color is 0xffRRGGBB; the zero Color is none: no fill, and black for lines and text.
type Color uint32

// The colours: greys, one blue for water, one red for what is cut or must be settled.
const (
	None      Color = 0
	Black     Color = 0xff000000
	Dark      Color = 0xff444444 // secondary text, extension lines
	Grey      Color = 0xff8c8c8c
	Pale      Color = 0xffdddddd // joists, what is broken off
	Faint     Color = 0xfff2f2f2 // faces of carriers and panels
	White     Color = 0xffffffff
	Water     Color = 0xff1c5d99
	WaterPale Color = 0xffdbe7f1
	Alert     Color = 0xffb3261e
)

// RGB gives the three channels, 0 to 255; those of None are zero.
func (c Color) RGB() (r, g, b uint8) { return uint8(c >> 16), uint8(c >> 8), uint8(c) } // #nosec G115 -- a byte each on purpose

// Point is a place on the sheet, in points.
type Point struct{ X, Y float64 }

// Box is an upright rectangle, X0 <= X1 and Y0 <= Y1.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Centered is the w by h box about a point.
func Centered(c Point, w, h float64) Box { return Box{c.X - w/2, c.Y - h/2, c.X + w/2, c.Y + h/2} }

// W is the width.
func (b Box) W() float64 { return b.X1 - b.X0 }

// H is the height.
func (b Box) H() float64 { return b.Y1 - b.Y0 }

// Grow moves every side outward by m (inward when negative).
func (b Box) Grow(m float64) Box { return Box{b.X0 - m, b.Y0 - m, b.X1 + m, b.Y1 + m} }

// Overlaps tells whether two boxes share more than a line once one of them is grown by pad.
func (b Box) Overlaps(o Box, pad float64) bool {
	return b.X0-pad < o.X1 && o.X0 < b.X1+pad && b.Y0-pad < o.Y1 && o.Y0 < b.Y1+pad
}

// Within tells whether the box lies in another; touching its sides counts.
func (b Box) Within(o Box) bool { return b.X0 >= o.X0 && b.Y0 >= o.Y0 && b.X1 <= o.X1 && b.Y1 <= o.Y1 }

// union is the least box round both.
func (b Box) union(o Box) Box {
	return Box{math.Min(b.X0, o.X0), math.Min(b.Y0, o.Y0), math.Max(b.X1, o.X1), math.Max(b.Y1, o.Y1)}
}

// Corners are the four corners, clockwise from the top left.
func (b Box) Corners() []Point {
	return []Point{{b.X0, b.Y0}, {b.X1, b.Y0}, {b.X1, b.Y1}, {b.X0, b.Y1}}
}

// Style is how a path or circle is inked: the line's pen, colour (None: black) and dashes (lengths on and off, nil: solid), and
// the fill (None: not filled).
type Style struct {
	Pen  Pen
	Ink  Color
	Fill Color
	Dash []float64
}

// Path is one or more chains of straight lines, all open or all closed. Closed chains fill by the nonzero rule.
type Path struct {
	Chains [][]Point
	Closed bool
	Style
}

// Circle is a circle of radius R.
type Circle struct {
	Center Point
	R      float64
	Style
}

// Anchor says which part of a text stands at its point.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// MinText is the least size of text, in points.
const MinText = 7

// Text is one line of text. At is on the baseline; Size is in points (0: MinText). Up turns it by -90 degrees, to be read from
// the right. Halo puts white behind it. Width is filled in by the drawing.
type Text struct {
	At     Point
	S      string
	Size   float64
	Bold   bool
	Anchor Anchor
	Up     bool
	Ink    Color
	Halo   bool
	Width  float64
}

// Box is the room the ink of the text takes: about three quarters of the size above the baseline and an eighth below.
func (t Text) Box() Box {
	const rise, sink = 0.74, 0.12
	before := map[Anchor]float64{Start: 0, Middle: t.Width / 2, End: t.Width}[t.Anchor]
	if t.Up {
		return Box{t.At.X - rise*t.Size, t.At.Y + before - t.Width, t.At.X + sink*t.Size, t.At.Y + before}
	}
	return Box{t.At.X - before, t.At.Y - rise*t.Size, t.At.X - before + t.Width, t.At.Y + sink*t.Size}
}

// Painter puts the parts of a drawing on a page, in order.
type Painter interface {
	Path(Path)
	Circle(Circle)
	Text(Text)
}

// op is one part of a display list.
type op interface{ paint(Painter) }

func (p Path) paint(to Painter)   { to.Path(p) }
func (c Circle) paint(to Painter) { to.Circle(c) }
func (t Text) paint(to Painter)   { to.Text(t) }

// Drawing is a display list. Title and Desc describe it to those who cannot see it. View is the part of the plane that is
// shown; nothing is clipped to it.
type Drawing struct {
	Title string
	Desc  string
	View  Box
	ops   []op
}

// Paint hands every part to a painter, from the bottom up.
func (d *Drawing) Paint(to Painter) {
	for _, o := range d.ops {
		o.paint(to)
	}
}

// Line draws a straight line.
func (d *Drawing) Line(a, b Point, st Style) { d.Polyline([]Point{a, b}, st) }

// Polyline draws an open chain of lines; fewer than two points draw nothing.
func (d *Drawing) Polyline(pts []Point, st Style) {
	if len(pts) > 1 {
		d.ops = append(d.ops, Path{Chains: [][]Point{pts}, Style: st})
	}
}

// Polygon draws a closed chain; fewer than two points draw nothing.
func (d *Drawing) Polygon(pts []Point, st Style) {
	if len(pts) > 1 {
		d.ops = append(d.ops, Path{Chains: [][]Point{pts}, Closed: true, Style: st})
	}
}

// Segments draws many separate chains of one style as one part.
func (d *Drawing) Segments(chains [][]Point, st Style) {
	if len(chains) > 0 {
		d.ops = append(d.ops, Path{Chains: chains, Style: st})
	}
}

// Rect draws an upright rectangle.
func (d *Drawing) Rect(b Box, st Style) { d.Polygon(b.Corners(), st) }

// Circle draws a circle.
func (d *Drawing) Circle(c Point, r float64, st Style) {
	d.ops = append(d.ops, Circle{Center: c, R: r, Style: st})
}

// Text writes one line and returns the box of its ink. The text is cleaned (see Clean) and a size under MinText is raised to it.
func (d *Drawing) Text(t Text) Box {
	t.S, t.Size = Clean(t.S), math.Max(t.Size, MinText)
	t.Width = Measure(t.S, t.Size, t.Bold)
	box := t.Box()
	if t.S == "" {
		return box
	}
	if t.Halo {
		d.Rect(Box{box.X0 - 1, box.Y0 - 0.8, box.X1 + 1, box.Y1 + 0.8}, Style{Fill: White})
	}
	d.ops = append(d.ops, t)
	return box
}

// Texts lists the texts in the order they were written.
func (d *Drawing) Texts() []Text {
	var out []Text
	for _, o := range d.ops {
		if t, ok := o.(Text); ok {
			out = append(out, t)
		}
	}
	return out
}

// Extent is the least box round all ink, half the line weights of paths and circles included. Of an empty drawing it is the zero
// Box.
func (d *Drawing) Extent() Box {
	e := extent{}
	d.Paint(&e)
	return e.box
}

// extent is the painter that only measures.
type extent struct {
	box  Box
	some bool
}

func (e *extent) add(b Box) {
	if e.some {
		b = e.box.union(b)
	}
	e.box, e.some = b, true
}

func (e *extent) Path(p Path) {
	for _, chain := range p.Chains {
		for _, q := range chain {
			e.add(Box{q.X, q.Y, q.X, q.Y}.Grow(float64(p.Pen) / 2))
		}
	}
}

func (e *extent) Circle(c Circle) { e.add(Centered(c.Center, 2*c.R, 2*c.R).Grow(float64(c.Pen) / 2)) }

func (e *extent) Text(t Text) { e.add(t.Box()) }
