package report

import (
	"math"
	"strconv"

	"undercroft/calc/length"
	"undercroft/survey/report/draw"
)

// notches marks every notch on its carrier and puts its number beside: along the carrier first, then diagonal, then across. Without a
// free place near by the number goes to the nearest free one farther off; it is left out, and counted, only where the whole plan has
// none.
func (p *planner) notches() {
	for _, k := range p.d.notches {
		car, ok := k.zone.carrier(k.Carrier)
		if !ok {
			continue
		}
		m := p.q(fallPt{car.X, car.Y0 + (k.From+k.To)/2})
		r := max(p.d.prof.CarrierWidth/2*p.k, 1.7)
		p.dr.Rect(draw.Centered(m, 2*r, 2*r), draw.Style{Fill: draw.Alert})
		sure := k.State == "expected"
		p.note(map[bool]legendKey{true: legendNotch, false: legendNotchMaybe}[sure])
		c, ok := p.notchSpot(m)
		if !ok {
			p.left[leftNotch]++
			continue
		}
		p.dr.Line(m, c, draw.Style{Pen: draw.Light, Ink: draw.Alert})
		p.late = append(p.late, func() { drawNotchNumber(p.dr, c, 6, strconv.Itoa(k.n), sure) })
	}
}

// notchSpot is the place of a notch's number: near places inside the deck, then rings of places farther and farther off.
func (p *planner) notchSpot(m draw.Point) (draw.Point, bool) {
	const side = 12.5
	var near, far []draw.Point
	ways := [][2]float64{{0, 1}, {0, -1}, {.7, .7}, {-.7, .7}, {.7, -.7}, {-.7, -.7}, {1, 0}, {-1, 0}}
	for _, reach := range []float64{14, 25, 36, 47} {
		for _, w := range ways {
			e := p.way(w[0], w[1])
			near = append(near, pt(m.X+e.X*reach, m.Y+e.Y*reach))
		}
	}
	for reach := 14.0; reach < 400; reach += 6 {
		for i := range 24 {
			a := 2 * math.Pi * float64(i) / 24
			far = append(far, pt(m.X+reach*math.Cos(a), m.Y+reach*math.Sin(a)))
		}
	}
	in := func(c draw.Point) bool { return p.inside(c, 6) }
	for _, spots := range [][]draw.Point{keep(near, in), keep(far, in), far} {
		if c, ok := p.place.Put(side, side, spots); ok {
			return c, true
		}
	}
	return draw.Point{}, false
}

// drawNotchNumber draws the disc of a notch: filled when it is expected, dashed when it is to be checked on site.
func drawNotchNumber(d *draw.Drawing, c draw.Point, r float64, number string, sure bool) {
	disc := draw.Style{Pen: draw.Medium, Ink: draw.Alert, Fill: draw.White, Dash: []float64{2, 1.2}}
	ink := draw.Black
	if sure {
		disc.Fill, disc.Dash, ink = draw.Alert, nil, draw.White
	}
	d.Circle(c, r, disc)
	d.Text(draw.Text{At: pt(c.X, c.Y+2.6), S: number, Bold: true, Anchor: draw.Middle, Ink: ink})
}

// zoneLabel says how many panels the zone has, the longest, and the fall in figures; its number alone where that has no room.
func (p *planner) zoneLabel(z *zone) {
	longest := 0.0
	for _, q := range z.Panels.Pieces {
		longest = max(longest, q.Length)
	}
	drop := p.d.plan.FallPerFoot / 12 * (z.YLow - z.YHigh)
	full := []string{p.d.say("%s: %s, longest %s", p.d.title(z), p.d.count(z.Panels.Count, "panel", "panels"), length.Inches(longest).Down16().Typeset()),
		p.d.say("falls %s in %s, %s per ft", typeset(drop), typeset(z.YLow-z.YHigh), typeset(p.d.plan.FallPerFoot))}
	if !p.phone() && p.putZone(z, full) {
		return
	}
	if !p.phone() {
		p.left[leftZone]++
	}
	if len(p.d.zones) > 1 {
		p.putZone(z, []string{p.d.say("Zone %s", z.name)})
	}
}

