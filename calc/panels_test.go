package calc

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"undercroft/calc/length"
)

// 27 ft between side edges, no clearance: 27 whole panels would take 27 x 12 1/16 = 325 11/16, 1 11/16 too much; it is taken from
// both ends, 11 1/4 and 11 3/16 (arithmetic).
func TestTwentySevenFeet(t *testing.T) {
	in := rectangle(324, 168)
	in.System = profile(`{"side_clearance": 0}`)
	_, z := oneZone(t, in)
	if z.Panels.Count != 27 {
		t.Fatalf("got %d panels, want 27", z.Panels.Count)
	}
	near(t, "first", z.Panels.First, 11.25, 1e-9)
	near(t, "last", z.Panels.Last, 11.1875, 1e-9)
}

// A zone so wide that one panel fills it: n = 1 when, and only when, W <= c - min_trim.
func TestOnePanel(t *testing.T) {
	const most = 12.0625 - 0.5 + 0.25 // the widest zone with one panel, side clearances included
	for _, c := range []struct {
		wide  float64
		count int
		first float64
		rules string
	}{
		{most, 1, most - 0.25, ""},
		{most + 0.5e-6, 1, most - 0.25, ""},
		{most + 0.001, 2, 6, ""}, // of 11.5635: one narrow end costs less than two
		{3.25, 1, 3, ""},
		{3, 1, 2.75, "end-rule-relaxed z1"},
		{0.3125, 1, 0.0625, "end-rule-relaxed z1"},
		{0.3, 0, 0, "zone-narrow z1"},
		{0.25, 0, 0, "zone-narrow z1"},
		{0.2, 0, 0, "zone-narrow z1"},
	} {
		p, z := oneZone(t, rectangle(c.wide, 120))
		if z.Panels.Count != c.count || math.Abs(z.Panels.First-c.first) > 1e-5 || strings.Join(rules(p), ", ") != c.rules {
			t.Errorf("%v wide: got %d panels, first %v, %v; want %d, %v, %s", c.wide, z.Panels.Count, z.Panels.First, rules(p), c.count, c.first, c.rules)
		}
		if c.count == 1 {
			near(t, "narrow ends of one panel", z.Panels.Cost.Narrow, map[bool]float64{true: 10}[c.first < 6], 0)
			near(t, "last", z.Panels.Last, z.Panels.First, 0)
		}
	}
}

// The relaxations in order: first the trim, then the least end, then a = b in no whole eighths.
func TestRelaxedEnds(t *testing.T) {
	for _, c := range []struct {
		profile string
		wide    float64
		count   int
		first   float64
	}{
		{`{"panel_cover": 4, "panel_gain": 0, "panel_min_end": 3}`, 4.25, 1, 4},           // W = 4 > 3.5 and < 6: the trim gives
		{`{"panel_cover": 4, "panel_gain": 0, "panel_min_end": 3}`, 5.25, 2, 2.5},         // W = 5: ends of 2 1/2
		{`{"panel_cover": 0.2, "panel_gain": 0, "side_clearance": 0}`, 10.03, 51, 0.125},  // ends of 0.125 and 0.105
		{`{"panel_cover": 0.1, "panel_gain": 0, "side_clearance": 0}`, 10.03, 101, 0.065}, // no eighth is as narrow
	} {
		in := rectangle(c.wide, 120)
		in.System = profile(c.profile)
		p, z := oneZone(t, in)
		if z.Panels.Count != c.count || math.Abs(z.Panels.First-c.first) > 1e-9 || !hasRule(p, "end-rule-relaxed") {
			t.Errorf("%s: got %d panels, first %v, %v", c.profile, z.Panels.Count, z.Panels.First, rules(p))
		}
	}
}

// A hanger 3/8 in lower than the furring at its place needs a notch of 1/2 in with the 1/8 clearance.
func TestNotchDepth(t *testing.T) {
	in := rectangle(240, 168)
	_, z := oneZone(t, in)
	x := z.Seams[5]
	in.System = profile(`{` + exact + `, "cost_notch": 0}`)
	in.Obstructions = []Obstruction{hanger("h", x, 96+12, 1.125+0.375)} // t = 108/96
	p, z := oneZone(t, in)
	if len(z.Notches) != 1 {
		t.Fatalf("got %d notches, want 1: %v", len(z.Notches), rules(p))
	}
	n := z.Notches[0]
	near(t, "depth", n.Depth, 0.5, 0)
	near(t, "from", n.From, 108-1-0.125-0.125, 1e-9) // from the carrier's high end, which is 1/8 down
	near(t, "to", n.To, 108+1+0.125-0.125, 1e-9)
	if n.Probability != 1 || n.State != "expected" || n.Carrier != 6 {
		t.Errorf("got %+v", n)
	}
}

