package report

import (
	"math"
	"strings"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

const (
	sectionLeft = 492.0 // width of the left part of the sheet
	joistThick  = 1.5   // rim, ledger and joists as drawn, inches: common practice
	pictureRoom = 36.0  // room under the joists, inches, drawn for the picture when nothing was measured
)

// sectionSheet draws the section along the fall, cut where most ceiling is crossed: A in true proportions, B with the heights
// exaggerated, C and D the high and the low end. It is false when there is no ceiling to cut.
func (d *deck) sectionSheet() (*sheet, bool) {
	sec, ok := newSection(d)
	if !ok {
		return nil, false
	}
	s := newSheet(d.in("Section along the fall"), sec.desc())
	sc := pickScale(sec.run(), sec.rise(), 384, 266, maxPlanK)
	sec.dr, sec.k = s.Drawing, sc.k
	sec.x0 = 62 + max(0, (384-sec.run()*sc.k)/2)
	sec.room = span{2, sectionLeft - 4}
	sec.groundY = 24 + sec.rise()*sc.k
	sec.trueSection()
	drawingTitle(s.Drawing, pt(marginX, sec.groundY+25), "A", sec.place(), d.say("Scale %s, both ways; %s", sc, sec.look())+sec.headroom)
	e := sec.exaggerated(sec.groundY+25, bottom-30)
	title, note := d.in("Fall"), d.say("Across %s; all figures are true", sc)
	if e > 1 {
		title = d.say("Fall, heights drawn %.0f times", e)
		note = d.say("Across %s, heights %.0f times that; all figures are true", sc, e)
	}
	drawingTitle(s.Drawing, pt(marginX, bottom-17), "B", title, draw.Fit(note+sec.leftNote(), sectionLeft-40, draw.MinText, false))
	s.Line(pt(sectionLeft+8, 0), pt(sectionLeft+8, bottom), draw.Style{Pen: draw.Thin})
	detail := sec.details()
	s.scale = d.say("Scale %s; details %s", sc, detail)
	return s, true
}

// section is a cut through the deck down the fall at u: k points per inch, x0 the sheet's x of v0, groundY the sheet's y of the
// lowest ground. Heights are over the datum, or over the joists' underside where no height was taken.
type section struct {
	d       *deck
	dr      *draw.Drawing
	u       float64
	parts   []part
	v0, v1  float64
	base    float64 // lowest height drawn
	top     float64
	k       float64
	x0      float64
	groundY float64
	room    span // of the sheet across
	placer  draw.Placer
	left    int // figures without room
	// headroom is the least headroom for the drawing's title, when the drawing has no room for it.
	headroom string
	phone    bool
	titleY   float64 // of B on a phone
}

func newSection(d *deck) (*section, bool) {
	s := &section{d: d, u: d.sectionU()}
	if s.parts = d.partsAt(s.u); len(s.parts) == 0 {
		return nil, false
	}
	s.v0, s.v1 = s.parts[0].lo, s.parts[len(s.parts)-1].hi
	s.base = min(s.ground(s.v0), s.ground(s.v1))
	s.top = max(s.under(s.v0), s.under(s.v1)) + s.joist() + 1
	return s, true
}

func (s *section) run() float64  { return s.v1 - s.v0 }
func (s *section) rise() float64 { return s.top - s.base }

// joist is the joists' depth; a figure for the picture when it was left out.
func (s *section) joist() float64 {
	if h := float64(s.d.input.Joists.Depth); h > 0 {
		return h
	}
	return 9.25
}

// under is the underside's height at v.
func (s *section) under(v float64) float64 { return s.d.underside(fallPt{s.u, v}) }

// measured tells whether the distance from ceiling to ground is known at all.
func (s *section) measured() bool { return s.d.hasHeights || len(s.d.input.Clearances) > 0 }

// ground is the ground's height at v: the datum itself where only heights were taken, the line through the measured clearances where
// there are any, and room for the picture where nothing was measured.
func (s *section) ground(v float64) float64 {
	if len(s.d.input.Clearances) == 0 {
		if s.d.hasHeights {
			return 0
		}
		return -pictureRoom
	}
	var vs, gs []float64
	for _, c := range s.d.input.Clearances {
		q := s.d.toFall(planPt{float64(c.X), float64(c.Y)})
		vs, gs = append(vs, q.v), append(gs, s.d.underside(q)-float64(c.Clearance))
	}
	return fitLine(vs, gs, 12)(v)
}

// point is the place on the sheet of a height at v.
func (s *section) point(v, h float64) draw.Point {
	return pt(s.x0+(v-s.v0)*s.k, s.groundY-(h-s.base)*s.k)
}

// highWall is the surface of the wall at the section's high end; empty when there is none.
func (s *section) highWall() calc.Surface {
	if e := s.parts[0].highEdgeAt(s.u, s.v0); e != nil && e.kind == "wall" {
		return e.surface
	}
	return ""
}

// place says where the section is cut.
func (s *section) place() string {
	q := s.d.toPlan(fallPt{s.u, s.v0})
	if s.d.direction() == calc.FallOut {
		return s.d.say("Section at %s from the left", typeset(q.x-s.d.min.x))
	}
	return s.d.say("Section %s out from the house", typeset(q.y-s.d.min.y))
}

// look says which way one looks.
func (s *section) look() string {
	switch s.d.direction() {
	case calc.FallRight:
		return s.d.in("looking at the house")
	case calc.FallLeft:
		return s.d.in("looking away from the house")
	}
	return s.d.in("looking along the house")
}

// desc says the section in words.
func (s *section) desc() string {
	var b strings.Builder
	b.WriteString(s.d.say("%s, %s. The ceiling falls %s per foot.", s.place(), s.look(), typeset(s.d.plan.FallPerFoot)))
	for _, q := range s.parts {
		end := q.hi - s.d.prof.GutterGap
		b.WriteString(" " + s.d.say("Zone %s: furring %s at the high end, %s at the low end, %s on.", q.name,
			typeset(s.d.thickness(q.zone, fallPt{s.u, q.lo})), typeset(s.d.thickness(q.zone, fallPt{s.u, end})), typeset(end-q.lo)))
	}
	return b.String()
}

// lumber draws a piece of lumber cut across between two stations and two heights.
func (s *section) lumber(v0, v1, h0, h1 float64, pen draw.Pen) {
	s.dr.Lumber(around([]draw.Point{s.point(v0, h0), s.point(v1, h1)}), pen)
}

// trueSection draws A: ground, wall, frame, ceiling and heights, in true proportions.
func (s *section) trueSection() {
	s.placer = draw.Placer{Bounds: draw.Box{X0: s.room.lo, Y0: s.point(0, s.top).Y - 14, X1: s.room.hi, Y1: s.groundY}}
	s.groundLine()
	s.wallCut()
	s.frame()
	for _, b := range s.d.input.Beams {
		s.beam(b)
	}
	for _, q := range s.parts {
		s.ceiling(q)
	}
	s.heights()
}

func (s *section) groundLine() {
	a, b := s.point(s.v0, s.ground(s.v0)), s.point(s.v1, s.ground(s.v1))
	slope := (b.Y - a.Y) / (b.X - a.X)
	y := func(x float64) float64 { return a.Y + (x-a.X)*slope }
	s.dr.Line(pt(a.X-14, y(a.X-14)), pt(b.X+30, y(b.X+30)), draw.Style{Pen: draw.Cut})
	var earth [][]draw.Point
	for x := a.X - 8; x < b.X+29; x += 6 {
		earth = append(earth, []draw.Point{pt(x, y(x)), pt(x-5, y(x-5)+5)})
	}
	s.dr.Segments(earth, draw.Style{Pen: draw.Hair})
}

// wallCut draws the wall at the high end from the ground up, with its name turned beside it.
func (s *section) wallCut() {
	surface := s.highWall()
	if surface == "" {
		return
	}
	a := s.point(s.v0, s.ground(s.v0))
	top := s.point(0, s.top).Y - 8
	thick := wallInches * s.k
	wall{a: a, b: pt(a.X, top), normal: pt(-1, 0), thick: thick, surface: surface}.draw(s.dr)
	name := strings.ToUpper(s.d.say("%s wall", s.d.in(string(surface))))
	if draw.Measure(name, draw.MinText, false) < a.Y-top {
		s.placer.Take(s.dr.Text(draw.Text{At: pt(a.X-thick-3, (a.Y+top)/2), S: name, Anchor: draw.Middle, Up: true, Ink: draw.Dark}))
	}
}

// frame draws boards, joists, ledger and rim.
func (s *section) frame() {
	j := s.joist()
	a, b := s.point(s.v0, s.under(s.v0)), s.point(s.v1, s.under(s.v1))
	a1, b1 := s.point(s.v0, s.under(s.v0)+j), s.point(s.v1, s.under(s.v1)+j)
	s.dr.Polygon([]draw.Point{a1, b1, pt(b1.X, b1.Y-s.k), pt(a1.X, a1.Y-s.k)}, draw.Style{Pen: draw.Light, Fill: draw.Pale})
	s.dr.Polygon([]draw.Point{a, b, b1, a1}, draw.Style{Pen: draw.Light, Fill: draw.White})
	if s.d.joistsDownFall() {
		var grain [][]draw.Point
		for _, f := range []float64{.3, .62, .8} {
			grain = append(grain, []draw.Point{pt(a.X+8, a.Y+(a1.Y-a.Y)*f), pt(b.X-8, b.Y+(b1.Y-b.Y)*f)})
		}
		s.dr.Segments(grain, draw.Style{Pen: draw.Hair, Ink: draw.Grey})
	} else {
		for _, c := range s.d.joistLines() {
			v := s.d.toFall(planPt{c, c}).v
			if s.v0+1 < v && v < s.v1-1 {
				s.lumber(v-joistThick/2, v+joistThick/2, s.under(v), s.under(v)+j, draw.Light)
			}
		}
	}
	s.lumber(s.v0, s.v0+joistThick, s.under(s.v0), s.under(s.v0)+j, draw.Medium)
	s.lumber(s.v1-joistThick, s.v1, s.under(s.v1), s.under(s.v1)+j, draw.Medium)
}

// ceiling draws carriers and panels as one band, the strips and the gutter.
func (s *section) ceiling(q part) {
	d, cd := s.d, s.d.prof.CarrierDepth
	a, b := q.lo+q.Movement.Gap, q.hi-d.prof.GutterGap
	z := func(v float64) float64 { return d.ceiling(q.zone, v) }
	s.dr.Polygon([]draw.Point{s.point(a, z(a)), s.point(b, z(b)), s.point(b, z(b)-cd), s.point(a, z(a)-cd)}, draw.Style{Pen: draw.Medium, Fill: draw.Faint})
	half := d.prof.FurringWidth / 2
	for _, r := range q.rowsAt(s.u, q.span) {
		if r.Fasten != "joist" {
			s.dr.Rect(around([]draw.Point{s.point(r.Y-half, s.under(r.Y)), s.point(r.Y+half, z(r.Y))}), draw.Style{Fill: draw.Black})
		}
	}
	w := q.gutterWidth() * s.k
	c := s.point(q.hi, z(b)-cd)
	c.X += d.gutterOut(q.zone) * s.k
	s.dr.Polygon(draw.HalfRound(pt(c.X-w, c.Y+1), w), draw.Style{Pen: draw.Medium, Ink: draw.Water, Fill: draw.WaterPale})
	s.placer.Take(box(c.X-w, c.Y+1, w, w/2))
}

// numberedRow is a furring row with its number in the zone.
type numberedRow struct {
	calc.Row
	n int
}

// rowsAt are the rows that a cut at u crosses within a stretch.
func (z *zone) rowsAt(u float64, s span) []numberedRow {
	var out []numberedRow
	for i, r := range z.Furring {
		if r.X0-1e-6 <= u && u <= r.X1+1e-6 && s.lo <= r.Y && r.Y <= s.hi {
			out = append(out, numberedRow{r, i + 1})
		}
	}
	return out
}

// fitLine is the least-squares line through points, level at their mean when they spread less than a least width.
func fitLine(xs, ys []float64, least float64) func(float64) float64 {
	mx, my, sxx, sxy := 0.0, 0.0, 0.0, 0.0
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range xs {
		mx, my = mx+xs[i]/float64(len(xs)), my+ys[i]/float64(len(xs))
		lo, hi = min(lo, xs[i]), max(hi, xs[i])
	}
	for i := range xs {
		sxx, sxy = sxx+(xs[i]-mx)*(xs[i]-mx), sxy+(xs[i]-mx)*(ys[i]-my)
	}
	slope := 0.0
	if hi-lo >= least {
		slope = sxy / sxx
	}
	return func(x float64) float64 { return my + slope*(x-mx) }
}
