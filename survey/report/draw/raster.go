package draw

import (
	"fmt"
	"image"
	"image/color"
	stddraw "image/draw"
	"math"
	"sync"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Raster is the painter of pictures: it paints on an image, over what is there. One may be used by one goroutine at a time.
type Raster struct {
	img    stddraw.Image
	k      float64 // px in a point
	x0, y0 float64 // of the view
	buffer sfnt.Buffer
}

// NewRaster paints on img what lies in a drawing's view, which is as wide as the image. The image is not cleared before.
func NewRaster(img stddraw.Image, view Box) *Raster {
	b := img.Bounds()
	return &Raster{img: img, k: float64(b.Dx()) / view.W(), x0: view.X0 - float64(b.Min.X), y0: view.Y0 - float64(b.Min.Y)}
}

// px takes a place of the drawing to the image.
func (r *Raster) px(p Point) Point { return Point{(p.X - r.x0) * r.k, (p.Y - r.y0) * r.k} }

// Path fills closed chains, then inks the lines.
func (r *Raster) Path(p Path) {
	var chains [][]Point
	for _, chain := range p.Chains {
		moved := make([]Point, len(chain))
		for i, q := range chain {
			moved[i] = r.px(q)
		}
		chains = append(chains, moved)
	}
	if p.Fill != None && p.Closed {
		r.fill(chains, p.Fill)
	}
	if p.Pen <= 0 {
		return
	}
	var strokes [][]Point
	for _, chain := range chains {
		if p.Closed && len(chain) > 0 {
			chain = append(chain[:len(chain):len(chain)], chain[0])
		}
		for _, dash := range dashes(chain, p.Dash, r.k) {
			strokes = append(strokes, outlineOf(dash, float64(p.Pen)*r.k/2)...)
		}
	}
	r.fill(strokes, inked(p.Ink))
}

// Circle paints a circle as a polygon of sides too short to see.
func (r *Raster) Circle(c Circle) {
	n := max(12, int(2*math.Pi*c.R*r.k/2))
	ring := make([]Point, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = Point{c.Center.X + c.R*cos, c.Center.Y + c.R*sin}
	}
	r.Path(Path{Chains: [][]Point{ring}, Closed: true, Style: c.Style})
}

// inked is the colour of a line or text: black when none is said.
func inked(c Color) Color {
	if c == None {
		return Black
	}
	return c
}

// fill paints polygons as one: where several of the same turn overlap, it is painted once.
func (r *Raster) fill(polygons [][]Point, c Color) {
	box, some := image.Rectangle{}, false
	for _, polygon := range polygons {
		for _, p := range polygon {
			at := image.Rect(int(math.Floor(p.X)), int(math.Floor(p.Y)), int(math.Ceil(p.X))+1, int(math.Ceil(p.Y))+1)
			if some {
				at = at.Union(box)
			}
			box, some = at, true
		}
	}
	box = box.Intersect(r.img.Bounds())
	if box.Empty() {
		return
	}
	z := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, polygon := range polygons {
		for i, p := range polygon {
			x, y := float32(p.X-float64(box.Min.X)), float32(p.Y-float64(box.Min.Y))
			if i == 0 {
				z.MoveTo(x, y)
			} else {
				z.LineTo(x, y)
			}
		}
		z.ClosePath()
	}
	red, green, blue := c.RGB()
	z.Draw(r.img, box, image.NewUniform(color.RGBA{red, green, blue, 255}), image.Point{})
}

// outlineOf is a line with its width as polygons of one turn: a box for each stretch, a round joint between two. half is half the width in px.
func outlineOf(line []Point, half float64) [][]Point {
	var all [][]Point
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		if long == 0 {
			continue
		}
		nx, ny := -(b.Y-a.Y)/long*half, (b.X-a.X)/long*half
		all = append(all, []Point{{a.X + nx, a.Y + ny}, {a.X - nx, a.Y - ny}, {b.X - nx, b.Y - ny}, {b.X + nx, b.Y + ny}})
		if i > 1 && half > 0.5 {
			all = append(all, joint(a, half))
		}
	}
	return all
}