// putZone frames the lines in a free place well inside the deck; false when there is none.
func (p *planner) putZone(z *zone, lines []string) bool {
	const size, lead = 8.0, 10.0
	w := 10.0
	for i, t := range lines {
		w = max(w, draw.Measure(t, size, i == 0)+10)
	}
	h := 4 + lead*float64(len(lines))
	var in []draw.Point
	for _, fu := range []float64{.5, .42, .58, .35, .65, .7, .3} {
		for _, fv := range []float64{.62, .7, .55, .48, .78, .4, .3, .2, .88, .12} {
			c := p.q(fallPt{z.X0 + fu*(z.X1-z.X0), z.YHigh + fv*(z.YLow-z.YHigh)})
			if p.insideBox(c, w, h) {
				in = append(in, c)
			}
		}
	}
	c, ok := p.place.Put(w, h, in)
	if !ok {
		return false
	}
	p.late = append(p.late, func() {
		p.dr.Rect(draw.Centered(c, w, h), draw.Style{Pen: draw.Thin, Fill: draw.White})
		for i, t := range lines {
			p.dr.Text(draw.Text{At: pt(c.X, c.Y-h/2+lead*float64(i+1)), S: t, Size: size, Bold: i == 0, Anchor: draw.Middle})
		}
	})
	return true
}

// fixtureLabels names each cut-out, its size and its centre, beside it with a leader.
func (p *planner) fixtureLabels() {
	for _, o := range p.d.cutOuts() {
		c := p.p(planPt{o.X, o.Y})
		lines := []string{o.name + " " + p.d.name(o.Obstruction), p.d.say("cut-out %s × %s", typeset(o.WX), typeset(o.WY)),
			p.d.say("center %s right, %s out", typeset(o.X-p.d.min.x), typeset(o.Y-p.d.min.y))}
		if p.phone() {
			lines = lines[:0]
		}
		at, w, ok := p.putFixture(c, lines)
		if !ok {
			p.left[leftFixture]++
			lines = nil
			if at, w, ok = p.putFixture(c, nil); !ok {
				continue
			}
		}
		if len(lines) == 0 {
			lines = []string{o.name}
		}
		p.late = append(p.late, func() { p.inkFixture(c, at, w, float64(o.of.WX)/2*p.k+2, lines) })
	}
}

// putFixture finds room for a cut-out's lines, or for its name alone when there are none.
func (p *planner) putFixture(c draw.Point, lines []string) (at draw.Point, w float64, ok bool) {
	w, h := 14.0, 9.0
	for i, t := range lines {
		w, h = max(w, draw.Measure(t, draw.MinText, i == 0)+4), 28
	}
	var spots []draw.Point
	for _, r := range []float64{14, 22, 34, 50} {
		for _, s := range [][2]float64{{1, -16}, {1, 16}, {-1, -16}, {-1, 16}, {1, 0}, {-1, 0}, {1, -30}, {1, 30}} {
			spots = append(spots, pt(c.X+s[0]*(w/2+r), c.Y+s[1]*h/28))
		}
	}
	var in []draw.Point
	for _, s := range spots {
		if p.insideBox(s, w, h) {
			in = append(in, s)
		}
	}
	at, ok = p.place.Put(w, h, append(in, spots...))
	return at, w, ok
}

func (p *planner) inkFixture(c, at draw.Point, w, r float64, lines []string) {
	side := 1.0
	if at.X > c.X {
		side = -1
	}
	p.dr.Line(pt(at.X+side*w/2, at.Y), pt(c.X-side*r, c.Y), draw.Style{Pen: draw.Light, Ink: draw.Alert})
	top := at.Y + 2.5 - 4.5*float64(len(lines)-1)
	for i, t := range lines {
		p.dr.Text(draw.Text{At: pt(at.X-w/2+2, top+9*float64(i)), S: t, Bold: i == 0, Halo: true})
	}
}
