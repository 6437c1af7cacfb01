package report

import (
	"math"
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// rect is the box on the sheet of a rectangle in plan.
func (p *planner) rect(x0, y0, x1, y1 float64) draw.Box {
	return around([]draw.Point{p.p(planPt{x0, y0}), p.p(planPt{x1, y1})})
}

// joists draws pale bands 1 1/2 in wide, cut to the outline, and blanks where a header stops them.
func (p *planner) joists() {
	const half = .75
	alongY := p.d.input.Joists.Direction == "y"
	for _, c := range p.d.joistLines() {
		lo, hi := p.d.min.x, p.d.max.x
		if !alongY {
			lo, hi = p.d.min.y, p.d.max.y
		}
		c = min(max(c, lo+half), hi-half)
		for _, s := range clipLine(p.d.outline, c, alongY) {
			b := p.rect(s.lo, c-half, s.hi, c+half)
			if alongY {
				b = p.rect(c-half, s.lo, c+half, s.hi)
			}
			p.dr.Rect(b, draw.Style{Fill: draw.Pale})
			p.note(legendJoist)
		}
	}
	for _, g := range p.d.input.Joists.Gaps {
		p.dr.Rect(p.rect(float64(g.X0), float64(g.Y0), float64(g.X1), float64(g.Y1)), draw.Style{Pen: draw.Hair, Ink: draw.Dark, Fill: draw.White, Dash: []float64{5, 2}})
		p.note(legendGap)
	}
}

// clipLine are the stretches of the line x = c (or y = c) inside a ring.
func clipLine(ring []planPt, c float64, alongY bool) []span {
	var cuts []float64
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if !alongY {
			a, b = planPt{a.y, a.x}, planPt{b.y, b.x}
		}
		if (a.x > c) != (b.x > c) {
			cuts = append(cuts, a.y+(b.y-a.y)*(c-a.x)/(b.x-a.x))
		}
	}
	slices.Sort(cuts)
	var out []span
	for i := 0; i+1 < len(cuts); i += 2 {
		out = append(out, span{cuts[i], cuts[i+1]})
	}
	return out
}

// beams draws the dropped beams, cut to the deck, and the posts.
func (p *planner) beams() {
	d := p.d
	for _, b := range d.input.Beams {
		x0, x1 := max(float64(b.X0), d.min.x), min(float64(b.X1), d.max.x)
		y0, y1 := max(float64(b.Y0), d.min.y), min(float64(b.Y1), d.max.y)
		if x0 >= x1 || y0 >= y1 {
			continue
		}
		pts := p.rect(x0, y0, x1, y1).Corners()
		drawBeam(p.dr, pts)
		p.dr.Polygon(pts, draw.Style{Pen: draw.Medium})
		p.note(legendBeam)
	}
	for _, post := range d.job.Posts {
		x := min(max(post.X, d.min.x+post.WX/2), d.max.x-post.WX/2)
		b := p.rect(x-post.WX/2, post.Y-post.WY/2, x+post.WX/2, post.Y+post.WY/2)
		drawPost(p.dr, b)
		p.place.Take(b)
		p.note(legendPost)
	}
}

// gutters draws a band under the panel ends, its outer lip at the framing's edge, and the way of the water.
func (p *planner) gutters(z *zone) {
	for _, e := range z.edges {
		if e.class != edgeLow {
			continue
		}
		w := gutterWidth(e.gutter.Size)
		a, b := e.a, e.b
		if a.u > b.u {
			a, b = b, a
		}
		out := p.d.gutterOut(z)
		quad := []draw.Point{p.q(fallPt{a.u, a.v - w + out}), p.q(fallPt{b.u, b.v - w + out}), p.q(fallPt{b.u, b.v + out}), p.q(fallPt{a.u, a.v + out})}
		p.dr.Polygon(quad, draw.Style{Pen: draw.Thin, Ink: draw.Water, Fill: draw.WaterPale})
		p.dr.Line(quad[2], quad[3], draw.Style{Pen: draw.Heavy, Ink: draw.Water})
		p.place.Take(around(quad))
		p.note(legendGutter)
		if end, ok := p.d.job.Outlets[z.ID]; ok {
			shift := out / 2
			p.late = append(p.late, func() { p.flow(fallPt{a.u, a.v + shift}, fallPt{b.u, b.v + shift}, end) })
			p.note(legendDownspout)
		}
	}
}

