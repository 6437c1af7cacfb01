package report

import (
	"fmt"
	"math"
	"slices"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// planPt is a plan position in inches: x to the right as seen facing the house, y out from it.
type planPt struct{ x, y float64 }

// fallPt is a position in the fall frame in inches: u across the fall to the right as seen facing up it, v down it.
type fallPt struct{ u, v float64 }

// span is a stretch, from lo to hi.
type span struct{ lo, hi float64 }

func (s span) length() float64 { return s.hi - s.lo }

// deck is the calculator's input and output joined for drawing, in plan and fall coordinates.
type deck struct {
	voice
	job        drawnJob
	input      calc.Input
	plan       calc.Plan
	prof       profile
	outline    []planPt
	fall       []fallPt // the outline in the fall frame
	sense      float64  // 1 when the outline's outward normal is (dy, -dx)
	min, max   planPt
	zones      []*zone
	notches    []*notch
	sizes      []notchSize
	hasHeights bool
}

// zone is a zone of the plan with what the drawings derive from it.
type zone struct {
	calc.Zone
	name    string
	rings   [][]fallPt // polygon and the holes in it
	z0      float64    // ceiling plane at y_high, over the datum, or over the underside at 0, 0 when no height was taken
	edges   []edge     // channel runs and gutters
	notches []*notch
}

// notch is a notch with its number through the job and the letter of its size.
type notch struct {
	calc.Notch
	n    int
	zone *zone
	size string
}

// notchSize is one distinct notch in sixteenths, as crews mark it.
type notchSize struct {
	letter          string
	from, to, depth float64
	notches         []*notch
}

// newDeck joins input and output. It refuses a plan that nothing can be drawn of.
func newDeck(job drawnJob, in calc.Input, p calc.Plan) (*deck, error) {
	if len(in.Outline) < 3 || len(in.Edges) != len(in.Outline) {
		return nil, fmt.Errorf("draw the deck: %d corners and %d edges are no outline", len(in.Outline), len(in.Edges))
	}
	d := &deck{voice: job.voice, job: job, input: in, plan: p, prof: profileOf(p.System), hasHeights: len(in.Heights) > 0}
	for _, c := range in.Outline {
		d.outline = append(d.outline, at(c))
	}
	d.min, d.max = d.outline[0], d.outline[0]
	area := 0.0
	for i, c := range d.outline {
		next := d.outline[(i+1)%len(d.outline)]
		area += c.x*next.y - next.x*c.y
		d.min = planPt{math.Min(d.min.x, c.x), math.Min(d.min.y, c.y)}
		d.max = planPt{math.Max(d.max.x, c.x), math.Max(d.max.y, c.y)}
	}
	d.sense = math.Copysign(1, area)
	for _, c := range d.outline {
		d.fall = append(d.fall, d.toFall(c))
	}
	for _, z := range p.Zones {
		d.zones = append(d.zones, d.newZone(z))
	}
	if len(d.zones) == 0 {
		return nil, fmt.Errorf("draw the deck: the plan has no zone")
	}
	d.numberNotches()
	return d, nil
}

func at(p calc.Point) planPt { return planPt{float64(p.X), float64(p.Y)} }

// direction is the fall's direction; out from the house when it was left out.
func (d *deck) direction() calc.Direction {
	if d.input.Fall.Direction == "" {
		return calc.FallOut
	}
	return d.input.Fall.Direction
}

// toPlan turns a place of the fall frame into plan coordinates: a turn, never a mirror.
func (d *deck) toPlan(p fallPt) planPt {
	switch d.direction() {
	case calc.FallRight:
		return planPt{p.v, d.max.y - p.u}
	case calc.FallLeft:
		return planPt{d.max.x - p.v, p.u}
	}
	return planPt{p.u, p.v}
}

// toFall is the way back.
func (d *deck) toFall(p planPt) fallPt {
	switch d.direction() {
	case calc.FallRight:
		return fallPt{d.max.y - p.y, p.x}
	case calc.FallLeft:
		return fallPt{p.y, d.max.x - p.x}
	}
	return fallPt{p.x, p.y}
}

// highSide is the side of the sheet the ceiling falls from.
func (d *deck) highSide() draw.Side {
	switch d.direction() {
	case calc.FallRight:
		return draw.Left
	case calc.FallLeft:
		return draw.Right
	}
	return draw.Top
}

// underside is the joists' height over the datum.
func (d *deck) underside(p fallPt) float64 {
	q := d.toPlan(p)
	return d.plan.Plane.A + d.plan.Plane.B*q.x + d.plan.Plane.C*q.y
}

// ceiling is the ceiling plane (underside of the furring) over the datum.
func (d *deck) ceiling(z *zone, v float64) float64 {
	return z.z0 - d.plan.FallPerFoot/12*(v-z.YHigh)
}

// thickness is the furring's thickness at a place.
func (d *deck) thickness(z *zone, p fallPt) float64 { return d.underside(p) - d.ceiling(z, p.v) }

// finished is the height of the carriers' underside, the finished ceiling, over the datum.
func (d *deck) finished(z *zone, v float64) float64 { return d.ceiling(z, v) - d.prof.CarrierDepth }

// outward is the unit normal out of the deck of outline edge i, in plan.
func (d *deck) outward(i int) planPt {
	a, b := d.outline[i], d.outline[(i+1)%len(d.outline)]
	l := math.Hypot(b.x-a.x, b.y-a.y)
	return planPt{(b.y - a.y) / l * d.sense, -(b.x - a.x) / l * d.sense}
}

// newZone derives rings, ceiling datum and edges of a zone. The ceiling is as high as the least furring anywhere allows.
func (d *deck) newZone(cz calc.Zone) *zone {
	z := &zone{Zone: cz, name: zoneName(cz.ID)}
	var ring []fallPt
	for _, c := range cz.Polygon {
		ring = append(ring, d.toFall(planPt{c[0], c[1]}))
	}
	z.rings = append(z.rings, ring)
	for _, hole := range cz.Holes {
		var r []fallPt
		for _, c := range hole {
			r = append(r, d.toFall(planPt{c[0], c[1]}))
		}
		z.rings = append(z.rings, r)
	}
	if cz.Z0 != nil {
		z.z0 = *cz.Z0
	} else {
		z.z0 = math.Inf(1)
		for _, p := range ring {
			z.z0 = math.Min(z.z0, d.underside(p)+d.plan.FallPerFoot/12*(p.v-z.YHigh)-z.Base)
		}
	}
	z.edges = d.edgesOf(z)
	return z
}

// live tells whether the zone has a ceiling: one too short or too narrow has none.
func (z *zone) live() bool { return len(z.Panels.Pieces) > 0 }

// liveZones are the zones that have a ceiling.
func (d *deck) liveZones() []*zone {
	return slices.DeleteFunc(slices.Clone(d.zones), func(z *zone) bool { return !z.live() })
}

// title is the zone as a heading: its number where there are several.
func (d *deck) title(z *zone) string {
	if len(d.zones) > 1 {
		return d.say("ZONE %s", z.name)
	}
	return d.in("CEILING")
}

// spans are the stretches of the zone down the fall at u, framing to framing.
func (z *zone) spans(u float64) []span {
	var vs []float64
	for _, ring := range z.rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if (a.u > u) != (b.u > u) {
				vs = append(vs, a.v+(b.v-a.v)*(u-a.u)/(b.u-a.u))
			}
		}
	}
	slices.Sort(vs)
	var out []span
	for i := 0; i+1 < len(vs); i += 2 {
		if vs[i+1]-vs[i] > 1e-6 && vs[i] >= z.YHigh-1e-6 {
			out = append(out, span{vs[i], vs[i+1]})
		}
	}
	return out
}

// highAt is the local high edge at u above v; the zone's own when there is none.
func (z *zone) highAt(u, v float64) float64 {
	high := z.YHigh
	for _, s := range z.spans(u) {
		if s.lo <= v+1e-6 {
			high = s.lo
		}
	}
	return high
}

// zoneAt is the zone over a place, nil outside every one.
func (d *deck) zoneAt(p fallPt) *zone {
	for _, z := range d.zones {
		for _, s := range z.spans(p.u + 1e-4) {
			if z.live() && s.lo <= p.v && p.v <= s.hi {
				return z
			}
		}
	}
	return nil
}

// name is what people call an input id.
func (d *deck) name(id string) string {
	if n := d.job.Names[id]; n != "" {
		return n
	}
	return id
}

// system is the name of the profile.
func (d *deck) system() string {
	if d.job.System != "" {
		return d.job.System
	}
	return d.plan.System.Name
}

// obstruction finds an obstruction by its id; the zero Obstruction when there is none.
func (d *deck) obstruction(id string) calc.Obstruction {
	for _, o := range d.input.Obstructions {
		if o.ID == id {
			return o
		}
	}
	return calc.Obstruction{ID: id}
}
