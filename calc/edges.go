package calc

import (
	"math"
	"slices"
	"strings"

	"undercroft/calc/length"
)

func lengthOf(v float64) length.Inches { return length.Inches(v) }

// edgeBeam is the kind of a zone's edge along a dropped beam.
const edgeBeam EdgeKind = "beam"

// The classes of a zone's edges by where they lie to the fall.
const (
	classHigh  = "high"
	classLeft  = "left"
	classRight = "right"
	classLow   = "low"
)

// border is one straight edge of a zone in the fall frame, the zone on the same hand all along.
type border struct {
	a, b       vec
	class      string
	kind       EdgeKind
	surface    Surface
	memberDrop float64
}

// classOf sorts an edge by its outward normal n against the fall f: |n.f| <= 0.1 is a side, n.f > 0 low, else high.
func classOf(a, b vec) string {
	d := b.sub(a)
	along := -d.x / d.len()
	switch {
	case along > sideSlope+tol:
		return classLow
	case along < -sideSlope-tol:
		return classHigh
	case d.y < 0:
		return classLeft
	}
	return classRight
}

// wallEdge is an outline edge in the fall frame.
type wallEdge struct {
	a, b vec
	Edge
}

// borders gives the edges of a zone. What lies on the outline has that edge's kind and surface, what lies on a hole is open,
// what is left lies along a beam. Straight neighbours of one kind and surface are one edge.
func (j *job) borders(s shape) []border {
	var out []border
	for _, ring := range s.rings {
		var of []border
		for i, a := range ring {
			of = append(of, j.split(a, ring[(i+1)%len(ring)])...)
		}
		out = append(out, joined(of)...)
	}
	return out
}

// split cuts an edge at the outline corners that lie on it and looks each part up.
func (j *job) split(a, b vec) []border {
	d := b.sub(a)
	cuts := []float64{0, 1}
	for _, e := range j.walls {
		if t := e.a.sub(a).dot(d) / d.dot(d); t > 0 && t < 1 && onSegment(a, b, e.a) {
			cuts = append(cuts, t)
		}
	}
	slices.Sort(cuts)
	at := func(t float64) vec {
		switch t {
		case 0:
			return a
		case 1:
			return b
		}
		return vec{a.x + t*d.x, a.y + t*d.y}
	}
	var out []border
	for i := 0; i+1 < len(cuts); i++ {
		p, q := at(cuts[i]), at(cuts[i+1])
		if q.sub(p).len() <= tol {
			continue
		}
		e := border{a: p, b: q, class: classOf(a, b), kind: edgeBeam, surface: SurfaceWood}
		j.lookUp(&e)
		out = append(out, e)
	}
	return out
}

// lookUp finds what an edge lies on.
func (j *job) lookUp(e *border) {
	mid := vec{(e.a.x + e.b.x) / 2, (e.a.y + e.b.y) / 2}
	for _, w := range j.walls {
		if onSegment(w.a, w.b, mid) {
			e.kind, e.memberDrop = w.Kind, float64(w.MemberDrop)
			if w.Kind == EdgeWall {
				e.surface = w.Surface
			}
			return
		}
	}
	for _, hole := range j.holes {
		for i, a := range hole {
			if onSegment(a, hole[(i+1)%len(hole)], mid) {
				e.kind = EdgeOpen
				return
			}
		}
	}
}

// joined joins straight neighbours of one kind and surface, round the ring.
func joined(ring []border) []border {
	same := func(a, b border) bool {
		d, e := a.b.sub(a.a), b.b.sub(b.a)
		return a.class == b.class && a.kind == b.kind && a.surface == b.surface && a.memberDrop == b.memberDrop &&
			d.dot(e) > 0 && math.Abs(d.cross(e)) <= tol*max(d.len(), e.len())
	}
	var out []border
	for _, e := range ring {
		if n := len(out); n > 0 && same(out[n-1], e) {
			out[n-1].b = e.b
			continue
		}
		out = append(out, e)
	}
	if n := len(out); n > 1 && same(out[n-1], out[0]) {
		out[0].a = out[n-1].a
		out = out[:n-1]
	}
	return out
}

// inOrder sorts edges for the lists of runs: walked with the house on the left hand from the corner that is leftmost, then
// highest; high edges first, then left, then right ones.
func inOrder(edges []border) []border {
	out := slices.Clone(edges)
	slices.Reverse(out)
	start := 0
	for i, e := range out {
		if s := out[start]; e.b.x < s.b.x-tol || e.b.x <= s.b.x+tol && e.b.y < s.b.y-tol {
			start = i
		}
	}
	out = append(slices.Clone(out[start:]), out[:start]...)
	slices.SortStableFunc(out, func(a, b border) int { return strings.Compare(a.class, b.class) })
	return out
}
