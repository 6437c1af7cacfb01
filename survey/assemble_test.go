package survey

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undercroft/calc"
	"undercroft/calc/length"
)

// plainFacts are the least that a deck of 28' 4" by 14' needs.
func plainFacts() map[string]string {
	return map[string]string{"width": "340", "projection": "168", "joist.direction": "y", "joist.spacing": "16", "built_before_1978": "no", "edge.0.surface": "fiber-cement"}
}

func TestAssembleOutline(t *testing.T) {
	pt := func(x, y float64) calc.Point { return calc.Point{X: inches(x), Y: inches(y)} }
	brick := Pin{Kind: PinWall, Values: map[string]string{"edge": "1", "surface": "brick", "wall_end": "5'"}}
	leftBrick := Pin{Kind: PinWall, Values: map[string]string{"edge": "3", "surface": "brick", "wall_end": "5'"}}
	lShape := plainFacts()
	lShape["outline"] = "0, 0\n280, 0\n280, 120\n190, 120\n190, 193 3/4\n0, 193 3/4"
	for _, test := range []struct {
		name    string
		record  Record
		outline []calc.Point
		edges   string
	}{
		{"a rectangle", deckRecord(plainFacts()), []calc.Point{pt(0, 0), pt(340, 0), pt(340, 168), pt(0, 168)}, "fiber-cement open open open"},
		{"a wall that ends part-way is measured from the house", deckRecord(plainFacts(), brick),
			[]calc.Point{pt(0, 0), pt(340, 0), pt(340, 60), pt(340, 168), pt(0, 168)}, "fiber-cement brick open open open"},
		{"also on the side that runs toward the house", deckRecord(plainFacts(), leftBrick),
			[]calc.Point{pt(0, 0), pt(340, 0), pt(340, 168), pt(0, 168), pt(0, 60)}, "fiber-cement open open open brick"},
		{"an L", deckRecord(lShape), []calc.Point{pt(0, 0), pt(280, 0), pt(280, 120), pt(190, 120), pt(190, 193.75), pt(0, 193.75)}, "fiber-cement open open open open open"},
	} {
		t.Run(test.name, func(t *testing.T) {
			a := Assemble(test.record)
			if !a.Ready() {
				t.Fatalf("not ready: %+v", a.Findings)
			}
			if diff := cmp.Diff(test.outline, a.Input.Outline); diff != "" {
				t.Errorf("outline (-want +got):\n%s", diff)
			}
			var edges []string
			for _, e := range a.Input.Edges {
				edges = append(edges, strings.TrimSpace(string(e.Surface)+map[calc.EdgeKind]string{calc.EdgeOpen: "open"}[e.Kind]))
			}
			if got := strings.Join(edges, " "); got != test.edges {
				t.Errorf("edges: got %q, want %q", got, test.edges)
			}
		})
	}
}

func TestMissingFactsAreNamed(t *testing.T) {
	facts := plainFacts()
	delete(facts, "joist.spacing")
	a := Assemble(deckRecord(facts))
	if a.Ready() || !slices.ContainsFunc(a.Findings, func(f Finding) bool { return f.Fact == "joist.spacing" && f.Severity == SeverityMissing }) {
		t.Errorf("got %+v, want joist.spacing missing", a.Findings)
	}
	if c := Compute(deckRecord(facts)); c.Plan != nil {
		t.Error("a plan was computed without the joist spacing")
	}
}

