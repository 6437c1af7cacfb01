package survey

import (
	"undercroft/calc"
	"undercroft/calc/length"
)

// holeKeys are the facts that hold the corners of openings in the deck.
func holeKeys() []string { return []string{"hole", "hole.2", "hole.3"} }

// HoleFact is the fact that makes a rectangle of inches, from along the house and out from it, the next opening of the deck; Invalid when it has no size, lies outside of the
// outline, or there are as many as a deck may have.
func HoleFact(r Record, x, y, w, d length.Inches) (Fact, error) {
	if w <= 0 || d <= 0 {
		return Fact{}, Errorf(Invalid, "An opening has a width and a depth: write them as 3' 6\".")
	}
	hole := Ring{Corners: []calc.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + d}, {X: x, Y: y + d}}}
	g := DrawnOutline(r)
	for _, c := range hole.Corners {
		if !g.holds(c) {
			return Fact{}, Errorf(Invalid, "The opening reaches out of the deck at %s along, %s out. A cut in the deck's edge is a jog of its side.", c.X, c.Y)
		}
	}
	for _, corners := range Holes(r) {
		if hole.meets(Ring{Corners: corners}) {
			return Fact{}, Errorf(Invalid, "The opening meets another one. Make one opening of the two: take the other away first.")
		}
	}
	if hole.meets(g) {
		return Fact{}, Errorf(Invalid, "The opening reaches over the deck's edge. A cut in the edge is a jog of its side.")
	}
	for _, key := range holeKeys() {
		if now := r.Facts[key]; now.Text == "" {
			return Fact{Survey: r.Survey.ID, Key: key, Text: hole.Text(), Version: now.Version}, nil
		}
	}
	return Fact{}, Errorf(Invalid, "There are %d openings already; remove one first.", len(holeKeys()))
}

// holds tells whether a point lies inside of the outline; on it does not count.
func (g Ring) holds(p calc.Point) bool {
	inside := false
	for _, s := range g.Sides() {
		if sidesCross(s, Side{From: p, To: p}) {
			return false
		}
		if (s.From.Y > p.Y) == (s.To.Y > p.Y) {
			continue
		}
		if cross := s.From.X + (p.Y-s.From.Y)/(s.To.Y-s.From.Y)*(s.To.X-s.From.X); p.X < cross {
			inside = !inside
		}
	}
	return inside
}

// Holes are the openings of the deck that are known, by the keys of their facts.
func Holes(r Record) map[string][]calc.Point {
	holes := map[string][]calc.Point{}
	for _, key := range holeKeys() {
		if v, err := readCorners(r.Facts[key].Text); err == nil {
			holes[key] = v.Corners
		}
	}
	return holes
}

// meets tells whether a side of one ring has a point in common with a side of another.
func (g Ring) meets(o Ring) bool {
	for _, a := range g.Sides() {
		for _, b := range o.Sides() {
			if sidesCross(a, b) {
				return true
			}
		}
	}
	return false
}
