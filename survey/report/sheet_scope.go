package report

import (
	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// plainPlan draws the plan for whoever lives there: outline, house, ceiling, gutters, fixtures and the way of the water, with few words. nil when it
// cannot be drawn.
func (c *composer) plainPlan(size figureSize) *draw.Drawing {
	from := c.m.from
	d, err := newDeck(c.jobOf(from.record, from.ceiling, thingsOf(from.record, from.ceiling.Assembly, from.links)), from.ceiling.Input, *c.m.Plan)
	if err != nil {
		return nil
	}
	room := box(0, 0, deskW*.8, deskH*.75)
	if size == phone {
		room = box(0, 0, phoneW-2*figPad, phoneH)
	}
	k := min(maxPlanK, (room.W()-20)/(d.max.x-d.min.x), (room.H()-40)/(d.max.y-d.min.y))
	p := newPlanner(d, k, pt(0, 0), onPaper)
	p.plain = true
	p.beams()
	for _, z := range d.liveZones() {
		p.gutters(z)
		p.panelLines(z)
	}
	p.outline()
	p.fixtures()
	p.plainWords(c.voice)
	p.dr.Title = c.in("Plan of the ceiling")
	p.dr.Desc = c.say("The deck from above, house at the top, %s along the house and %s out from it. Water runs to the gutters.", typeset(d.max.x-d.min.x), typeset(d.max.y-d.min.y))
	p.dr.View = p.dr.Extent().Grow(figPad)
	return p.dr
}

// panelLines are the seams between the panels.
func (p *planner) panelLines(z *zone) {
	var lines [][]draw.Point
	for _, k := range z.Carriers {
		lines = append(lines, []draw.Point{p.q(fallPt{k.X, k.Y0}), p.q(fallPt{k.X, k.Y1})})
	}
	p.dr.Segments(lines, draw.Style{Pen: draw.Thin, Ink: draw.Grey})
}

// plainWords are the few words of the plan, each where it hides nothing else.
func (p *planner) plainWords(v voice) {
	b := p.deckBox()
	p.place.Bounds = b.Grow(40)
	label := func(text string, size float64, centers []draw.Point) {
		w := draw.Measure(text, size, false)
		if at, ok := p.place.Put(w+4, size+4, centers); ok {
			p.dr.Text(draw.Text{At: pt(at.X, at.Y+size*.36), S: text, Size: size, Anchor: draw.Middle, Halo: true})
		}
	}
	const size = 9.0
	for _, o := range p.d.cutOuts() {
		at := p.p(planPt{o.X, o.Y})
		label(p.d.name(o.Obstruction), size, []draw.Point{pt(at.X, at.Y+16), pt(at.X, at.Y-16), pt(at.X+40, at.Y), pt(at.X-40, at.Y), pt(at.X, at.Y+28)})
	}
	for _, z := range p.d.liveZones() {
		p.waterArrow(z, v, size)
	}
	for _, z := range p.d.liveZones() {
		for _, e := range z.edges {
			if e.class == edgeLow {
				a, c := p.q(e.a), p.q(e.b)
				var centers []draw.Point
				for _, f := range []float64{.75, .5, .3, .85} {
					x, y := a.X+(c.X-a.X)*f, a.Y+(c.Y-a.Y)*f
					up := p.way(0, -1)
					centers = append(centers, pt(x+up.X*18, y+up.Y*18), pt(x+up.X*26, y+up.Y*26))
				}
				label(v.in("gutter"), size, centers)
			}
		}
	}
	for i, e := range p.d.input.Edges {
		if e.Kind == calc.EdgeWall && p.d.outward(i).y < -.5 {
			a, c := p.p(p.d.outline[i]), p.p(p.d.outline[(i+1)%len(p.d.outline)])
			p.dr.Text(draw.Text{At: pt((a.X+c.X)/2, b.Y0-wallInches*p.k-4), S: v.in("house"), Size: size, Anchor: draw.Middle})
			break
		}
	}
	y := p.dr.Extent().Y1 + 13
	p.dr.Text(draw.Text{At: pt(b.X0, y), S: v.say("%s along the house", typeset(p.d.max.x-p.d.min.x)), Size: size})
	p.dr.Text(draw.Text{At: pt(b.X1, y), S: v.say("%s out", typeset(p.d.max.y-p.d.min.y)), Size: size, Anchor: draw.End})
}

// waterArrow shows in a zone which way the water runs, in its middle or beside it.
func (p *planner) waterArrow(z *zone, v voice, size float64) {
	long := min((z.YLow-z.YHigh)*.45, 60/p.k)
	for _, f := range []float64{.25, .7, .4, .1} {
		u := z.X0 + (z.X1-z.X0)*f
		v0 := (z.YHigh + z.YLow - long) / 2
		a, c := p.q(fallPt{u, v0}), p.q(fallPt{u, v0 + long})
		text := v.in("water runs this way")
		w := draw.Measure(text, size, false)
		room := around([]draw.Point{a, c, pt(a.X+w+10, a.Y), pt(a.X-5, a.Y-6), pt(a.X, a.Y+6)})
		if !p.place.Free(room) && f != .1 {
			continue
		}
		p.place.Take(room)
		p.dr.Line(a, c, draw.Style{Pen: 5, Ink: draw.White})
		p.dr.Arrow(a, c, 7, draw.Style{Pen: draw.Heavy})
		if long*p.k > 14 {
			p.dr.Text(draw.Text{At: pt(max(a.X, c.X)+8, (a.Y+c.Y)/2+size*.36), S: text, Size: size, Halo: true})
		}
		return
	}
}
