package report

import (
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

const (
	notchCellH   = 176.0
	notchTop     = 44.0
	notchBroken  = 5.0 // a notch that starts farther from the high end, in inches, is drawn on a broken carrier
	notchRowLead = 10.5
)

// notchSheets draw each distinct notch, up to six on a sheet and larger when there are few, then the table of all where room is left: none
// when nothing is to be notched.
func (d *deck) notchSheets() []*sheet {
	var out []*sheet
	sizes, rest := d.sizes, d.notches
	for len(sizes) > 0 || len(rest) > 0 {
		s := newSheet(d.in("Notch details"), d.say("Notches in the top of carriers: %d in all, of %s.", len(d.notches), d.count(len(d.sizes), "size", "sizes")))
		s.scale = d.in("Scale at each detail")
		head(s.Drawing, marginX, 20, d.in("NOTCHES IN THE TOP OF A CARRIER"), 9.5)
		write(s.Drawing, marginX, 31, d.in("Measured from the carrier's high end. Mark on site, then cut; only carriers are ever cut, never a joist, hanger, ledger or beam. Check: hold the carrier up first."))
		cols := 3
		if len(sizes) <= 2 {
			cols = 2
		}
		now := sizes[:min(len(sizes), 2*cols)]
		sizes = sizes[len(now):]
		wide := (frameW - marginX) / float64(cols)
		for i, size := range now {
			d.notchDetail(s.Drawing, pt(marginX+float64(i%cols)*wide, notchTop+float64(i/cols)*notchCellH), size, wide-30)
		}
		y := notchTop + notchCellH*float64((len(now)+cols-1)/cols) + 14
		if len(sizes) == 0 {
			rest = rest[d.notchTable(s.Drawing, y, rest):]
		}
		out = append(out, s)
	}
	return out
}

// notchTable writes as many rows as fit from y on and returns how many.
func (d *deck) notchTable(dr *draw.Drawing, y float64, rest []*notch) int {
	fit := min(len(rest), int((bottom-14-y)/notchRowLead)-1)
	if fit <= 0 {
		return 0
	}
	t := table{widths: []float64{26, 30, 34, 44, 62, 62, 48, 200, 52, 88, 66}, lead: notchRowLead,
		heads: []string{d.in("No."), d.in("Size"), d.in("Zone"), d.in("Carrier"), d.in("From"), d.in("To"), d.in("Depth"), d.in("Clears"), d.in("Chance"), d.in("State"), d.in("Done")}}
	for _, k := range rest[:fit] {
		size := d.sizeOf(k)
		o := d.obstruction(k.Obstruction)
		t.rows = append(t.rows, []string{itoa(k.n), k.size, k.zone.name, itoa(k.Carrier), typeset(size.from), typeset(size.to), typeset(size.depth),
			d.name(k.Obstruction) + " (" + d.kindOf(o) + ")", percent(k.Probability), d.state(k), "____________"})
	}
	t.draw(dr, marginX, y)
	return fit
}

// sizeOf is the size a notch is cut to.
func (d *deck) sizeOf(k *notch) notchSize {
	i := slices.IndexFunc(d.sizes, func(s notchSize) bool { return s.letter == k.size })
	return d.sizes[i]
}

// kindOf says a kind of obstruction.
func (v voice) kindOf(o calc.Obstruction) string {
	switch o.Kind {
	case calc.KindHanger:
		return v.in("hanger")
	case calc.KindBracket:
		return v.in("bracket")
	case calc.KindFixture:
		return v.in("fixture")
	case calc.KindPipe:
		return v.in("pipe")
	case calc.KindWiring:
		return v.in("wiring")
	case calc.KindOther:
		return v.in("other")
	}
	return string(o.Kind)
}

// state says whether a notch is expected or to be checked on site.
func (v voice) state(k *notch) string {
	if k.State == "expected" {
		return v.in("expected")
	}
	return v.in("check on site")
}

// notchView draws one notch: x0 is the sheet's x of what stands at the left, shown the stretch of carrier drawn, lead the stub of
// high end drawn before a break.
type notchView struct {
	d      *deck
	dr     *draw.Drawing
	size   notchSize
	k      float64
	x0     float64
	shown  span
	lead   float64
	broken bool
	top    float64
	low    float64
	thingX float64 // left side of what the notch clears
}

func (v *notchView) x(s float64) float64 {
	if s >= v.shown.lo {
		return v.x0 + (s-v.shown.lo+v.lead)*v.k
	}
	return v.x0 + s*v.k
}

// notchDetail draws a size in its cell from the upper left corner, width points wide.
func (d *deck) notchDetail(dr *draw.Drawing, c draw.Point, size notchSize, width float64) {
	v := &notchView{d: d, dr: dr, size: size, shown: span{0, size.to + 4.5}, broken: size.from > notchBroken, top: c.Y + 34, x0: c.X + 10}
	if v.broken {
		v.shown, v.lead = span{size.from - 2.2, size.to + 4.4}, 2.4
	}
	depth := d.prof.CarrierDepth
	sc := pickScale(v.shown.length()+v.lead, depth, width, 60, 36)
	v.k, v.low = sc.k, v.top+depth*sc.k
	v.carrier()
	v.thing()
	v.highEnd()
	v.depth()
	marks := []float64{v.x(0), v.x(size.from), v.x(size.to)}
	labels := []string{typeset(size.from), typeset(size.to - size.from)}
	if size.from < 1.0/32 {
		marks, labels = marks[1:], labels[1:]
	}
	reach := dr.Dims(draw.DimString{Side: draw.Bottom, At: v.low + 15, Marks: marks, Labels: labels, Ext: []float64{v.low}})
	if len(marks) > 2 {
		dr.Dims(draw.DimString{Side: draw.Bottom, At: reach + 13, Marks: []float64{marks[0], marks[2]}, Labels: []string{typeset(size.to)}, Ext: []float64{v.low}})
	}
	v.title(pt(c.X, reach+40), sc, c.X+width+18)
}

// carrier draws the carrier with the notch cut out of it.
func (v *notchView) carrier() {
	dr, a, b := v.dr, v.x(v.size.from), v.x(v.size.to)
	from, end, cut := v.x(v.shown.lo), v.x(v.shown.hi), v.top+v.size.depth*v.k
	body := []draw.Point{pt(from, v.top), pt(a, v.top), pt(a, cut), pt(b, cut), pt(b, v.top), pt(end, v.top), pt(end, v.low), pt(from, v.low)}
	edge := draw.Style{Pen: draw.Medium}
	if v.broken {
		x0, x1 := v.x0, v.x0+1.6*v.k
		dr.Polygon(box(x0, v.top, x1-x0, v.low-v.top).Corners(), draw.Style{Fill: draw.Faint})
		dr.Polyline([]draw.Point{pt(x1, v.top), pt(x0, v.top), pt(x0, v.low), pt(x1, v.low)}, edge)
		dr.Break(x1, v.top, v.low)
	}
	dr.Polygon(body, draw.Style{Fill: draw.Faint})
	dr.Polyline(body[:6], edge)
	dr.Line(body[6], body[7], edge)
	if v.broken {
		dr.Break(from, v.top, v.low)
	} else {
		dr.Line(body[7], body[0], edge)
	}
	dr.Break(end, v.top, v.low)
}

// thing draws what the notch clears, as wide as it is down the fall, and says what it is.
func (v *notchView) thing() {
	o := v.d.obstruction(v.size.notches[0].Obstruction)
	down := float64(o.WY)
	if v.d.direction() != calc.FallOut {
		down = float64(o.WX)
	}
	a, b := v.x(v.size.from), v.x(v.size.to)
	w := max(min(down*v.k, b-a-1), 1)
	b0 := box((a+b-w)/2, v.top-16, w, 16+max(v.size.depth-.125, 0)*v.k)
	v.dr.Rect(b0, draw.Style{Fill: draw.White})
	v.dr.Hatch(b0.Corners(), 3, draw.Rising, draw.Style{Pen: draw.Hair, Ink: draw.Dark})
	v.dr.Polyline([]draw.Point{pt(b0.X0, b0.Y0), pt(b0.X0, b0.Y1), pt(b0.X1, b0.Y1), pt(b0.X1, b0.Y0)}, draw.Style{Pen: draw.Light})
	var kinds []string
	for _, k := range v.size.notches {
		kinds = append(kinds, v.d.kindOf(v.d.obstruction(k.Obstruction)))
	}
	slices.Sort(kinds)
	write(v.dr, b0.X1+4, v.top-9, v.d.say("clears %s", strings.Join(slices.Compact(kinds), ", ")))
	v.thingX = b0.X0
}

// highEnd names the carrier's high end where it does not meet what the notch clears.
func (v *notchView) highEnd() {
	words := v.d.in("HIGH END")
	long := draw.Measure(words, draw.MinText, true)
	switch {
	case v.thingX-v.x0-3 > long:
		head(v.dr, v.x0, v.top-4, words, draw.MinText)
	case v.low-v.top > long+4:
		v.dr.Text(draw.Text{At: pt(v.x0-4, (v.top+v.low)/2), S: words, Bold: true, Anchor: draw.Middle, Up: true})
	default:
		head(v.dr, v.x0, v.top-20, words, draw.MinText)
	}
}

// depth dimensions the notch's depth beside it.
func (v *notchView) depth() {
	b, cut := v.x(v.size.to), v.top+v.size.depth*v.k
	x := min(b+12, v.x(v.shown.hi)-8)
	v.dr.Line(pt(b, cut), pt(x+4, cut), draw.Style{Pen: draw.Hair, Ink: draw.Dark})
	v.dr.Line(pt(x, v.top-5), pt(x, cut+5), draw.Style{Pen: draw.Thin})
	var ticks [][]draw.Point
	for _, y := range []float64{v.top, cut} {
		ticks = append(ticks, []draw.Point{pt(x-2.4, y+2.4), pt(x+2.4, y-2.4)})
	}
	v.dr.Segments(ticks, draw.Style{Pen: draw.Medium})
	head(v.dr, x+6, max((v.top+cut)/2+3, v.top+9), v.d.say("%s deep", typeset(v.size.depth)), 7.5)
}

// title letters the detail and lists the carriers to cut and those to check first.
func (v *notchView) title(at draw.Point, sc scale, right float64) {
	name := v.d.count(len(v.size.notches), "notch", "notches")
	note := v.d.say("Scale %s", sc)
	if v.broken {
		note += ", " + v.d.in("carrier broken")
	}
	b := drawingTitle(v.dr, at, v.size.letter, name, note)
	var sure, check []int
	for _, k := range v.size.notches {
		if k.State == "expected" {
			sure = append(sure, k.Carrier)
		} else {
			check = append(check, k.Carrier)
		}
	}
	say := func(y float64, what string, carriers []int, ink draw.Color, bold bool) {
		if len(carriers) == 0 {
			return
		}
		t := v.d.say("%s: carrier %s", what, ranges(carriers))
		if draw.Measure(t, draw.MinText, bold) > right-b.X1-8 {
			t = v.d.say("%s: see the table", what)
		}
		v.dr.Text(draw.Text{At: pt(b.X1+8, y), S: t, Bold: bold, Ink: ink})
	}
	say(at.Y-3, v.d.in("cut"), sure, draw.Alert, true)
	say(at.Y+8.5, v.d.in("check"), check, draw.Black, false)
}
