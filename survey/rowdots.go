package survey

import (
	"math"
	"strings"

	"undercroft/annotate/plane"
	"undercroft/calc/length"
)

// RowDot is one thing of a row on a photo: X and Y are fractions of the upright picture, Number its joist, counted from the right end facing
// the house, and 0 where the joists are not known or none is near.
type RowDot struct {
	X, Y   float64
	Number int
}

// offJoist is how far from a joist's middle, as a share of the spacing, something may be and still count as that joist's.
const offJoist = 0.25

// RowDots are the things that a row pin stands for, where they are on its photo, in the order of the row; those outside of the picture are left out.
// Nil for a pin that is no row, is not in the calculation, or whose photo has no geometry that may be trusted.
func RowDots(c Ceiling, s Structure, photo Photo, p Pin) []RowDot {
	g := c.Geometry[photo.ID]
	if p.Count() < 2 || g.Fit == nil || !g.Trusted {
		return nil
	}
	var dots []RowDot
	for _, o := range c.Input.Obstructions {
		if !strings.HasPrefix(o.ID, InputID(p.Number)+".") {
			continue
		}
		at, ok := g.Fit.Project(behind(g.Fit, plane.Point{X: float64(o.X), Y: float64(o.Y)}, float64(o.Drop)))
		x, y := at.U/float64(photo.Width), at.V/float64(photo.Height)
		if ok && inPicture(x) && inPicture(y) {
			dots = append(dots, RowDot{X: x, Y: y, Number: s.joistAt(o.X)})
		}
	}
	return dots
}

// behind is the point of the joists' plane that is seen through something drop inches below it: farther from the camera's foot by the share that
// the drop has of the camera's distance. Where the camera's place is not known it is the point itself.
func behind(fit *plane.Photo, at plane.Point, drop float64) plane.Point {
	pose := fit.Pose
	if pose == nil || drop <= 0 || drop >= pose.Below {
		return at
	}
	near := drop / pose.Below
	return plane.Point{X: (at.X - pose.X*near) / (1 - near), Y: (at.Y - pose.Y*near) / (1 - near)}
}

// joistAt is the joist whose middle is at x along the house; 0 where there is none near, or the joists are not known.
func (s Structure) joistAt(x length.Inches) int {
	if s.Count == 0 {
		return 0
	}
	n := float64((s.Width-s.First-x)/s.Spacing) + 1
	if near := math.Round(n); math.Abs(n-near) <= offJoist && near >= 1 && near <= float64(s.Count) {
		return int(near)
	}
	return 0
}
