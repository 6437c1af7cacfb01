package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/survey/report/draw"
)

const (
	runCellW  = 362.0
	runTop    = 46.0
	runLineW  = 256.0 // longest run as drawn
	runRoom   = 38.0  // points for what the drops differ by
	runHeadH  = 32.0  // heading of a cell
	runSpacer = 8.0   // between rows of cells
)

// elevation is one side seen facing it: p at the left end of the drawing, q at the right.
type elevation struct {
	zone *zone
	edge
	p, q  fallPt
	dropP float64 // underside of the joists to the underside of the channel, or to the panel ends over a gutter
	dropQ float64
}

// run is the side's length in plan.
func (e elevation) long() float64 { return math.Hypot(e.p.u-e.q.u, e.p.v-e.q.v) }

// elevations are the sides of all zones: high edge, left, right, then gutters.
func (d *deck) elevations() []elevation {
	order := map[string]int{edgeHigh: 0, edgeLeft: 1, edgeRight: 2, edgeLow: 3}
	var out []elevation
	for _, z := range d.liveZones() {
		edges := slices.Clone(z.edges)
		slices.SortStableFunc(edges, func(a, b edge) int {
			return cmp.Or(cmp.Compare(order[a.class], order[b.class]), cmp.Compare(min(a.a.v, a.b.v), min(b.a.v, b.b.v)), cmp.Compare(min(a.a.u, a.b.u), min(b.a.u, b.b.u)))
		})
		for _, e := range edges {
			out = append(out, d.elevation(z, e))
		}
	}
	return out
}

// elevation turns an edge as one sees it: the high edge from its left, right sides from their high end, left sides and gutters, which
// one faces the other way, from the other end.
func (d *deck) elevation(z *zone, e edge) elevation {
	p, q := e.a, e.b
	along := p.u > q.u
	if e.class == edgeLeft || e.class == edgeRight {
		along = p.v > q.v
	}
	if along != (e.class == edgeLeft || e.class == edgeLow) {
		p, q = q, p
	}
	v := elevation{zone: z, edge: e, p: p, q: q}
	drop := func(f fallPt) float64 {
		if e.class == edgeLow {
			f.v -= d.prof.GutterGap
		}
		return d.thickness(z, f) + d.prof.CarrierDepth
	}
	v.dropP, v.dropQ = drop(p), drop(q)
	return v
}

// reach is the height that a side takes below the underside's highest place, in inches.
func (d *deck) reach(e elevation) float64 {
	hp, hq := d.underside(e.p), d.underside(e.q)
	low := min(hp-e.dropP, hq-e.dropQ)
	if e.class == edgeLow {
		low -= d.gutterRun(e)
	}
	return max(hp, hq) - low
}

// gutterRun is how much a gutter falls from end to end.
func (d *deck) gutterRun(e elevation) float64 { return e.long() / 12 * d.prof.GutterFall }

// channelSheets draw each straight side of each zone as seen facing it from below: the underside of the joists, the channel or the
// gutter, and what to mark at both ends.
func (d *deck) channelSheets() []*sheet {
	all := d.elevations()
	if len(all) == 0 {
		return nil
	}
	longest, deepest := 1.0, 0.1
	for _, e := range all {
		longest, deepest = max(longest, e.long()), max(deepest, d.reach(e))
	}
	sc := pickScale(longest, 1, runLineW, math.Inf(1), 2.25)
	times := 1.0
	for _, t := range []float64{16, 12, 10, 8, 6, 4, 2, 1} {
		if times = t; deepest*sc.k*t <= runRoom {
			break
		}
	}
	var out []*sheet
	y := bottom
	for i := 0; i < len(all); i += 2 {
		pair := all[i:min(i+2, len(all))]
		high := 0.0
		for _, e := range pair {
			high = max(high, d.cellHeight(e, sc.k*times))
		}
		if y+high > bottom-4 {
			out = append(out, d.channelSheet(sc, times))
			y = runTop
		}
		for j, e := range pair {
			d.drawElevation(out[len(out)-1].Drawing, e, pt(marginX+float64(j)*runCellW, y), sc.k, times, i+j+1)
		}
		y += high + runSpacer
	}
	return out
}

// cellHeight is the room that a side takes on the sheet, its heading and figures included.
func (d *deck) cellHeight(e elevation, k float64) float64 {
	h := runHeadH + 4 + d.reach(e)*k + 10
	if e.class == edgeLow {
		h += 9 + 18
	}
	return h
}

