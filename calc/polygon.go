package calc

import (
	"fmt"
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/geom"
)

// sideSlope is how far an edge's outward normal may lean along the fall for the edge to count as a side: |n.f| <= 0.1, about six
// degrees.
const sideSlope = 0.1

func pointAt(p vec) Point { return Point{lengthOf(p.x), lengthOf(p.y)} }

// shape is a polygon with holes: the outer ring turns from x toward y (positive area), holes the other way, so that the inside is
// always on the same hand.
type shape struct{ rings [][]vec }

// geometry makes the library's polygon of a ring.
func geometry(ring []vec) geom.Geometry {
	xy := make([]float64, 0, 2*len(ring)+2)
	for _, p := range append(slices.Clip(ring), ring[0]) {
		xy = append(xy, p.x, p.y)
	}
	line := geom.NewLineString(geom.NewSequence(xy, geom.DimXY))
	return geom.NewPolygon([]geom.LineString{line}).AsGeometry()
}

// subtract cuts holes and rectangles out of a ring and gives the connected rests. Corners that the library moved by rounding go
// back to the coordinates they came from; rests too thin to matter are dropped.
func subtract(outer []vec, cuts [][]vec) ([]shape, error) {
	if len(cuts) == 0 {
		return []shape{{[][]vec{turn(outer, true)}}}, nil
	}
	all := make([]geom.Geometry, len(cuts))
	for i, c := range cuts {
		all[i] = geometry(c)
	}
	away, err := geom.UnionMany(all)
	if err != nil {
		return nil, fmt.Errorf("join what is cut out of the outline: %w", err)
	}
	g, err := geom.Difference(geometry(outer), away)
	if err != nil {
		return nil, fmt.Errorf("cut beams and openings out of the outline: %w", err)
	}
	known := snapper(append(slices.Clone(cuts), outer))
	var out []shape
	for _, p := range polygons(g) {
		var s shape
		for i, line := range p.DumpRings() {
			ring := known.ring(line.Coordinates())
			if len(ring) >= 3 && math.Abs(area2(ring)) > leastArea2 {
				s.rings = append(s.rings, turn(ring, i == 0))
			} else if i == 0 {
				break
			}
		}
		if len(s.rings) > 0 && !thin(s.rings[0]) {
			out = append(out, s)
		}
	}
	return out, nil
}

// polygons lists the polygons of a geometry.
func polygons(g geom.Geometry) []geom.Polygon {
	switch g.Type() {
	case geom.TypePolygon:
		if p := g.MustAsPolygon(); !p.IsEmpty() {
			return []geom.Polygon{p}
		}
	case geom.TypeMultiPolygon:
		return g.MustAsMultiPolygon().Dump()
	case geom.TypeGeometryCollection:
		var out []geom.Polygon
		for _, part := range g.MustAsGeometryCollection().Dump() {
			out = append(out, polygons(part)...)
		}
		return out
	}
	return nil
}

// turn gives the ring with positive area, or with negative.
func turn(ring []vec, positive bool) []vec {
	out := slices.Clone(ring)
	if (area2(out) > 0) != positive {
		slices.Reverse(out)
	}
	return out
}

// thin tells whether a ring is nowhere wider than the tolerance, across or along the fall.
func thin(ring []vec) bool {
	b := bounds(ring)
	return b.x1-b.x0 <= tol || b.y1-b.y0 <= tol
}

func bounds(ring []vec) rect {
	b := rect{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	for _, p := range ring {
		b.x0, b.x1, b.y0, b.y1 = min(b.x0, p.x), max(b.x1, p.x), min(b.y0, p.y), max(b.y1, p.y)
	}
	return b
}

// coordinates are the x and the y values that corners may be moved back to, sorted, and the corners that were given.
type coordinates struct {
	xs, ys []float64
	given  map[vec]bool
}

func snapper(rings [][]vec) coordinates {
	c := coordinates{given: map[vec]bool{}}
	for _, ring := range rings {
		for _, p := range ring {
			c.xs, c.ys = append(c.xs, p.x), append(c.ys, p.y)
			c.given[p] = true
		}
	}
	slices.Sort(c.xs)
	slices.Sort(c.ys)
	return c
}

func snap(sorted []float64, v float64) float64 {
	i, _ := slices.BinarySearch(sorted, v)
	for _, j := range []int{i - 1, i} {
		if j >= 0 && j < len(sorted) && math.Abs(sorted[j]-v) <= tol {
			return sorted[j]
		}
	}
	return v
}

// ring takes the library's closed ring, its corners put back. Repeated corners are dropped, and those in a straight line that
// nobody gave: the library leaves some behind where it joined rings with auxiliary lines.
func (c coordinates) ring(s geom.Sequence) []vec {
	var out []vec
	for i := range s.Length() - 1 {
		xy := s.GetXY(i)
		p := vec{snap(c.xs, xy.X), snap(c.ys, xy.Y)}
		if n := len(out); n == 0 || p != out[n-1] {
			out = append(out, p)
		}
	}
	for len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return c.straightened(out)
}

// straightened drops the corners in a straight line that were not given.
func (c coordinates) straightened(ring []vec) []vec {
	var out []vec
	for i, p := range ring {
		prev, next := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
		if len(out) > 0 {
			prev = out[len(out)-1]
		}
		if c.given[p] || !onSegment(prev, next, p) {
			out = append(out, p)
		}
	}
	return out
}

func (r rect) ring() []vec {
	return []vec{{r.x0, r.y0}, {r.x1, r.y0}, {r.x1, r.y1}, {r.x0, r.y1}}
}
