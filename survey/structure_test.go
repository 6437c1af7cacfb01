package survey

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"undercroft/calc/length"
)

// joistedDeck is a deck of 28′ 4″ by 14′ 0″ with joists 16″ apart, the first 16″ from the right end, and a beam whose near face is 10′ out.
func joistedDeck() Record {
	r := Record{Facts: map[string]Fact{}, Photos: []Photo{{ID: "photo"}}}
	for key, text := range map[string]string{"width": "28' 4", "projection": "14'", "joist.direction": "y", "joist.spacing": "16", FirstJoist: "16"} {
		r.Facts[key] = Fact{Key: key, Text: text}
	}
	r.Pins = []Pin{{ID: "beam", Photo: "photo", Kind: PinBeam, Number: 1, Values: map[string]string{"y0": "10'"}}}
	return r
}

// Places worked out by hand: joist n stands 28′ 4″ less 16″ less n-1 times 16″ from the left end. Lumber is 1 1/2″ thick (PS 20, from memory).
func TestStructurePlace(t *testing.T) {
	s := StructureOf(joistedDeck())
	if s.Why != "" || s.Words != "first joist 1′\u00a04″, spacing 1′\u00a04″, ledger 1\u00a01/2″" {
		t.Fatalf("got %+v", s)
	}
	for _, row := range []struct {
		name  string
		joist int
		at    string
		x, y  length.Inches
		ok    bool
	}{
		{"the first joist at the ledger", 1, AtLedger, 324, 1.5, true},
		{"the fifth at the ledger: 21' 8\"", 5, AtLedger, 260, 1.5, true},
		{"the fifth at the beam", 5, AtBeam, 260, 120, true},
		{"the fifth at the rim", 5, AtRim, 260, 166.5, true},
		{"the last", s.Count, AtLedger, 324 - 16*length.Inches(s.Count-1), 1.5, true},
		{"none before the first", 0, AtLedger, 0, 0, false},
		{"none after the last", s.Count + 1, AtLedger, 0, 0, false},
		{"no such place", 5, "post", 0, 0, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			if x, y, ok := s.Place(row.joist, row.at); x != row.x || y != row.y || ok != row.ok {
				t.Errorf("got %v, %v, %v; want %v, %v, %v", x, y, ok, row.x, row.y, row.ok)
			}
		})
	}
}

// A tape mark on a joist is as far out as it says; without that it has no place. The distance of one is no other one's.
func TestPlacedAtMark(t *testing.T) {
	r := joistedDeck()
	for _, row := range []struct{ out, y, name string }{{"6'", `6' 0"`, "joist 4 at a tape mark 6′\u00a00″ out"}, {"24", `2' 0"`, "joist 4 at a tape mark 2′\u00a00″ out"}, {"", "", ""}} {
		r.Pins[0] = Pin{ID: "a", Photo: "photo", Kind: PinReference, Number: 1, Values: map[string]string{"joist": "4", "at": AtMark, "out": row.out}}
		v := r.PlacedOn("photo")[0].Values
		if v["y"] != row.y || v["name"] != row.name || row.y != "" && v["x"] != `23' 0"` {
			t.Errorf("%q out: got %v", row.out, v)
		}
	}
	if _, _, ok := StructureOf(r).Place(4, AtMark); ok {
		t.Error("the structure has a place for any tape mark")
	}
}

// The first reference begins in the middle of the third that its photo shows, joists being counted from the right end.
func TestStructureBegin(t *testing.T) {
	r := joistedDeck()
	s := StructureOf(r)
	for slot, want := range map[string]int{"": (s.Count + 1) / 2, "under.right": 4, "under.middle": (s.Count + 1) / 2, "under.left": 18} {
		r.Facts = map[string]Fact{SlotKey(slot): {Text: "photo"}}
		if got := s.Begin(r, "photo"); got != want {
			t.Errorf("%s of %d joists: begins at %d, want %d", slot, s.Count, got, want)
		}
	}
	if LastMark(r) != "" {
		t.Error("a mark without a pin")
	}
	r.Pins = append(r.Pins, Pin{Kind: PinReference, Values: map[string]string{"out": "6'"}}, Pin{Kind: PinReference, Values: map[string]string{"joist": "3"}})
	if got := LastMark(r); got != "6'" {
		t.Errorf("the last mark is %q", got)
	}
}

// A deck without the answers, or with joists the other way, says why its points have no names.
func TestStructureSaysWhyNot(t *testing.T) {
	without := joistedDeck()
	delete(without.Facts, FirstJoist)
	along := joistedDeck()
	along.Facts["joist.direction"] = Fact{Key: "joist.direction", Text: "x"}
	for name, r := range map[string]Record{"no first joist": without, "joists along the house": along} {
		if s := StructureOf(r); s.Why == "" || s.Count != 0 {
			t.Errorf("%s: got %+v", name, s)
		}
	}
}

