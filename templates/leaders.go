package templates

import "math"

// LeaderPin is a pin as the placing of heads sees it: its exact point in fractions of the picture, the other end of a pin with two
// ends, and whether its head may sit on the point itself.
type LeaderPin struct {
	X, Y   float64
	X2, Y2 *float64
	On     bool
}

// Head is where a pin's head stands off its point, in px to the right and down.
type Head struct{ DX, DY float64 }

// The distances that keep heads apart, in px. A mark is 36 px wide with its casing.
const (
	headInset  = 18 // head centre to the picture's border
	headGap    = 38 // centre to centre of two heads
	pointGap   = 22 // head centre to another pin's exact point
	leaderGap  = 20 // head centre to another pin's leader or line
	pointScore = 4  // hiding a point is this much worse than touching a head
)

type spot struct{ x, y float64 }

type segment struct{ a, b spot }

// leaderField is what has been placed so far on one picture.
type leaderField struct {
	w, h    float64
	points  [][]spot // exact points of every pin
	heads   []spot
	lines   []segment
	lineOf  []int // the pin whose line it is
	anchors []spot
}

// PlaceHeads finds a place for each head on a picture of w by h px, so that no head hides another pin's exact point. A head takes the
// first free of eight directions, below first, at 36, 46 and 56 px; pins whose head may sit on its point come first and try that
// before. Where nothing is free the head takes the place that hides least. The anchor of a pin with two ends is the middle of its
// line. The result has one Head for each pin, in the same order; it depends on nothing but the arguments.
func PlaceHeads(w, h float64, pins []LeaderPin) []Head {
	f := newLeaderField(w, h, pins)
	heads := make([]Head, len(pins))
	for _, on := range []bool{true, false} {
		for i, p := range pins {
			if p.On == on {
				heads[i] = f.place(i, p.On)
			}
		}
	}
	return heads
}

func newLeaderField(w, h float64, pins []LeaderPin) *leaderField {
	f := &leaderField{w: w, h: h}
	for i, p := range pins {
		a := spot{p.X * w, p.Y * h}
		f.points = append(f.points, []spot{a})
		f.anchors = append(f.anchors, a)
		if p.X2 != nil && p.Y2 != nil {
			b := spot{*p.X2 * w, *p.Y2 * h}
			f.points[i] = []spot{a, b}
			f.anchors[i] = spot{(a.x + b.x) / 2, (a.y + b.y) / 2}
			f.lines = append(f.lines, segment{a, b})
			f.lineOf = append(f.lineOf, i)
		}
	}
	return f
}

// place chooses the head of pin i and remembers it.
func (f *leaderField) place(i int, on bool) Head {
	best, bestCost := Head{}, math.Inf(1)
	for _, c := range headCandidates(on) {
		if cost := f.cost(i, c); cost < bestCost-1e-9 {
			best, bestCost = c, cost
		}
		if bestCost == 0 {
			break
		}
	}
	p := f.anchors[i]
	head := spot{p.x + best.DX, p.y + best.DY}
	f.heads = append(f.heads, head)
	if best != (Head{}) {
		f.lines = append(f.lines, segment{p, head})
		f.lineOf = append(f.lineOf, i)
	}
	return best
}

// headCandidates are the places a head may take, the best first.
func headCandidates(on bool) []Head {
	var list []Head
	if on {
		list = append(list, Head{})
	}
	for _, d := range []float64{36, 46, 56} {
		q := math.Floor(d*math.Sqrt2/2 + 0.5)
		list = append(list, Head{0, d}, Head{q, q}, Head{-q, q}, Head{d, 0}, Head{-d, 0}, Head{0, -d}, Head{q, -q}, Head{-q, -q})
	}
	return list
}

// cost is 0 for a free place; otherwise it grows with what the head would hide, in px of overlap.
func (f *leaderField) cost(i int, c Head) float64 {
	p := f.anchors[i]
	head := spot{p.x + c.DX, p.y + c.DY}
	cost := short(headInset, head.x) + short(headInset, f.w-head.x) + short(headInset, head.y) + short(headInset, f.h-head.y)
	for j, points := range f.points {
		if j == i && len(points) == 1 {
			continue
		}
		for _, q := range points {
			cost += pointScore * near(pointGap, q.x-head.x, q.y-head.y)
		}
	}
	leader := segment{p, head}
	for _, other := range f.heads {
		cost += near(headGap, other.x-head.x, other.y-head.y) + leader.near(leaderGap, other)
	}
	for j, line := range f.lines {
		if f.lineOf[j] != i {
			cost += line.near(leaderGap, head)
		}
	}
	return cost
}

// short is how much d falls short of gap, 0 when it does not.
func short(gap, d float64) float64 {
	if d >= gap-1e-9 {
		return 0
	}
	return gap - d
}

// near is how much a distance of dx, dy falls short of gap. The products are rounded one by one, so that every machine and the script of
// the photo page come to the same.
func near(gap, dx, dy float64) float64 {
	if math.Abs(dx) >= gap || math.Abs(dy) >= gap {
		return 0
	}
	return short(gap, math.Sqrt(float64(dx*dx)+float64(dy*dy)))
}

// near is how much the distance from q to the nearest point of the segment falls short of gap.
func (s segment) near(gap float64, q spot) float64 {
	if q.x <= min(s.a.x, s.b.x)-gap || q.x >= max(s.a.x, s.b.x)+gap || q.y <= min(s.a.y, s.b.y)-gap || q.y >= max(s.a.y, s.b.y)+gap {
		return 0
	}
	dx, dy := s.b.x-s.a.x, s.b.y-s.a.y
	t, n := 0.0, float64(dx*dx)+float64(dy*dy)
	if n > 0 {
		t = max(0, min(1, (float64((q.x-s.a.x)*dx)+float64((q.y-s.a.y)*dy))/n))
	}
	return near(gap, s.a.x+float64(t*dx)-q.x, s.a.y+float64(t*dy)-q.y)
}
