package calc

import (
	"math"
	"slices"
)

// cell is a stretch of zone between two neighbouring corner columns: a trapezoid with straight ends at x0 and x1, its high end
// running from h0 to h1 and its low end from l0 to l1. highSide and lowSide tell that such an end lies along a side edge.
type cell struct {
	x0, x1           float64
	h0, h1, l0, l1   float64
	highSide, loSide bool
	slab             int
}

// high and low are the local ends at x.
func (c cell) high(x float64) float64 { return c.h0 + (c.h1-c.h0)*(x-c.x0)/(c.x1-c.x0) }
func (c cell) low(x float64) float64  { return c.l0 + (c.l1-c.l0)*(x-c.x0)/(c.x1-c.x0) }

// clip is the part of the cell from a to b.
func (c cell) clip(a, b float64) cell {
	a, b = max(a, c.x0), min(b, c.x1)
	d := c
	d.x0, d.x1 = a, b
	d.h0, d.h1, d.l0, d.l1 = c.high(a), c.high(b), c.low(a), c.low(b)
	return d
}

// region is a polygon with holes cut into cells, slab by slab from left to right, in each slab from high to low.
type region struct {
	xs    []float64 // slab i lies between xs[i] and xs[i+1]
	cells []cell
	first []int // index of the first cell of each slab, and one past the end
}

// side is one edge of the rings that spans a slab.
type sideEdge struct {
	y0, y1 float64
	steep  bool // a side edge by its direction
}

// newRegion cuts rings into cells. Rings do not cross.
func newRegion(rings [][]vec) region {
	var r region
	for _, ring := range rings {
		for _, p := range ring {
			r.xs = append(r.xs, p.x)
		}
	}
	slices.Sort(r.xs)
	r.xs = slices.CompactFunc(r.xs, func(a, b float64) bool { return math.Abs(b-a) <= tol })
	var edges []sideEdge
	for i := 0; i+1 < len(r.xs); i++ {
		r.first = append(r.first, len(r.cells))
		edges = spanning(edges[:0], rings, r.xs[i], r.xs[i+1])
		for j := 0; j+1 < len(edges); j += 2 {
			h, l := edges[j], edges[j+1]
			r.cells = append(r.cells, cell{r.xs[i], r.xs[i+1], h.y0, h.y1, l.y0, l.y1, h.steep, l.steep, i})
		}
	}
	r.first = append(r.first, len(r.cells))
	return r
}

// spanning appends the edges that cross the slab from x0 to x1, from high to low.
func spanning(edges []sideEdge, rings [][]vec, x0, x1 float64) []sideEdge {
	mid := (x0 + x1) / 2
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if a.x > b.x {
				a, b = b, a
			}
			if a.x >= mid || b.x <= mid {
				continue
			}
			at := func(x float64) float64 { return a.y + (b.y-a.y)*min(1, max(0, (x-a.x)/(b.x-a.x))) }
			edges = append(edges, sideEdge{at(x0), at(x1), (b.x-a.x)/b.sub(a).len() <= sideSlope})
		}
	}
	slices.SortFunc(edges, func(a, b sideEdge) int {
		if s, t := a.y0+a.y1, b.y0+b.y1; s != t {
			if s < t {
				return -1
			}
			return 1
		}
		return 0
	})
	return edges
}

// slab is the index of the slab that x lies in; on a border it is the one on the left.
func (r region) slab(x float64) int {
	i, _ := slices.BinarySearchFunc(r.xs, x, func(a, x float64) int {
		if a < x-tol {
			return -1
		}
		return 1
	})
	return min(max(i-1, 0), len(r.xs)-2)
}

// column lists the cells at x, from high to low; on a border those on its left.
func (r region) column(x float64) []cell {
	if len(r.xs) < 2 || x < r.xs[0]-tol || x > r.xs[len(r.xs)-1]+tol {
		return nil
	}
	i := r.slab(x)
	return r.cells[r.first[i]:r.first[i+1]]
}

// contains tells whether a point lies in the region or within tol of it.
func (r region) contains(p vec) bool {
	if len(r.xs) < 2 || p.x < r.xs[0]-tol || p.x > r.xs[len(r.xs)-1]+tol {
		return false
	}
	for i := max(r.slab(p.x)-1, 0); i+1 < len(r.xs) && r.xs[i] <= p.x+tol; i++ {
		if r.xs[i+1] < p.x-tol {
			continue
		}
		for _, c := range r.cells[r.first[i]:r.first[i+1]] {
			x := min(c.x1, max(c.x0, p.x))
			if p.y >= c.high(x)-tol && p.y <= c.low(x)+tol {
				return true
			}
		}
	}
	return false
}

// area in square inches.
func (r region) area() float64 {
	sum := 0.0
	for _, c := range r.cells {
		sum += (c.x1 - c.x0) * (c.l0 - c.h0 + c.l1 - c.h1) / 2
	}
	return sum
}

// corners calls f for each corner of the region's common part with a rectangle, where they share more than an edge.
func (r region) corners(b rect, f func(vec)) {
	for _, c := range r.cells {
		if min(c.x1, b.x1)-max(c.x0, b.x0) <= tol {
			continue
		}
		d := c.clip(b.x0, b.x1)
		poly := clipBand([]vec{{d.x0, d.h0}, {d.x1, d.h1}, {d.x1, d.l1}, {d.x0, d.l0}}, b.y0, b.y1)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range poly {
			lo, hi = min(lo, p.y), max(hi, p.y)
		}
		if hi-lo <= tol {
			continue
		}
		for _, p := range poly {
			f(p)
		}
	}
}

// clipBand cuts a convex polygon to y0 <= y <= y1 (Sutherland and Hodgman, "Reentrant polygon clipping", 1974).
func clipBand(poly []vec, y0, y1 float64) []vec {
	for _, side := range []struct{ at, sign float64 }{{y0, 1}, {y1, -1}} {
		var out []vec
		for i, a := range poly {
			b := poly[(i+1)%len(poly)]
			da, db := (a.y-side.at)*side.sign, (b.y-side.at)*side.sign
			if da >= 0 {
				out = append(out, a)
			}
			if da*db < 0 {
				t := da / (da - db)
				out = append(out, vec{a.x + t*(b.x-a.x), side.at})
			}
		}
		poly = out
	}
	return poly
}

// span is a stretch across the fall.
type span struct{ x0, x1 float64 }

// merge joins stretches that touch, given in order of x0.
func merge(spans []span) []span {
	slices.SortFunc(spans, func(a, b span) int {
		if a.x0 < b.x0 {
			return -1
		}
		return 1
	})
	var out []span
	for _, s := range spans {
		if n := len(out); n > 0 && s.x0 <= out[n-1].x1+tol {
			out[n-1].x1 = max(out[n-1].x1, s.x1)
			continue
		}
		out = append(out, s)
	}
	return out
}

// below is the part of a stretch where a straight line from y0 at its left end to y1 at its right is at most limit; ok is false
// when there is none.
func (s span) below(y0, y1, limit float64) (span, bool) {
	switch {
	case y0 > limit+tol && y1 > limit+tol:
		return span{}, false
	case y0 > limit+tol:
		return span{s.x1 - (s.x1-s.x0)*max(0, limit-y1)/(y0-y1), s.x1}, true
	case y1 > limit+tol:
		return span{s.x0, s.x0 + (s.x1-s.x0)*max(0, limit-y0)/(y1-y0)}, true
	}
	return s, true
}
