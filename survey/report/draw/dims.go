package draw

import "math"

// Side is a side of the drawing.
type Side int

// The sides.
const (
	Top Side = iota
	Bottom
	Left
	Right
)

// Opposite is the side across.
func (s Side) Opposite() Side { return s ^ 1 }

// Across tells whether strings on this side run across the sheet.
func (s Side) Across() bool { return s == Top || s == Bottom }

// Outward is the sign of the way out of the drawing: -1 for the top and the left.
func (s Side) Outward() float64 {
	if s == Top || s == Left {
		return -1
	}
	return 1
}

// DimString is one string of dimensions: a line at At beside the drawing, a 45 degree tick at each mark (positions along the
// string, ascending), a label for each gap (empty: none), and extension lines that start at Ext (nil: none; one value: the same
// for all marks).
type DimString struct {
	Side   Side
	At     float64
	Marks  []float64
	Labels []string
	Ext    []float64
}

const (
	tick    = 2.4 // half of a tick, each way
	dimText = MinText
)

// Dims draws a string of dimensions and returns the outermost place that it reached. Text stands above the line, or left of it and
// turned. A label wider than its gap less 5 pt spills to a lane outside, upright and spread so that none touch, with a leader.
func (d *Drawing) Dims(s DimString) float64 {
	if len(s.Marks) < 2 {
		return s.At
	}
	d.dimLines(s)
	reach := s.At + s.Side.Outward()*3
	var mids []float64
	var spilled []string
	for i, label := range s.Labels {
		if label == "" || i+1 >= len(s.Marks) {
			continue
		}
		a, b := s.Marks[i], s.Marks[i+1]
		if Measure(label, dimText, false)+5 > math.Abs(b-a) {
			mids, spilled = append(mids, (a+b)/2), append(spilled, label)
			continue
		}
		at := s.point((a+b)/2, s.At-2.2)
		d.Text(Text{At: at, S: label, Anchor: Middle, Up: !s.Side.Across()})
		if s.Side.Outward() < 0 {
			reach = math.Min(reach, s.At-dimText-2)
		}
	}
	return d.dimSpill(s, mids, spilled, reach)
}

// point is the place at a position along the string and one across it.
func (s DimString) point(along, across float64) Point {
	if s.Side.Across() {
		return Point{along, across}
	}
	return Point{across, along}
}

// dimLines draws the line, the ticks and the extension lines.
func (d *Drawing) dimLines(s DimString) {
	first, last, out := s.Marks[0], s.Marks[len(s.Marks)-1], s.Side.Outward()
	d.Line(s.point(first-3, s.At), s.point(last+3, s.At), Style{Pen: Thin})
	var ticks, exts [][]Point
	for i, m := range s.Marks {
		p := s.point(m, s.At)
		ticks = append(ticks, []Point{{p.X - tick, p.Y + tick}, {p.X + tick, p.Y - tick}})
		if len(s.Ext) == 0 {
			continue
		}
		if e := s.Ext[min(i, len(s.Ext)-1)]; math.Abs(e-s.At) > 4 {
			exts = append(exts, []Point{s.point(m, e+out*2.5), s.point(m, s.At+out*3)})
		}
	}
	d.Segments(exts, Style{Pen: Hair, Ink: Dark})
	d.Segments(ticks, Style{Pen: Medium})
}

// dimSpill writes the labels that found no room in their gaps and returns the new reach.
func (d *Drawing) dimSpill(s DimString, mids []float64, labels []string, reach float64) float64 {
	across, out := s.Side.Across(), s.Side.Outward()
	sizes := make([]float64, len(labels))
	for i, label := range labels {
		sizes[i] = dimText + 1.6
		if across {
			sizes[i] = Measure(label, dimText, false) + 5
		}
	}
	for i, pos := range Spread(mids, sizes) {
		leader := Style{Pen: Hair, Ink: Dark}
		if across {
			y, foot := s.At-12, s.At-11
			if s.Side == Bottom {
				y, foot = s.At+15, s.At+8.5
			}
			d.Line(Point{mids[i], s.At}, Point{pos, foot}, leader)
			box := d.Text(Text{At: Point{pos, y}, S: labels[i], Anchor: Middle})
			reach = outermost(s.Side, reach, box)
			continue
		}
		x, anchor := s.At+out*12, Start
		if s.Side == Left {
			anchor = End
		}
		d.Line(Point{s.At, mids[i]}, Point{x - out*1.5, pos}, leader)
		box := d.Text(Text{At: Point{x, pos + dimText*0.33}, S: labels[i], Anchor: anchor})
		reach = outermost(s.Side, reach, box)
	}
	return reach
}

// outermost is the farther out of a reach and a box on that side.
func outermost(s Side, reach float64, b Box) float64 {
	switch s {
	case Top:
		return math.Min(reach, b.Y0)
	case Left:
		return math.Min(reach, b.X0)
	case Bottom:
		return math.Max(reach, b.Y1)
	}
	return math.Max(reach, b.X1)
}
