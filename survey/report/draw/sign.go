package draw

import (
	"math"
	"slices"
)

// Arrow draws a line with a filled head at b: size long, two thirds of that wide.
func (d *Drawing) Arrow(a, b Point, size float64, st Style) {
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	if long == 0 {
		return
	}
	ux, uy := (b.X-a.X)/long, (b.Y-a.Y)/long
	foot := Point{b.X - ux*size, b.Y - uy*size}
	d.Line(a, foot, st)
	fill := st.Ink
	if fill == None {
		fill = Black
	}
	d.Polygon([]Point{b, {foot.X - uy*size/3, foot.Y + ux*size/3}, {foot.X + uy*size/3, foot.Y - ux*size/3}}, Style{Fill: fill})
}

// Cross draws both diagonals of a box: the sign of lumber cut across.
func (d *Drawing) Cross(b Box, st Style) {
	d.Segments([][]Point{{{b.X0, b.Y0}, {b.X1, b.Y1}}, {{b.X0, b.Y1}, {b.X1, b.Y0}}}, st)
}

// Lumber draws a piece of lumber cut across: white, outlined with the pen, with an X.
func (d *Drawing) Lumber(b Box, pen Pen) {
	d.Rect(b, Style{Pen: pen, Fill: White})
	d.Cross(b, Style{Pen: Hair})
}

// Break draws the broken edge of something that goes on, down a vertical line from y0 to y1.
func (d *Drawing) Break(x, y0, y1 float64) {
	m := (y0 + y1) / 2
	d.Polyline([]Point{{x, y0 - 3}, {x, m - 3}, {x - 3, m - 1}, {x + 3, m + 1}, {x, m + 3}, {x, y1 + 3}}, Style{Pen: Light})
}

// BreakAcross is Break along a horizontal line from x0 to x1.
func (d *Drawing) BreakAcross(y, x0, x1 float64) {
	m := (x0 + x1) / 2
	d.Polyline([]Point{{x0 - 3, y}, {m - 2, y}, {m - 1, y - 3}, {m + 1, y + 3}, {m + 2, y}, {x1 + 3, y}}, Style{Pen: Light})
}

// Slope is the way of 45 degree hatch lines on the sheet: Falling to the right, or Rising.
type Slope float64

// The slopes.
const (
	Falling Slope = 1
	Rising  Slope = -1
)

// Hatch fills a polygon, convex or not, with 45 degree lines, step apart when measured along an axis. The lines hang on the sheet
// (y - slope·x = n·step), not on the polygon, so that neighbouring pieces match; they are clipped by crossing and pairing.
func (d *Drawing) Hatch(pts []Point, step float64, slope Slope, st Style) {
	if len(pts) < 3 || step <= 0 {
		return
	}
	key := func(p Point) float64 { return p.Y - float64(slope)*p.X }
	low, high := key(pts[0]), key(pts[0])
	for _, p := range pts {
		low, high = math.Min(low, key(p)), math.Max(high, key(p))
	}
	var lines [][]Point
	for n := math.Ceil(low / step); n*step < high; n++ {
		k := n * step
		xs := crossings(pts, func(p Point) float64 { return key(p) - k })
		for i := 0; i+1 < len(xs); i += 2 {
			lines = append(lines, []Point{{xs[i], float64(slope)*xs[i] + k}, {xs[i+1], float64(slope)*xs[i+1] + k}})
		}
	}
	d.Segments(lines, st)
}

// crossings are the x, ascending, where the sides of a polygon cross the line on which f is zero.
func crossings(pts []Point, f func(Point) float64) []float64 {
	var xs []float64
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		a, b := f(p), f(q)
		if (a < 0) != (b < 0) {
			xs = append(xs, p.X+(q.X-p.X)*a/(a-b))
		}
	}
	slices.Sort(xs)
	return xs
}

// HalfRound is the outline of a half-round gutter of width w, open side up, from its upper left corner.
func HalfRound(corner Point, w float64) []Point {
	const steps = 16
	r, pts := w/2, []Point{}
	for i := range steps + 1 {
		a := math.Pi * float64(i) / steps
		pts = append(pts, Point{corner.X + r - r*math.Cos(a), corner.Y + r*math.Sin(a)})
	}
	return pts
}
