package survey

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undercroft/calc/length"
)

// walked is a survey with some facts and pins, and a photo in every slot when full is set.
func walked(facts map[string]string, pins []Pin, full bool) Record {
	r := Record{Survey: Survey{ID: "s"}, Facts: map[string]Fact{}, Photos: []Photo{{ID: "ph", Number: 1}}}
	for key, text := range facts {
		r.Facts[key] = Fact{Key: key, Text: text}
	}
	for i, p := range pins {
		p.ID, p.Photo, p.Number = PinID(strings.Repeat("p", i+1)), "ph", i+1
		r.Pins = append(r.Pins, p)
	}
	if full {
		for _, step := range WalkSteps(r) {
			for _, slot := range step.Slots {
				r.Facts[SlotKey(slot.Key)] = Fact{Text: "ph"}
			}
		}
	}
	return r
}

func step(t *testing.T, r Record, key string) WalkState {
	t.Helper()
	for _, s := range Walk(r) {
		if s.Key == key {
			return s
		}
	}
	t.Fatalf("no step %q", key)
	return WalkState{}
}

// TestEveryStepOfTheWalk: each step is open as long as nothing is said, put off when somebody says so, short of a photo when all else is there, done
// with the photo, and done when somebody looked and there is nothing, where that can be.
func TestEveryStepOfTheWalk(t *testing.T) {
	pin := func(kind PinKind, values ...string) Pin {
		p := Pin{Kind: kind, Values: map[string]string{}}
		for i := 0; i+1 < len(values); i += 2 {
			p.Values[values[i]] = values[i+1]
		}
		return p
	}
	rows := []struct {
		key   string
		facts map[string]string
		pins  []Pin
		none  bool
	}{
		{"size", map[string]string{"projection": "14'"}, []Pin{pin(PinDimension, "names", "width", "length", "28' 4\"")}, false},
		{"ground", map[string]string{"means": "ladder"}, []Pin{pin(PinClearance, "clearance", "106")}, false},
		{"water", nil, []Pin{pin(PinWater, "what", "discharge")}, false},
		{"right", map[string]string{"edge.1.kind": "wall", "edge.1.surface": "brick"}, nil, false},
		{"house", map[string]string{"built_before_1978": "no"}, []Pin{pin(PinWall, "edge", "0", "surface", "brick")}, false},
		{"openings", nil, []Pin{pin(PinOpening, "sort", "door")}, true},
		{"onwall", nil, []Pin{pin(PinFixture, "sort", "bib", "at", "wall")}, true},
		{"left", map[string]string{"edge.2.kind": "open", "edge.3.kind": "open"}, nil, false},
		{"joists", map[string]string{"width": "340", "projection": "168", "joist.direction": "y", "joist.spacing": "16", "joist.depth": "9 1/4", "joist.first": "16", "joist.count": "21"}, nil, false},
		{"header", nil, []Pin{pin(PinBeam, "set", "flush")}, true},
		{"hangers", nil, []Pin{pin(PinHanger, "row_count", "19")}, true},
		{"beam", nil, []Pin{pin(PinBeam, "set", "dropped")}, true},
		{"level", nil, []Pin{pin(PinLevel, "height", "106"), pin(PinLevel, "height", "106"), pin(PinLevel, "height", "106")}, false},
		{"overhead", nil, []Pin{pin(PinFixture, "sort", "light", "at", "ceiling")}, true},
	}
	var keys []string
	for _, s := range WalkSteps(Record{}) {
		keys = append(keys, s.Key)
	}
	var tested []string
	for _, row := range rows {
		tested = append(tested, row.key)
		t.Run(row.key, func(t *testing.T) {
			if got := step(t, walked(nil, nil, true), row.key).Mark; got != WalkOpen {
				t.Errorf("with nothing said it is %q", got)
			}
			if got := step(t, walked(map[string]string{LaterKey(row.key): "yes"}, nil, true), row.key).Mark; got != WalkLater {
				t.Errorf("put off it is %q", got)
			}
			s := step(t, walked(row.facts, row.pins, false), row.key)
			if want := map[bool]WalkMark{true: WalkPhoto, false: WalkDone}[len(s.Slots) > 0]; s.Mark != want {
				t.Errorf("with all said and %d photos missing it is %q, want %q", len(s.Slots), s.Mark, want)
			}
			if s := step(t, walked(row.facts, row.pins, true), row.key); s.Mark != WalkDone || s.Gist == "" {
				t.Errorf("with all there it is %q, %q", s.Mark, s.Gist)
			}
			for key := range row.facts { // leaving out any one answer opens it again
				less := map[string]string{}
				for k, v := range row.facts {
					if k != key {
						less[k] = v
					}
				}
				if got := step(t, walked(less, row.pins, true), row.key).Mark; key != JoistCount && key != "width" && (key != "projection" || row.key == "size") && got == WalkDone {
					t.Errorf("without %s it is done", key)
				}
			}
			for i := range row.pins {
				less := append(append([]Pin(nil), row.pins[:i]...), row.pins[i+1:]...)
				if got := step(t, walked(row.facts, less, true), row.key).Mark; got == WalkDone {
					t.Errorf("without pin %d it is done", i+1)
				}
			}
			none := step(t, walked(map[string]string{NoneKey(row.key): "yes"}, nil, true), row.key)
			if (none.Mark == WalkDone) != row.none || row.none != (none.None != "") {
				t.Errorf("with nothing there, %q, it is %q", none.None, none.Mark)
			}
		})
	}
	if diff := cmp.Diff(keys, tested); diff != "" {
		t.Errorf("the steps and the tested ones (-steps +tested):\n%s", diff)
	}
}