// around is the least box round points.
func around(pts []draw.Point) draw.Box {
	b := draw.Box{X0: pts[0].X, Y0: pts[0].Y, X1: pts[0].X, Y1: pts[0].Y}
	for _, q := range pts {
		b = draw.Box{X0: min(b.X0, q.X), Y0: min(b.Y0, q.Y), X1: max(b.X1, q.X), Y1: max(b.Y1, q.Y)}
	}
	return b
}

// flow draws arrows in the gutter's gap and the downspout at its end; late, so that no strip hides them.
func (p *planner) flow(a, b fallPt, out outlet) {
	way := 1.0
	if out == outletLeft {
		way = -1
	}
	v := b.v - p.d.prof.GutterGap/2
	n := max(1, int((b.u-a.u)*p.k/100))
	half := min(9, (b.u-a.u)*p.k/4) / p.k
	for i := range n {
		u := a.u + (b.u-a.u)*(float64(i)+.5)/float64(n)
		p.dr.Arrow(p.q(fallPt{u - way*half, v}), p.q(fallPt{u + way*half, v}), 5.5, draw.Style{Pen: draw.Medium, Ink: draw.Water})
	}
	inset := min(14/p.k, (b.u-a.u)/4)
	u := b.u - inset
	if out == outletLeft {
		u = a.u + inset
	}
	drawDownspout(p.dr, p.q(fallPt{u, v}))
}

// drawDownspout draws a downspout in plan.
func drawDownspout(d *draw.Drawing, c draw.Point) {
	d.Circle(c, 4, draw.Style{Pen: draw.Heavy, Ink: draw.Water, Fill: draw.White})
	d.Circle(c, 1.3, draw.Style{Fill: draw.Water})
}

func (p *planner) carriers(z *zone) {
	var lines [][]draw.Point
	for _, c := range z.Carriers {
		lines = append(lines, []draw.Point{p.q(fallPt{c.X, c.Y0}), p.q(fallPt{c.X, c.Y1})})
		p.note(legendCarrier)
	}
	p.dr.Segments(lines, draw.Style{Pen: draw.Light})
}

// rows draws the furring: a white strip that cuts the carriers, dashed where there is none, grey where it is dropped framing.
func (p *planner) rows(z *zone) {
	half := p.d.prof.FurringWidth / 2
	for _, r := range z.Furring {
		quad := []draw.Point{p.q(fallPt{r.X0, r.Y - half}), p.q(fallPt{r.X1, r.Y - half}), p.q(fallPt{r.X1, r.Y + half}), p.q(fallPt{r.X0, r.Y + half})}
		middle := draw.Style{Pen: draw.Hair, Ink: draw.Dark}
		switch {
		case r.Fasten == "joist":
			p.dr.Polygon(quad, draw.Style{Pen: draw.Hair, Dash: []float64{3, 2}})
			p.note(legendNoStrip)
			continue
		case r.Dropped:
			p.dr.Polygon(quad, draw.Style{Pen: draw.Medium, Fill: draw.Grey})
			p.note(legendFraming)
		default:
			p.dr.Polygon(quad, draw.Style{Pen: draw.Thin, Fill: draw.White})
			p.note(legendRow)
		}
		p.dr.Line(p.q(fallPt{r.X0, r.Y}), p.q(fallPt{r.X1, r.Y}), middle)
	}
}

