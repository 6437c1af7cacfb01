package report

import (
	"math"

	"undercroft/survey/report/draw"
)

// detail is the last ten inches of the ceiling at one end of the section, the joist broken off above.
type detail struct {
	*section
	part
	v     float64 // the framing's edge
	high  bool
	k     float64
	x     float64 // sheet x of the framing's edge
	y     float64 // sheet y of the joists' underside
	edge  float64 // sheet x where the drawing is broken off
	vEdge float64
	low   float64 // sheet y of the panels' deepest underside
	flags []callout
}

// callout is a numbered leader; its words stand in a list below.
type callout struct {
	at   draw.Point
	dx   float64
	dy   float64
	text string
}

const (
	detailX  = sectionLeft + 18
	joistCut = 32.0 // points of the joist drawn over its underside
)

// details draws C and D and returns their scale: 3″, or the largest at which what they show has room.
func (s *section) details() scale {
	first, low := s.parts[0], s.parts[0] // D is the low end of the first ceiling
	all := scales()[1:]
	sc := all[len(all)-1]
	for i := len(all) - 1; i >= 0; i-- {
		if s.detailFits(first, first.lo, all[i].k, 0) && s.detailFits(low, low.hi, all[i].k, low.gutterWidth()/2) {
			sc = all[i]
		}
	}
	high := s.d.in("High end at the rim")
	if s.highWall() != "" {
		high = s.d.in("High end at the wall")
	}
	s.highDetail(first, sc, high)
	at := low.lowKind(s.u)
	s.lowDetail(low, sc, at == "beam", map[string]string{"rim": s.d.in("Low end at the rim"), "wall": s.d.in("Low end at the wall"), "beam": s.d.in("Low end at the beam")}[at])
	return sc
}

// detailFits tells whether the ceiling at v, and what hangs below it, has room in a detail at k points per inch.
func (s *section) detailFits(q part, v, k, below float64) bool {
	deep := 0.0
	for _, o := range []float64{-8, 0, 8} {
		deep = max(deep, (s.d.thickness(q.zone, fallPt{s.u, v + o})+s.d.prof.CarrierDepth)*k)
	}
	return deep <= 78 && deep+below*k <= 112 && s.d.gutterOut(q.zone)*k <= 60
}

// lowKind is what stands at a part's low end.
func (q part) lowKind(u float64) string {
	for _, e := range q.edges {
		if e.class == edgeLow && min(e.a.u, e.b.u) <= u && u <= max(e.a.u, e.b.u) {
			return e.kind
		}
	}
	return "rim"
}

// pointAt is the place on the sheet of a drop below the joists at v.
func (t *detail) pointAt(v, drop float64) draw.Point {
	return pt(t.x+(v-t.v)*t.k, t.y+drop*t.k)
}

func (t *detail) thick(v float64) float64 { return t.d.thickness(t.zone, fallPt{t.u, v}) }

// start draws joist, carrier, panel and strips between the framing and the break.
func (t *detail) start(a float64) {
	s, cd, rib := t.dr, t.d.prof.CarrierDepth, t.d.prof.PanelRib
	t.vEdge = t.v + (t.edge-t.x)/t.k
	s.Rect(around([]draw.Point{pt(t.x, t.y-joistCut), pt(t.edge, t.y)}), draw.Style{Fill: draw.Faint})
	s.Line(pt(t.x, t.y), pt(t.edge, t.y), draw.Style{Pen: draw.Heavy})
	word := draw.Text{At: pt(t.edge+6, t.y-joistCut+9), S: t.d.in("joist"), Ink: draw.Dark}
	if t.high {
		word.At.X, word.Anchor = t.edge-6, draw.End
	}
	s.Text(word)
	band := func(lo, hi float64) []draw.Point {
		p, q := t.pointAt(a, t.thick(a)), t.pointAt(t.vEdge, t.thick(t.vEdge))
		return []draw.Point{pt(p.X, p.Y+lo*t.k), pt(q.X, q.Y+lo*t.k), pt(q.X, q.Y+hi*t.k), pt(p.X, p.Y+hi*t.k)}
	}
	s.Polygon(band(0, cd), draw.Style{Pen: draw.Medium, Fill: draw.White})
	s.Hatch(band(cd-rib, cd), 4, draw.Falling, draw.Style{Pen: draw.Hair, Ink: draw.Grey})
	s.Polygon(band(cd-rib, cd), draw.Style{Pen: draw.Light})
	t.low = t.y + (max(t.thick(a), t.thick(t.vEdge))+cd)*t.k
	s.Break(t.edge, t.y-joistCut, t.low+.2*t.k)
	t.strips()
}

