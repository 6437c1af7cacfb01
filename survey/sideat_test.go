package survey

import "testing"

// TestSideAt: a deck 28 ft by 14 ft has its corners at (0, 0) and (336, 168), the house along y = 0.
func TestSideAt(t *testing.T) {
	r := Record{Facts: map[string]Fact{"width": {Key: "width", Text: "28'"}, "projection": {Key: "projection", Text: "14'"}}}
	for _, c := range []struct {
		x, y float64
		want string
	}{{168, 168, "Outer side"}, {168, 169, "Outer side"}, {168, 169.5, ""}, {168, 0, "House side"}, {0, 84, "Left side"}, {336, 84, "Right side"}, {168, 129, ""}, {400, 168, ""}} {
		if got, ok := SideAt(r, c.x, c.y); got != c.want || ok != (c.want != "") {
			t.Errorf("%v, %v: %q, %t, want %q", c.x, c.y, got, ok, c.want)
		}
	}
	if _, ok := SideAt(Record{}, 0, 0); ok {
		t.Error("a deck without sides has one")
	}
}