// TestAPhotoOfASlot: a photo may fill two slots, and one that is gone, or has not arrived, fills none.
func TestAPhotoOfASlot(t *testing.T) {
	r := walked(map[string]string{SlotKey("yard"): "ph", SlotKey("left"): "ph", SlotKey("right"): "gone"}, nil, false)
	for key, want := range map[string]PhotoID{"size": "ph", "left": "ph", "right": "", "ground": ""} {
		if got := step(t, r, key).Photos[0].ID; got != want {
			t.Errorf("%s has the photo %q, want %q", key, got, want)
		}
	}
	_, steps, photos, slots := WalkTally(Walk(r))
	if steps != 14 || photos != 2 || slots != 11 {
		t.Errorf("%d steps, %d of %d photos; want 14, 2 of 11", steps, photos, slots)
	}
}

// TestJoistsThatFit: the first row is the demo's deck, whose scene has 21 joists, the first 16 in from the right end and the last at 324 in, 4 in from
// the left end. The others were counted on paper.
func TestJoistsThatFit(t *testing.T) {
	for _, row := range []struct {
		name                   string
		across, first, spacing length.Inches
		want                   int
	}{
		{"the demo", 340, 16, 16, 21},
		{"joists at 12, 24 and 36 of 48", 48, 12, 12, 3},
		{"the last clears the rim exactly: 16 and 32 of 34 1/4", 34.25, 16, 16, 2},
		{"the last would stand in the rim: 16 of 34", 34, 16, 16, 1},
		{"no room", 16, 16, 16, 0},
		{"no spacing", 340, 16, 0, 0},
		{"no first joist", 340, 0, 16, 0},
	} {
		if got := JoistsThatFit(row.across, row.first, row.spacing); got != row.want {
			t.Errorf("%s: got %d, want %d", row.name, got, row.want)
		}
	}
}

// TestTheSumOfTheJoists: along the house they are counted across the projection, a count that differs opens the step again, and a deck with other
// corners has no sum.
func TestTheSumOfTheJoists(t *testing.T) {
	facts := map[string]string{"width": "340", "projection": "168", "joist.direction": "y", "joist.spacing": "16", "joist.depth": "9 1/4", FirstJoist: "16"}
	if got := SumJoists(walked(facts, nil, false)); got.Count != 21 || strings.ReplaceAll(got.Words, "\u00a0", " ") != "21 joists and two rims fit 28′ 4″." {
		t.Errorf("got %+v", got)
	}
	facts[JoistCount] = "20"
	if s := step(t, walked(facts, nil, true), "joists"); !s.Sum.Differs || s.Mark != WalkOpen {
		t.Errorf("20 counted: %+v, %q", s.Sum, s.Mark)
	}
	facts["joist.direction"] = "x"
	if got := SumJoists(walked(facts, nil, false)); got.Count != 10 { // 16, 32, … 160 of 168
		t.Errorf("along the house: %d joists, want 10", got.Count)
	}
	facts["outline"] = "0, 0\n340, 0\n340, 100\n200, 100\n200, 168\n0, 168"
	if got := SumJoists(walked(facts, nil, false)); got.Count != 0 {
		t.Errorf("an L has the sum %+v", got)
	}
}

// TestEverySideIsAskedOnce: of a rectangle with and without its size, and of an L: each side at one end, the surface of each.
func TestEverySideIsAskedOnce(t *testing.T) {
	for name, facts := range map[string]map[string]string{
		"no size": nil, "rectangle": {"width": "340", "projection": "168"}, "L": {"outline": "0, 0\n340, 0\n340, 100\n200, 100\n200, 168\n0, 168"},
	} {
		r := walked(facts, nil, false)
		asked := map[string]int{}
		for _, s := range WalkSteps(r) {
			for _, f := range s.Facts {
				asked[f.Key]++
			}
		}
		for i := range sides(r) {
			if asked[edgeKey(i, "surface")] != 1 {
				t.Errorf("%s: the surface of side %d is asked %d times", name, i, asked[edgeKey(i, "surface")])
			}
		}
	}
	labels := func(key string) (titles []string) {
		for _, f := range step(t, walked(map[string]string{"width": "340", "projection": "168"}, nil, false), key).Facts {
			if f.Title != "" {
				titles = append(titles, f.Title)
			}
		}
		return titles
	}
	if diff := cmp.Diff(append(labels("right"), labels("left")...), []string{"Right side", "Outer side", "Left side"}); diff != "" {
		t.Error(diff)
	}
}

// TestFactsOfTheWalkAreFields: whatever the walk list stores can be stored.
func TestFactsOfTheWalkAreFields(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range WalkFields(Record{}) {
		if _, ok := FactField(Record{}, f.Key); !ok || seen[f.Key] {
			t.Errorf("%s: a field %v, twice %v", f.Key, ok, seen[f.Key])
		}
		seen[f.Key] = true
	}
	for _, region := range WalkRegion(ResolveFacts(Record{})) {
		if region.State != FactAssumed {
			t.Errorf("%s is %q without anybody having said it, want assumed", region.Field.Key, region.State)
		}
		for _, s := range WalkSteps(Record{}) {
			for _, f := range s.Facts {
				if f.Key == region.Field.Key {
					t.Errorf("%s is asked in %s", f.Key, s.Key)
				}
			}
		}
	}
}
