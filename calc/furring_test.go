package calc

import (
	"fmt"
	"slices"
	"testing"

	"undercroft/calc/length"
)

// Fall 1/8 in per ft is 1/2 in in 4 ft; each row 4 ft further on a level frame is 1/2 in thicker (arithmetic).
func TestRowsGrowHalfAnInchEachFourFeet(t *testing.T) {
	_, z := oneZone(t, rectangle(240, 240))
	want := []float64{48, 96, 144, 192, 237.25}
	if len(z.Furring) != len(want) {
		t.Fatalf("got %d rows, want %d", len(z.Furring), len(want))
	}
	for i, r := range z.Furring {
		near(t, "place", r.Y, want[i], 1e-9)
		if i < 4 {
			near(t, "thickness", r.Middle, 0.5*float64(i+1), 1e-9)
		}
	}
	if last := z.Furring[4]; last.Place != "last" || z.Furring[3].Place != "row" {
		t.Errorf("the last row is %q, the one before %q", last.Place, z.Furring[3].Place)
	}
}

// Deepest furring 2 in: 2 + 1 1/4 = 3 1/4 in screws (common practice, no source).
func TestScrewLengths(t *testing.T) {
	for _, c := range []struct {
		need, want float64
		listed     bool
	}{{2 + 1.25, 3.25, true}, {1.25, 1.25, true}, {1.26, 1.625, true}, {6, 6, true}, {6 + 1e-7, 6, true}, {6.0625, 6.0625, false}, {3.5001, 4, true}} {
		if got, listed := screwFor(c.need); got != c.want || listed != c.listed {
			t.Errorf("screwFor(%v): got %v, %v; want %v, %v", c.need, got, listed, c.want, c.listed)
		}
	}
}

func TestPlies(t *testing.T) {
	for _, c := range []struct {
		build float64
		stock []length.Inches
		want  []float64
	}{
		{0.5, []length.Inches{0.5, 1}, []float64{0.5}},
		{1.5, []length.Inches{0.5, 1}, []float64{1, 0.5}},
		{1.75, []length.Inches{0.5, 1}, nil},
		{0.4375, []length.Inches{0.5, 1}, []float64{0.5}},              // 1/16 off is near enough
		{1, []length.Inches{0.5, 1}, []float64{1}},                     // fewest plies
		{0.75, []length.Inches{0.6875, 0.8125}, []float64{0.8125}},     // equally near: the thicker sum
		{1, []length.Inches{0.25, 0.5, 0.75}, []float64{0.75, 0.25}},   // equal sums: thicker plies
		{1, []length.Inches{1.0625, 0.5}, []float64{1.0625}},           // fewest before nearest
		{1, []length.Inches{0.9375, 1.03125}, []float64{1.03125}},      // the nearest
		{3, []length.Inches{0.25}, slices.Repeat([]float64{0.25}, 12)}, // many thin ones
	} {
		if got := plies(c.build, c.stock); fmt.Sprint(got) != fmt.Sprint(append([]float64{}, c.want...)) {
			t.Errorf("plies(%v, %v): got %v, want %v", c.build, c.stock, got, c.want)
		}
	}
}

// Joists along the rows: each row moves to the nearest joist line, the upslope one of two equally near; the last row stays.
func TestRowsMoveToJoists(t *testing.T) {
	in := rectangle(240, 168)
	in.Joists.Direction, in.Joists.Spacing = "x", 32 // lines at 0, 32, 64, 96, 128, 160, 168
	_, z := oneZone(t, in)
	var got []float64
	for _, r := range z.Furring {
		got = append(got, r.Y)
	}
	if want := []float64{32, 96, 128, 165.25}; fmt.Sprint(got) != fmt.Sprint(want) { // 48 is as near to 32 as to 64, 144 to 128 as to 160 (too far down)
		t.Errorf("got rows at %v, want %v", got, want)
	}
	// along a joist: a screw each spacing and one at the end, ceil(240/32) + 1 = 9
	near(t, "screws", float64(z.FurringScrews), 4*9, 0)
	in.Joists.Spacing = 100 // lines at 0, 100, 168: 48 and 96 both move to 100, 144 too: one row
	_, z = oneZone(t, in)
	if len(z.Furring) != 2 || z.Furring[0].Y != 100 {
		t.Errorf("got %d rows, the first at %v; want one at 100 and the last", len(z.Furring), z.Furring[0].Y)
	}
}

// Joists across the rows: two ends and each joist line at least 1 1/2 in inside them.
func TestFurringScrewsAcross(t *testing.T) {
	for _, c := range []struct{ wide, spacing, each float64 }{
		{240, 16, 16},            // lines 16 … 224, and both ends
		{241.5, 16, 17},          // 240 is just 1 1/2 in inside
		{241.4, 16, 16},          // 240 is nearer than that to the end
		{241.5 - 0.5e-6, 16, 17}, // within the tolerance
	} {
		in := rectangle(c.wide, 168)
		in.Joists.Spacing = length.Inches(c.spacing)
		_, z := oneZone(t, in)
		near(t, fmt.Sprintf("%v wide", c.wide), float64(z.FurringScrews), 4*c.each, 0)
	}
}

