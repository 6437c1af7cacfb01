package calc

import "math"

// frame turns plan coordinates into the fall frame and back: v runs down the fall, u across it, to the right as seen facing up
// the fall. It is a turn, never a mirror: (x, y) for +y, (Ymax - y, x) for +x, (y, Xmax - x) for -x, with the outline's greatest
// coordinates.
type frame struct {
	dir        Direction
	xmax, ymax float64
}

func newFrame(dir Direction, outline []vec) frame {
	f := frame{dir, math.Inf(-1), math.Inf(-1)}
	for _, p := range outline {
		f.xmax, f.ymax = max(f.xmax, p.x), max(f.ymax, p.y)
	}
	return f
}

// in takes a plan position into the fall frame.
func (f frame) in(p vec) vec {
	switch f.dir {
	case FallRight:
		return vec{f.ymax - p.y, p.x}
	case FallLeft:
		return vec{p.y, f.xmax - p.x}
	}
	return p
}

// out takes a position of the fall frame back into the plan.
func (f frame) out(p vec) vec {
	switch f.dir {
	case FallRight:
		return vec{p.y, f.ymax - p.x}
	case FallLeft:
		return vec{f.xmax - p.y, p.x}
	}
	return p
}

// point is out as a Point.
func (f frame) point(p vec) Point {
	q := f.out(p)
	return pointAt(q)
}

// inPoint is in for a Point.
func (f frame) inPoint(p Point) vec { return f.in(vec{float64(p.X), float64(p.Y)}) }

// turned tells whether the plan's x runs down the fall.
func (f frame) turned() bool { return f.dir == FallRight || f.dir == FallLeft }

// rect is a rectangle in the fall frame.
type rect struct{ x0, x1, y0, y1 float64 }

// box takes a plan rectangle into the fall frame.
func (f frame) box(b Box) rect {
	p, q := f.in(vec{float64(b.X0), float64(b.Y0)}), f.in(vec{float64(b.X1), float64(b.Y1)})
	return rect{min(p.x, q.x), max(p.x, q.x), min(p.y, q.y), max(p.y, q.y)}
}

// ring takes a ring into the fall frame, turning from u toward v (positive area).
func (f frame) ring(plan []vec) []vec {
	out := make([]vec, len(plan))
	for i, p := range plan {
		out[i] = f.in(p)
	}
	return out
}

// PlanPoint takes a position of the fall frame, as everything inside a Plan's zones is given, into plan coordinates.
func PlanPoint(in Input, x, y float64) Point {
	outline := make([]vec, len(in.Outline))
	for i, p := range in.Outline {
		outline[i] = vec{float64(p.X), float64(p.Y)}
	}
	return newFrame(in.Fall.Direction, outline).point(vec{x, y})
}
