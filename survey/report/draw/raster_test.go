package draw

import (
	"image"
	"image/color"
	stddraw "image/draw"
	"math"
	"testing"
)

// white is a white image of w by h px.
func white(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	stddraw.Draw(img, img.Bounds(), image.White, image.Point{}, stddraw.Src)
	return img
}

// inkedPx is how much of an image is inked, in px: a black one counts 1, a half grey one half.
func inkedPx(img *image.RGBA) float64 {
	sum := 0.0
	for i := 0; i < len(img.Pix); i += 4 {
		sum += 1 - float64(img.Pix[i])/255
	}
	return sum
}

// TestRasterAreas: what is inked has the area that geometry says, at two px a point.
func TestRasterAreas(t *testing.T) {
	for name, c := range map[string]struct {
		draw func(*Drawing)
		want float64 // in square points
	}{
		"a box":               {func(d *Drawing) { d.Rect(Box{10, 10, 30, 20}, Style{Fill: Black}) }, 200},
		"a circle":            {func(d *Drawing) { d.Circle(Point{50, 50}, 20, Style{Fill: Black}) }, math.Pi * 400},
		"a line":              {func(d *Drawing) { d.Line(Point{10, 10}, Point{90, 10}, Style{Pen: 2}) }, 160},
		"a slanted line":      {func(d *Drawing) { d.Line(Point{10, 10}, Point{40, 50}, Style{Pen: 2}) }, 100},
		"a dashed line":       {func(d *Drawing) { d.Line(Point{10, 10}, Point{90, 10}, Style{Pen: 2, Dash: []float64{6, 2}}) }, 120},
		"a line twice over":   {func(d *Drawing) { d.Polyline([]Point{{10, 50}, {90, 50}, {10, 50}}, Style{Pen: 4}) }, 320 + math.Pi*4/2},
		"what lies outside":   {func(d *Drawing) { d.Rect(Box{90, 90, 200, 200}, Style{Fill: Black}) }, 100},
		"nothing":             {func(d *Drawing) { d.Line(Point{10, 10}, Point{90, 10}, Style{}) }, 0},
		"an open chain":       {func(d *Drawing) { d.Polyline([]Point{{10, 10}, {90, 10}, {90, 90}}, Style{Fill: Black}) }, 0},
		"a ring, closed by 1": {func(d *Drawing) { d.Polygon([]Point{{20, 20}, {80, 20}, {80, 80}, {20, 80}}, Style{Pen: 2}) }, 4*60*2 + 3*math.Pi*1/4 - 4},
	} {
		img := white(200, 200)
		d := &Drawing{View: Box{0, 0, 100, 100}}
		c.draw(d)
		d.Paint(NewRaster(img, d.View))
		if got := inkedPx(img) / 4; math.Abs(got-c.want) > 0.02*c.want+3 {
			t.Errorf("%s: %.1f square points are inked, want %.1f", name, got, c.want)
		}
	}
}

// TestRasterText: letters lie in the box that the drawing counts with, upright and turned, and a bold text has more ink.
func TestRasterText(t *testing.T) {
	ink := map[bool]float64{}
	for _, up := range []bool{false, true} {
		for _, bold := range []bool{false, true} {
			img := white(300, 300)
			d := &Drawing{View: Box{0, 0, 100, 100}}
			box := d.Text(Text{At: Point{50, 50}, S: "10′ 6 3/4″ ménsula", Size: 9, Bold: bold, Up: up, Anchor: Middle, Ink: Black}).Grow(1.6)
			d.Paint(NewRaster(img, d.View))
			ink[bold] = inkedPx(img)
			if ink[bold] < 100 {
				t.Errorf("up %v, bold %v: only %.0f px are inked", up, bold, ink[bold])
			}
			for y := range 300 {
				for x := range 300 {
					if img.RGBAAt(x, y) != (color.RGBA{255, 255, 255, 255}) && !(Box{float64(x) / 3, float64(y) / 3, float64(x) / 3, float64(y) / 3}).Within(box) {
						t.Fatalf("up %v, bold %v: ink at %d, %d lies outside of %v", up, bold, x, y, box)
					}
				}
			}
		}
		if ink[true] <= ink[false] {
			t.Errorf("bold has %.0f px of ink, regular %.0f", ink[true], ink[false])
		}
	}
}
