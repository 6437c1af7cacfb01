package templates

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// CeilingShape is one shape of a ceiling laid over a photo. Kind is "grid", "row", "carrier", "seam", "edge", "gutter" or "notch"; Points are
// fractions of the upright picture and may lie outside it; a closed shape is a band whose second half of points runs back along the other
// side. Check marks a notch that is to be looked at on site before it is cut.
type CeilingShape struct {
	Kind   string
	Points [][2]float64
	Closed bool
	Label  string
	Check  bool
}

// CeilingOver is what the part ceiling-over draws: lines and bands in pixels of the picture, labels at percent places with offsets in px, so that
// texts keep their size at any zoom. The zero value draws nothing.
type CeilingOver struct {
	Width, Height int
	Shapes        []OverPath
	Labels        []OverLabel
	Chips         []OverChip
	Keys          []OverKey // what the shapes are, each kind once
}

// OverKey explains one kind of shape; Kind is a CeilingShape's, or "check" for a notch that is to be looked at on site.
type OverKey struct{ Kind, Words string }

// OverPath is a line or a closed band of a CeilingShape; Points are ready for an SVG points attribute. A cased one is drawn on a dark casing.
type OverPath struct {
	Kind, Points         string
	Closed, Cased, Check bool
}

// OverLabel is a text beside a shape: DX and DY are px from Left, Top. Tight marks one that has no room at the width that it was placed for.
type OverLabel struct {
	Class, Text, Anchor string
	Left, Top, DX, DY   string
	Tight               bool
}

// OverChip is a notch's place and its words on a chip beside it; places in px from Left, Top.
type OverChip struct {
	Text, Left, Top, DX, DY string // DX, DY: the chip's middle
	X, Y, W, TextY          string // its box
	Check, Tight            bool
}

// straightWithin is how far in pixels of the picture a point may lie off the line that replaces it.
const straightWithin = 0.3

// LayCeiling lays a computed ceiling over a photo that is shown width px wide, below its pins, whose heads all texts keep clear of. Shapes are drawn
// in their order.
func (p PinnedPhoto) LayCeiling(shapes []CeilingShape, width float64) PinnedPhoto {
	over := CeilingOver{Width: p.Width, Height: p.Height}
	w, h := float64(p.Width), float64(p.Height)
	field := labelField{w: width, h: width * h / w}
	for _, s := range shapes {
		over.Shapes = append(over.Shapes, overPath(s, w, h))
	}
	over.Keys = overKeys(shapes)
	for _, m := range p.Marks {
		field.head(m)
	}
	for _, s := range shapes {
		if label, ok := field.label(s); ok {
			over.Labels = append(over.Labels, label)
		}
	}
	for _, s := range shapes {
		if chip, ok := field.chip(s); ok {
			over.Chips = append(over.Chips, chip)
		}
	}
	p.Ceiling = over
	return p
}

// overKeys explains the kinds that are there, in a fixed order.
func overKeys(shapes []CeilingShape) []OverKey {
	there := map[string]bool{}
	for _, s := range shapes {
		kind := s.Kind
		if s.Check {
			kind = "check"
		}
		there[kind] = true
	}
	var keys []OverKey
	for _, k := range []OverKey{{"seam", "seam, carrier no."}, {"row", "furring row"}, {"edge", "high edge"}, {"gutter", "gutter"}, {"notch", "notch"}, {"check", "check on site"}, {"grid", "every 4′"}} {
		if there[k.Kind] {
			keys = append(keys, k)
		}
	}
	return keys
}

func overPath(s CeilingShape, w, h float64) OverPath {
	points := make([][2]float64, len(s.Points))
	for i, f := range s.Points {
		points[i] = [2]float64{f[0] * w, f[1] * h}
	}
	if s.Closed { // each side of the band by itself, so that its ends stay
		half := len(points) / 2
		points = slices.Concat(straighten(points[:half]), straighten(points[half:]))
	} else {
		points = straighten(points)
	}
	return OverPath{Kind: s.Kind, Points: pointsText(points), Closed: s.Closed, Cased: s.Kind != "carrier", Check: s.Check}
}