// A stepped zone: each low edge has its own last row, and rows keep 12 in from the local ends.
func TestRowsOfAStep(t *testing.T) {
	for _, c := range []struct {
		step float64
		want string
	}{
		{110, "48:0-240 96:0-240 107.25:120-240 144:0-120 192:0-120 237.25:0-120"}, // local y_low 108 is just 12 in below 96
		{109.9, "48:0-240 96:0-120 107.15:120-240 144:0-120 192:0-120 237.25:0-120"},
	} {
		in := deck(Point{0, 0}, Point{240, 0}, Point{240, length.Inches(c.step)}, Point{120, length.Inches(c.step)}, Point{120, 240}, Point{0, 240})
		_, z := oneZone(t, in)
		got := ""
		for _, r := range z.Furring {
			got += fmt.Sprintf(" %.6g:%g-%g", r.Y, r.X0, r.X1)
		}
		if got[1:] != c.want {
			t.Errorf("step at %v: got %s, want %s", c.step, got[1:], c.want)
		}
	}
}

// A high step: the right half begins 90 in out, so the row at 96 has only 6 in there and is cut.
func TestRowsKeepTwelveInchesBelowTheHighEnd(t *testing.T) {
	in := deck(Point{0, 0}, Point{120, 0}, Point{120, 90}, Point{240, 90}, Point{240, 240}, Point{0, 240})
	_, z := oneZone(t, in)
	if r := z.Furring[1]; r.Y != 96 || r.X1 != 120 {
		t.Errorf("got a row at %v to %v, want 96 to 120", r.Y, r.X1)
	}
	if r := z.Furring[2]; r.Y != 144 || r.X0 != 0 || r.X1 != 240 {
		t.Errorf("got a row at %v from %v to %v, want 144 from 0 to 240", r.Y, r.X0, r.X1)
	}
	// t at the step's own high edge follows the one plane: 90/96 in there, not zero
	for _, run := range z.Channel {
		if run.Edge == "high" && run.P0.Y == 90 {
			near(t, "drop at the step", run.T0, 90.0/96, 1e-9)
		}
	}
	// the right column's first fastening is its high edge at 90, then 144: 54 in is the greatest distance
	near(t, "carrier load", z.ScrewCheck.Carrier.Load, 12.0625*54/144*(1+0.75*5.2), 1e-9)
}

func TestThinRowsAreNoStrips(t *testing.T) {
	in := rectangle(240, 60)
	p, z := oneZone(t, in) // rows at 57.25 only: t = 0.596
	if z.Furring[0].Fasten != "strip" || hasRule(p, "no-strip") {
		t.Errorf("got %+v, %v", z.Furring[0], rules(p))
	}
	perFoot := length.Inches(0.02)
	in.Fall.PerFoot = &perFoot // t = 0.095 in
	p, z = oneZone(t, in)
	if z.Furring[0].Fasten != "joist" || !hasRule(p, "no-strip") || z.FurringScrews != 0 || z.FurringScrew != 0 {
		t.Errorf("got %+v, %v, %d screws", z.Furring[0], rules(p), z.FurringScrews)
	}
	if len(z.Carriers) != z.CarrierScrews {
		t.Errorf("got %d carrier screws on %d carriers, want one each", z.CarrierScrews, len(z.Carriers))
	}
	in.Joists.Direction = "x" // the row lies on a joist or on blocking: nothing to say
	if p := plan(t, in); hasRule(p, "no-strip") {
		t.Errorf("joists along the rows: got %v", rules(p))
	}
	in.Fall.PerFoot, in.Base = nil, 0.125
	if p := plan(t, in); hasRule(p, "no-strip") {
		t.Errorf("base 1/8: got %v", rules(p))
	}
}

// A row built thicker than 3 in is dropped framing: no plies, no screws of its own, still a line of fastening.
func TestDroppedFraming(t *testing.T) {
	for _, c := range []struct {
		base    length.Inches
		dropped bool
	}{{2.5, false}, {2.5625, true}} {
		in := rectangle(240, 64) // rows at 48 (t = base + 1/2) and 61.25
		in.Base = c.base
		p, z := oneZone(t, in)
		if r := z.Furring[0]; r.Dropped != c.dropped || (len(r.Plies) == 0) != c.dropped {
			t.Errorf("base %v: got %+v", c.base, r)
		}
		if !hasRule(p, "dropped-framing") { // the last row is 3.138 in and more
			t.Errorf("base %v: got %v", c.base, rules(p))
		}
		if z.CarrierScrews != 2*len(z.Carriers) {
			t.Errorf("base %v: got %d carrier screws on %d carriers, want two each", c.base, z.CarrierScrews, len(z.Carriers))
		}
		if c.dropped && (z.FurringScrew != 0 || z.FurringScrews != 0) {
			t.Errorf("no strip is left: got %d screws of %v", z.FurringScrews, z.FurringScrew)
		}
		if !c.dropped && (z.FurringScrew != 4.5 || z.FurringScrews != 16) { // 3 + 1 1/4 = 4 1/4
			t.Errorf("got %d screws of %v, want 16 of 4 1/2", z.FurringScrews, z.FurringScrew)
		}
	}
}