// strips draws the rows within the detail, cut across, with their screws.
func (t *detail) strips() {
	half := t.d.prof.FurringWidth / 2
	for _, r := range t.rowsAt(t.u, t.span) {
		if r.Fasten == "joist" || math.Abs(r.Y-t.v) >= math.Abs(t.vEdge-t.v)-1 {
			continue
		}
		q := []draw.Point{t.pointAt(r.Y-half, 0), t.pointAt(r.Y+half, 0), t.pointAt(r.Y+half, t.thick(r.Y+half)), t.pointAt(r.Y-half, t.thick(r.Y-half))}
		t.dr.Polygon(q, draw.Style{Pen: draw.Medium, Fill: draw.White})
		t.dr.Hatch(q, 3, draw.Falling, draw.Style{Pen: draw.Hair})
		if r.Dropped {
			continue
		}
		p := t.pointAt(r.Y, t.thick(r.Y))
		tip := max(t.pointAt(r.Y, t.thick(r.Y)-t.FurringScrew).Y, t.y-joistCut+2)
		t.dr.Line(p, pt(p.X, tip), draw.Style{Pen: draw.Medium})
		t.dr.Line(pt(p.X-2.5, p.Y), pt(p.X+2.5, p.Y), draw.Style{Pen: draw.Heavy})
	}
}

// highDetail draws C: ledger or rim, carrier and panel in the channel.
func (s *section) highDetail(q part, sc scale, title string) {
	p := s.d.prof
	t := &detail{section: s, part: q, v: q.lo, high: true, k: sc.k, x: detailX + 32, y: 18 + joistCut + 8, edge: frameW - 10}
	a := q.lo + q.Movement.Gap
	t.start(a)
	surface := s.highWall()
	if surface != "" {
		wall{a: pt(t.x, t.low+22), b: pt(t.x, t.y-joistCut), normal: pt(-1, 0), thick: 24, surface: surface}.draw(s.dr)
	}
	s.dr.Lumber(box(t.x, t.y-joistCut, joistThick*t.k, joistCut), draw.Medium)
	c0, c1 := t.pointAt(a, t.thick(a)+p.CarrierDepth-p.PanelRib).Y-1, t.pointAt(a, t.thick(a)+p.CarrierDepth).Y+1.4
	in, mid := t.pointAt(q.lo+p.ChannelPocket, 0).X, (c0+c1)/2
	s.dr.Polyline([]draw.Point{pt(in, c0), pt(t.x+1.4, c0), pt(t.x+1.4, c1), pt(in, c1)}, draw.Style{Pen: draw.Cut})
	s.dr.Line(pt(t.x-14, mid), pt(t.x+1, mid), draw.Style{Pen: draw.Medium})
	s.dr.Line(pt(t.x+2.5, mid-2.5), pt(t.x+2.5, mid+2.5), draw.Style{Pen: draw.Heavy})
	ledger := s.d.in("rim joist")
	if surface != "" {
		ledger = s.d.in("ledger: not surveyed, check")
	}
	at := func(in, drop float64) draw.Point { return t.pointAt(q.lo+in, t.thick(q.lo+in)+drop) }
	t.flags = []callout{{pt(t.x+.75*t.k, t.y-joistCut/2), 34, -4, ledger},
		{at(min(4, 80/t.k), .3), 20, -30, s.d.say("carrier %s × %s, under each seam", typeset(p.CarrierWidth), typeset(p.CarrierDepth))},
		{at(min(7, 130/t.k), p.CarrierDepth-.3), 14, 26, s.d.say("panel, rib %s, runs down the fall", typeset(p.PanelRib))},
		{pt(t.pointAt(q.lo+1, 0).X, c1), 30, 22, s.d.say("channel, pocket %s, a screw every %s", typeset(p.ChannelPocket), typeset(p.ScrewSpacing))},
		{pt(t.x+q.Movement.Gap/2*t.k+.8, c1-4), 8, 30, s.d.say("gap %s when set at %s F, for movement", up(q.Movement.Gap), trimmed(s.d.input.Temperature.Install))}}
	t.list(t.low+56, 226, "C", title, sc)
}