// straighten leaves out points that lie within straightWithin of the line between those that stay (Douglas and Peucker, Cartographica 10, 1973).
func straighten(points [][2]float64) [][2]float64 {
	if len(points) < 3 {
		return points
	}
	a, b := points[0], points[len(points)-1]
	worst, off := 0, straightWithin
	for i, p := range points[1 : len(points)-1] {
		if d := fromLine(p, a, b); d > off {
			worst, off = i+1, d
		}
	}
	if worst == 0 {
		return [][2]float64{a, b}
	}
	left := straighten(points[:worst+1])
	return append(slices.Clone(left[:len(left)-1]), straighten(points[worst:])...)
}

// fromLine is the distance of a point from the line through a and b.
func fromLine(p, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	long := math.Hypot(dx, dy)
	if long == 0 {
		return math.Hypot(p[0]-a[0], p[1]-a[1])
	}
	return math.Abs((p[0]-a[0])*dy-(p[1]-a[1])*dx) / long
}

func pointsText(points [][2]float64) string {
	var b strings.Builder
	for i, p := range points {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(shortNumber(p[0]) + "," + shortNumber(p[1]))
	}
	return b.String()
}

// shortNumber prints a number to a tenth.
func shortNumber(v float64) string {
	text := strconv.FormatFloat(v, 'f', 1, 64)
	text = strings.TrimSuffix(text, ".0")
	if text == "-0" {
		return "0"
	}
	return text
}

// labelField keeps the texts over a picture of w by h px apart.
type labelField struct {
	w, h  float64
	taken []textBox
}

// textBox is a text's box in px.
type textBox struct{ x, y, w, h float64 }

func (a textBox) meets(b textBox) bool {
	return a.x < b.x+b.w && b.x < a.x+a.w && a.y < b.y+b.h && b.y < a.y+a.h
}

// take takes a box when it is free and inside the picture.
func (f *labelField) take(b textBox) bool {
	if b.x < 0 || b.y < 0 || b.x+b.w > f.w || b.y+b.h > f.h || slices.ContainsFunc(f.taken, b.meets) {
		return false
	}
	f.taken = append(f.taken, b)
	return true
}

// head takes the place of a pin's head, a mark of 36 px, and of its exact points.
func (f *labelField) head(m PinMark) {
	point := func(x, y float64) { f.taken = append(f.taken, textBox{x*f.w - 7, y*f.h - 7, 14, 14}) }
	x, y := m.X, m.Y
	point(x, y)
	if m.X2 != nil && m.Y2 != nil {
		point(*m.X2, *m.Y2)
		x, y = (m.X+*m.X2)/2, (m.Y+*m.Y2)/2
	}
	f.taken = append(f.taken, textBox{x*f.w + m.Head.DX - 18, y*f.h + m.Head.DY - 18, 36, 36})
}

// The sizes of texts of 12 px in the drawing's bold condensed face, in px: an average letter, a line.
const (
	letterWidth = 6.8
	lineHeight  = 15
)

// label places the number of a carrier beyond its high end, and a row's words below its right end; false for other shapes and where none of it
// is on the picture.
func (f *labelField) label(s CeilingShape) (OverLabel, bool) {
	var at [2]float64
	var dx, dy float64
	var class, anchor string
	switch {
	case s.Label == "":
		return OverLabel{}, false
	case s.Kind == "seam":
		points, ok := visible(s.Points)
		if !ok {
			return OverLabel{}, false
		}
		at, class, anchor = points[0], "seamt", "middle"
		dx, dy = f.beyond(points, points[0] == s.Points[0])
		dy += 4.5 // the baseline, below the middle
	case s.Kind == "row":
		at, anchor, class = rowEnd(s.Points), "end", "rowt"
		if at[0] < 0 {
			return OverLabel{}, false
		}
		dx, dy = -3, 15
		if at[1]*f.h+dy > f.h {
			dy = -5
		}
	default:
		return OverLabel{}, false
	}
	wide := letterWidth * float64(len([]rune(s.Label)))
	box := textBox{at[0]*f.w + dx - wide/2, at[1]*f.h + dy - 11, wide, lineHeight}
	if anchor == "end" {
		box.x = at[0]*f.w + dx - wide
	}
	return OverLabel{Class: class, Text: s.Label, Anchor: anchor, Left: percent(at[0]), Top: percent(at[1]), DX: shortNumber(dx), DY: shortNumber(dy), Tight: !f.take(box)}, true
}