// Where a header stops the joists a row has nothing to hold it.
func TestJoistGaps(t *testing.T) {
	for _, c := range []struct {
		gap    Box
		screws int
		bare   bool
	}{
		{Box{90, 103, 40, 60}, 64 - 1, true},   // the joist at 96 is gone: 80 to 112 is 32 in
		{Box{97, 103, 40, 60}, 64, false},      // none is gone
		{Box{96, 112, 40, 60}, 64, false},      // joists at its edges stay
		{Box{90, 103, 48, 60}, 64, false},      // the row lies on the header
		{Box{-10, 17, 40, 60}, 64 - 2, true},   // the end and 16 are gone: 0 to 32
		{Box{230, 250, 40, 60}, 64 - 1, false}, // the end is gone: 224 to 240 is 16 in
	} {
		in := rectangle(240, 240)
		in.Joists.Gaps = []Box{c.gap}
		p, z := oneZone(t, in) // rows at 48, 96, 144, 192 and the last, 16 screws each
		if got := z.FurringScrews - 16; got != c.screws {
			t.Errorf("gap %v: got %d screws, want %d", c.gap, got, c.screws)
		}
		if hasRule(p, "row-unsupported") != c.bare {
			t.Errorf("gap %v: got %v", c.gap, rules(p))
		}
	}
}

// Along a joist the gap itself is the stretch without one; the screws in it are left out.
func TestJoistGapsAlongTheRow(t *testing.T) {
	for _, c := range []struct {
		x0, x1 length.Inches
		screws int
		bare   bool
	}{{100, 124, 15, false}, {100, 124.1, 15, true}, {97, 111, 16, false}, {60, 90, 14, true}} {
		in := rectangle(240, 60)
		in.Base, in.Joists.Direction = 1, "x"
		in.Joists.Gaps = []Box{{c.x0, c.x1, 50, 60}}
		p, z := oneZone(t, in) // the last row alone: a screw each 16 in, 16 in all
		if z.FurringScrews != c.screws || hasRule(p, "row-unsupported") != c.bare {
			t.Errorf("gap from %v to %v: got %d screws, %v", c.x0, c.x1, z.FurringScrews, rules(p))
		}
	}
}

// Two gaps that overlap are one stretch of 30 in without a joist, though each is 18 in long.
func TestOverlappingGaps(t *testing.T) {
	in := rectangle(240, 60)
	in.Base, in.Joists.Direction = 1, "x"
	in.Joists.Gaps = []Box{{100, 118, 50, 60}, {112, 130, 50, 60}}
	if p, _ := oneZone(t, in); !hasRule(p, "row-unsupported") {
		t.Errorf("got %v, want row-unsupported", rules(p))
	}
}

// Joists 24 in apart and a deck of 241 in: the row's last screws are at 216 and 241, 25 in apart. A gap between them stops no joist,
// so that it is not the gap's doing.
func TestGapBetweenJoists(t *testing.T) {
	in := rectangle(241, 240)
	in.Joists.Spacing = 24
	in.Joists.Gaps = []Box{{220, 235, 40, 60}}
	if p, _ := oneZone(t, in); hasRule(p, "row-unsupported") {
		t.Errorf("got %v, want no row-unsupported", rules(p))
	}
}

func TestRowBlocked(t *testing.T) {
	in := rectangle(240, 168)
	in.Obstructions = []Obstruction{hanger("clear", 30, 46.2, 0.3), hanger("met", 50, 46.3, 0.3)} // 48 - 3/4 = 47.25
	if got, want := rules(plan(t, in)), []string{"row-blocked z1 met"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	in.Obstructions = nil
	in.Beams = []Beam{{ID: "b", Box: Box{0, 240, 47, 50}, Drop: 0.4, Treatment: TreatAuto}}
	if got, want := rules(plan(t, in)), []string{"row-blocked z1 b"}; !slices.Equal(got, want) {
		t.Errorf("a passed beam: got %v, want %v", got, want)
	}
}

func TestTaper(t *testing.T) {
	in := rectangle(240, 168)
	in.Heights = []Height{{0, 0, 110}, {240, 0, 110.25}, {0, 168, 110}, {240, 168, 110.25}}
	_, z := oneZone(t, in)
	r := z.Furring[0]
	near(t, "left", r.Left, 0.5, 1e-9)
	near(t, "middle", r.Middle, 0.625, 1e-9)
	near(t, "right", r.Right, 0.75, 1e-9)
	near(t, "build", r.Build, 0.625, 0)
	if !r.Tapered {
		t.Error("a row from 1/2 to 3/4 is not called tapered")
	}
}
