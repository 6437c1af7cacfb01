package report

import (
	"math"
	"strconv"
	"strings"

	"undercroft/survey/report/draw"
)

// The frame of a sheet in points: it leaves 3/8 in or more on Letter and on A4 at the same true scale.
const (
	frameW  = 738.0
	frameH  = 540.0
	stripH  = 44.0            // title block
	bottom  = frameH - stripH // drawings stay above this line
	marginX = 12.0
)

// scale is a usual scale of the trade: its name and points per inch (six times the inches per foot).
type scale struct {
	name string
	k    float64
}

// scales are the usual scales, the largest first.
func scales() []scale {
	return []scale{{"6", 36}, {"3", 18}, {"1 1/2", 9}, {"1", 6}, {"3/4", 4.5}, {"1/2", 3}, {"3/8", 2.25}, {"1/4", 1.5}, {"3/16", 1.125},
		{"1/8", .75}, {"3/32", .5625}, {"1/16", .375}, {"1/32", .1875}}
}

// String is the scale as a drawing states it: 1/4″ = 1′-0″.
func (s scale) String() string {
	return strings.ReplaceAll(s.name, " ", "\u00a0") + "″\u00a0=\u00a01′-0″"
}

// pickScale is the largest usual scale up to a limit at which w by h inches fit; the smallest when none does.
func pickScale(w, h, maxW, maxH, largest float64) scale {
	all := scales()
	for _, s := range all {
		if s.k <= largest && w*s.k <= maxW && h*s.k <= maxH {
			return s
		}
	}
	return all[len(all)-1]
}

func pt(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }

func box(x, y, w, h float64) draw.Box { return draw.Box{X0: x, Y0: y, X1: x + w, Y1: y + h} }

// sheet is a drawing inside the frame, with what its title block says.
type sheet struct {
	*draw.Drawing
	title string
	scale string // as the title block states it
}

func newSheet(title, desc string) *sheet {
	return &sheet{Drawing: &draw.Drawing{Title: title, Desc: desc, View: box(0, 0, frameW, frameH).Grow(.5)}, title: title}
}

// write puts plain 7 pt text at a baseline.
func write(d *draw.Drawing, x, y float64, s string) draw.Box {
	return d.Text(draw.Text{At: pt(x, y), S: s})
}

// head is the bold heading of a sheet or column.
func head(d *draw.Drawing, x, y float64, s string, size float64) draw.Box {
	return d.Text(draw.Text{At: pt(x, y), S: s, Size: size, Bold: true})
}

// paragraph writes a text in lines of at most width points and returns the next baseline.
func paragraph(d *draw.Drawing, x, y, width float64, s string) float64 {
	for _, line := range draw.Wrap(s, width, draw.MinText, false) {
		write(d, x, y, line)
		y += 8.75
	}
	return y
}

// drawingTitle draws number or letter in a circle, the name in capitals over a rule, the scale under it.
func drawingTitle(d *draw.Drawing, at draw.Point, mark, title, scale string) draw.Box {
	title = strings.ToUpper(title)
	long := math.Max(draw.Measure(title, 9.5, true), draw.Measure(scale, draw.MinText, false))
	d.Line(pt(at.X+18, at.Y), pt(at.X+26+long, at.Y), draw.Style{Pen: draw.Medium})
	d.Circle(pt(at.X+9, at.Y), 9, draw.Style{Pen: draw.Medium, Fill: draw.White})
	size := 9.0
	if len(mark) > 2 {
		size = draw.MinText
	}
	d.Text(draw.Text{At: pt(at.X+9, at.Y+size*.355), S: mark, Size: size, Bold: true, Anchor: draw.Middle})
	head(d, at.X+23, at.Y-2.5, title, 9.5)
	write(d, at.X+23, at.Y+8.5, scale)
	return draw.Box{X0: at.X, Y0: at.Y - 9, X1: at.X + 26 + long, Y1: at.Y + 10}
}

// scaleBar draws a bar of feet, black and white by turns, from its upper left corner; k is points per inch.
func (v voice) scaleBar(d *draw.Drawing, at draw.Point, k float64, feet []int) {
	for i := 0; i+1 < len(feet); i++ {
		fill := draw.Black
		if i%2 == 1 {
			fill = draw.White
		}
		a, b := float64(feet[i])*12*k, float64(feet[i+1])*12*k
		d.Rect(box(at.X+a, at.Y, b-a, 3.2), draw.Style{Pen: draw.Thin, Fill: fill})
	}
	for i, f := range feet {
		s := strconv.Itoa(f)
		if i == len(feet)-1 {
			s = v.say("%d feet", f)
		}
		d.Text(draw.Text{At: pt(at.X+float64(f)*12*k, at.Y-2.2), S: s, Anchor: draw.Middle})
	}
}

