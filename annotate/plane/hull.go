package plane

import (
	"cmp"
	"math"
	"slices"
)

// hull is the convex hull of some points, counter-clockwise without repetition (Andrew's monotone chain, 1979); one or two points when the
// others add nothing.
func hull(points []vec2) []vec2 {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b vec2) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	sorted = slices.Compact(sorted)
	if len(sorted) < 3 {
		return sorted
	}
	half := func() []vec2 {
		var chain []vec2
		for _, p := range sorted {
			for len(chain) > 1 && chain[len(chain)-1].sub(chain[len(chain)-2]).cross(p.sub(chain[len(chain)-2])) <= 0 {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, p)
		}
		return chain[:len(chain)-1]
	}
	lower := half()
	slices.Reverse(sorted)
	return append(lower, half()...)
}

// outside is the distance from a point to a convex hull, 0 inside it.
func outside(ring []vec2, p vec2) float64 {
	inside, distance := len(ring) > 2, math.Inf(1)
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if b.sub(a).cross(p.sub(a)) < 0 {
			inside = false
		}
		distance = math.Min(distance, toSegment(a, b, p))
	}
	if inside {
		return 0
	}
	return distance
}

// toSegment is the distance from p to the segment from a to b.
func toSegment(a, b, p vec2) float64 {
	ab, ap := b.sub(a), p.sub(a)
	t := 0.0
	if l := ab.dot(ab); l > 0 {
		t = math.Min(1, math.Max(0, ap.dot(ab)/l))
	}
	return ap.sub(ab.scale(t)).norm()
}

// rmsRadius is the root mean square distance of points from their middle.
func rmsRadius(points []vec2) float64 {
	middle := normalise(points).middle
	var sum float64
	for _, p := range points {
		d := p.sub(middle)
		sum += d.dot(d)
	}
	return math.Sqrt(sum / float64(len(points)))
}