// channel draws the channel runs just inside the framing.
func (p *planner) channel(z *zone) {
	const in = .6
	for _, e := range z.edges {
		if e.class == edgeLow {
			continue
		}
		du, dv := 0.0, in
		switch e.class {
		case edgeLeft:
			du, dv = in, 0
		case edgeRight:
			du, dv = -in, 0
		}
		p.dr.Line(p.q(fallPt{e.a.u + du, e.a.v + dv}), p.q(fallPt{e.b.u + du, e.b.v + dv}), draw.Style{Pen: draw.Strong})
		p.note(legendChannel)
	}
}

// outline draws rims and walls, mitred where two walls meet, and the holes in the deck.
func (p *planner) outline() {
	n := len(p.d.outline)
	for i, e := range p.d.input.Edges {
		a, b := p.p(p.d.outline[i]), p.p(p.d.outline[(i+1)%n])
		if e.Kind != calc.EdgeWall {
			p.dr.Line(a, b, draw.Style{Pen: draw.Heavy})
			p.note(legendOpen)
			continue
		}
		w := wall{a: a, b: b, normal: p.dir(p.d.outward(i)), thick: wallInches * p.k, surface: e.Surface,
			endA: p.mitre(i, (i+n-1)%n, a), endB: p.mitre(i, (i+1)%n, b)}
		w.draw(p.dr)
		p.note(legendOfWall(e.Surface))
		if !p.plain {
			p.wallName(w)
		}
	}
	for _, hole := range p.d.input.Holes {
		var pts []draw.Point
		for _, c := range hole {
			pts = append(pts, p.p(at(c)))
		}
		p.dr.Polygon(pts, draw.Style{Pen: draw.Heavy, Fill: draw.White})
		p.dr.Cross(around(pts), draw.Style{Pen: draw.Hair})
		p.place.Take(around(pts))
		p.note(legendHole)
	}
}

// mitre is the outer corner that wall i shares with its neighbour j, nil when j is no wall or goes straight back.
func (p *planner) mitre(i, j int, corner draw.Point) *draw.Point {
	if p.d.input.Edges[j].Kind != calc.EdgeWall {
		return nil
	}
	a, b := p.d.outward(i), p.d.outward(j)
	dot := a.x*b.x + a.y*b.y
	if dot < -.9 {
		return nil
	}
	t, out := wallInches*p.k/(1+dot), p.dir(planPt{a.x + b.x, a.y + b.y})
	c := pt(corner.X+out.X*t, corner.Y+out.Y*t)
	return &c
}

// wallName writes the surface beside a wall, where it meets nothing and when the wall is long enough to carry it.
func (p *planner) wallName(w wall) {
	across := math.Abs(w.normal.Y) > .5
	t := draw.Text{S: strings.ToUpper(p.d.in(string(w.surface))), Anchor: draw.Middle, Up: !across, Ink: draw.Dark}
	if across {
		t.S = strings.ToUpper(p.d.say("%s wall", p.d.in(string(w.surface))))
	}
	long := draw.Measure(t.S, draw.MinText, false)
	for _, f := range []float64{.25, .5, .75, .35, .65} {
		c := w.at(w.length()*f, w.thick+7)
		t.At = pt(c.X+2.5, c.Y)
		room := draw.Centered(c, 8, long+4)
		if across {
			t.At, room = pt(c.X, c.Y+max(0, 5*w.normal.Y)), draw.Centered(c, long+4, 12)
		}
		if (long < w.length()*2*min(f, 1-f) || f == .5 && long < w.length()) && p.place.Free(room) {
			p.place.Take(p.dr.Text(t))
			return
		}
	}
	p.left[leftWallName]++
}

