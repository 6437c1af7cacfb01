package report

import (
	"math"

	"undercroft/survey/report/draw"
)

// exaggerations are how many times the heights may be drawn in B, the largest first.
func exaggerations() []float64 { return []float64{12, 10, 8, 6, 5, 4, 3, 2, 1} }

// fallMark is a station of B with its figures.
type fallMark struct {
	x, yUp, yLow float64
	thick        float64 // furring above
	dist         string  // from the local high edge, with the row's name
	part         int
	end          bool // an end of its part, not a row
}

// fallView is B: heights e times the scale across, over the underside at the section's high end.
type fallView struct {
	*section
	e    float64
	yRef float64
	low  float64 // sheet y of what is deepest
}

func (f *fallView) at(v, h float64) draw.Point {
	return pt(f.x0+(v-f.v0)*f.k, f.yRef-(h-f.under(f.v0))*f.k*f.e)
}

// exaggerated draws B between two heights of the sheet and returns how many times the heights are drawn.
func (s *section) exaggerated(top, low float64) float64 {
	drop := 0.0
	for _, q := range s.parts {
		drop = max(drop, s.under(s.v0)-s.d.finished(q.zone, q.hi))
	}
	rise := max(0, s.under(s.v1)-s.under(s.v0))
	room := max(low-top-84, 20)
	f := &fallView{section: s}
	for _, e := range exaggerations() {
		f.e = e
		if (drop+rise)*s.k*e <= room {
			break
		}
	}
	f.yRef = top + 50 + rise*s.k*f.e
	f.low = f.yRef + (drop+.35)*s.k*f.e
	f.underside()
	var marks []fallMark
	for i, q := range s.parts {
		marks = append(marks, f.part(i, q)...)
	}
	f.beams()
	f.figures(marks)
	return f.e
}

// underside draws the joists' underside, the joist above it broken off, and the wall.
func (f *fallView) underside() {
	a, b := f.at(f.v0, f.under(f.v0)), f.at(f.v1, f.under(f.v1))
	f.dr.Polygon([]draw.Point{a, b, pt(b.X, b.Y-9), pt(a.X, a.Y-9)}, draw.Style{Fill: draw.Pale})
	f.dr.Line(a, b, draw.Style{Pen: draw.Heavy})
	if b.X-a.X > 80 && math.Abs(b.Y-a.Y) < 12 {
		f.dr.Text(draw.Text{At: pt(a.X+3, a.Y-2.4+min(0, (b.Y-a.Y)*70/(b.X-a.X))), S: f.d.in("underside of joists"), Ink: draw.Dark})
	}
	if surface := f.highWall(); surface != "" {
		wall{a: pt(a.X, f.low), b: pt(a.X, a.Y-12), normal: pt(-1, 0), thick: wallInches * f.k, surface: surface}.draw(f.dr)
	}
}