// depth <= 0 is clear, up to the deepest notch is a notch, deeper blocks the carrier; limits are met within 1e-6.
func TestRoles(t *testing.T) {
	in := rectangle(240, 168)
	in.System = profile(`{` + exact + `}`)
	j := newJob(in, plan(t, in).System)
	for _, c := range []struct {
		depth   float64
		fixture bool
		thru    bool
		want    role
	}{
		{-1, false, false, roleClear}, {0, false, false, roleClear}, {1e-6, false, false, roleClear}, {2e-6, false, false, roleNotch},
		{1, false, false, roleNotch}, {1 + 1e-6, false, false, roleNotch}, {1 + 2e-6, false, false, roleBlock},
		{-1, true, false, roleBlock}, {5, false, true, roleThrough}, {-1, false, true, roleThrough},
	} {
		if got := j.role(&thing{depth: c.depth, fixture: c.fixture, thru: c.thru}); got != c.want {
			t.Errorf("depth %v, fixture %v, through %v: got %v, want %v", c.depth, c.fixture, c.thru, got, c.want)
		}
	}
}

// Phi from tables of the normal distribution: Phi(1) = 0.841345, Phi(2) = 0.977250 (Abramowitz and Stegun, table 26.1).
func TestChance(t *testing.T) {
	near(t, "in the middle, m = s", chance(0, 1, 1), 2*0.841345-1, 1e-6)
	near(t, "in the middle, m = 2 s", chance(0, 2, 1), 2*0.977250-1, 1e-6)
	near(t, "at the edge", chance(2, 2, 1), 0.5, 1e-4)
	near(t, "one deviation inside", chance(1, 2, 1), 0.841345-(1-0.998650), 1e-6)
	near(t, "certain, inside", chance(0.9, 1, 0), 1, 0)
	near(t, "certain, at the edge", chance(1, 1, 0), 0, 0)
	near(t, "certain, within the tolerance", chance(1-0.5e-6, 1, 0), 0, 0)
	near(t, "certain, outside", chance(1.1, 1, 0), 0, 0)
}

// An obstruction through the ceiling is no notch and no block, whatever it is; a seam there is welcome.
func TestThrough(t *testing.T) {
	in := rectangle(240, 168)
	in.System = profile(`{` + exact + `}`)
	_, z := oneZone(t, in)
	post := hanger("post", z.Seams[5], 120, 60)
	post.Through, post.Kind = true, KindFixture
	in.Obstructions = []Obstruction{post}
	p, z := oneZone(t, in)
	if len(p.Issues) != 0 || len(z.Notches) != 0 {
		t.Errorf("got %v and %d notches, want none", rules(p), len(z.Notches))
	}
	near(t, "cost", z.Panels.Cost.Through, 0, 0)
	if len(z.CutOuts) != 1 || z.CutOuts[0].Kind != "through" || z.CutOuts[0].WX != 2.5 || itemNamed(p, "collar").Need != 1 {
		t.Errorf("got cut-outs %+v, collars %v", z.CutOuts, itemNamed(p, "collar").Need)
	}
	in.Obstructions[0].X += 6
	in.Obstructions = append(in.Obstructions, hanger("other", float64(post.X), 100, 1.5)) // keeps the layout from moving to the post
	in.Obstructions[1].Through = true
	p, z = oneZone(t, in)
	near(t, "cost of one that no seam meets", z.Panels.Cost.Through, 6, 0)
	in.Obstructions = []Obstruction{post}
	in.Obstructions[0].Y = 48
	if got, want := rules(plan(t, in)), []string{"row-blocked z1 post"}; !slices.Equal(got, want) {
		t.Errorf("on a row: got %v, want %v", got, want)
	}
}

