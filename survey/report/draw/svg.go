package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Page is the size of a printed page in points.
type Page struct{ W, H float64 }

// Letter is US Letter, landscape: 11 by 8 1/2 in.
func Letter() Page { return Page{792, 612} }

// A4 is ISO 216 A4, landscape: 297 by 210 mm.
func A4() Page { return Page{297 / 25.4 * 72, 210 / 25.4 * 72} }

// SVG writes the drawing as a complete SVG element whose size is that of View, at true scale. Everything is said in presentation
// attributes, so that a page which allows no inline styles may embed it; the ground is white, so that it reads on a dark page.
func (d *Drawing) SVG(w io.Writer) error { return d.svg(w, d.View) }

// SVGOn writes the drawing at true scale in the middle of a page.
func (d *Drawing) SVGOn(w io.Writer, page Page) error {
	v := d.View
	x, y := (v.X0+v.X1-page.W)/2, (v.Y0+v.Y1-page.H)/2
	return d.svg(w, Box{x, y, x + page.W, y + page.H})
}

func (d *Drawing) svg(w io.Writer, view Box) error {
	p := svgPainter{}
	fmt.Fprintf(&p.out, `<svg xmlns="http://www.w3.org/2000/svg" width="%spt" height="%spt" viewBox="%s %s %s %s" role="img" font-family="%s" xml:space="preserve">`,
		num(view.W()), num(view.H()), num(view.X0), num(view.Y0), num(view.W()), num(view.H()), Family)
	p.element("title", d.Title)
	if d.Desc != "" {
		p.element("desc", d.Desc)
	}
	fmt.Fprintf(&p.out, `<rect x="%s" y="%s" width="%s" height="%s" fill="#ffffff"/>`, num(view.X0), num(view.Y0), num(view.W()), num(view.H()))
	d.Paint(&p)
	p.out.WriteString("</svg>\n")
	_, err := w.Write(p.out.Bytes())
	if err != nil {
		return fmt.Errorf("write drawing: %w", err)
	}
	return nil
}

// svgPainter writes SVG elements into a buffer, which takes every write.
type svgPainter struct{ out bytes.Buffer }

func (p *svgPainter) element(name, text string) {
	fmt.Fprintf(&p.out, "<%s>", name)
	p.escape(text)
	fmt.Fprintf(&p.out, "</%s>", name)
}

// escape writes character data; a bytes.Buffer never refuses it.
func (p *svgPainter) escape(s string) { _ = xml.EscapeText(&p.out, []byte(Clean(s))) }

// Path writes a path element.
func (p *svgPainter) Path(a Path) {
	p.out.WriteString("\n<path d=\"")
	for _, chain := range a.Chains {
		for i, q := range chain {
			switch i {
			case 0:
				p.out.WriteByte('M')
			case 1:
				p.out.WriteByte('L')
			default:
				p.out.WriteByte(' ')
			}
			p.out.WriteString(num(q.X) + " " + num(q.Y))
		}
		if a.Closed {
			p.out.WriteByte('Z')
		}
	}
	p.out.WriteByte('"')
	p.style(a.Style)
}

// Circle writes a circle element.
func (p *svgPainter) Circle(c Circle) {
	fmt.Fprintf(&p.out, "\n<circle cx=\"%s\" cy=\"%s\" r=\"%s\"", num(c.Center.X), num(c.Center.Y), num(c.R))
	p.style(c.Style)
}

func (p *svgPainter) style(st Style) {
	fmt.Fprintf(&p.out, ` fill="%s"`, paint(st.Fill, "none"))
	if st.Pen > 0 {
		fmt.Fprintf(&p.out, ` stroke="%s" stroke-width="%s"`, paint(st.Ink, "#000000"), num(float64(st.Pen)))
		if len(st.Dash) > 0 {
			dashes := make([]string, len(st.Dash))
			for i, on := range st.Dash {
				dashes[i] = num(on)
			}
			fmt.Fprintf(&p.out, ` stroke-dasharray="%s"`, strings.Join(dashes, " "))
		}
	}
	p.out.WriteString("/>")
}

// Text writes a text element with its measured width, so that another font keeps to it.
func (p *svgPainter) Text(t Text) {
	fmt.Fprintf(&p.out, "\n<text x=\"%s\" y=\"%s\" font-size=\"%s\" fill=\"%s\"", num(t.At.X), num(t.At.Y), num(t.Size), paint(t.Ink, "#000000"))
	if t.Bold {
		p.out.WriteString(` font-weight="bold"`)
	}
	if t.Anchor != Start {
		fmt.Fprintf(&p.out, ` text-anchor="%s"`, [...]string{"start", "middle", "end"}[t.Anchor])
	}
	if t.Up {
		fmt.Fprintf(&p.out, ` transform="rotate(-90 %s %s)"`, num(t.At.X), num(t.At.Y))
	}
	if strings.Contains(t.S, "  ") {
		p.out.WriteString(` xml:space="preserve"`)
	}
	fmt.Fprintf(&p.out, ` textLength="%s" lengthAdjust="spacingAndGlyphs">`, num(t.Width))
	p.escape(t.S)
	p.out.WriteString("</text>")
}

// paint is the colour as an attribute value.
func paint(c Color, none string) string {
	if c == None {
		return none
	}
	r, g, b := c.RGB()
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}

// num prints points to the hundredth, without trailing zeros.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	if s == "-0" {
		return "0"
	}
	return s
}
