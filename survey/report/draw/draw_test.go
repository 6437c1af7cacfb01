package draw

import (
	"math"
	"strings"
	"testing"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// TestMeasureAgainstFace compares widths with those of golang.org/x/image/font/opentype, character by character: that face adds kerning
// between characters, Measure does not.
func TestMeasureAgainstFace(t *testing.T) {
	for bold, ttf := range map[bool][]byte{false: dejavusanscondensed.TTF, true: dejavusanscondensedbold.TTF} {
		f, err := opentype.Parse(ttf)
		if err != nil {
			t.Fatal(err)
		}
		face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 1000, DPI: 72, Hinting: font.HintingNone})
		if err != nil {
			t.Fatal(err)
		}
		text := "12′ 3 5/8″ × “Señal” ⅜ ≥ 7.5 pt · WALL"
		var want fixed.Int26_6
		for _, r := range text {
			w, ok := face.GlyphAdvance(r)
			if !ok {
				t.Errorf("the font has no glyph for %q", r)
			}
			want += w
		}
		if got := Measure(text, 1000, bold); math.Abs(got-float64(want)/64) > .5 {
			t.Errorf("bold %v: %q is %.2f wide, the face says %.2f", bold, text, got, float64(want)/64)
		}
	}
}

// TestFiguresAlign: DejaVu's figures are all of one width, so that columns of lengths align.
func TestFiguresAlign(t *testing.T) {
	for _, r := range "123456789" {
		if got, want := Measure(string(r), 10, true), Measure("0", 10, true); got != want {
			t.Errorf("%c is %.3f wide, 0 is %.3f", r, got, want)
		}
	}
}

func TestClean(t *testing.T) {
	for text, want := range map[string]string{
		"plain":                "plain",
		"n\u0303 decomposed":   "ñ decomposed",
		"two\nlines\tand tabs": "two lines and tabs",
		"bell\x07 and nul\x00": "bell and nul",
		"emoji \U0001F600":     "emoji \uFFFD",
		"\xff broken":          "\uFFFD broken",
		"12′\u00a03 5/8″ ✓":    "12′\u00a03 5/8″ ✓",
	} {
		if got := Clean(text); got != want {
			t.Errorf("Clean(%q) = %q, want %q", text, got, want)
		}
	}
}

func TestWrap(t *testing.T) {
	for _, text := range []string{"", "one", "a few words that need more lines than one", "averyveryverylongword alone"} {
		lines := Wrap(text, 60, 7, false)
		if strings.Join(lines, " ") != text {
			t.Errorf("Wrap(%q) = %q loses words", text, lines)
		}
		for _, l := range lines {
			if strings.Contains(l, " ") && Measure(l, 7, false) > 60 {
				t.Errorf("line %q is wider than 60 pt", l)
			}
		}
	}
	if got := Wrap("12′\u00a03″ wide", 20, 7, false); len(got) != 2 || got[0] != "12′\u00a03″" {
		t.Errorf("a no-break space broke: %q", got)
	}
}

func TestFit(t *testing.T) {
	if got := Fit("short", 100, 7, false); got != "short" {
		t.Errorf("Fit cut what fits: %q", got)
	}
	if got := Fit("a text that is much too wide for its cell", 60, 7, false); Measure(got, 7, false) > 60 || !strings.HasSuffix(got, "…") {
		t.Errorf("Fit gave %q", got)
	}
}

// TestHatchCoversPolygon compares a hatch with counting: 45 degree lines, s apart along an axis, cover a polygon with a length of ink of
// its area times √2 over s, up to the ends of the lines, and every line's points lie inside.
func TestHatchCoversPolygon(t *testing.T) {
	shapes := map[string]struct {
		pts  []Point
		area float64
	}{
		"rectangle": {[]Point{{3, 5}, {203, 5}, {203, 105}, {3, 105}}, 20000},
		"L":         {[]Point{{0, 0}, {200, 0}, {200, 100}, {100, 100}, {100, 200}, {0, 200}}, 30000},
		"triangle":  {[]Point{{10, 10}, {190, 30}, {60, 170}}, 13900},
	}
	for name, s := range shapes {
		for _, slope := range []Slope{Falling, Rising} {
			d := &Drawing{}
			d.Hatch(s.pts, 2, slope, Style{Pen: Hair})
			ink := inkOf{}
			d.Paint(&ink)
			if want := s.area * math.Sqrt2 / 2; math.Abs(ink.long-want) > .01*want {
				t.Errorf("%s: %.0f pt of ink, want about %.0f", name, ink.long, want)
			}
			for _, m := range ink.mids {
				if !inRing(s.pts, m) {
					t.Errorf("%s: the line through %v is outside", name, m)
				}
			}
		}
	}
}

// inkOf is a painter that adds up the length of lines and keeps their middles.
type inkOf struct {
	long float64
	mids []Point
}

func (k *inkOf) Path(p Path) {
	for _, c := range p.Chains {
		for i := 1; i < len(c); i++ {
			k.long += math.Hypot(c[i].X-c[i-1].X, c[i].Y-c[i-1].Y)
			k.mids = append(k.mids, Point{(c[i].X + c[i-1].X) / 2, (c[i].Y + c[i-1].Y) / 2})
		}
	}
}
func (k *inkOf) Circle(Circle) {}
func (k *inkOf) Text(Text)     {}