// joint is the round joint of two stretches, of the turn that their boxes have.
func joint(at Point, half float64) []Point {
	const n = 12
	ring := make([]Point, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		ring[i] = Point{at.X + half*cos, at.Y + half*sin}
	}
	return ring
}

// dashes cuts a line into the stretches that are inked; pattern is in points, k px in a point. Without a pattern it is the line itself.
func dashes(line []Point, pattern []float64, k float64) [][]Point {
	if len(pattern) < 2 || len(line) < 2 {
		return [][]Point{line}
	}
	var out [][]Point
	part, left := 0, pattern[0]*k
	current := []Point{line[0]}
	for i := 1; i < len(line); {
		a := current[len(current)-1]
		long := math.Hypot(line[i].X-a.X, line[i].Y-a.Y)
		if long <= left || left <= 0 {
			current, left, i = append(current, line[i]), left-long, i+1
			continue
		}
		at := Point{a.X + (line[i].X-a.X)*left/long, a.Y + (line[i].Y-a.Y)*left/long}
		if current = append(current, at); part%2 == 0 {
			out = append(out, current)
		}
		part++
		current, left = []Point{at}, pattern[part%len(pattern)]*k
	}
	if part%2 == 0 && len(current) > 1 {
		out = append(out, current)
	}
	return out
}

// outlines are the regular and the bold font.
var outlines = sync.OnceValue(func() [2]*sfnt.Font {
	var fonts [2]*sfnt.Font
	for i, ttf := range [][]byte{dejavusanscondensed.TTF, dejavusanscondensedbold.TTF} {
		f, err := sfnt.Parse(ttf)
		if err != nil {
			panic(fmt.Errorf("parse the font of the drawings: %w", err)) // the fonts are part of the program
		}
		fonts[i] = f
	}
	return fonts
})

// Text writes a line by the outlines of its letters, each as wide as Measure counts it.
func (r *Raster) Text(t Text) {
	font := outlines()[0]
	if t.Bold {
		font = outlines()[1]
	}
	before := map[Anchor]float64{Start: 0, Middle: t.Width / 2, End: t.Width}[t.Anchor]
	along := -before
	var glyphs [][]Point
	for _, char := range t.S {
		glyphs = append(glyphs, r.glyph(font, char, t, along)...)
		along += Measure(string(char), t.Size, t.Bold)
	}
	r.fill(glyphs, inked(t.Ink))
}

// glyph is the outline of one letter whose left end is along points from the text's place; empty for one that the font lacks.
func (r *Raster) glyph(font *sfnt.Font, char rune, t Text, along float64) [][]Point {
	index, err := font.GlyphIndex(&r.buffer, char)
	if err != nil {
		return nil
	}
	segments, err := font.LoadGlyph(&r.buffer, index, fixed.I(unitsPerEm), nil)
	if err != nil {
		return nil
	}
	scale := t.Size / unitsPerEm / 64
	place := func(p fixed.Point26_6) Point {
		x, y := along+float64(p.X)*scale, float64(p.Y)*scale
		if t.Up {
			x, y = y, -x
		}
		return r.px(Point{t.At.X + x, t.At.Y + y})
	}
	var rings [][]Point
	for _, s := range segments {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			rings = append(rings, []Point{place(s.Args[0])})
		case sfnt.SegmentOpLineTo:
			rings[len(rings)-1] = append(rings[len(rings)-1], place(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			rings[len(rings)-1] = append(rings[len(rings)-1], curve(rings[len(rings)-1], place(s.Args[0]), place(s.Args[1]))...)
		}
	}
	return rings
}

// curve is a quadratic curve from the end of a ring as short lines; the fonts have no others.
func curve(ring []Point, control, to Point) []Point {
	const n = 6
	from := ring[len(ring)-1]
	out := make([]Point, n)
	for i := range out {
		u := float64(i+1) / n
		v := 1 - u
		out[i] = Point{v*v*from.X + 2*u*v*control.X + u*u*to.X, v*v*from.Y + 2*u*v*control.Y + u*u*to.Y}
	}
	return out
}
