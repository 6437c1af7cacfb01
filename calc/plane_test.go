package calc

import (
	"math"
	"testing"

	"undercroft/calc/length"
)

func heights(xyh ...float64) []Height {
	var out []Height
	for i := 0; i < len(xyh); i += 3 {
		out = append(out, Height{length.Inches(xyh[i]), length.Inches(xyh[i+1]), length.Inches(xyh[i+2])})
	}
	return out
}

func TestPlane(t *testing.T) {
	for _, c := range []struct {
		name    string
		heights []Height
		a, b, c float64
		worst   float64
	}{
		{"none", nil, 0, 0, 0, 0},
		{"one", heights(50, 60, 106), 106, 0, 0, 0},
		{"at one place", heights(50, 60, 106, 56, 60, 107, 50, 66, 108), 107, 0, 0, 1},
		{"two", heights(0, 0, 106, 100, 0, 107), 106, 0.01, 0, 0},
		{"two, aslant", heights(0, 0, 106, 30, 40, 107), 106, 0.6 * 0.02, 0.8 * 0.02, 0},
		{"in a line, within 6 in", heights(0, 0, 106, 100, 5, 107, 200, -5, 108, 300, 0, 109), 106, 0.01, 0, 1e-3},
		{"a plane", heights(0, 0, 106, 100, 0, 107, 0, 100, 104, 100, 100, 105), 106, 0.01, -0.02, 0},
		{"a twisted frame", heights(0, 0, 106, 100, 0, 106, 0, 100, 106, 100, 100, 106.4), 105.9, 0.002, 0.002, 0.1},
	} {
		_, p := underside(c.heights)
		near(t, c.name+": a", p.A, c.a, 0.06*math.Copysign(1, c.worst)*math.Min(1, c.worst*1000)+1e-9)
		near(t, c.name+": b", p.B, c.b, 1e-3*math.Min(1, c.worst*1000)*0.9+1e-12)
		near(t, c.name+": c", p.C, c.c, 1e-3*math.Min(1, c.worst*1000)*0.9+1e-12)
		near(t, c.name+": worst", p.MaxResidual, c.worst, 5e-3*math.Min(1, c.worst*1000)+1e-9)
	}
}

// A frame that already falls more than asked is followed; one that falls toward the house, or less, is not.
func TestFallFollowsTheFrame(t *testing.T) {
	for _, c := range []struct {
		perFoot, want float64 // of the frame; of the ceiling, asked 1/8
	}{{0, 0.125}, {0.0625, 0.125}, {0.25, 0.25}, {-0.25, 0.125}} {
		in := rectangle(240, 240)
		in.Heights = heights(0, 0, 110, 240, 0, 110, 0, 240, 110-20*c.perFoot, 240, 240, 110-20*c.perFoot)
		p, z := oneZone(t, in)
		near(t, "fall", p.FallPerFoot, c.want, 1e-9)
		last := z.Furring[len(z.Furring)-1]
		near(t, "thickness", last.Middle, (c.want-c.perFoot)*last.Y/12, 1e-9)
	}
}

// Headroom: clearances count where they were measured, else the heights' datum is the ground; without either nothing is known.
func TestHeadroom(t *testing.T) {
	in := rectangle(240, 168)
	p, z := oneZone(t, in)
	near(t, "from heights", *z.Headroom.Min, 110-1.75-1.5, 1e-9)
	near(t, "platform", *p.Access.Platform, 32, 1e-9)
	if *z.Headroom.At != [2]float64{0, 168} || len(z.Headroom.Ties) != 2 || *z.Z0 != 110 {
		t.Errorf("got %v of %v, z0 %v", *z.Headroom.At, z.Headroom.Ties, *z.Z0)
	}
	in.Clearances = []Clearance{{0, 0, 100}, {0, 168, 86}}
	p, z = oneZone(t, in)
	near(t, "from clearances", *z.Headroom.Min, 86-1.75-1.5, 1e-9)
	near(t, "platform", *p.Access.Platform, 22, 1e-9)
	if !hasRule(p, "headroom") || !hasRule(p, "gutter-headroom") {
		t.Errorf("got %v", rules(p))
	}
	in.Heights = nil
	p, z = oneZone(t, in)
	near(t, "clearances alone", *z.Headroom.Min, 86-1.75-1.5, 1e-9)
	if z.Z0 != nil {
		t.Errorf("got a ceiling height %v without heights", *z.Z0)
	}
	in.Clearances, in.Openings = nil, []Opening{{ID: "d", X0: 50, X1: 80, Head: 500}}
	p, z = oneZone(t, in)
	if z.Headroom.Min != nil || z.Headroom.At != nil || p.Access.Platform != nil || len(p.Issues) != 0 {
		t.Errorf("nothing measured: got %+v, %v, %v", z.Headroom, p.Access.Platform, rules(p))
	}
}

