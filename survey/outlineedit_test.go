package survey

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/calc"
	"undercroft/calc/length"
)

// ringOf is a ring of corners in feet.
func ringOf(feet ...float64) Ring {
	g := Ring{}
	for i := 0; i < len(feet); i += 2 {
		g.Corners, g.Was = append(g.Corners, calc.Point{X: length.Inches(feet[i] * 12), Y: length.Inches(feet[i+1] * 12)}), append(g.Was, i/2)
	}
	return g
}

func wantRing(t *testing.T, what string, got Ring, err error, want Ring) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	near := func(a, b calc.Point) bool { return math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)) < 1e-9 }
	if !slices.EqualFunc(got.Corners, want.Corners, near) {
		t.Errorf("%s: got\n%s\nwant\n%s", what, got.Text(), want.Text())
	}
}

func TestLengthenTakesTheOtherSideAlong(t *testing.T) {
	g, err := ringOf(0, 0, 28, 0, 28, 14, 0, 14).Lengthen(0, 30*12)
	wantRing(t, "a wider rectangle", g, err, ringOf(0, 0, 30, 0, 30, 14, 0, 14))
	g, err = ringOf(0, 0, 28, 0, 28, 14, 0, 14).Lengthen(3, 12*12)
	wantRing(t, "a shallower one, by its left side", g, err, ringOf(0, 0, 28, 0, 28, 12, 0, 12))
	l := ringOf(0, 0, 24, 0, 24, 10, 14, 10, 14, 16, 0, 16)
	g, err = l.Lengthen(2, 8*12) // from (24,10) to the left
	wantRing(t, "the foot of an L", g, err, ringOf(0, 0, 24, 0, 24, 10, 16, 10, 16, 16, 0, 16))
	if _, err := l.Lengthen(2, 30*12); KindOf(err) != Invalid || !strings.Contains(Message(err), "cross itself") {
		t.Errorf("a foot that reaches beyond the other side: %v", err)
	}
	if _, err := l.Lengthen(0, 0); KindOf(err) != Invalid {
		t.Errorf("no length: %v", err)
	}
	if _, err := l.Lengthen(9, 12); KindOf(err) != Invalid {
		t.Errorf("no such side: %v", err)
	}
}

// TestJogs: areas are by hand, the whole rectangle 28 × 14 = 392 ft² less or more the jog.
func TestJogs(t *testing.T) {
	deck := ringOf(0, 0, 28, 0, 28, 14, 0, 14)
	for name, c := range map[string]struct {
		side int
		jog  Jog
		want Ring
		area float64
	}{
		"an L, cut from the outer right corner": {1, Jog{From: 8 * 12, Depth: 10 * 12}, ringOf(0, 0, 28, 0, 28, 8, 18, 8, 18, 14, 0, 14), 392 - 60},
		"a U, cut into the outer side":          {2, Jog{From: 10 * 12, Width: 8 * 12, Depth: 5 * 12}, ringOf(0, 0, 28, 0, 28, 14, 18, 14, 18, 9, 10, 9, 10, 14, 0, 14), 392 - 40},
		"a bay outward":                         {2, Jog{From: 10 * 12, Width: 8 * 12, Depth: -4 * 12}, ringOf(0, 0, 28, 0, 28, 14, 18, 14, 18, 18, 10, 18, 10, 14, 0, 14), 392 + 32},
		"a chimney at the house":                {0, Jog{From: 6 * 12, Width: 4 * 12, Depth: 2 * 12}, ringOf(0, 0, 6, 0, 6, 2, 10, 2, 10, 0, 28, 0, 28, 14, 0, 14), 392 - 8},
	} {
		got, err := deck.AddJog(c.side, c.jog)
		wantRing(t, name, got, err, c.want)
		if area := got.area() / 144; math.Abs(area-c.area) > 1e-9 {
			t.Errorf("%s: %g ft², want %g", name, area, c.area)
		}
	}
	for name, j := range map[string]Jog{
		"no depth":          {From: 12},
		"beyond the side":   {From: 29 * 12, Depth: 12},
		"ends beyond it":    {From: 20 * 12, Width: 9 * 12, Depth: 12},
		"the whole side":    {Depth: 12},
		"through the house": {From: 10 * 12, Width: 8 * 12, Depth: 15 * 12},
		"backwards":         {From: 12, Width: -12, Depth: 12},
	} {
		if _, err := deck.AddJog(2, j); KindOf(err) != Invalid {
			t.Errorf("%s: got %v, want it refused", name, err)
		}
	}
}

