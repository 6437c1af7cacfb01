package pdf

import (
	"strconv"

	"github.com/carlos7ags/folio/core"
	"github.com/carlos7ags/folio/font"

	"undercroft/survey/report/draw"
)

// operators writes the content stream of a page (ISO 32000-1, 8 and 9). It is a painter that turns y over.
type operators struct {
	buf    []byte
	fonts  [2]*letters
	height float64
}

// op writes numbers, to the thousandth of a point, and an operator.
func (o *operators) op(operator string, args ...float64) {
	for _, v := range args {
		start := len(o.buf)
		o.buf = strconv.AppendFloat(o.buf, v, 'f', 3, 64)
		for o.buf[len(o.buf)-1] == '0' {
			o.buf = o.buf[:len(o.buf)-1]
		}
		if o.buf[len(o.buf)-1] == '.' {
			o.buf = o.buf[:len(o.buf)-1]
		}
		if s := o.buf[start:]; len(s) == 0 || string(s) == "-0" || string(s) == "-" {
			o.buf = append(o.buf[:start], '0')
		}
		o.buf = append(o.buf, ' ')
	}
	o.buf = append(append(o.buf, operator...), '\n')
}

func (o *operators) name(s string) { o.buf = append(append(append(o.buf, '/'), s...), ' ') }

// colour sets a colour with an operator of its own for strokes and for fills.
func (o *operators) colour(operator string, c draw.Color) {
	r, g, b := c.RGB()
	o.op(operator, float64(r)/255, float64(g)/255, float64(b)/255)
}

// within begins a drawing: its own coordinates, cut off a point outside its view.
func (o *operators) within(view draw.Box, at draw.Point, scale float64) {
	const around = 1
	o.op("q")
	o.op("cm", scale, 0, 0, scale, at.X-view.X0*scale, o.height-at.Y+view.Y0*scale-o.height*scale)
	o.op("re", view.X0-around, o.height-view.Y1-around, view.W()+2*around, view.H()+2*around)
	o.op("W")
	o.op("n")
}

// style sets pen and fill, and is the operator that paints a path with them; empty for one that shows nothing.
func (o *operators) style(st draw.Style) string {
	if st.Pen > 0 {
		o.op("w", float64(st.Pen))
		o.colour("RG", st.Ink)
		o.buf = append(o.buf, '[')
		for _, d := range st.Dash {
			o.buf = append(strconv.AppendFloat(o.buf, d, 'f', 3, 64), ' ')
		}
		o.buf = append(o.buf, "] 0 d\n"...)
	}
	if st.Fill != draw.None {
		o.colour("rg", st.Fill)
	}
	switch {
	case st.Pen > 0 && st.Fill != draw.None:
		return "B"
	case st.Pen > 0:
		return "S"
	case st.Fill != draw.None:
		return "f"
	}
	return ""
}

// Path paints chains of lines.
func (o *operators) Path(p draw.Path) {
	paint := o.style(p.Style)
	if paint == "" {
		return
	}
	for _, chain := range p.Chains {
		for i, q := range chain {
			if i == 0 {
				o.op("m", q.X, o.height-q.Y)
			} else {
				o.op("l", q.X, o.height-q.Y)
			}
		}
		if p.Closed {
			o.op("h")
		}
	}
	o.op(paint)
}

// Circle paints a circle as four curves, off by less than 0.03 % of its radius.
func (o *operators) Circle(c draw.Circle) {
	paint := o.style(c.Style)
	if paint == "" {
		return
	}
	const k = 0.5522847498 // 4/3 (√2 - 1)
	x, y, r := c.Center.X, o.height-c.Center.Y, c.R
	o.op("m", x+r, y)
	o.op("c", x+r, y+k*r, x+k*r, y+r, x, y+r)
	o.op("c", x-k*r, y+r, x-r, y+k*r, x-r, y)
	o.op("c", x-r, y-k*r, x-k*r, y-r, x, y-r)
	o.op("c", x+k*r, y-r, x+r, y-k*r, x+r, y)
	o.op("h")
	o.op(paint)
}

// Text writes one line of text.
func (o *operators) Text(t draw.Text) {
	f, which := o.fonts[0], "F0"
	if t.Bold {
		f, which = o.fonts[1], "F1"
	}
	before := 0.0
	switch t.Anchor {
	case draw.Middle:
		before = t.Width / 2
	case draw.End:
		before = t.Width
	}
	ink := t.Ink
	if ink == draw.None {
		ink = draw.Black
	}
	o.colour("rg", ink)
	o.op("BT")
	o.name(which)
	o.op("Tf", t.Size)
	if t.Up {
		o.op("Tm", 0, 1, -1, 0, t.At.X, o.height-t.At.Y-before)
	} else {
		o.op("Td", t.At.X-before, o.height-t.At.Y)
	}
	o.buf = append(o.buf, '<')
	o.buf = f.encode(o.buf, t.S)
	o.buf = append(o.buf, "> Tj\nET\n"...)
}

// letters is one font and the glyphs that were used of it.
type letters struct {
	embedded *font.EmbeddedFont
	face     font.Face
	code     map[rune]uint16
	shown    map[uint16]rune
}

func newLetters(f font.Face) *letters {
	return &letters{font.NewEmbeddedFont(f), f, map[rune]uint16{}, map[uint16]rune{}}
}

// encode appends a text as glyph numbers in hexadecimal digits. A glyph that several characters share is copied and read aloud as the first of them that
// was used; a no-break space as a space.
func (l *letters) encode(to []byte, s string) []byte {
	const digits = "0123456789ABCDEF"
	for _, r := range s {
		if r == '\u00a0' || r == '\u202f' {
			r = ' '
		}
		g, known := l.code[r]
		if !known {
			g = l.face.GlyphIndex(r)
			l.code[r] = g
			if _, taken := l.shown[g]; !taken {
				l.shown[g] = r
				l.embedded.EncodeString(string(r))
			}
		}
		to = append(to, digits[g>>12], digits[g>>8&15], digits[g>>4&15], digits[g&15])
	}
	return to
}

// build makes the objects of the font with the glyphs used.
func (l *letters) build(add func(core.PdfObject) *core.PdfIndirectReference) *core.PdfDictionary {
	return l.embedded.BuildObjects(add)
}