// inRing tells whether a point lies in a ring, by the sum of the angles that its sides subtend there.
func inRing(pts []Point, q Point) bool {
	sum := 0.0
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		ax, ay, bx, by := a.X-q.X, a.Y-q.Y, b.X-q.X, b.Y-q.Y
		sum += math.Atan2(ax*by-ay*bx, ax*bx+ay*by)
	}
	return math.Abs(sum) > math.Pi
}

// TestSpread: items keep their order, none overlap, those with room stay where they want, and a group is centred on its members.
func TestSpread(t *testing.T) {
	for _, c := range []struct{ want, sizes, got []float64 }{
		{nil, nil, nil},
		{[]float64{10, 40}, []float64{10, 10}, []float64{10, 40}},
		{[]float64{10, 10}, []float64{10, 10}, []float64{5, 15}},
		{[]float64{0, 1, 50}, []float64{4, 8, 10}, []float64{-3.5, 2.5, 50}},
		{[]float64{0, 9, 18}, []float64{10, 10, 10}, []float64{-1, 9, 19}},
	} {
		got := Spread(c.want, c.sizes)
		for i := range c.got {
			if math.Abs(got[i]-c.got[i]) > 1e-9 {
				t.Errorf("Spread(%v, %v) = %v, want %v", c.want, c.sizes, got, c.got)
				break
			}
		}
	}
	want, sizes := []float64{}, []float64{}
	for i := range 60 {
		want, sizes = append(want, float64(i*i%700)/7+float64(i)), append(sizes, 3+float64(i*37%11))
	}
	for i := range want {
		want[i] = max(want[i], want[max(i-1, 0)])
	}
	got := Spread(want, sizes)
	for i := 1; i < len(got); i++ {
		if got[i]-got[i-1] < (sizes[i]+sizes[i-1])/2-1e-9 {
			t.Errorf("items %d and %d overlap: %.3f, %.3f", i-1, i, got[i-1], got[i])
		}
	}
}

// TestDimsNeverCollide: whatever the gaps, no two figures of a string touch, on any side, and the reach holds all ink.
func TestDimsNeverCollide(t *testing.T) {
	marks := []float64{0, 3, 5, 40, 43, 200, 201, 202}
	labels := []string{"2 3/4″", "1 15/16″", "6′ 11 1/16″", "3″", "27 PANELS", "1″", "1 1/16″"}
	for _, side := range []Side{Top, Bottom, Left, Right} {
		d := &Drawing{}
		reach := d.Dims(DimString{Side: side, At: 100, Marks: marks, Labels: labels, Ext: []float64{100 - side.Outward()*50}})
		texts := d.Texts()
		if len(texts) != len(labels) {
			t.Errorf("side %d: %d figures, want %d", side, len(texts), len(labels))
		}
		for i, a := range texts {
			for _, b := range texts[i+1:] {
				if a.Box().Overlaps(b.Box(), 0) {
					t.Errorf("side %d: %q meets %q", side, a.S, b.S)
				}
			}
		}
		e := d.Extent()
		outer := map[Side]float64{Top: e.Y0, Bottom: e.Y1, Left: e.X0, Right: e.X1}[side]
		if (outer-reach)*side.Outward() > 1 {
			t.Errorf("side %d: ink at %.1f lies beyond the reach %.1f", side, outer, reach)
		}
	}
}

func TestPlacer(t *testing.T) {
	p := Placer{Bounds: Box{0, 0, 100, 100}}
	p.Take(Box{40, 40, 60, 60})
	for _, c := range []struct {
		spots []Point
		want  Point
		ok    bool
	}{
		{[]Point{{50, 50}, {30, 50}, {20, 50}}, Point{20, 50}, true}, // on it, too near, free
		{[]Point{{20, 50}, {3, 3}, {100, 50}}, Point{}, false},       // taken by now, out of bounds twice
		{[]Point{{90, 90}}, Point{90, 90}, true},
	} {
		got, ok := p.Put(20, 20, c.spots)
		if got != c.want || ok != c.ok {
			t.Errorf("Put(%v) = %v, %v, want %v, %v", c.spots, got, ok, c.want, c.ok)
		}
	}
}

// TestGreysReadApart: converted to grey (ITU-R BT.601 luma), red and blue are dark against white (contrast 4.5 or more, WCAG 2.2), and
// their pale tints are light.
func TestGreysReadApart(t *testing.T) {
	luma := func(c Color) float64 {
		r, g, b := c.RGB()
		return .299*float64(r) + .587*float64(g) + .114*float64(b)
	}
	for _, c := range []Color{Black, Dark, Water, Alert} {
		if luma(c) > 110 {
			t.Errorf("%06x has luma %.0f, too light for a line in grey", uint32(c)&0xffffff, luma(c))
		}
	}
	for _, c := range []Color{Pale, Faint, White, WaterPale} {
		if luma(c) < 200 {
			t.Errorf("%06x has luma %.0f, too dark for a ground in grey", uint32(c)&0xffffff, luma(c))
		}
	}
}
