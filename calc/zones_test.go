package calc

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"undercroft/calc/length"
)

func beamAt(id string, x0, x1, y0, y1, drop float64, what Treatment) Beam {
	at := func(v float64) length.Inches { return length.Inches(v) }
	return Beam{ID: id, Box: Box{at(x0), at(x1), at(y0), at(y1)}, Drop: at(drop), Treatment: what}
}

// zoneText is a plan's zones as id: y_high-y_low across x0-x1.
func zoneText(p Plan) string {
	var out []string
	for _, z := range p.Zones {
		out = append(out, fmt.Sprintf("%s: %g-%g across %g-%g", z.ID, z.YHigh, z.YLow, z.X0, z.X1))
	}
	return strings.Join(out, "; ")
}

func treatments(p Plan) string {
	var out []string
	for _, b := range p.Beams {
		out = append(out, b.Treatment)
	}
	return strings.Join(out, " ")
}

// A dropped beam splits the ceiling where it hangs lower than the furring can pass under; t at it is the least over its rectangle.
func TestBeams(t *testing.T) {
	const whole, halves = "z1: 0-238 across 0-240", "z1: 0-118 across 0-240; z2: 123-238 across 0-240"
	for _, c := range []struct {
		name           string
		drop, buildUp  float64
		what           Treatment
		zones, treated string
	}{
		{"lower than the furring", 9.25, 0, TreatAuto, halves, "split"},
		{"as low as the furring", 1.25, 0, TreatAuto, whole, "under"}, // t = 120/96 at its upper edge
		{"within the tolerance", 1.25 + 0.5e-6, 0, TreatAuto, whole, "under"},
		{"just lower", 1.25 + 1e-5, 0, TreatAuto, halves, "split"},
		{"build down allowed", 2.25, 1, TreatAuto, whole, "under"},
		{"asked to pass under", 9.25, 0, TreatUnder, whole, "under"},
		{"asked to split", 0.5, 0, TreatSplit, halves, "split"},
		{"asked to stop", 9.25, 0, TreatStop, "z1: 0-118 across 0-240", "stop"},
	} {
		in := rectangle(240, 240)
		in.MaxBuildDown = length.Inches(c.buildUp)
		in.Beams = []Beam{beamAt("b", 0, 240, 120, 123, c.drop, c.what)}
		p := plan(t, in)
		if zoneText(p) != c.zones || treatments(p) != c.treated {
			t.Errorf("%s: got %s (%s), want %s (%s)", c.name, zoneText(p), treatments(p), c.zones, c.treated)
		}
		near(t, c.name+": base to pass under", p.Beams[0].Under.Base, max(0, c.drop-1.25), 1e-9)
		near(t, c.name+": headroom then", *p.Beams[0].Under.Headroom, 110-2.5-1.5-max(0, c.drop-1.25), 1e-9)
		if c.treated == "under" {
			near(t, c.name+": base", p.Zones[0].Base, max(0, c.drop-1.25), 1e-9)
		}
	}
}

// Each zone starts from its own high edge: the furring past a beam is thin again, so that a second, shallower beam splits too.
func TestASplitMakesTheNextBeamSplit(t *testing.T) {
	in := rectangle(240, 240)
	in.Beams = []Beam{beamAt("low", 0, 240, 60, 63, 9, TreatAuto), beamAt("high", 0, 240, 160, 163, 1.5, TreatAuto)}
	p := plan(t, in) // t at the second is 160/96 = 1.67 at first, (160-63)/96 = 1.01 after the first has split
	if got, want := zoneText(p), "z1: 0-58 across 0-240; z2: 63-158 across 0-240; z3: 163-238 across 0-240"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	near(t, "base to pass under the second", p.Beams[1].Under.Base, 1.5-97.0/96, 1e-9)
}

