package report

import (
	"math"
	"testing"

	"undercroft/survey/report/draw"
)

// overParts is a painter that keeps what lies over a photo.
type overParts struct {
	paths   []draw.Path
	circles []draw.Circle
	texts   []draw.Text
}

func (o *overParts) Path(p draw.Path)     { o.paths = append(o.paths, p) }
func (o *overParts) Circle(c draw.Circle) { o.circles = append(o.circles, c) }
func (o *overParts) Text(t draw.Text)     { o.texts = append(o.texts, t) }

// TestPhotoOver: over every photo of the demo the exact point of every pin stands where it was set, its number is there once, lines end on the picture, and each light
// line lies on a dark one 1.5 px wider on either side (the measure is the design's own).
func TestPhotoOver(t *testing.T) {
	const wide = 520
	lines, leaders := 0, 0
	for _, sheet := range demoModel(t).Photos {
		over := photoOver(sheet, wide)
		if (over == nil) != (len(sheet.Original)+len(sheet.Ceiling) == 0) {
			t.Fatalf("photo %d: drawing is nil: %t", sheet.Number, over == nil)
		}
		if over == nil {
			continue
		}
		high := wide * float64(sheet.Height) / float64(sheet.Width)
		if over.View != (draw.Box{X1: wide, Y1: high}) {
			t.Errorf("photo %d: view %v", sheet.Number, over.View)
		}
		var got overParts
		over.Paint(&got)
		numbers := map[string]int{}
		for _, text := range got.texts {
			numbers[text.S]++
			if !text.Box().Within(over.View) {
				t.Errorf("photo %d: %q reaches over the picture", sheet.Number, text.S)
			}
		}
		for _, p := range sheet.Original {
			if numbers[itoa(p.Number)] == 0 {
				t.Errorf("photo %d: no number of pin %d", sheet.Number, p.Number)
			}
			if p.X2 != nil {
				lines++
				if !hasEnds(got.paths, draw.Point{X: p.X * wide, Y: p.Y * high}, draw.Point{X: *p.X2 * wide, Y: *p.Y2 * high}) {
					t.Errorf("photo %d: no line between the ends of pin %d", sheet.Number, p.Number)
				}
			}
		}
		for _, c := range got.circles {
			leaders++
			if !isPin(sheet, c.Center, wide, high) {
				t.Errorf("photo %d: a ring at %.1f, %.1f, where no pin is", sheet.Number, c.Center.X, c.Center.Y)
			}
		}
		checkCasings(t, sheet.Number, got.paths, over.View)
	}
	if lines == 0 || leaders == 0 {
		t.Errorf("%d lines and %d leaders in the demo", lines, leaders)
	}
}

// hasEnds tells whether a path goes straight from a to b.
func hasEnds(paths []draw.Path, a, b draw.Point) bool {
	for _, p := range paths {
		for _, chain := range p.Chains {
			if len(chain) == 2 && apart(chain[0], a) < 0.01 && apart(chain[1], b) < 0.01 {
				return true
			}
		}
	}
	return false
}

func apart(a, b draw.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// isPin tells whether a pin of the photo stands at a place, or the middle of its line.
func isPin(sheet PhotoSheet, at draw.Point, wide, high float64) bool {
	for _, p := range sheet.Original {
		if apart(at, draw.Point{X: p.X * wide, Y: p.Y * high}) < 0.1 {
			return true
		}
	}
	return false
}

// checkCasings finds below every light line of the ceiling and of the pins' lengths its dark casing, and the lines within the picture.
func checkCasings(t *testing.T, photo int, paths []draw.Path, view draw.Box) {
	t.Helper()
	for i, p := range paths {
		if p.Closed || p.Ink != overRow && p.Ink != overEdge && p.Ink != overNotch || p.Fill != draw.None {
			continue
		}
		if i == 0 || paths[i-1].Ink != overCase || math.Abs(float64(paths[i-1].Pen-p.Pen)-3*pointsPerPx) > 1e-9 {
			t.Errorf("photo %d: a light line of %.2f pt without its casing", photo, p.Pen)
		}
		for _, chain := range p.Chains {
			for _, q := range chain {
				if !(draw.Box{X0: q.X, Y0: q.Y, X1: q.X, Y1: q.Y}).Within(view.Grow(1e-6)) {
					t.Errorf("photo %d: a line reaches %.1f, %.1f over a picture of %.0f × %.0f", photo, q.X, q.Y, view.X1, view.Y1)
				}
			}
		}
	}
}
