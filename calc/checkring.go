package calc

import (
	"fmt"
	"math"
)

// tol is the tolerance of every comparison of lengths, in inches, always in favour of what the deck allows.
const tol = 1e-6

// vec is a position in inches, in plan or in the fall frame.
type vec struct{ x, y float64 }

func (a vec) sub(b vec) vec       { return vec{a.x - b.x, a.y - b.y} }
func (a vec) cross(b vec) float64 { return a.x*b.y - a.y*b.x }
func (a vec) dot(b vec) float64   { return a.x*b.x + a.y*b.y }
func (a vec) len() float64        { return math.Hypot(a.x, a.y) }

// area2 is twice the signed area of a ring, positive when it turns from x toward y.
func area2(ring []vec) float64 {
	sum := 0.0
	for i := range ring {
		a, b := ring[i].sub(ring[0]), ring[(i+1)%len(ring)].sub(ring[0])
		sum += a.cross(b)
	}
	return sum
}

func ringOf(points []Point) []vec {
	ring := make([]vec, len(points))
	for i, p := range points {
		ring[i] = vec{float64(p.X), float64(p.Y)}
	}
	return ring
}

func checkOutline(in Input) error {
	outer := ringOf(in.Outline)
	if err := checkRing("outline", outer); err != nil {
		return err
	}
	for i, hole := range in.Holes {
		at := fmt.Sprintf("holes[%d]", i)
		if len(hole) > maxCorners {
			return faultf(at, "%d corners are more than the %d that can be planned", len(hole), maxCorners)
		}
		if err := checkPoints(at, hole); err != nil {
			return err
		}
		ring := ringOf(hole)
		if err := checkRing(at, ring); err != nil {
			return err
		}
		for j, p := range ring {
			if !inRing(outer, p) {
				return faultf(fmt.Sprintf("%s[%d]", at, j), "the corner lies outside the outline")
			}
		}
	}
	return nil
}

// checkRing refuses rings with too few or repeated corners, without area, or that meet themselves.
func checkRing(place string, ring []vec) error {
	if len(ring) < 3 {
		return faultf(place, "has %d corners; it needs at least 3", len(ring))
	}
	seen := map[vec]int{}
	for i, p := range ring {
		key := vec{math.Round(p.x / tol), math.Round(p.y / tol)}
		if j, ok := seen[key]; ok {
			return faultf(fmt.Sprintf("%s[%d]", place, i), "the corner repeats corner %d", j)
		}
		seen[key] = i
	}
	n := len(ring)
	if flat(ring) {
		return faultf(place, "has no area")
	}
	for i := range ring {
		for j := i + 1; j < n; j++ {
			if edgesMeet(ring, i, j) {
				return faultf(place, "crosses or touches itself: the edge from corner %d meets the edge from corner %d", i, j)
			}
		}
	}
	if math.Abs(area2(ring)) < leastArea2 {
		return faultf(place, "has no area")
	}
	return nil
}

// leastArea2 is twice the least area of an outline, in square inches.
const leastArea2 = 0.02

// flat tells whether all corners lie in a straight line.
func flat(ring []vec) bool {
	sum := 0.0
	for i := range ring {
		sum += math.Abs(ring[i].sub(ring[0]).cross(ring[(i+1)%len(ring)].sub(ring[0])))
	}
	return sum < leastArea2
}

// edgesMeet tells whether edges i < j meet where they must not: anywhere, or beyond the corner that neighbours share.
func edgesMeet(ring []vec, i, j int) bool {
	n := len(ring)
	a, b, c, d := ring[i], ring[(i+1)%n], ring[j], ring[(j+1)%n]
	switch {
	case j == i+1: // they share b = c: d must not lie on ab, nor a on cd
		return onSegment(a, b, d) || onSegment(c, d, a)
	case i == 0 && j == n-1: // they share a = d
		return onSegment(a, b, c) || onSegment(c, d, b)
	}
	return segmentsMeet(a, b, c, d)
}

// onSegment tells whether p lies within tol of the segment.
func onSegment(a, b, p vec) bool {
	d := b.sub(a)
	t := min(1, max(0, p.sub(a).dot(d)/d.dot(d)))
	return p.sub(vec{a.x + t*d.x, a.y + t*d.y}).len() <= tol
}

func segmentsMeet(a, b, c, d vec) bool {
	if onSegment(a, b, c) || onSegment(a, b, d) || onSegment(c, d, a) || onSegment(c, d, b) {
		return true
	}
	side := func(p, q, r vec) bool { return q.sub(p).cross(r.sub(p)) > 0 }
	return side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b)
}

// inRing tells whether a point lies in a ring or on its edge.
func inRing(ring []vec, p vec) bool {
	in := false
	for i := range ring {
		a, b := ring[i], ring[(i+1)%len(ring)]
		if onSegment(a, b, p) {
			return true
		}
		if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(p.y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}