// level says what heights are over.
func (d *deck) level() string {
	if len(d.input.Clearances) > 0 {
		return d.in("height over the level datum")
	}
	return d.in("height over ground")
}

func (d *deck) channelSheet(sc scale, times float64) *sheet {
	s := newSheet(d.in("Channel and gutter elevations"), d.in("Each side of the ceiling seen facing it from below, with the drop under the joists to mark at both ends."))
	s.scale = d.say("Along %s; heights %.0f times that", sc, times)
	head(s.Drawing, marginX, 20, d.in("CHANNEL AND GUTTER, SEEN FROM UNDER THE CEILING FACING EACH SIDE"), 9.5)
	text := d.in("Mark the underside of the channel at both ends and snap between. Bold: below the joists.")
	if d.hasHeights {
		text += " " + d.say("Under it: %s.", d.level())
	}
	write(s.Drawing, marginX, 31, text+" "+d.say("Drops drawn %.0f times.", times))
	return s
}

// elevationView is an elevation on the sheet: k points per inch along, kv down, x0 and top the left end of the underside.
type elevationView struct {
	*deck
	elevation
	dr      *draw.Drawing
	k, kv   float64
	x0, top float64
	cell    draw.Point
}

// at is the place on the sheet of a drop below the joists at the left (0) or right (1) end.
func (v *elevationView) at(f, drop float64) draw.Point {
	h := v.underside(v.p)*(1-f) + v.underside(v.q)*f
	high := max(v.underside(v.p), v.underside(v.q))
	return pt(v.x0+f*v.long()*v.k, v.top+(high-h+drop)*v.kv)
}

func (d *deck) drawElevation(dr *draw.Drawing, e elevation, c draw.Point, k, times float64, n int) {
	v := &elevationView{deck: d, elevation: e, dr: dr, k: k, kv: k * times, cell: c}
	v.x0, v.top = c.X+(runCellW-12-e.long()*k)/2, c.Y+runHeadH+4
	if e.class == edgeLow {
		v.top += 9
	}
	v.heading(n)
	a, b := v.at(0, 0), v.at(1, 0)
	dr.Polygon([]draw.Point{a, b, pt(b.X, b.Y-6), pt(a.X, a.Y-6)}, draw.Style{Fill: draw.Pale})
	dr.Line(a, b, draw.Style{Pen: draw.Heavy})
	if e.class == edgeLow {
		v.gutterLine()
	} else {
		v.channelLine()
	}
	v.endFigures()
}

// heading writes the side's number, name and facts.
func (v *elevationView) heading(n int) {
	what := map[string]string{"wall": v.say("%s wall", v.in(string(v.surface))), "rim": v.in("rim"), "beam": v.in("beam")}[v.kind]
	side := map[string]string{edgeHigh: v.in("high edge"), edgeLeft: v.in("left side"), edgeRight: v.in("right side"), edgeLow: v.in("gutter")}[v.class]
	v.dr.Circle(pt(v.cell.X+7, v.cell.Y+8), 7, draw.Style{Pen: draw.Light})
	v.dr.Text(draw.Text{At: pt(v.cell.X+7, v.cell.Y+10.6), S: itoa(n), Bold: true, Anchor: draw.Middle})
	head(v.dr, v.cell.X+19, v.cell.Y+8, v.title(v.zone)+" "+strings.ToUpper(side)+", "+what, 8)
	line := func(y float64, s string) {
		write(v.dr, v.cell.X+19, v.cell.Y+y, draw.Fit(s, runCellW-30, draw.MinText, false))
	}
	if v.class == edgeLow {
		line(17.5, v.gutterFacts())
		line(26.5, v.lipText())
		return
	}
	text := v.say("channel %s, %s", down(v.run.Length), v.count(v.run.Screws, "screw", "screws"))
	if b := v.run.Backer; b != nil {
		text += "; " + v.say("backer %s, ripped to %s at its thickest, %s", typeset(b.Length), typeset(b.Thickest), v.count(b.Screws, "screw", "screws"))
	}
	line(17.5, text)
}

func (v *elevationView) gutterFacts() string {
	size := orElse(v.in(v.gutter.Size), v.gutterText(v.zone))
	text := fmt.Sprintf("%s, %.1f gpm; %s", size, v.gutter.FlowGPM, v.count(v.gutter.Downspouts, "outlet", "outlets"))
	if out, ok := v.outlet(); ok {
		text += ", " + v.side(out)
	}
	return text
}

