package calc

import (
	"math"
)

const (
	leastHit  = 0.05       // a notch or a blocked carrier counts from this probability on
	likelyHit = 0.5 - 1e-9 // and is expected from this on
	farHit    = 1.65       // beyond this many deviations a hit is below leastHit (the 5 % point is 1.645)
	equalCost = 1e-9
	leastEnd  = 1.0 / 16 // narrowest end panel when the end rule is relaxed
	eighth    = 1.0 / 8  // first widths are marked in eighths
)

// layout is one way to lay panels across a zone: n panels, the first a and the last b wide.
type layout struct {
	n    int
	a, b float64
	cost cost
}

// endRule is what the end panels must keep: each at least least wide, at least trim cut off a whole panel's take-up, the first a
// multiple of an eighth unless both are equal.
type endRule struct {
	least, trim float64
	equal       bool
}

// endRules are the profile's rule and its relaxations in order.
func (j *job) endRules() []endRule {
	least := float64(j.sys.PanelMinEnd)
	narrow := min(least, leastEnd)
	return []endRule{{least, float64(j.sys.PanelMinTrim), false}, {least, 0, false}, {narrow, 0, false}, {narrow, 0, true}}
}

// takeUp is the width c that a whole panel takes up: cover and gain.
func (j *job) takeUp() float64 { return float64(j.sys.PanelCover + j.sys.PanelGain) }

// choose finds the layout of least cost in crew time and the best one with another number of panels, if any. relaxed tells that
// the end rule had to give; ok is false when nothing fits at all.
func (j *job) choose(b *bay) (best layout, runner *layout, relaxed, ok bool) {
	w := b.box.x1 - b.box.x0 - 2*float64(j.sys.SideClearance)
	for i, rule := range j.endRules() {
		all := rule.layouts(w, j.takeUp())
		if len(all) == 0 {
			continue
		}
		j.price(b, all)
		best, _ = cheapest(all, func(layout) bool { return true })
		if r, found := cheapest(all, func(l layout) bool { return l.n != best.n }); found {
			runner = &r
		}
		return best, runner, i > 0, true
	}
	return layout{}, nil, false, false
}

// layouts lists what the rule allows on a width w when each whole panel takes up c, in order of n, then a. One panel is laid when,
// and only when, w leaves the trim.
func (r endRule) layouts(w, c float64) []layout {
	most := c - r.trim
	if w <= most+tol {
		if w < max(r.least, leastEnd)-tol {
			return nil
		}
		return []layout{{n: 1, a: w, b: w}}
	}
	var out []layout
	for n := max(2, int(math.Ceil((w-2*most)/c))+1); w-float64(n-2)*c > 0; n++ {
		s := w - float64(n-2)*c
		if s < 2*r.least-2*tol {
			break
		}
		if r.equal {
			if a := s / 2; a >= r.least-tol && a <= most+tol {
				out = append(out, layout{n: n, a: a, b: a})
			}
			continue
		}
		lo, hi := max(r.least, s-most), min(most, s-r.least)
		for k := math.Ceil((lo - tol) / eighth); k*eighth <= hi+tol; k++ {
			if a := k * eighth; a > tol && s-a > tol {
				out = append(out, layout{n: n, a: a, b: s - a})
			}
		}
	}
	return out
}

// cheapest is the layout of least cost among those wanted: costs within 1e-9 are equal; then least |a-b| (within 1e-6), then least
// a, then fewest panels.
func cheapest(all []layout, wanted func(layout) bool) (layout, bool) {
	cost, uneven := math.Inf(1), math.Inf(1)
	for _, l := range all {
		if wanted(l) {
			cost = min(cost, l.cost.Total)
		}
	}
	equal := func(l layout) bool { return wanted(l) && l.cost.Total <= cost+equalCost }
	for _, l := range all {
		if equal(l) {
			uneven = min(uneven, math.Abs(l.a-l.b))
		}
	}
	var best layout
	for _, l := range all {
		if !equal(l) || math.Abs(l.a-l.b) > uneven+tol {
			continue
		}
		if best.n == 0 || l.a < best.a-tol || l.a <= best.a+tol && l.n < best.n {
			best = l
		}
	}
	return best, best.n > 0
}