func TestAssembleRow(t *testing.T) {
	row := Pin{Kind: PinHanger, Values: map[string]string{"x": "132", "y": "2 1/2", "drop": "0.06", "wx": "1.66", "wy": "2", "pm": "0.784", "row_count": "13", "row_step": "16"}}
	a := Assemble(deckRecord(plainFacts(), row))
	if len(a.Input.Obstructions) != 13 {
		t.Fatalf("got %d obstructions, want 13", len(a.Input.Obstructions))
	}
	last := a.Input.Obstructions[12]
	if last.ID != "p1.13" || last.X != 324 || last.Y != 2.5 || last.SX < 0.3999 || last.SX > 0.4001 {
		t.Errorf("got %+v, want p1.13 at 324, 2 1/2 with a deviation of 0.4 (0.784 / 1.96, normal distribution)", last)
	}
	if n, ok := PinNumber(last.ID); !ok || n != 1 {
		t.Errorf("PinNumber(%q) = %d, %v; want 1", last.ID, n, ok)
	}
	if got := a.Sources["p1.13"].String(); got != "typed, pin 1 on photo 4" {
		t.Errorf("source: got %q", got)
	}
}

func TestIncompletePinIsLeftOutAndSaid(t *testing.T) {
	a := Assemble(deckRecord(plainFacts(), Pin{Kind: PinHanger, Values: map[string]string{"drop": "1/2", "wx": "2", "wy": "2"}}))
	if len(a.Input.Obstructions) != 0 || !slices.ContainsFunc(a.Findings, func(f Finding) bool { return f.Pin == "p1" && strings.Contains(f.Text, "no place on the plan") }) {
		t.Errorf("got %+v and %+v, want the hanger left out with a finding that names its missing place", a.Input.Obstructions, a.Findings)
	}
}

func TestBeamAndTheJoistsThatStopAtIt(t *testing.T) {
	values := map[string]string{"set": "dropped", "drop": "9 1/4", "x0": "0", "x1": "340", "y0": "129", "y1": "132", "treatment": "under", "gap_to": "150"}
	a := Assemble(deckRecord(plainFacts(), Pin{Kind: PinBeam, Values: values}))
	box := calc.Box{X1: 340, Y0: 129, Y1: 132}
	if diff := cmp.Diff([]calc.Beam{{ID: "p1", Box: box, Drop: 9.25, Treatment: calc.TreatUnder}}, a.Input.Beams); diff != "" {
		t.Errorf("beams (-want +got):\n%s", diff)
	}
	box.Y1 = 150
	if diff := cmp.Diff([]calc.Box{box}, a.Input.Joists.Gaps); diff != "" {
		t.Errorf("gaps (-want +got):\n%s", diff)
	}
	values["set"] = "flush"
	if a := Assemble(deckRecord(plainFacts(), Pin{Kind: PinBeam, Values: values})); len(a.Input.Beams) != 0 {
		t.Errorf("a flush beam was passed on as dropped: %+v", a.Input.Beams)
	}
}

func TestOnlyWhatIsInTheCeilingObstructs(t *testing.T) {
	values := func(at string) map[string]string {
		return map[string]string{"sort": "light", "state": "existing", "at": at, "drop": "4 1/2", "wx": "6.4", "wy": "6.4", "x": "170", "y": "60"}
	}
	a := Assemble(deckRecord(plainFacts(), Pin{Kind: PinFixture, Values: values("ceiling")}, Pin{Kind: PinFixture, Values: values("wall")}))
	if len(a.Input.Obstructions) != 1 || a.Input.Obstructions[0].ID != "p1" {
		t.Errorf("got %+v, want the ceiling light alone", a.Input.Obstructions)
	}
}