// outlet is the end at which this gutter drains; false while it is not settled, or when there are several.
func (v *elevationView) outlet() (outlet, bool) {
	out, ok := v.job.Outlets[v.zone.ID]
	return out, ok && v.gutter.Downspouts < 2
}

// lip is the height of the gutter's high end: its lip stands under the lowest panel end.
func (v *elevationView) lip() float64 {
	return min(v.underside(v.p)-v.dropP, v.underside(v.q)-v.dropQ)
}

func (v *elevationView) lipText() string {
	fall := v.gutterRun(v.elevation)
	if _, ok := v.outlet(); !ok {
		return v.say("Place of the outlets not settled: lip drawn level; it must fall %s per ft to each", typeset(v.prof.GutterFall))
	}
	if !v.hasHeights {
		return v.say("The lip falls %s to the outlet", typeset(fall))
	}
	return v.say("Lip: high end %s, outlet %s; %s", typeset(v.lip()), typeset(v.lip()-fall), v.level())
}

// gutterLine draws the panel ends dashed and the gutter under the lowest, falling to its outlet.
func (v *elevationView) gutterLine() {
	v.dr.Line(v.at(0, v.dropP), v.at(1, v.dropQ), draw.Style{Pen: draw.Light, Dash: []float64{4, 2}})
	high := max(v.underside(v.p), v.underside(v.q))
	y := func(fall float64) float64 { return v.top + (high-v.lip()+fall)*v.kv + 2 }
	fall := v.gutterRun(v.elevation)
	yp, yq := y(0), y(0)
	out, ok := v.outlet()
	x0, x1 := v.x0, v.x0+v.long()*v.k
	if ok && out == outletRight { // facing out, the right end stands at the left
		yp = y(fall)
	} else if ok {
		yq = y(fall)
	}
	v.dr.Polygon([]draw.Point{pt(x0, yp), pt(x1, yq), pt(x1, yq+6), pt(x0, yp+6)}, draw.Style{Pen: draw.Medium, Ink: draw.Water, Fill: draw.WaterPale})
	if !ok {
		return
	}
	x, foot := x1-6, yq
	if out == outletRight {
		x, foot = x0+6, yp
	}
	v.dr.Arrow(pt(x, foot+6), pt(x, foot+16), 6, draw.Style{Pen: draw.Medium, Ink: draw.Water})
}

// channelLine draws the channel with its screws.
func (v *elevationView) channelLine() {
	rib := v.prof.PanelRib
	a, b := v.at(0, v.dropP), v.at(1, v.dropQ)
	v.dr.Polygon([]draw.Point{v.at(0, v.dropP-rib), v.at(1, v.dropQ-rib), b, a}, draw.Style{Pen: draw.Thin, Fill: draw.Faint})
	v.dr.Line(a, b, draw.Style{Pen: draw.Cut})
	step := v.prof.ScrewSpacing / max(v.long(), 1)
	for i := range v.run.Screws {
		f := min(1, float64(i)*step)
		v.dr.Circle(v.at(f, v.dropP+(v.dropQ-v.dropP)*f-rib/2), .7, draw.Style{Fill: draw.Black})
	}
}

// endFigures writes what each end is, its drop and, where heights were taken, its height.
func (v *elevationView) endFigures() {
	names := map[string][2]string{edgeHigh: {v.in("left"), v.in("right")}, edgeLow: {v.in("right"), v.in("left")}, edgeLeft: {v.in("low end"), v.in("high end")}, edgeRight: {v.in("high end"), v.in("low end")}}[v.class]
	ends := []struct {
		f      float64
		p      fallPt
		drop   float64
		anchor draw.Anchor
		out    float64
	}{{0, v.p, v.dropP, draw.End, -5}, {1, v.q, v.dropQ, draw.Start, 5}}
	for i, e := range ends {
		c := v.at(e.f, e.drop)
		v.dr.Line(pt(c.X+e.out/5, c.Y), pt(c.X+e.out, c.Y), draw.Style{Pen: draw.Thin})
		v.dr.Text(draw.Text{At: pt(c.X+e.out, c.Y-1.5), S: typeset(e.drop), Size: 7.5, Bold: true, Anchor: e.anchor})
		if v.hasHeights {
			v.dr.Text(draw.Text{At: pt(c.X+e.out, c.Y+7.5), S: typeset(v.underside(e.p) - e.drop), Anchor: e.anchor})
		}
		top := v.at(e.f, 0).Y
		v.dr.Text(draw.Text{At: pt(c.X+e.out, min(top-1, c.Y-10)), S: names[i], Anchor: e.anchor, Ink: draw.Dark})
	}
}