// lowDetail draws D: the last row, the panels' end and the gutter before the rim or beam.
func (s *section) lowDetail(q part, sc scale, beam bool, title string) {
	p, w := s.d.prof, q.gutterWidth()
	out := s.d.gutterOut(q.zone) * sc.k
	t := &detail{section: s, part: q, v: q.hi, k: sc.k, x: frameW - 68 - out, y: 250 + joistCut + 20, edge: detailX + 4}
	a := q.hi - p.GutterGap
	t.start(a)
	member := box(t.x-joistThick*t.k, t.y-joistCut, joistThick*t.k, joistCut)
	if beam {
		member = box(t.x, t.y, min(2.6*t.k, 56), max(t.low+34-t.y, 40))
	}
	s.dr.Lumber(member, draw.Medium)
	gy := t.pointAt(a, t.thick(a)+p.CarrierDepth).Y + 4
	s.dr.Polygon(draw.HalfRound(pt(t.x-w*t.k+out, gy), w*t.k), draw.Style{Pen: draw.Medium, Ink: draw.Water, Fill: draw.WaterPale})
	last := s.d.in("no strip: screw the carrier to the joist")
	for _, r := range q.rowsAt(s.u, q.span) {
		if r.Place == "last" && r.Dropped {
			last = s.d.say("last row, %s; dropped framing", typeset(r.Middle))
		} else if r.Place == "last" && r.Fasten == "strip" {
			last = s.d.say("last row, %s; screw %s", typeset(r.Middle), typeset(q.FurringScrew))
		}
	}
	lip := s.d.say("gutter %s, lip under the panel ends", s.d.gutterText(q.zone))
	if out > 0 {
		lip = s.d.say("gutter %s on the fascia; must reach under the panel ends", s.d.gutterText(q.zone))
	}
	up := t.pointAt(a-.4, t.thick(a)*.5)
	t.flags = []callout{{up, -34, t.y - up.Y - 16, last},
		{t.pointAt(a-5, t.thick(a-5)+1), -6, 34, s.d.say("carrier and panel stop %s short of the framing", typeset(p.GutterGap))},
		{pt(t.x-w*.75*t.k+out, gy+5), -20, 22, lip},
		{pt((member.X0+member.X1)/2, member.Y1-8), 22, 12, s.d.in("dropped beam")}}
	if !beam {
		t.flags[3].dx, t.flags[3].dy, t.flags[3].text = 24, -8, s.d.in("rim joist")
	}
	s.dr.Dims(draw.DimString{Side: draw.Top, At: t.y - joistCut - 6, Marks: []float64{t.pointAt(a, 0).X, t.x}, Labels: []string{typeset(p.GutterGap)},
		Ext: []float64{t.y - joistCut + 4}})
	t.list(max(gy+w*t.k/2, member.Y1)+18, bottom-17, "D", title, sc)
}

// list draws the flags, the words under the drawing and the title.
func (t *detail) list(y, titleY float64, mark, title string, sc scale) {
	for _, f := range t.flags {
		y = max(y, f.at.Y+f.dy+17)
	}
	y = min(y, titleY-14-9.4*float64(len(t.flags)-1))
	placer := draw.Placer{Bounds: draw.Box{X0: sectionLeft + 8, X1: frameW, Y1: bottom}}
	for i, f := range t.flags {
		var spots []draw.Point
		for _, o := range []float64{0, 14, 28, 42, -14, 56, -28, 70} {
			spots = append(spots, pt(f.at.X+f.dx+o, f.at.Y+f.dy))
		}
		c, ok := placer.Put(12, 12, spots)
		if !ok {
			c = spots[0]
		}
		t.dr.Line(f.at, c, draw.Style{Pen: draw.Thin})
		t.dr.Circle(f.at, 1.1, draw.Style{Fill: draw.Black})
		t.dr.Circle(c, 5.2, draw.Style{Pen: draw.Light, Fill: draw.White})
		t.dr.Text(draw.Text{At: pt(c.X, c.Y+2.5), S: itoa(i + 1), Bold: true, Anchor: draw.Middle})
		line := y + float64(i)*9.4
		head(t.dr, detailX, line, itoa(i+1), draw.MinText)
		write(t.dr, detailX+10, line, draw.Fit(f.text, frameW-detailX-14, draw.MinText, false))
	}
	drawingTitle(t.dr, pt(detailX-2, titleY), mark, title, t.d.say("Scale %s; joist broken off", sc))
}