// barFeet are the marks of a scale bar that is neither tiny nor as wide as the sheet.
func barFeet(k float64) []int {
	switch {
	case k >= 3:
		return []int{0, 1, 2, 4}
	case k >= 1:
		return []int{0, 1, 2, 4, 8}
	case k >= .5:
		return []int{0, 2, 4, 8, 16}
	}
	return []int{0, 8, 16, 32}
}

// orElse is the text, or what to say when there is none.
func orElse(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return s
}

// titleBlock draws the frame and the strip at the foot of a sheet.
func (s *sheet) titleBlock(job drawnJob, system string, n, of int) {
	d, y := s.Drawing, bottom
	d.Rect(box(0, 0, frameW, frameH), draw.Style{Pen: draw.Medium})
	d.Line(pt(0, y), pt(frameW, y), draw.Style{Pen: draw.Heavy})
	for _, x := range []float64{196, 402, 540, 650} {
		d.Line(pt(x, y), pt(x, frameH), draw.Style{Pen: draw.Thin})
	}
	label := func(x float64, t string) { d.Text(draw.Text{At: pt(x, y+10), S: t, Ink: draw.Dark}) }
	label(6, draw.Fit(strings.TrimSpace(job.in("JOB")+" "+job.Number), 184, draw.MinText, false))
	head(d, 6, y+24, draw.Fit(orElse(job.Name, job.in("Untitled job")), 184, 10, true), 10)
	write(d, 6, y+36, draw.Fit(job.say("Surveyed %s · system %s", orElse(job.Surveyed, job.in("date not given")), system), 184, draw.MinText, false))
	label(202, job.in("SHEET"))
	size := 10.0
	for size > draw.MinText && draw.Measure(s.title, size, true) > 194 {
		size--
	}
	head(d, 202, y+24, draw.Fit(s.title, 194, size, true), size)
	note := s.scale
	if draw.Measure(note, draw.MinText, false) < 128 && note != "" {
		note += ", " + job.in("printed at 100\u00a0%")
	}
	write(d, 202, y+36, draw.Fit(note, 194, draw.MinText, false))
	label(408, job.in("REVISION"))
	head(d, 408, y+24, draw.Fit(orElse(job.Revision, job.in("draft")), 56, 10, true), 10)
	label(468, job.in("ISSUED"))
	head(d, 468, y+24, draw.Fit(orElse(job.Issued, job.in("not issued")), 68, 9, true), 9)
	write(d, 408, y+36, job.in("Lengths in feet, inches, sixteenths"))
	d.Text(draw.Text{At: pt(546, y+10), S: job.in("VERIFY ON SITE"), Bold: true, Ink: draw.Alert})
	for i, line := range []string{job.in("every length before cutting."), job.in("Follow local code; structure is"), job.in("for a licensed professional.")} {
		write(d, 546, y+19+float64(i)*8.6, line)
	}
	label(656, job.in("SHEET"))
	d.Text(draw.Text{At: pt((650+frameW)/2, y+33), S: job.say("%d of %d", n, of), Size: 17, Bold: true, Anchor: draw.Middle})
}

// table is a plain schedule: heads, column widths in points, rows of text; the first column is bold, columns in right stand at
// their right edge.
type table struct {
	widths []float64
	heads  []string
	rows   [][]string
	lead   float64
}

// height is the room the table takes.
func (t table) height() float64 { return t.lead * float64(len(t.rows)+1) }

// draw draws the table from its upper left corner and returns the y under it.
func (t table) draw(d *draw.Drawing, x, y float64) float64 {
	total := 0.0
	for _, w := range t.widths {
		total += w
	}
	rule := func(pen draw.Pen, ink draw.Color) {
		d.Line(pt(x, y), pt(x+total, y), draw.Style{Pen: pen, Ink: ink})
	}
	row := func(cells []string, bold bool) {
		cx := x
		for i, s := range cells {
			b := bold || i == 0
			d.Text(draw.Text{At: pt(cx+3, y+t.lead-3), S: draw.Fit(s, t.widths[i]-4, draw.MinText, b), Bold: b})
			cx += t.widths[i]
		}
		y += t.lead
	}
	rule(draw.Medium, draw.Black)
	row(t.heads, true)
	rule(draw.Medium, draw.Black)
	for i, cells := range t.rows {
		row(cells, false)
		if i+1 < len(t.rows) {
			rule(draw.Hair, draw.Grey)
		}
	}
	rule(draw.Light, draw.Black)
	return y
}