// A beam end 12 in or less from the outline is drawn out to it; a wider gap stays.
func TestBeamsThatStopShort(t *testing.T) {
	for _, c := range []struct {
		x0, x1 float64
		zones  int
	}{{12, 228, 2}, {12.1, 240, 1}, {0, 228, 2}, {0, 227.9, 1}, {-20, 300, 2}, {12 + 0.5e-6, 240, 2}} {
		in := rectangle(240, 240)
		in.Beams = []Beam{beamAt("b", c.x0, c.x1, 120, 123, 9.25, TreatAuto)}
		if p := plan(t, in); len(p.Zones) != c.zones {
			t.Errorf("beam from %v to %v: got %s", c.x0, c.x1, zoneText(p))
		}
	}
	in := rectangle(240, 240) // across the fall: the longer side is along y
	in.Beams = []Beam{beamAt("b", 118, 122, 5, 230, 9.25, TreatAuto)}
	if got, want := zoneText(plan(t, in)), "z1: 0-238 across 0-118; z2: 0-238 across 122-240"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestBeamOutside(t *testing.T) {
	in := rectangle(240, 240)
	in.Beams = []Beam{beamAt("b", 300, 400, 120, 123, 9.25, TreatSplit)}
	p := plan(t, in)
	if len(p.Zones) != 1 || treatments(p) != "outside" || p.Beams[0].Under != nil {
		t.Errorf("got %s, %+v", zoneText(p), p.Beams)
	}
}

// A beam that another one covers wholly is in no zone.
func TestCoveredBeam(t *testing.T) {
	in := rectangle(240, 240)
	in.Beams = []Beam{beamAt("big", 0, 240, 120, 130, 9.25, TreatSplit), beamAt("small", 50, 60, 122, 125, 9.25, TreatAuto)}
	p := plan(t, in)
	if treatments(p) != "split outside" || p.Beams[1].Under != nil {
		t.Errorf("got %s, %+v", treatments(p), p.Beams[1])
	}
}

// A flush beam neither splits nor blocks a row.
func TestFlushBeam(t *testing.T) {
	in := rectangle(240, 240)
	in.Beams = []Beam{beamAt("b", 0, 240, 46, 50, 0, TreatAuto)}
	if p := plan(t, in); treatments(p) != "under" || len(p.Issues) != 0 || len(p.Zones) != 1 {
		t.Errorf("got %s, %v", treatments(p), rules(p))
	}
}

// Zones are numbered by y_high, then x0, before any is left out.
func TestCover(t *testing.T) {
	in := rectangle(240, 240)
	in.Beams = []Beam{beamAt("b", 118, 122, 0, 240, 9.25, TreatAuto), beamAt("c", 122, 240, 120, 124, 9.25, TreatAuto)}
	all := plan(t, in)
	if got, want := zoneText(all), "z1: 0-238 across 0-118; z2: 0-118 across 122-240; z3: 124-238 across 122-240"; got != want {
		t.Fatalf("got %s, want %s", got, want)
	}
	in.Cover = []string{"z3", "z1"}
	in.Obstructions = []Obstruction{hanger("open", 200, 60, 0.3), hanger("out", 120, 60, 0.3)}
	p := plan(t, in)
	if got, want := zoneText(p), "z1: 0-238 across 0-118; z3: 124-238 across 122-240"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := rules(p), []string{"obstruction-outside out"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	in.Cover = []string{"z4"}
	_, err := Compute(in)
	var fault *InputError
	if !errors.As(err, &fault) || fault.Place != "cover[0]" {
		t.Errorf("an unknown zone: got %v", err)
	}
}

// A zone of 12 in along the fall is planned, a shorter one is not; the roof drains onto the first that is planned.
func TestShortZones(t *testing.T) {
	for _, c := range []struct {
		long  float64
		short bool
	}{{12, false}, {12 - 0.5e-6, false}, {11.99, true}} {
		in := rectangle(240, 120)
		in.Rain.RoofFt2 = 100
		in.Beams = []Beam{beamAt("b", 0, 240, c.long, c.long+4, 9.25, TreatAuto)}
		p := plan(t, in)
		if hasRule(p, "zone-short") != c.short || (p.Zones[0].Panels.Count == 0) != c.short {
			t.Errorf("%v long: got %v, %d panels", c.long, rules(p), p.Zones[0].Panels.Count)
		}
		roofed := p.Zones[0]
		if c.short {
			roofed = p.Zones[1]
		}
		near(t, "flow with the roof", roofed.Gutter.FlowGPM, stormFlow(7, roofed.AreaFt2+100), 1e-9)
	}
}

// The outline may run either way round and start anywhere; corners in a straight line change nothing but where a wall ends.
func TestOutlineOrder(t *testing.T) {
	in := deck(Point{0, 0}, Point{240, 0}, Point{240, 100}, Point{120, 100}, Point{120, 168}, Point{0, 168})
	in.Edges[5] = Edge{Kind: EdgeWall, Surface: SurfaceStucco}
	in.Obstructions = []Obstruction{hanger("h", 77, 130, 2)}
	want := planJSON(t, in)
	for turn := range len(in.Outline) {
		other := in
		other.Outline = append(slices.Clone(in.Outline[turn:]), in.Outline[:turn]...)
		other.Edges = append(slices.Clone(in.Edges[turn:]), in.Edges[:turn]...)
		compareValue(t, "plan", samePolygon(planJSON(t, other)), samePolygon(want))
		slices.Reverse(other.Outline)
		slices.Reverse(other.Edges)
		other.Edges = append(other.Edges[1:], other.Edges[0])
		compareValue(t, "plan", samePolygon(planJSON(t, other)), samePolygon(want))
	}
}

// samePolygon drops what may start anywhere.
func samePolygon(plan any) any {
	m := plan.(map[string]any)
	delete(m, "fixings")
	delete(m, "cautions")
	delete(m, "notes")
	for _, z := range m["zones"].([]any) {
		delete(z.(map[string]any), "polygon")
	}
	return m
}

func TestLowWallAndUnknownSurface(t *testing.T) {
	in := rectangle(240, 168)
	in.Edges[2] = Edge{Kind: EdgeWall, Surface: SurfaceBrick}
	if got, want := rules(plan(t, in)), []string{"low-wall z1"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	in = rectangle(240, 168)
	in.Edges[0].Surface = SurfaceUnknown
	p := plan(t, in)
	if got, want := rules(p), []string{"surface-unknown z1"}; !slices.Equal(got, want) || p.Issues[0].Severity != "blocking" {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Side edges are those whose normal leans at most 0.1 along the fall.
func TestClassOf(t *testing.T) {
	for _, c := range []struct {
		a, b vec
		want string
	}{
		{vec{0, 0}, vec{10, 0}, "high"}, {vec{10, 0}, vec{0, 0}, "low"}, {vec{0, 0}, vec{0, 10}, "right"}, {vec{0, 10}, vec{0, 0}, "left"},
		{vec{0, 0}, vec{0.1, 1}, "right"}, {vec{0, 0}, vec{0.102, 1}, "high"}, {vec{0, 0}, vec{-0.1, 1}, "right"}, {vec{0, 0}, vec{-0.102, 1}, "low"},
	} {
		if got := classOf(c.a, c.b); got != c.want {
			t.Errorf("%v to %v: got %s, want %s", c.a, c.b, got, c.want)
		}
	}
}

// The corners of a cut that the library rounds come back exactly, and no slivers are left.
func TestSubtractKeepsCoordinates(t *testing.T) {
	outer := []vec{{0.1, 0.1}, {240.3, 0.1}, {240.3, 168.7}, {0.1, 168.7}}
	third := 1.0 / 3
	shapes, err := subtract(outer, [][]vec{rect{-5, 300, 100 + third, 103 + third}.ring(), rect{80 + third, 81, 0, 101}.ring()})
	if err != nil {
		t.Fatal(err)
	}
	if len(shapes) != 3 {
		t.Fatalf("got %d pieces, want 3", len(shapes))
	}
	known := []float64{0.1, 240.3, 168.7, 100 + third, 103 + third, 80 + third, 81}
	for _, s := range shapes {
		for _, p := range s.rings[0] {
			if !slices.Contains(known, p.x) || !slices.Contains(known, p.y) {
				t.Errorf("corner %v is none of the given coordinates", p)
			}
		}
	}
}

// A beam under a bump-out runs on along the deck's edge, half of its 3 in inside: its end, 6 in from the side, is drawn out although
// its middle lies outside, and leaves no nub of 6 x 1 in beside it.
func TestBeamAlongTheEdge(t *testing.T) {
	in := deck(Point{0, 0}, Point{240, 0}, Point{240, 168}, Point{120, 168}, Point{120, 190}, Point{0, 190})
	in.Beams = []Beam{beamAt("b1", 0, 234, 167, 170, 9.25, TreatAuto)}
	if got, want := zoneText(plan(t, in)), "z1: 0-165 across 0-240; z2: 170-188 across 0-120"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