// price works out the cost of every layout by its parts.
func (j *job) price(b *bay, all []layout) {
	c := j.takeUp()
	good := float64(j.sys.PanelGoodEnd)
	for i := range all {
		l := &all[i]
		if l.a < good-tol {
			l.cost.Narrow += j.sys.CostNarrow
		}
		if l.n > 1 && l.b < good-tol {
			l.cost.Narrow += j.sys.CostNarrow
		}
		l.cost.Panels = j.sys.CostPanel * float64(l.n)
		l.cost.Uneven = j.sys.CostUneven * math.Abs(l.a-l.b) / c
	}
	for _, i := range b.things {
		j.priceThing(b, &j.things[i], all)
	}
	for i := range all {
		k := &all[i].cost
		k.Total = k.Blocked + k.Notches + k.Narrow + k.Panels + k.Uneven + k.Through
	}
}

// priceThing adds what one obstruction costs in every layout.
func (j *job) priceThing(b *bay, o *thing, all []layout) {
	role := j.role(o)
	if role == roleClear {
		return
	}
	for i := range all {
		l := &all[i]
		sum, most := 0.0, 0.0
		for h := range j.hits(b, o, *l) {
			sum, most = sum+h.p, max(most, h.p)
		}
		switch role {
		case roleThrough:
			if most < likelyHit {
				l.cost.Through += j.sys.CostThrough
			}
		case roleBlock:
			l.cost.Blocked += j.sys.CostBlocked * most
		case roleNotch:
			l.cost.Notches += j.sys.CostNotch * sum
		}
	}
}

// role is what an obstruction does to a carrier that it meets.
type role int

const (
	roleClear   role = iota // passes above it
	roleNotch               // is cleared by a notch
	roleBlock               // is not: deeper than a notch, or a fixture
	roleThrough             // goes through the ceiling: a seam there is welcome
)

func (j *job) role(o *thing) role {
	switch {
	case o.thru:
		return roleThrough
	case o.fixture || o.depth > float64(j.sys.CarrierMaxNotch)+tol:
		return roleBlock
	case o.depth > tol:
		return roleNotch
	}
	return roleClear
}

// hit is a carrier that an obstruction meets with probability p: seam is its index, y0 and y1 the carrier's ends.
type hit struct {
	seam   int
	y0, y1 float64
	p      float64
}

// seam is the place of seam i of a layout. The conversion keeps the product from being fused into the sum, so that every caller
// gets the same number.
func (j *job) seam(b *bay, l layout, i int) float64 {
	return b.box.x0 + float64(j.sys.SideClearance) + l.a + float64(float64(i)*j.takeUp())
}

// hits goes through the carriers of a layout that an obstruction meets with probability 0.05 or more.
func (j *job) hits(b *bay, o *thing, l layout) func(func(hit) bool) {
	return func(yield func(hit) bool) {
		m := o.wx/2 + float64(j.sys.CarrierWidth)/2 + float64(j.sys.NotchClearance)
		far := m + farHit*j.deviation(o, l.n-2) + tol
		i := max(0, int(math.Ceil((o.at.x-far-j.seam(b, l, 0))/j.takeUp())))
		for ; i <= l.n-2; i++ {
			x := j.seam(b, l, i)
			if x > o.at.x+far {
				return
			}
			p := chance(math.Abs(o.at.x-x), m, j.deviation(o, i))
			if p < leastHit {
				continue
			}
			for _, k := range b.region.column(x) {
				h := hit{i, k.high(x) + b.endGap, k.low(x) - float64(j.sys.GutterGap), p}
				if j.overlaps(o, h.y0, h.y1) && !yield(h) {
					return
				}
			}
		}
	}
}

// overlaps tells whether the notch that an obstruction needs overlaps a carrier between its ends.
func (j *job) overlaps(o *thing, y0, y1 float64) bool {
	half := o.wy/2 + float64(j.sys.NotchClearance)
	return y1-y0 > tol && min(y1, o.at.y+half)-max(y0, o.at.y-half) > tol
}

// deviation is the standard deviation of the distance between an obstruction and seam i.
func (j *job) deviation(o *thing, i int) float64 {
	gain, place := float64(i)*float64(j.sys.PanelGainSD), float64(j.sys.PlaceSD)
	return math.Sqrt(o.sx*o.sx + gain*gain + place*place)
}

// chance is the probability that an obstruction d away meets a carrier within m: Phi((m-d)/s) - Phi((-m-d)/s); without deviation
// 1 when d < m - 1e-6, else 0.
func chance(d, m, s float64) float64 {
	if s == 0 {
		if d < m-tol {
			return 1
		}
		return 0
	}
	if d-m > farHit*s {
		return 0
	}
	s *= math.Sqrt2
	return (math.Erf((m-d)/s) + math.Erf((m+d)/s)) / 2
}