// blockedDeck is so narrow that one seam is forced: W = 12.0625, a = b = 6 and 6 1/16 or near it.
func blockedDeck(o ...Obstruction) Input {
	in := rectangle(12.3125, 168)
	in.System = profile(`{` + exact + `, "cost_notch": 0, "cost_blocked": 0}`)
	in.Obstructions = o
	return in
}

// The seam lies at 6 1/8: 6 in and the clearance.
func TestFindingsOnCarriers(t *testing.T) {
	const seam = 6.125
	fixture := func(id string, x, sx float64) Obstruction {
		o := hanger(id, x, 100, 1)
		o.Kind, o.SX = KindFixture, length.Inches(sx)
		return o
	}
	doubt := hanger("doubt", seam+2.2, 100, 2.2) // m = 1 + 3/4 + 1/8 = 1 7/8
	doubt.SX = 1
	long := hanger("long", seam, 68, 1)
	long.WY = 12
	for _, c := range []struct {
		name string
		o    Obstruction
		want []string
	}{
		{"clear", hanger("o", seam, 100, 0.5), nil},
		{"notch", hanger("o", seam, 120, 1.5), nil},
		{"notch beside", hanger("o", seam+1.875, 120, 1.5), nil},
		{"on a row", hanger("o", seam, 96, 1.5), []string{"row-blocked z1 o", "notch-on-row z1 o"}},
		{"carrier", hanger("o", seam, 100, 2.2), []string{"carrier-blocked z1 o"}},
		{"panel and carrier", hanger("o", seam, 100, 2.5), []string{"carrier-blocked z1 o", "panel-blocked z1 o"}},
		{"panel only", hanger("o", seam+4, 100, 2.5), []string{"panel-blocked z1 o"}},
		{"doubtful", doubt, []string{"carrier-may-be-blocked z1 doubt"}},
		{"fixture on it", fixture("f", seam, 0), []string{"fixture-on-carrier z1 f"}},
		{"fixture in doubt", fixture("f", seam+2.2, 1), []string{"carrier-may-be-blocked z1 f"}},
		{"fixture clear of it", fixture("f", seam+4, 0), nil},
		{"long notch", long, []string{"long-notch z1 long"}},
		{"outside", hanger("o", 100, 100, 9), []string{"obstruction-outside o"}},
		{"beyond the carrier's end", hanger("o", seam, 167.2, 2.5), nil},
	} {
		p := plan(t, blockedDeck(c.o))
		if z := p.Zones[0]; len(z.Seams) != 1 || z.Seams[0] != seam {
			t.Fatalf("%s: seams at %v, want %v", c.name, z.Seams, seam)
		}
		if got := rules(p); !slices.Equal(got, list(c.want)) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

// What blocks the panel names the base that would clear it and the headroom left then.
func TestPanelBlockedNamesABase(t *testing.T) {
	p := plan(t, blockedDeck(hanger("o", 10, 96, 2.75))) // t = 1; the panel lies 1 1/4 in under the carrier's top: 2.75 - 1 - 1.25 = 0.5
	issue := p.Issues[len(p.Issues)-1]
	if issue.Rule != "panel-blocked" || issue.Base == nil || issue.Headroom == nil {
		t.Fatalf("got %+v", issue)
	}
	near(t, "base", *issue.Base, 0.5, 1e-9)
	near(t, "headroom", *issue.Headroom, 110-168.0/96-1.5-0.5, 1e-9)
}

// Carriers, pieces and screws follow the local ends of a U.
func TestU(t *testing.T) {
	in := deck(Point{0, 0}, Point{240, 0}, Point{240, 168}, Point{180, 168}, Point{180, 80}, Point{60, 80}, Point{60, 168}, Point{0, 168})
	p, z := oneZone(t, in)
	for _, c := range z.Carriers {
		want := 166.0
		if c.X > 60 && c.X <= 180 {
			want = 78
		}
		near(t, fmt.Sprintf("carrier end at %v", c.X), c.Y1, want, 1e-9)
	}
	near(t, "gutter", z.Gutter.Length, 240, 1e-9)
	if got := fmt.Sprint(z.Gutter.Runs); got != "[60 60 120]" {
		t.Errorf("got gutters %v", got)
	}
	near(t, "sealed corners", itemNamed(p, "sealant").Need, (240+2*88*math.Hypot(1, 1.0/96)-4*math.Hypot(1, 1.0/96)+2*166*math.Hypot(1, 1.0/96)+12)*math.Pi/64/(10.1*1.8047), 1e-9)
	var shapes []string
	for _, q := range z.Panels.Pieces {
		if q.Shape != "rectangle" {
			shapes = append(shapes, q.Shape)
		}
	}
	if len(shapes) > 2 || slices.Contains(shapes, "angled") {
		t.Errorf("got shapes %v", shapes)
	}
}

// A stair opening: two panels a strip beside it, two carriers on one seam, its far side a high edge of its own.
func TestHole(t *testing.T) {
	in := rectangle(240, 240)
	in.Holes = [][]Point{{{90, 100}, {150, 100}, {150, 140}, {90, 140}}}
	_, z := oneZone(t, in)
	near(t, "area", z.AreaFt2, (240*240-60*40)/144.0, 1e-9)
	two := 0
	for i := 1; i < len(z.Carriers); i++ {
		if a, b := z.Carriers[i-1], z.Carriers[i]; a.Seam == b.Seam {
			two++
			near(t, "end above the opening", a.Y1, 98, 1e-9)
			near(t, "end below the opening", b.Y0, 140+z.Movement.Gap, 1e-9)
		}
	}
	if two < 4 {
		t.Errorf("got %d seams with two carriers", two)
	}
	if fmt.Sprint(z.Gutter.Runs) != "[60 240]" || len(z.Holes) != 1 || len(z.Channel) != 6 {
		t.Errorf("got gutters %v, %d holes, %d runs of channel", z.Gutter.Runs, len(z.Holes), len(z.Channel))
	}
	in.Obstructions = []Obstruction{hanger("in the opening", 120, 120, 2)}
	if got := rules(plan(t, in)); !slices.Equal(got, []string{"obstruction-outside in the opening"}) {
		t.Errorf("got %v", got)
	}
}

// Two carriers on one seam that an obstruction meets are two notches: here over a slot 2 in deep, its centre just above it.
func TestTwoNotchesOnOneSeam(t *testing.T) {
	in := rectangle(240, 240)
	in.System = profile(`{` + exact + `, "cost_notch": 0, "gutter_gap": 0.5}`)
	in.Holes = [][]Point{{{90, 100}, {150, 100}, {150, 102}, {90, 102}}}
	_, z := oneZone(t, in)
	tall := hanger("tall", z.Seams[9], 99.9, 1.5)
	tall.WY = 12
	in.Obstructions = []Obstruction{tall}
	p, z := oneZone(t, in)
	if len(z.Notches) != 2 || z.Notches[0].Carrier+1 != z.Notches[1].Carrier {
		t.Fatalf("got %+v, %v", z.Notches, rules(p))
	}
	near(t, "to the end of the upper carrier", z.Notches[0].To, 99.5-0.125, 1e-9)
	near(t, "from the high end of the lower one", z.Notches[1].From, 0, 1e-9)
	near(t, "to", z.Notches[1].To, 99.9+6.125-102.125, 1e-9)
}

// A clipped corner slants the ends of the panels there: both side lengths are given.
func TestAngledPieces(t *testing.T) {
	in := deck(Point{0, 0}, Point{240, 0}, Point{240, 140}, Point{212, 168}, Point{0, 168})
	_, z := oneZone(t, in)
	for _, q := range z.Panels.Pieces {
		slanted := q.X1 > 212
		if (q.Shape == "angled") != slanted || (q.LeftLength != nil) != slanted || slanted && (q.RightLength == nil) {
			t.Errorf("panel %d from %v to %v is %s", q.N, q.X0, q.X1, q.Shape)
		}
	}
	last := z.Panels.Pieces[len(z.Panels.Pieces)-1]
	near(t, "right length", *last.RightLength, 140+0.125-2-z.Movement.Gap, 1e-9)
	near(t, "left length", *last.LeftLength, 168-(last.X0-212)-2-z.Movement.Gap, 1e-9)
	near(t, "box", last.Y1-last.Y0, *last.LeftLength, 1e-9)
}

// A carrier within 3 in of an inner side edge that runs beside it is a sliver; beside the edge's other side it is none.
func TestSliver(t *testing.T) {
	flat := rectangle(240, 168)
	_, z := oneZone(t, flat)
	for _, c := range []struct {
		step float64
		want bool
	}{{z.Seams[9] + 2.9, true}, {z.Seams[9] + 3, false}, {z.Seams[9] - 2.9, false}} {
		x := length.Inches(c.step)
		in := deck(Point{0, 0}, Point{240, 0}, Point{240, 80}, Point{x, 80}, Point{x, 168}, Point{0, 168})
		if got := hasRule(plan(t, in), "sliver"); got != c.want {
			t.Errorf("step at seam %+v: got %v, want %v", c.step-z.Seams[9], got, c.want)
		}
	}
}

// No piece may exceed the longest stock; what rounds down to it fits.
func TestPieceTooLong(t *testing.T) {
	in := rectangle(100, 242+0.125+0.05)
	in.System = profile(`{"panel_alpha": 0}`)
	p, z := oneZone(t, in)
	near(t, "length", z.Panels.Pieces[0].Length, 240.05, 1e-9)
	if hasRule(p, "piece-too-long") || len(p.Cutting[0].Unplanned) != 0 {
		t.Errorf("240.05 in is cut at 240: got %v", rules(p))
	}
	p = plan(t, rectangle(100, 260))
	if !hasRule(p, "piece-too-long") || len(p.Cutting[0].Unplanned) != 9 {
		t.Errorf("got %v, %d unplanned", rules(p), len(p.Cutting[0].Unplanned))
	}
}

// The runner-up is the best layout with another count.
func TestRunnerUp(t *testing.T) {
	in := rectangle(248, 168) // W = 247.75: ends of 18.57 in all for 21 panels or 6.5 for 22
	_, z := oneZone(t, in)
	r := z.Panels.RunnerUp
	if r == nil || r.Count == z.Panels.Count || r.Cost.Total < z.Panels.Cost.Total {
		t.Fatalf("got %+v beside %+v", r, z.Panels.Cost)
	}
	c := z.Panels.Cost
	near(t, "sum of parts", c.Total, c.Blocked+c.Notches+c.Narrow+c.Panels+c.Uneven+c.Through, 1e-12)
}

// Two parts of a deck that a neck of 1 in joins, at x = 126: the gutter gap of 2 in and the end gap use the neck up, so that the strip
// over it gives two panels side by side, not one as long as both (arithmetic).
func TestNeckOfPiece(t *testing.T) {
	_, z := oneZone(t, deck(Point{0, 0}, Point{126, 0}, Point{126, 49}, Point{240, 49}, Point{240, 100}, Point{126, 100}, Point{126, 50}, Point{0, 50}))
	if len(z.Panels.Pieces) != z.Panels.Count+1 {
		t.Errorf("got %d pieces of %d strips, want one more", len(z.Panels.Pieces), z.Panels.Count)
	}
	for _, p := range z.Panels.Pieces {
		if p.Shape != "rectangle" || p.Length > 51 || p.X0 < 126-1e-6 && p.X1 > 126+1e-6 {
			t.Errorf("piece %d: %s, %v long from x %v to %v; want a rectangle on one side of 126", p.N, p.Shape, p.Length, p.X0, p.X1)
		}
	}
}

// The low edge runs aslant, y = 180 - x/20, and a hole cuts into the sides of some panels: a side still runs from the panel's high
// end to the slanted one, which stops 2 in short of the edge (arithmetic).
func TestSidesOfAngledPiece(t *testing.T) {
	in := deck(Point{0, 0}, Point{240, 0}, Point{240, 168}, Point{0, 180})
	in.Holes = [][]Point{{{60, 60}, {100, 60}, {100, 80}, {60, 80}}}
	_, z := oneZone(t, in)
	cut := 0
	for _, p := range z.Panels.Pieces {
		if p.Shape != "angled" {
			continue
		}
		if p.Y0 < 1 && (p.X0 > 60 && p.X0 < 100 || p.X1 > 60 && p.X1 < 100) {
			cut++
		}
		near(t, "left side", *p.LeftLength, 178-p.X0/20-p.Y0, 1e-5)
		near(t, "right side", *p.RightLength, 178-p.X1/20-p.Y0, 1e-5)
	}
	if cut != 2 {
		t.Errorf("%d angled panels are cut by the hole at one side, want 2", cut)
	}
}
