package calc

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"undercroft/calc/length"
)

// deck is a level deck of any outline at 110 in: the first edge is a wall of brick, the others are open.
func deck(corners ...Point) Input {
	in := rectangle(1, 1)
	in.Outline, in.Edges = corners, nil
	for i := range corners {
		e := Edge{Kind: EdgeOpen}
		if i == 0 {
			e = Edge{Kind: EdgeWall, Surface: SurfaceBrick}
		}
		in.Edges = append(in.Edges, e)
	}
	return in
}

func plan(t *testing.T, in Input) Plan {
	t.Helper()
	p, err := Compute(in)
	if err != nil {
		t.Fatalf("Compute: %v", err)
	}
	return p
}

// oneZone is the plan's only zone.
func oneZone(t *testing.T, in Input) (Plan, Zone) {
	t.Helper()
	p := plan(t, in)
	if len(p.Zones) != 1 {
		t.Fatalf("got %d zones, want 1", len(p.Zones))
	}
	return p, p.Zones[0]
}

// rules lists the issues as rule and what they are about.
func rules(p Plan) []string {
	out := []string{}
	for _, i := range p.Issues {
		out = append(out, i.Rule+" "+strings.Join(i.About, " "))
	}
	return out
}

func hasRule(p Plan, rule string) bool {
	return slices.ContainsFunc(p.Issues, func(i Issue) bool { return i.Rule == rule })
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// profile selects vinyl-12 with overrides.
func profile(overrides string) SystemSelection {
	return SystemSelection{Name: "vinyl-12", Overrides: json.RawMessage(overrides)}
}

func hanger(id string, x, y, drop float64) Obstruction {
	return Obstruction{ID: id, Kind: KindHanger, X: length.Inches(x), Y: length.Inches(y), WX: 2, WY: 2, Drop: length.Inches(drop)}
}

func itemNamed(p Plan, item string) Item {
	for _, i := range p.Takeoff {
		if i.Item == item {
			return i
		}
	}
	return Item{Need: math.NaN()}
}

// exact is a profile whose positions are certain and whose end gap is fixed: figures can be told by hand.
const exact = `"panel_gain_sd": 0, "place_sd": 0, "panel_alpha": 0`

// planJSON is the plan as the command prints it.
func planJSON(t *testing.T, in Input) any {
	t.Helper()
	data, err := json.Marshal(plan(t, in))
	if err != nil {
		t.Fatal(err)
	}
	return jsonOf(t, data)
}