func TestValidatePin(t *testing.T) {
	half := 0.5
	outside := 1.5
	for _, test := range []struct {
		name  string
		pin   Pin
		field string // the field that is wrong; empty for a good pin
	}{
		{"a hanger placed without values", Pin{Kind: PinHanger, X: 0.5, Y: 0.5}, ""},
		{"outside the picture", Pin{Kind: PinHanger, X: 1.01, Y: 0.5}, "end"},
		{"a length needs its second end", Pin{Kind: PinDimension, X: 0.5, Y: 0.5}, "end2"},
		{"a second end outside", Pin{Kind: PinDimension, X: 0.5, Y: 0.5, X2: &half, Y2: &outside}, "end2"},
		{"one end too many", Pin{Kind: PinLevel, X: 0.5, Y: 0.5, X2: &half, Y2: &half}, "end2"},
		{"a value of no field", Pin{Kind: PinNote, Values: map[string]string{"drop": "1"}}, "drop"},
		{"an unreadable length", Pin{Kind: PinHanger, Values: map[string]string{"drop": "1/7"}}, "drop"},
		{"a beam turned round", Pin{Kind: PinBeam, Values: map[string]string{"x0": "10'", "x1": "9'"}}, "x1"},
		{"a wall on a side of this deck", Pin{Kind: PinWall, Values: map[string]string{"edge": "3"}}, ""},
		{"a wall on no side of it", Pin{Kind: PinWall, Values: map[string]string{"edge": "4"}}, "edge"},
	} {
		t.Run(test.name, func(t *testing.T) {
			err := ValidatePin(deckRecord(plainFacts()), test.pin)
			if test.field == "" {
				if err != nil {
					t.Errorf("got %v, want no error", err)
				}
				return
			}
			e, ok := err.(*Error)
			if !ok || e.Kind != Invalid || e.Fields[test.field] == "" {
				t.Errorf("got %+v, want an invalid pin with a message for %q", err, test.field)
			}
		})
	}
	if KindOf(ValidatePin(deckRecord(nil), Pin{Kind: "sofa"})) != Invalid {
		t.Error("an unknown kind was taken")
	}
}

func inches(v float64) length.Inches { return length.Inches(v) }

func TestWhatCallsForCareIsPassedOn(t *testing.T) {
	facts := plainFacts()
	facts["means"], facts["around.hot-tub"], facts["around.membrane"] = "scaffold", "yes", "no"
	wall := Pin{Kind: PinWall, Values: map[string]string{"edge": "0", "surface": "fiber-cement", "asbestos": "yes"}}
	flue := Pin{Kind: PinFixture, Values: map[string]string{"sort": "flue", "state": "existing", "at": "ceiling", "drop": "4", "wx": "6", "wy": "6", "x": "50", "y": "60"}}
	in := Assemble(deckRecord(facts, wall, flue)).Input
	if in.Means != "scaffold" || !slices.Equal(in.Conditions, []string{"hot-tub"}) || !in.Edges[0].Asbestos || in.Edges[1].Asbestos || in.Obstructions[0].Sort != "flue" {
		t.Errorf("got means %q, conditions %q, edges %+v, obstructions %+v", in.Means, in.Conditions, in.Edges, in.Obstructions)
	}
	if err := calc.Check(in); err != nil {
		t.Errorf("the calculator refuses it: %v", err)
	}
}

func TestHoleAndCoverReachTheCalculator(t *testing.T) {
	facts := plainFacts()
	facts["hole"], facts["cover"] = "100, 40\n140, 40\n140, 100\n100, 100", "z1"
	c := Compute(deckRecord(facts))
	if c.Plan == nil || len(c.Input.Holes) != 1 || !slices.Equal(c.Input.Cover, []string{"z1"}) {
		t.Fatalf("got %q, holes %v, cover %q", c.Refusal, c.Input.Holes, c.Input.Cover)
	}
	const whole, hole = 340 * 168 / 144.0, 40 * 60 / 144.0 // square feet
	if got := c.Plan.Zones[0].AreaFt2; got < whole-hole-1e-9 || got > whole-hole+1e-9 {
		t.Errorf("area: got %v ft², want %v", got, whole-hole)
	}
}

func TestExhaustOnAWallMustSayWhereItEnds(t *testing.T) {
	exhaust := Pin{Kind: PinFixture, Values: map[string]string{"sort": "exhaust", "state": "existing", "at": "wall"}}
	asks := func() bool {
		a := Assemble(deckRecord(plainFacts(), exhaust))
		return slices.ContainsFunc(a.Findings, func(f Finding) bool { return f.Pin == "p1" })
	}
	if !asks() {
		t.Error("an exhaust on a wall without a height is not asked about")
	}
	exhaust.Values["drop"] = "13"
	if asks() {
		t.Error("it is asked about with its height, too")
	}
}