// openings break the house wall's band: jambs, head and, when it fits, the name and the head's height.
func (p *planner) openings() {
	y := p.d.min.y
	for _, o := range p.d.input.Openings {
		x0, x1 := float64(o.X0), float64(o.X1)
		b := p.rect(x0, y-wallInches, x1, y+.5/p.k)
		p.dr.Rect(b, draw.Style{Fill: draw.White})
		for _, x := range []float64{x0, x1} {
			p.dr.Line(p.p(planPt{x, y - wallInches}), p.p(planPt{x, y + .9/p.k}), draw.Style{Pen: draw.Heavy})
		}
		mid := y - wallInches/2
		p.dr.Segments([][]draw.Point{{p.p(planPt{x0, mid}), p.p(planPt{x1, mid})}, {p.p(planPt{x0, y}), p.p(planPt{x1, y})}}, draw.Style{Pen: draw.Hair})
		label := p.d.say("%s · HEAD %s", strings.ToUpper(p.d.name(o.ID)), o.Head.Typeset())
		c := p.p(planPt{(x0 + x1) / 2, mid})
		t := draw.Text{At: pt(c.X, c.Y+2.5), S: label, Anchor: draw.Middle, Halo: true}
		if p.upright {
			t.At, t.Up = pt(c.X+2.5, c.Y), true
		}
		if draw.Measure(label, draw.MinText, false) < (x1-x0)*p.k-4 && wallInches*p.k >= 8 {
			p.dr.Text(t)
		} else {
			p.left[leftOpening]++
		}
		p.note(legendOpening)
	}
}

// fixtures draws the holes of the panels with what they are for.
func (p *planner) fixtures() {
	for _, c := range p.d.cutOuts() {
		center := p.p(planPt{c.X, c.Y})
		hole := draw.Centered(center, c.WX*p.k+2, c.WY*p.k+2)
		w, h := float64(c.of.WX)*p.k, float64(c.of.WY)*p.k
		p.dr.Rect(hole, draw.Style{Pen: draw.Medium, Ink: draw.Alert, Fill: draw.White, Dash: []float64{2.4, 1.6}})
		if c.of.Through {
			p.dr.Rect(draw.Centered(center, w, h), draw.Style{Pen: draw.Medium, Fill: draw.Grey})
			p.note(legendThrough)
		} else {
			p.dr.Circle(center, min(w, h)/2, draw.Style{Pen: draw.Light})
			p.dr.Segments([][]draw.Point{{pt(center.X-w/2, center.Y), pt(center.X+w/2, center.Y)}, {pt(center.X, center.Y-h/2), pt(center.X, center.Y+h/2)}}, draw.Style{Pen: draw.Hair})
			p.note(legendFixture)
		}
		p.place.Take(hole)
	}
}

// farOff is how far outside the deck something may be pinned, in inches, and still be drawn.
const farOff = 18

// obstructions draws what hangs below the joists at its true size, hollow and dashed outside every zone. What is pinned far
// outside the deck would shrink the whole plan: it is counted instead.
func (p *planner) obstructions() {
	cut := map[string]bool{}
	for _, c := range p.d.cutOuts() {
		cut[c.Obstruction] = true
	}
	for _, o := range p.d.input.Obstructions {
		if cut[o.ID] {
			continue
		}
		q := planPt{float64(o.X), float64(o.Y)}
		if q.x < p.d.min.x-farOff || q.x > p.d.max.x+farOff || q.y < p.d.min.y-farOff || q.y > p.d.max.y+farOff {
			p.left[leftFar]++
			continue
		}
		b := draw.Centered(p.p(q), max(float64(o.WX)*p.k, 1.6), max(float64(o.WY)*p.k, 1.6))
		st := draw.Style{Pen: draw.Hair, Fill: draw.Grey}
		if p.d.zoneAt(p.d.toFall(q)) == nil {
			st = draw.Style{Pen: draw.Thin, Ink: draw.Dark, Fill: draw.White, Dash: []float64{2, 1.2}}
			p.note(legendOutside)
		} else {
			p.note(legendObstruction)
		}
		p.dr.Rect(b, st)
		p.place.Take(b.Grow(1))
	}
}