// part draws one stretch of ceiling and returns its stations.
func (f *fallView) part(i int, q part) []fallMark {
	d, cd, rib := f.d, f.d.prof.CarrierDepth, f.d.prof.PanelRib
	z := func(v float64) float64 { return d.ceiling(q.zone, v) }
	a, end := q.lo+q.Movement.Gap, q.hi-d.prof.GutterGap
	f.dr.Polygon([]draw.Point{f.at(a, z(a)), f.at(end, z(end)), f.at(end, z(end)-cd), f.at(a, z(a)-cd)}, draw.Style{Pen: draw.Medium, Fill: draw.Faint})
	f.dr.Line(f.at(a, z(a)-cd+rib), f.at(end, z(end)-cd+rib), draw.Style{Pen: draw.Hair, Ink: draw.Dark, Dash: []float64{4, 2}})
	in := q.lo + d.prof.ChannelPocket
	f.dr.Polyline([]draw.Point{f.at(in, z(in)-cd+rib), f.at(q.lo, z(q.lo)-cd+rib), f.at(q.lo, z(q.lo)-cd), f.at(in, z(in)-cd)}, draw.Style{Pen: draw.Strong})
	mark := func(v float64, dist string, isEnd bool) fallMark {
		return fallMark{x: f.at(v, 0).X, yUp: f.at(v, f.under(v)).Y, yLow: f.at(v, z(v)-cd).Y, thick: f.under(v) - z(v), dist: dist, part: i, end: isEnd}
	}
	marks := []fallMark{mark(q.lo, "0", true)}
	half := d.prof.FurringWidth / 2
	for _, r := range q.rowsAt(f.u, q.span) {
		if r.Fasten != "joist" {
			strip := around([]draw.Point{f.at(r.Y-half, f.under(r.Y)), f.at(r.Y+half, z(r.Y))})
			f.dr.Rect(strip, draw.Style{Pen: draw.Light, Fill: draw.White})
			f.dr.Hatch(strip.Corners(), 2.2, draw.Falling, draw.Style{Pen: draw.Hair})
		}
		marks = append(marks, mark(r.Y, "R"+itoa(r.n)+" "+typeset(r.Y-q.lo), false))
	}
	if last := marks[len(marks)-1]; last.end || f.at(end, 0).X-last.x >= 24 {
		marks = append(marks, mark(end, typeset(end-q.lo), true))
	}
	f.slope(q, z)
	c, w := f.at(q.hi, z(end)-cd), q.gutterWidth()*f.k
	f.dr.Polygon(draw.HalfRound(pt(c.X-w+d.gutterOut(q.zone)*f.k, c.Y+2), w), draw.Style{Pen: draw.Light, Ink: draw.Water, Fill: draw.WaterPale})
	return marks
}

// slope writes the fall into a wide part, with an arrow of the drawn slope.
func (f *fallView) slope(q part, z func(float64) float64) {
	if q.length()*f.k < 150 {
		return
	}
	c := f.at((q.lo+q.hi)/2, z((q.lo+q.hi)/2)-f.d.prof.CarrierDepth/2)
	txt := f.d.say("%s per ft", typeset(f.d.plan.FallPerFoot))
	f.dr.Text(draw.Text{At: pt(c.X-24, c.Y+2.5), S: txt, Bold: true, Anchor: draw.Middle, Ink: draw.Water, Halo: true})
	f.dr.Arrow(pt(c.X+4, c.Y+2), pt(c.X+34, c.Y+2+30*f.d.plan.FallPerFoot/12*f.e), 7, draw.Style{Pen: draw.Medium, Ink: draw.Water})
}

// beams draws the dropped beams, broken off below.
func (f *fallView) beams() {
	for _, b := range f.d.input.Beams {
		r, ok := f.across(b)
		if !ok {
			continue
		}
		p, x1 := f.at(r.lo, f.under(r.lo)), f.at(r.hi, 0).X
		low := min(f.low, p.Y+float64(b.Drop)*f.k*f.e)
		pts := []draw.Point{p, pt(x1, p.Y), pt(x1, low), pt(p.X, low)}
		drawBeam(f.dr, pts)
		f.dr.Polyline([]draw.Point{pts[3], pts[0], pts[1], pts[2]}, draw.Style{Pen: draw.Medium})
		if low < f.low {
			f.dr.Line(pts[3], pts[2], draw.Style{Pen: draw.Medium})
		} else {
			f.dr.BreakAcross(low, p.X, x1)
		}
	}
}

// figures writes the furring above and the drop to the finished ceiling with the distance below, spread so that none touch. Where
// they do not all fit, rows between the ends give way; the furring schedule has them.
func (f *fallView) figures(marks []fallMark) {
	ty, by := math.Inf(1), f.low
	for _, m := range marks {
		ty, by = min(ty, m.yUp-15), max(by, m.yLow)
	}
	by += 17
	if f.phone {
		f.phoneFigures(marks, ty, by)
		return
	}
	cd := f.d.prof.CarrierDepth
	marks, at := f.fit(marks, func(m fallMark) float64 {
		return max(draw.Measure(typeset(m.thick+cd), 7.5, true)+7, draw.Measure(m.dist, draw.MinText, false)+5)
	})
	first := math.Inf(1)
	hair := draw.Style{Pen: draw.Hair, Ink: draw.Dark}
	for i, m := range marks {
		x := at[i]
		f.dr.Line(pt(x, ty+2), pt(m.x, m.yUp), hair)
		f.dr.Line(pt(m.x, m.yLow), pt(x, by-7), hair)
		for _, t := range []draw.Text{{At: pt(x, ty), S: typeset(m.thick), Size: 7.5, Bold: true}, {At: pt(x, by), S: typeset(m.thick + cd), Size: 7.5, Bold: true},
			{At: pt(x, by+9.5), S: m.dist, Ink: draw.Dark}} {
			t.Anchor = draw.Middle
			first = min(first, f.dr.Text(t).X0)
		}
	}
	first = min(first, f.x0-wallInches*f.k) - 6
	for _, t := range []draw.Text{{At: pt(first, ty), S: f.d.in("furring")}, {At: pt(first, by), S: f.d.in("to finish")}, {At: pt(first, by+9.5), S: f.d.in("from edge")}} {
		t.Anchor, t.Ink = draw.End, draw.Dark
		f.dr.Text(t)
	}
}