// A reference named by its joist has its place as soon as the facts give one, follows them when they change, and gives way to a typed place.
func TestPlacedOn(t *testing.T) {
	r := joistedDeck()
	r.Pins = append(r.Pins, Pin{ID: "a", Photo: "photo", Kind: PinReference, Number: 2, Values: map[string]string{"joist": "5", "at": AtLedger}},
		Pin{ID: "b", Photo: "photo", Kind: PinReference, Number: 3, Values: map[string]string{"joist": "5", "at": AtLedger, "x": "10'", "y": "0"}},
		Pin{ID: "c", Photo: "photo", Kind: PinReference, Number: 4, Values: map[string]string{"joist": "99", "at": AtLedger}})
	pins := r.PlacedOn("photo")
	if v := pins[1].Values; v["x"] != `21' 8"` || v["y"] != `1 1/2"` || v["name"] != "joist 5 at the ledger" {
		t.Errorf("got %v", v)
	}
	if v := pins[2].Values; v["x"] != "10'" || v["y"] != "0" {
		t.Errorf("the typed place became %v", v)
	}
	if v := pins[3].Values; v["x"] != "" {
		t.Errorf("a joist that is not there has the place %v", v)
	}
	if r.Pins[1].Values["x"] != "" {
		t.Error("the record was changed")
	}
	r.Facts["joist.spacing"] = Fact{Key: "joist.spacing", Text: "12"}
	if v := r.PlacedOn("photo")[1].Values; v["x"] != `23' 0"` {
		t.Errorf("with joists 12″ apart the place is %s", v["x"])
	}
}

// The spare reference is the named point that the test's own camera sees in the picture farthest from all four references. The camera looks from the
// yard along the deck's left half; joist n of 21 stands 324 less 16 (n-1) inches along, the ledger's face is 1 1/2″ and the rim's 13′ 10 1/2″ out.
func TestSpare(t *testing.T) {
	camera := pinhole{x: 108, y: 200, below: 60, tilt: 25 * math.Pi / 180}
	four := [][2]float64{{36, 24}, {68, 24}, {36, 84}, {68, 84}}
	marks := func(at [][2]float64) []Pin {
		var pins []Pin
		for _, p := range at {
			pins = append(pins, camera.pin(PinReference, p[0], p[1], 0, map[string]string{"x": fmt.Sprint(p[0]), "y": fmt.Sprint(p[1]), "pm": "1/8"}))
		}
		return pins
	}
	want, far := "", 340.0/4
	for n := 1; n <= 21; n++ {
		for _, place := range []struct {
			at string
			y  float64
		}{{AtLedger, 1.5}, {AtRim, 166.5}} {
			x, near := 324-16*float64(n-1), math.Inf(1)
			if u, v := camera.see(x, place.y, 0); u < 0 || u > 1 || v < 0 || v > 1 {
				continue
			}
			for _, ref := range four {
				near = min(near, math.Hypot(x-ref[0], place.y-ref[1]))
			}
			if near > far {
				want, far = JoistName(n, place.at), near
			}
		}
	}
	if want == "" {
		t.Fatal("the test's camera sees no such joist")
	}
	for _, row := range []struct {
		name  string
		facts map[string]string
		refs  [][2]float64
		want  string
	}{
		{"four on the left", joistedFacts(), four, want},
		{"one of them far away already", joistedFacts(), [][2]float64{{36, 24}, {68, 84}, {116, 60}, {180, 24}}, ""},
		{"five check each other", joistedFacts(), append(slices.Clone(four), [2]float64{52, 60}), ""},
		{"three are no geometry", joistedFacts(), four[:3], ""},
		{"joists without places", plainFacts(), four, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := photographed(row.facts, marks(row.refs)...)
			if got := Spare(r, r.Photos[0], fitPhotos(r)[r.Photos[0].ID]); got != row.want {
				t.Errorf("got %q, want %q", got, row.want)
			}
		})
	}
}

// Before leaving and on the photo's page the same photos ask for a spare reference: those whose four references fit.
func TestUnchecked(t *testing.T) {
	for _, row := range []struct {
		of   []int // of the six references, of which three each are on a line
		want bool
	}{{[]int{0, 2, 3}, false}, {[]int{0, 2, 3, 5}, true}, {[]int{0, 1, 2, 3, 5}, false}, {[]int{0, 1, 2, 3, 4, 5}, false}} {
		var pins []Pin
		for _, i := range row.of {
			pins = append(pins, references(demoCamera)[i])
		}
		r := photographed(joistedFacts(), pins...)
		c := Compute(r)
		g := c.Geometry[r.Photos[0].ID]
		if spots := (visit{Record: r, Ceiling: c}).unchecked(); g.Unchecked() != row.want || len(spots) > 0 != row.want {
			t.Errorf("%d references: unchecked is %v, before leaving %v, want %v", len(row.of), g.Unchecked(), spots, row.want)
		}
	}
}