// At 84 in exactly the headroom is kept: 7 ft, what IRC 2021 R305.1 asks of habitable rooms; a deck's underside is none, so it is advice.
func TestHeadroomLimit(t *testing.T) {
	for _, c := range []struct {
		height float64
		want   bool
	}{{84 + 1.75 + 1.5, false}, {84 + 1.75 + 1.5 - 0.5e-6, false}, {84 + 1.75 + 1.5 - 1e-5, true}} {
		in := rectangle(240, 168)
		in.Heights = heights(0, 0, c.height)
		if p := plan(t, in); hasRule(p, "headroom") != c.want {
			t.Errorf("%v: got %v", c.height, rules(p))
		}
	}
}

// A head above the channel's place is covered: z0 less the carrier's depth along the house; falling sideways the ceiling sinks
// along the opening.
func TestOpenings(t *testing.T) {
	for _, c := range []struct {
		dir  Direction
		head float64
		want bool
	}{{FallOut, 108.5, false}, {FallOut, 108.6, true}, {FallRight, 108.5, true}, {FallRight, 108.5 - 80.0/96, false}, {FallLeft, 108.5 - 190.0/96, false}, {FallLeft, 108.5 - 189.0/96, true}} {
		in := rectangle(240, 168)
		in.Fall.Direction = c.dir
		in.Openings = []Opening{{ID: "d", X0: 50, X1: 80, Head: length.Inches(c.head)}}
		p := plan(t, in)
		if got := hasRule(p, "opening-covered"); got != c.want {
			t.Errorf("%s, head at %v: got %v, want %v", c.dir, c.head, got, c.want)
		}
	}
}

// Two heights 48 in apart down the fall: 1/8 in per ft less a wave of w over 48 in.
func TestPonding(t *testing.T) {
	for _, c := range []struct {
		name string
		h    []Height
		want bool
	}{
		{"a wave that leaves 1/16", heights(0, 0, 110, 200, 0, 110, 0, 48, 110, 200, 48, 110, 100, 100, 110, 100, 148, 110), false},
		{"a wave of half an inch", heights(0, 0, 110, 200, 0, 110, 0, 160, 110, 200, 160, 110, 100, 60, 109.75, 100, 110, 110.25), true},
		{"the same, too far across", heights(0, 0, 110, 200, 0, 110, 0, 160, 110, 200, 160, 110, 100, 60, 109.75, 130, 110, 110.25), false},
		{"the same, too near", heights(0, 0, 110, 200, 0, 110, 0, 160, 110, 200, 160, 110, 100, 60, 109.75, 100, 83, 110.25), false},
	} {
		in := rectangle(240, 168)
		in.Heights = c.h
		p := plan(t, in)
		if got := hasRule(p, "ponding"); got != c.want {
			t.Errorf("%s: got %v, want %v (%v)", c.name, got, c.want, p.Plane.Residuals)
		}
	}
}

func TestPlaneResidual(t *testing.T) {
	in := rectangle(240, 168)
	in.Heights = heights(0, 0, 110, 240, 0, 110, 0, 168, 110, 240, 168, 110, 120, 84, 110.6)
	p := plan(t, in) // the mean rises by 0.12: residuals -0.12 and 0.48
	if !hasRule(p, "plane-residual") {
		t.Fatalf("got %v", rules(p))
	}
	if got, want := p.Issues[0].Text, `joists out of plane by 1/2" at (10' 0", 7' 0")`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	in.Heights[4].Height = 110.3 // 0.24
	if p := plan(t, in); hasRule(p, "plane-residual") {
		t.Errorf("got %v", rules(p))
	}
}
