package survey

import (
	"maps"
	"math"
	"testing"
)

// The dots of a row stand where the test's own pinhole camera sees each hanger, and carry the numbers of their joists, counted from the right end.
func TestRowDots(t *testing.T) {
	facts := plainFacts()
	facts[FirstJoist] = "16"
	values := hangerValues("x", "84", "y", "36", "row_count", "5", "row_step", "16")
	row := demoCamera.pin(PinHanger, 84, 36, 1.5, values)
	r := photographed(facts, append(references(demoCamera), row)...)
	c := Compute(r)
	pin := r.Pins[len(r.Pins)-1]
	dots := RowDots(c, StructureOf(r), r.Photos[0], pin)
	if len(dots) != 5 {
		t.Fatalf("got %d dots, want 5: %+v", len(dots), dots)
	}
	for i, dot := range dots {
		want := demoCamera.pin(PinHanger, 84+16*float64(i), 36, 1.5, nil)
		if math.Hypot(dot.X-want.X, dot.Y-want.Y) > 1e-4 {
			t.Errorf("dot %d is at %.5f, %.5f, the camera sees it at %.5f, %.5f", i+1, dot.X, dot.Y, want.X, want.Y)
		}
		if joist := 16 - i; dot.Number != joist { // joist n stands at 340 - 16 - 16(n-1): 84 is that of joist 16
			t.Errorf("dot %d has the number %d, want joist %d", i+1, dot.Number, joist)
		}
	}
	if dots := RowDots(c, Structure{}, r.Photos[0], pin); dots[2].Number != 0 {
		t.Errorf("without joists the third is %d", dots[2].Number)
	}
	single := pin
	single.Values = maps.Clone(pin.Values)
	delete(single.Values, "row_count")
	if RowDots(c, StructureOf(r), r.Photos[0], single) != nil || RowDots(Ceiling{}, StructureOf(r), r.Photos[0], pin) != nil {
		t.Error("dots for a single hanger, or without a geometry")
	}
}

// The dots of a row from joist to joist carry the numbers of its joists, those that are left out not among them.
func TestDotsOfJoistRow(t *testing.T) {
	row := demoCamera.pin(PinHanger, 84, 36, 1.5, map[string]string{"drop": "1 1/2", "wx": "2", "wy": "2", "y": "36", "row_at": AtLedger, "row_from": "12", "row_to": "16", "row_out": "14"})
	r := photographed(joistedFacts(), append(references(demoCamera), row)...)
	dots := RowDots(Compute(r), StructureOf(r), r.Photos[0], r.Pins[len(r.Pins)-1])
	joists := []int{12, 13, 15, 16}
	if len(dots) != len(joists) {
		t.Fatalf("got %d dots, want %d: %+v", len(dots), len(joists), dots)
	}
	for i, n := range joists {
		want := demoCamera.pin(PinHanger, 324-16*float64(n-1), 36, 1.5, nil)
		if dots[i].Number != n || math.Hypot(dots[i].X-want.X, dots[i].Y-want.Y) > 1e-4 {
			t.Errorf("dot %d is %+v, the camera sees joist %d at %.5f, %.5f", i+1, dots[i], n, want.X, want.Y)
		}
	}
}
