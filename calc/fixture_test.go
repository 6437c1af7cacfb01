package calc

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// TestExhaustIsBlocking: a flue or an exhaust that ends above the ceiling stops the job; one that goes on through it, or hangs
// beside the deck, does not.
func TestExhaustIsBlocking(t *testing.T) {
	in := sampleInput()
	for _, o := range []Obstruction{
		{ID: "p1", Kind: KindFixture, Sort: "flue", X: 100}, {ID: "p2", Kind: KindPipe, Sort: "exhaust", X: 150}, {ID: "p4", Kind: KindFixture, Sort: "light", X: 200},
		{ID: "p3", Kind: KindPipe, Sort: "exhaust", X: 250, Through: true}, {ID: "p5", Kind: KindPipe, Sort: "exhaust", X: 500},
	} {
		o.Y, o.WX, o.WY = 80, 4, 4
		in.Obstructions = append(in.Obstructions, o)
	}
	p, err := Compute(in)
	if err != nil {
		t.Fatal(err)
	}
	var about []string
	for _, i := range p.Issues {
		if i.Rule == "exhaust-above" && i.Severity == "blocking" {
			about = append(about, i.About...)
		}
	}
	if !slices.Equal(about, []string{"z1", "p1", "z1", "p2"}) {
		t.Errorf("got %v, want p1 and p2 in zone z1", about)
	}
}

// TestSortOf: what nobody sorted is sorted by its kind where that says it, and hardware has no sort.
func TestSortOf(t *testing.T) {
	for _, tt := range []struct {
		kind       ObstructionKind
		sort, want string
	}{
		{KindFixture, "fan", "fan"}, {KindFixture, "", "other"}, {KindWiring, "", "wiring"}, {KindPipe, "", "pipe"}, {KindPipe, "gas", "gas"},
		{KindHanger, "", ""}, {KindBracket, "", ""}, {KindOther, "", ""}, {KindOther, "leader", "leader"},
	} {
		if got := sortOf(&Obstruction{Kind: tt.kind, Sort: tt.sort}); got != tt.want {
			t.Errorf("%s %q: got %q, want %q", tt.kind, tt.sort, got, tt.want)
		}
	}
}

// TestFixtureTriggers: one caution a sort, naming all of that sort, and the general ones beside it.
func TestFixtureTriggers(t *testing.T) {
	in := sampleInput()
	for _, id := range []string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "k"} {
		in.Obstructions = append(in.Obstructions, Obstruction{ID: id, Kind: KindFixture, Sort: "light"})
	}
	in.Obstructions = append(in.Obstructions, Obstruction{ID: "g1", Kind: KindPipe, Sort: "gas"})
	list := cautions(in, vinyl12(), samplePlan())
	if c, _ := find(list, "fixture-light"); c.Trigger != "light a, b, c, d, e, f, g, h and 2 more" {
		t.Errorf("got trigger %q", c.Trigger)
	}
	if c, _ := find(list, "carbon-monoxide"); !strings.HasSuffix(c.Trigger, ": g1") {
		t.Errorf("carbon monoxide: got trigger %q", c.Trigger)
	}
	if _, ok := find(list, "electrical"); !ok {
		t.Error("lights: no caution about electricity")
	}
}

func TestCheckCare(t *testing.T) {
	good := sampleInput()
	good.Means, good.Conditions = "lift", []string{"heat-below", "hot-tub"}
	good.Obstructions = []Obstruction{{ID: "p1", Sort: "box"}, {ID: "p2"}}
	if err := checkCare(good); err != nil {
		t.Errorf("got %v, want none", err)
	}
	for place, spoil := range map[string]func(*Input){
		"means":                func(in *Input) { in.Means = "rope" },
		"conditions[1]":        func(in *Input) { in.Conditions = []string{"hot-tub", "fog"} },
		"conditions[2]":        func(in *Input) { in.Conditions = []string{"hot-tub", "heat-below", "hot-tub"} },
		"obstructions[0].sort": func(in *Input) { in.Obstructions = []Obstruction{{ID: "p1", Sort: "chandelier"}} },
	} {
		in := sampleInput()
		spoil(&in)
		var fault *InputError
		if err := checkCare(in); !errors.As(err, &fault) || fault.Place != place {
			t.Errorf("got %v, want a fault at %s", err, place)
		}
	}
}
