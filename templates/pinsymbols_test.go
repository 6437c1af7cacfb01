package templates

import (
	"math"
	"testing"
)

// TestPinSymbols: every kind has its strokes; they are read from the symbols as they stand: the concern is a square on its tip, the reference a circle of
// radius 11 with a cross, a half-round fixture reaches 13 px below its flat side.
func TestPinSymbols(t *testing.T) {
	marks := PinSymbols()
	for _, kind := range []string{"reference", "dimension", "level", "clearance", "hanger", "bracket", "beam", "post", "fixture", "wall", "opening", "water", "concern", "note"} {
		if len(marks[kind]) == 0 {
			t.Errorf("%s has no strokes", kind)
		}
		for _, s := range marks[kind] {
			for _, p := range s.Points {
				if math.Abs(p[0]) > 18.001 || math.Abs(p[1]) > 18.001 {
					t.Errorf("%s reaches to %v, outside of its head", kind, p)
				}
			}
		}
	}
	concern := marks["concern"][0]
	if want := [][2]float64{{0, -17}, {17, 0}, {0, 17}, {-17, 0}}; len(marks["concern"]) != 1 || !concern.Closed || !concern.Thick || len(concern.Points) != 4 || concern.Points[1] != want[1] || concern.Points[3] != want[3] {
		t.Errorf("concern: %+v", marks["concern"])
	}
	circle := marks["reference"][len(marks["reference"])-1]
	for _, p := range circle.Points {
		if r := math.Hypot(p[0], p[1]); math.Abs(r-11) > 1e-9 {
			t.Errorf("reference: a point of its circle lies %v from its middle", r)
		}
	}
	low := 0.0
	for _, p := range marks["fixture"][2].Points {
		low = max(low, p[1])
	}
	if math.Abs(low-13) > 1e-9 {
		t.Errorf("the fixture's dome reaches down to %v, want 13", low)
	}
	if hanger := marks["hanger"]; len(hanger) != 2 || !hanger[0].Filled || hanger[1].Filled || hanger[0].Closed {
		t.Errorf("hanger: %+v", hanger)
	}
}
