package calc

import (
	"math"

	"undercroft/calc/words"
)

const (
	psfPerInch = 5.2  // of water: 62.4/12, as in ASCE 7 eq. 8.3-1 R = 5.2 (ds + dh)
	permanent  = 0.9  // load duration factor C_D, NDS 2018 table 2.3.2
	wetService = 0.7  // wet service factor C_M for wood screws in withdrawal, NDS 2018 table 11.3.3
	leastGrip  = 0.25 // engagement to be left at the coldest, inches (common practice, no source)
)

// withdrawal is the capacity of a wood screw's thread in side grain, pounds per inch: W = 2850 G^2 D (NDS 2018 eq. 12.2-2), D in
// inches.
func withdrawal(gravity, diameter float64) float64 { return 2850 * gravity * gravity * diameter }

// screwChecks screens the carrier's and the furring's screws for withdrawal under ceiling, furring and the water that stands rib
// deep when a drain is blocked. C_D 0.9 with ponded water is on the safe side. Withdrawal alone is checked.
func (j *job) screwChecks(b *bay) screwChecks {
	s, far := j.sys, j.greatestSpacing(b)
	psf := s.CeilingPSF + float64(s.PanelRib)*psfPerInch
	thread := float64(s.CarrierScrewThread)
	for _, r := range b.rows {
		if r.strip() && r.Build >= leastPly-tol {
			thread = min(thread, r.Build)
		}
	}
	var out screwChecks
	out.Carrier.Load = j.takeUp() * far / 144 * psf
	out.Furring.Load = float64(j.in.Joists.Spacing) * far / 144 * (psf + s.FurringPSF)
	if g := s.FurringSpecificGravity; g != nil {
		out.Carrier.hold(withdrawal(*g, float64(s.CarrierScrewDiameter)) * thread)
	}
	out.Furring.hold(withdrawal(j.in.Joists.SpecificGravity, float64(s.FurringScrewDiameter)) * float64(s.FurringPenetration))
	return out
}

// hold sets capacity and ratio from the reference withdrawal value.
func (c *ScrewCheck) hold(reference float64) {
	capacity := reference * permanent * wetService
	ratio := c.Load / capacity
	c.Capacity, c.Ratio = &capacity, &ratio
}

// movement gives the end gap to leave at the install temperature, alpha L (max - install) but never under the profile's least, and
// what is engaged at the coldest.
func (j *job) movement(b *bay) movement {
	t, s := j.in.Temperature, j.sys
	run := s.PanelAlpha * (b.yLow - b.box.y0)
	gap := max(float64(s.EndGap), run*(t.Max-t.Install))
	return movement{Gap: gap, EngagementCold: float64(s.ChannelPocket) - gap - run*(t.Install-t.Min)}
}

// judge reports what loads, movement, water and headroom of a zone go wrong.
func (j *job) judge(b *bay) {
	z := b.out
	for _, c := range []struct {
		name  string
		check ScrewCheck
	}{{"carrier", z.ScrewCheck.Carrier}, {"furring", z.ScrewCheck.Furring}} {
		if r := c.check.Ratio; r != nil && *r > 1+tol {
			j.warn("screw-overload", words.Say("%s screw: %.1f lb on a capacity of %.1f lb in withdrawal; ask a licensed professional", words.Say(c.name), c.check.Load, *c.check.Capacity), z.ID)
		}
	}
	if z.Movement.EngagementCold < leastGrip-tol {
		j.warn("engagement", words.Say("only %s of panel is left in the channel at the coldest; 1/4\" is needed", text16(z.Movement.EngagementCold)), z.ID)
	}
	if z.PanelWaterDepth > float64(j.sys.PanelRib)+tol {
		j.warn("water-depth", words.Say("water stands %s deep at the panels' low end, over the rib's %s", text16(z.PanelWaterDepth), text16(float64(j.sys.PanelRib))), z.ID)
	}
	j.judgeHeadroom(b)
}

func (j *job) judgeHeadroom(b *bay) {
	if h := b.out.Headroom.Min; h != nil && *h < float64(j.sys.Headroom)-tol {
		j.warn("headroom", words.Say("the ceiling leaves %s of headroom, under %s", text16(down16(*h)), j.sys.Headroom), b.out.ID)
	}
}

// judgeOpenings reports doors and windows whose heads the channel would cover: openings in the house's walls, which face +y.
func (j *job) judgeOpenings(b *bay) {
	if !j.under.known {
		return
	}
	for _, o := range j.in.Openings {
		least := math.Inf(1)
		for _, e := range b.borders {
			least = min(least, j.ceilingOver(b, e, o))
		}
		if float64(o.Head) > least+tol {
			j.warn("opening-covered", words.Say("the head of %s at %s is above the ceiling there, %s", o.ID, o.Head, text16(least)), b.out.ID, o.ID)
		}
	}
}

// ceilingOver is the least finished height over the datum along an opening's part of a wall edge; infinite when it has none.
func (j *job) ceilingOver(b *bay, e border, o Opening) float64 {
	p, q := j.frame.out(e.a), j.frame.out(e.b)
	if d := q.sub(p); e.kind != EdgeWall || d.x/d.len() <= sideSlope {
		return math.Inf(1)
	}
	x0, x1 := max(p.x, float64(o.X0)), min(q.x, float64(o.X1))
	if x1-x0 <= tol {
		return math.Inf(1)
	}
	least := math.Inf(1)
	for _, x := range []float64{x0, x1} {
		at := j.frame.in(vec{x, p.y + (q.y-p.y)*(x-p.x)/(q.x-p.x)})
		least = min(least, j.z(b, at.y)-float64(j.sys.CarrierDepth))
	}
	return least
}
