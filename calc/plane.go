package calc

import (
	"math"
)

// measured is a height at a plan position.
type measured struct {
	at vec
	h  float64
}

// surfaceFit is a plane h = a + b x + c y in plan coordinates. Known is false when nothing was measured: then all is 0.
type surfaceFit struct {
	known   bool
	a, b, c float64
}

func (s surfaceFit) at(p vec) float64 { return s.a + s.b*p.x + s.c*p.y }

// samePlace is how near, in inches, points count as lying on one line, or at one place.
const samePlace = 6

// fit lays a plane through measured points: none gives no plane, points at one place the mean height, points on one line a tilt
// along that line only, others the least-squares plane. On one line means all within 6 in of their principal axis, at one place
// also all within 6 in of their mean along it.
func fit(points []measured) surfaceFit {
	if len(points) == 0 {
		return surfaceFit{}
	}
	var m vec
	var h float64
	for _, p := range points {
		m.x, m.y, h = m.x+p.at.x, m.y+p.at.y, h+p.h
	}
	n := float64(len(points))
	m, h = vec{m.x / n, m.y / n}, h/n
	var xx, xy, yy, xh, yh float64
	for _, p := range points {
		d, e := p.at.sub(m), p.h-h
		xx, xy, yy, xh, yh = xx+d.x*d.x, xy+d.x*d.y, yy+d.y*d.y, xh+d.x*e, yh+d.y*e
	}
	angle := 0.5 * math.Atan2(2*xy, xx-yy)
	axis := vec{math.Cos(angle), math.Sin(angle)}
	across, along := 0.0, 0.0
	for _, p := range points {
		d := p.at.sub(m)
		across, along = max(across, math.Abs(axis.cross(d))), max(along, math.Abs(axis.dot(d)))
	}
	s := surfaceFit{known: true}
	switch {
	case across <= samePlace+tol && along <= samePlace+tol:
	case across <= samePlace+tol:
		var ss, sh float64
		for _, p := range points {
			t := axis.dot(p.at.sub(m))
			ss, sh = ss+t*t, sh+t*(p.h-h)
		}
		s.b, s.c = axis.x*sh/ss, axis.y*sh/ss
	default:
		det := xx*yy - xy*xy
		s.b, s.c = (xh*yy-yh*xy)/det, (yh*xx-xh*xy)/det
	}
	s.a = h - s.b*m.x - s.c*m.y
	return s
}

// underside fits the heights and gives each one's residual in input order.
func underside(heights []Height) (surfaceFit, plane) {
	points := make([]measured, len(heights))
	for i, h := range heights {
		points[i] = measured{vec{float64(h.X), float64(h.Y)}, float64(h.Height)}
	}
	s := fit(points)
	out := plane{A: s.a, B: s.b, C: s.c, Residuals: make([]float64, len(points))}
	for i, p := range points {
		out.Residuals[i] = p.h - s.at(p.at)
		out.MaxResidual = max(out.MaxResidual, math.Abs(out.Residuals[i]))
	}
	return s, out
}

// ground fits the clearances.
func ground(clearances []Clearance) surfaceFit {
	points := make([]measured, len(clearances))
	for i, c := range clearances {
		points[i] = measured{vec{float64(c.X), float64(c.Y)}, float64(c.Clearance)}
	}
	return fit(points)
}

// grade is a plane turned into the fall frame: h = a + u*bu + v*bv.
type grade struct{ a, u, v float64 }

func (g grade) at(p vec) float64 { return g.a + g.u*p.x + g.v*p.y }

func (f frame) grade(s surfaceFit) grade {
	switch f.dir {
	case FallRight: // x = v, y = ymax - u
		return grade{s.a + s.c*f.ymax, -s.c, s.b}
	case FallLeft: // x = xmax - v, y = u
		return grade{s.a + s.b*f.xmax, s.c, -s.b}
	}
	return grade{s.a, s.b, s.c}
}
