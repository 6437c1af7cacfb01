package survey

import "math"

// sideReach is how far from a side a point may lie and still be on it, in inches.
const sideReach = 1

// SideAt names the side of the deck on which a plan point lies, in inches, to within an inch; false when it lies on none.
func SideAt(r Record, x, y float64) (label string, ok bool) {
	for _, s := range sides(r) {
		ax, ay := float64(s.From.X), float64(s.From.Y)
		dx, dy := float64(s.To.X)-ax, float64(s.To.Y)-ay
		long := math.Hypot(dx, dy)
		if long == 0 {
			continue
		}
		px, py := x-ax, y-ay
		if along, off := (px*dx+py*dy)/long, math.Abs(px*dy-py*dx)/long; off <= sideReach && along >= 0 && along <= long {
			return s.Label, true
		}
	}
	return "", false
}