// beyond is the way from a line's first point to its number: away from the line at its own end, along it where the picture's border cuts it.
func (f *labelField) beyond(points [][2]float64, own bool) (dx, dy float64) {
	dx, dy = (points[0][0]-points[1][0])*f.w, (points[0][1]-points[1][1])*f.h
	far := 11.0
	if !own {
		far = -13
	}
	if d := math.Hypot(dx, dy); d > 0 {
		return dx / d * far, dy / d * far
	}
	return 0, far
}

// visible is the first stretch of a line that lies on the picture.
func visible(points [][2]float64) ([][2]float64, bool) {
	for i := range len(points) - 1 {
		a, b, ok := OnPicture(points[i], points[i+1])
		if !ok {
			continue
		}
		return append([][2]float64{a}, append([][2]float64{b}, points[i+2:]...)...), true
	}
	return nil, false
}

// OnPicture cuts a line at the picture's borders (Liang and Barsky, ACM Transactions on Graphics 3, 1984); false when none of it is on it.
func OnPicture(a, b [2]float64) (from, to [2]float64, ok bool) {
	t0, t1 := 0.0, 1.0
	for k := range 2 {
		d := b[k] - a[k]
		if d == 0 {
			if a[k] < 0 || a[k] > 1 {
				return a, b, false
			}
			continue
		}
		near, far := -a[k]/d, (1-a[k])/d
		t0, t1 = max(t0, min(near, far)), min(t1, max(near, far))
	}
	if t0 >= t1 {
		return a, b, false
	}
	at := func(t float64) [2]float64 {
		switch t {
		case 0:
			return a
		case 1:
			return b
		}
		return [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
	}
	return at(t0), at(t1), true
}

// rowEnd is the lower of a band's two corners at the right end of what is on the picture; -1, -1 when nothing is.
func rowEnd(points [][2]float64) [2]float64 {
	best := [2]float64{-1, -1}
	half := len(points) / 2
	for _, side := range [][][2]float64{points[:half], points[half:]} {
		for i := range len(side) - 1 {
			a, b, ok := OnPicture(side[i], side[i+1])
			if !ok {
				continue
			}
			for _, p := range [][2]float64{a, b} {
				if p[0] > best[0]+1e-3 || p[0] > best[0]-1e-3 && p[1] > best[1] {
					best = p
				}
			}
		}
	}
	return best
}

// chip places a notch's words near its place; false for other shapes and for a notch that is not on the picture.
func (f *labelField) chip(s CeilingShape) (OverChip, bool) {
	if s.Kind != "notch" || len(s.Points) == 0 {
		return OverChip{}, false
	}
	var at [2]float64
	for _, p := range s.Points {
		at[0], at[1] = at[0]+p[0]/float64(len(s.Points)), at[1]+p[1]/float64(len(s.Points))
	}
	if at[0] < 0 || at[0] > 1 || at[1] < 0 || at[1] > 1 {
		return OverChip{}, false
	}
	wide := letterWidth*float64(len([]rune(s.Label))) + 8
	way, free := f.chipPlace(at, wide)
	return OverChip{Text: s.Label, Left: percent(at[0]), Top: percent(at[1]), DX: shortNumber(way[0]), DY: shortNumber(way[1]),
		X: shortNumber(way[0] - wide/2), Y: shortNumber(way[1] - 10), W: shortNumber(wide), TextY: shortNumber(way[1] + 4.5), Check: s.Check, Tight: !free}, true
}

// chipPlace tries the places around a notch, above first; where none is free it is the first that lies on the picture.
func (f *labelField) chipPlace(at [2]float64, wide float64) (way [2]float64, free bool) {
	var ways [][2]float64
	for _, dy := range []float64{-42, -64, 42, 64} {
		for _, dx := range []float64{0, wide/2 - 6, 6 - wide/2} {
			ways = append(ways, [2]float64{dx, dy})
		}
	}
	way = ways[0]
	for i := len(ways) - 1; i >= 0; i-- {
		if b := chipBox(f, at, ways[i], wide); b.x >= 0 && b.x+b.w <= f.w && b.y >= 0 && b.y+b.h <= f.h {
			way = ways[i]
		}
	}
	for _, w := range ways {
		if f.take(chipBox(f, at, w, wide)) {
			return w, true
		}
	}
	return way, false
}

func chipBox(f *labelField, at, way [2]float64, wide float64) textBox {
	return textBox{at[0]*f.w + way[0] - wide/2 - 1, at[1]*f.h + way[1] - 11, wide + 2, 22}
}