// phoneFigures marks the stations by name alone and lists their figures under the drawing.
func (f *fallView) phoneFigures(marks []fallMark, ty, by float64) {
	marks, at := f.fit(marks, func(fallMark) float64 { return 16 })
	hair := draw.Style{Pen: draw.Hair, Ink: draw.Dark}
	for i, x := range at {
		f.dr.Line(pt(marks[i].x, marks[i].yLow), pt(x, by-7), hair)
		f.dr.Text(draw.Text{At: pt(x, by), S: itoa(i + 1), Bold: true, Anchor: draw.Middle})
	}
	x, y := f.room.lo, by+42
	cols := []float64{0, 24, 150, 195}
	for i, t := range []string{"", f.d.in("Station"), f.d.in("Furring"), f.d.in("To finish")} {
		head(f.dr, x+cols[i], y, t, draw.MinText)
	}
	for i, m := range marks {
		y += 10
		where := m.dist
		if m.end {
			where = map[bool]string{true: f.d.say("high edge, zone %s", f.parts[m.part].name), false: f.d.say("panel end, zone %s", f.parts[m.part].name)}[m.dist == "0"]
		}
		head(f.dr, x, y, itoa(i+1), draw.MinText)
		write(f.dr, x+cols[1], y, where)
		head(f.dr, x+cols[2], y, typeset(m.thick), draw.MinText)
		head(f.dr, x+cols[3], y, typeset(m.thick+f.d.prof.CarrierDepth), draw.MinText)
	}
	f.titleY = by + 16
}

// margin is the room left of the figures for what they are.
func (f *fallView) margin() float64 {
	if f.phone {
		return 0
	}
	return 40
}

// leftNote says how many figures A and B had no room for.
func (s *section) leftNote() string {
	if s.left == 0 {
		return ""
	}
	note := "; " + s.d.say("%s left out for want of room", s.d.count(s.left, "figure", "figures"))
	if s.phone {
		return note
	}
	return note + ", " + s.d.in("see the furring schedule")
}

// fit spreads the stations' figures over the room, leaving out rows from the middle of the parts while they are too wide together.
func (f *fallView) fit(marks []fallMark, size func(fallMark) float64) ([]fallMark, []float64) {
	lo, hi := f.room.lo+f.margin(), f.room.hi
	for {
		var want, sizes []float64
		total := 0.0
		for _, m := range marks {
			want, sizes = append(want, m.x), append(sizes, size(m))
			total += size(m)
		}
		n := len(marks)
		if n < 3 || total <= hi-lo {
			return marks, clampSpread(draw.Spread(want, sizes), sizes, lo, hi)
		}
		drop := n / 2
		for i := range marks { // the row nearest to the middle of the list goes first
			if d := (i + n/2) % n; !marks[d].end {
				drop = d
				break
			}
		}
		marks = append(append([]fallMark{}, marks[:drop]...), marks[drop+1:]...)
		f.left++
	}
}

// clampSpread pushes spread items into a room that holds them all, keeping them apart.
func clampSpread(at, sizes []float64, lo, hi float64) []float64 {
	for i := len(at) - 1; i >= 0; i-- {
		at[i] = min(at[i], hi-sizes[i]/2)
		hi = at[i] - sizes[i]/2
	}
	for i := range at {
		at[i] = max(at[i], lo+sizes[i]/2)
		lo = at[i] + sizes[i]/2
	}
	return at
}
