package calc

import (
	"strings"
	"testing"
)

func TestAssumptions(t *testing.T) {
	says := func(in Input, what string) bool {
		return strings.Contains(strings.Join(plan(t, in).Assumptions, "\n"), what)
	}
	in := rectangle(240, 168)
	for _, c := range []struct {
		what   string
		change func(*Input)
	}{
		{"No heights were measured", func(in *Input) { in.Heights = nil }},
		{"headroom, openings and the working platform are not known", func(in *Input) { in.Heights = nil }},
		{"needs blocking", func(in *Input) { in.Joists.Direction = "x" }},
		{"drawn out", func(in *Input) { in.Beams = []Beam{beamAt("b", 5, 240, 100, 104, 9, TreatAuto)} }},
		{"aslant", func(in *Input) { in.Outline[2].X = 220; in.Outline[2].Y = 150 }},
		{"No withdrawal capacity", func(in *Input) { in.System = profile(`{"furring_specific_gravity": null}`) }},
		{"roof's 100 ft2", func(in *Input) { in.Rain.RoofFt2 = 100 }},
	} {
		other := in
		other.Outline = append([]Point{}, in.Outline...)
		c.change(&other)
		if says(in, c.what) || !says(other, c.what) {
			t.Errorf("%q: said without cause, or not said: %v", c.what, plan(t, other).Assumptions)
		}
	}
	if !says(in, "datum of the heights") {
		t.Error("heights alone: the datum is not said to be the ground")
	}
}