func TestRemoveCorner(t *testing.T) {
	g, err := ringOf(0, 0, 28, 0, 28, 8, 18, 8, 18, 14, 0, 14).Remove(3)
	wantRing(t, "a slanted end", g, err, ringOf(0, 0, 28, 0, 28, 8, 18, 14, 0, 14))
	if _, err := ringOf(0, 0, 28, 0, 28, 8).Remove(0); KindOf(err) != Invalid {
		t.Errorf("of a triangle: %v", err)
	}
}

func TestSquare(t *testing.T) {
	g, err := ringOf(0, 0, 28.02, 0, 28, 14.04, -0.05, 14).Square()
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range g.Sides() {
		if s.From.X != s.To.X && s.From.Y != s.To.Y {
			t.Errorf("side %d is not straight: %+v", i+1, s)
		}
	}
	if s := g.Sides()[0]; s.From.Y != 0 || math.Abs(float64(s.length())-28.01*12) > 1 {
		t.Errorf("the house side is %+v", s)
	}
	slanted := ringOf(0, 0, 28, 0, 20, 14, 0, 14)
	g, err = slanted.Square()
	wantRing(t, "a side that is meant to slant", g, err, slanted)
}

// TestTextIsReadBackExactly: whatever an outline's corners are, its text gives the same ones.
func TestTextIsReadBackExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, p := rapid.Float64Range(60, 900).Draw(t, "w"), rapid.Float64Range(60, 400).Draw(t, "p")
		if rapid.Bool().Draw(t, "sixteenths") {
			w, p = math.Round(w*16)/16, math.Round(p*16)/16
		}
		g := ringOf(0, 0, w/12, 0, w/12, p/12, 0, p/12)
		back, err := ParseRing(g.Text())
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(back.Corners, g.Corners) {
			t.Fatalf("got %v, want %v from %q", back.Corners, g.Corners, g.Text())
		}
	})
	for _, text := range []string{"0, 0\n12', 0\n0, 10'\n12', 10'", "0, 0\n12', 0", "0, 0\n12', 0\n24', 0"} {
		if _, err := ParseRing(text); KindOf(err) != Invalid {
			t.Errorf("%q: got %v, want it refused", text, err)
		}
	}
}

// TestWhatIsKnownOfASideGoesAlong: after a jog in the right side the outer side is another number; its wall, its surface and the pin that says so go along.
func TestWhatIsKnownOfASideGoesAlong(t *testing.T) {
	r := Record{Survey: Survey{ID: "s"}, Facts: map[string]Fact{}}
	for key, text := range map[string]string{"width": "28'", "projection": "14'", "edge.0.kind": "wall", "edge.1.kind": "open", "edge.2.kind": "wall", "edge.2.surface": "brick", "edge.2.wall_end": "5'"} {
		r.Facts[key] = Fact{Survey: "s", Key: key, Text: text, Version: 3}
	}
	r.Pins = []Pin{{ID: "p", Kind: PinWall, Values: map[string]string{"edge": "2", "surface": "brick"}}, {ID: "q", Kind: PinWall, Values: map[string]string{"edge": "0"}}}
	g, err := DrawnOutline(r).AddJog(1, Jog{From: 8 * 12, Depth: 10 * 12})
	if err != nil {
		t.Fatal(err)
	}
	facts, pins := OutlineFacts(r, g)
	got := map[string]string{}
	for _, f := range facts {
		got[f.Key] = f.Text
		if f.Text != "" && strings.HasPrefix(f.Key, "edge.2") && f.Version != 3 {
			t.Errorf("%s was made from version %d", f.Key, f.Version)
		}
	}
	for key, want := range map[string]string{"edge.4.kind": "wall", "edge.4.surface": "brick", "edge.4.wall_end": "5'", "edge.2.kind": "open", "edge.2.surface": "", "edge.2.wall_end": "", "edge.3.kind": "open"} {
		if text, ok := got[key]; !ok || text != want {
			t.Errorf("%s is %q (%v), want %q", key, text, ok, want)
		}
	}
	if _, touched := got["edge.0.kind"]; touched {
		t.Error("the house side was touched")
	}
	if len(pins) != 1 || pins[0].ID != "p" || pins[0].Values["edge"] != "4" || r.Pins[0].Values["edge"] != "2" {
		t.Errorf("the pins: %+v", pins)
	}
	if back, err := ParseRing(got["outline"]); err != nil || len(back.Corners) != 6 {
		t.Errorf("the outline is %q: %v", got["outline"], err)
	}
}
