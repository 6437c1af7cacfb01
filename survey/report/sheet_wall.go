package report

import (
	"math"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// wall is a piece of wall to be drawn cut: the face from a to b that the channel is fixed to, the outward normal, the drawn
// thickness in points, and the outer corners where it is mitred (nil: square).
type wall struct {
	a, b    draw.Point
	normal  draw.Point
	thick   float64
	surface calc.Surface
	endA    *draw.Point
	endB    *draw.Point
}

// at is a place along the face and out from it.
func (w wall) at(along, out float64) draw.Point {
	l := w.length()
	return pt(w.a.X+(w.b.X-w.a.X)/l*along+w.normal.X*out, w.a.Y+(w.b.Y-w.a.Y)/l*along+w.normal.Y*out)
}

func (w wall) length() float64 { return math.Hypot(w.b.X-w.a.X, w.b.Y-w.a.Y) }

// corners are the wall's outline, the face first.
func (w wall) corners() []draw.Point {
	oa, ob := w.at(0, w.thick), w.at(w.length(), w.thick)
	if w.endA != nil {
		oa = *w.endA
	}
	if w.endB != nil {
		ob = *w.endB
	}
	return []draw.Point{w.a, w.b, ob, oa}
}

// draw draws the wall with the sign of its surface.
func (w wall) draw(d *draw.Drawing) {
	if w.length() < .1 || w.thick < .1 {
		return
	}
	pts := w.corners()
	d.Polygon(pts, draw.Style{Fill: draw.White})
	hair := draw.Style{Pen: draw.Hair}
	switch w.surface {
	case calc.SurfaceBrick:
		d.Hatch(pts, 3.2, draw.Falling, hair)
	case calc.SurfaceBlock:
		d.Hatch(pts, 5, draw.Falling, hair)
		d.Hatch(pts, 5, draw.Rising, hair)
	case calc.SurfaceWood:
		d.Hatch(pts, 9, draw.Falling, hair)
		w.crossLines(d, 9)
	case calc.SurfaceFiberCement:
		w.courses(d, 2, draw.Hair)
		w.joints(d, 2)
	case calc.SurfaceVinyl:
		w.courses(d, 3, draw.Hair)
	case calc.SurfaceMetal:
		w.courses(d, 1, draw.Cut)
	case calc.SurfaceStucco, calc.SurfaceConcrete, calc.SurfaceStone, calc.SurfaceLog:
		w.dots(d)
	case calc.SurfaceEIFS:
		w.zigzag(d)
	default:
		w.questions(d)
	}
	d.Polygon(pts, draw.Style{Pen: draw.Light})
	d.Line(w.a, w.b, draw.Style{Pen: draw.Cut})
}

// crossLines are lines across the wall, step apart.
func (w wall) crossLines(d *draw.Drawing, step float64) {
	var lines [][]draw.Point
	for s := step / 2; s < w.length(); s += step {
		lines = append(lines, []draw.Point{w.at(s, 0), w.at(s, w.thick)})
	}
	d.Segments(lines, draw.Style{Pen: draw.Hair})
}

// courses are n lines along the wall.
func (w wall) courses(d *draw.Drawing, n int, pen draw.Pen) {
	var lines [][]draw.Point
	for i := 1; i <= n; i++ {
		out := w.thick * float64(i) / float64(n+1)
		lines = append(lines, []draw.Point{w.at(0, out), w.at(w.length(), out)})
	}
	d.Segments(lines, draw.Style{Pen: pen})
}

// joints are the staggered joints of boards in n+1 courses.
func (w wall) joints(d *draw.Drawing, n int) {
	const step = 13.0
	var lines [][]draw.Point
	for s := 0.0; s < w.length(); s += step {
		for i := 0; i <= n; i++ {
			q := s + step/2*float64(i%2)
			if q > 0 && q < w.length() {
				lines = append(lines, []draw.Point{w.at(q, w.thick*float64(i)/float64(n+1)), w.at(q, w.thick*float64(i+1)/float64(n+1))})
			}
		}
	}
	d.Segments(lines, draw.Style{Pen: draw.Hair})
}

// dots draws the signs made of dots and circles.
func (w wall) dots(d *draw.Drawing) {
	t := w.thick
	step := map[calc.Surface]float64{calc.SurfaceStucco: 3.5, calc.SurfaceConcrete: 5, calc.SurfaceStone: 8, calc.SurfaceLog: t}[w.surface]
	for i, s := 0, step/2; s < w.length()-step/3; i, s = i+1, s+step {
		center := w.at(s, t*(.2+.3*float64(i*2%3)))
		switch w.surface {
		case calc.SurfaceStucco:
			d.Circle(center, .4, draw.Style{Fill: draw.Black})
		case calc.SurfaceConcrete:
			d.Circle(center, .5, draw.Style{Fill: draw.Black})
			if i%3 == 0 && s+3 < w.length() {
				d.Polygon([]draw.Point{w.at(s+1, t*.3), w.at(s+3, t*.3), w.at(s+2, t*.3+math.Min(2, t*.5))}, draw.Style{Pen: draw.Hair})
			}
		case calc.SurfaceStone:
			d.Circle(w.at(s, t/2), t*(.28+.12*float64(i%2)), draw.Style{Pen: draw.Hair})
		default:
			d.Circle(w.at(s, t/2), t/2, draw.Style{Pen: draw.Hair})
		}
	}
}

// zigzag is the sign of exterior insulation finish.
func (w wall) zigzag(d *draw.Drawing) {
	line := []draw.Point{w.at(0, 0)}
	for s := w.thick / 2; s < w.length(); s += w.thick / 2 {
		line = append(line, w.at(s, w.thick*float64(len(line)%2)))
	}
	d.Polyline(line, draw.Style{Pen: draw.Thin})
}

// questions mark a wall whose surface nobody has named.
func (w wall) questions(d *draw.Drawing) {
	first := math.Min(20, w.length()/2)
	for s := first; s < w.length(); s += 40 {
		c := w.at(s, w.thick/2)
		d.Text(draw.Text{At: pt(c.X, c.Y+2.6), S: "?", Bold: true, Anchor: draw.Middle, Ink: draw.Alert})
	}
}

// drawPost draws a post cut across: black with a white X.
func drawPost(d *draw.Drawing, b draw.Box) {
	d.Rect(b, draw.Style{Pen: draw.Medium, Fill: draw.Black})
	d.Cross(b, draw.Style{Pen: draw.Light, Ink: draw.White})
}

// drawBeam draws a beam's face in plan or cut: hatched the other way than walls.
func drawBeam(d *draw.Drawing, pts []draw.Point) {
	d.Polygon(pts, draw.Style{Fill: draw.White})
	d.Hatch(pts, 4.5, draw.Rising, draw.Style{Pen: draw.Hair})
}
