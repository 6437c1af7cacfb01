package report

// Method is one rule of the calculation in plain words: what the figures marked with its number were worked out by. Source is the
// published table or formula behind it, or says that it is common practice.
type Method struct {
	Number int
	Name   string
	Text   string
	Source string
}

// The numbers of the rules that figures refer to.
const (
	ruleRounding = iota + 1
	ruleUnderside
	ruleZones
	ruleFurring
	rulePanels
	ruleNotches
	ruleCutting
	ruleTakeoff
	ruleWater
	ruleScrews
	ruleMovement
	ruleHeadroom
	ruleFixings
)

// methods lists the rules by their number.
func (v voice) methods() []Method {
	practice := v.in("common practice, no source")
	return []Method{
		{ruleRounding, v.in("Rounding"), v.in("Cut lengths round down to 1/16″, furring to the nearest 1/16″, notches outward and up to 1/16″, quantities up to whole packs. Plan positions run along the house from its left end as seen facing it, then out from the house."), practice},
		{ruleUnderside, v.in("Underside and fall"), v.in("The underside is the least-squares plane through the levels over one level line, never over the ground. The fall used is the larger of the asked one and the frame's own away from the house."), practice},
		{ruleZones, v.in("Zones"), v.in("A dropped beam that the furring cannot pass under cuts the deck into zones, each with its own high edge, low edge and gutter."), practice},
		{ruleFurring, v.in("Furring"), v.in("Rows across the fall at the profile's spacing from the high edge, and one last row at the low edge. Thickness is what the fall needs there; screws are the longest thickness plus penetration, up to the next length sold."), practice},
		{rulePanels, v.in("Panels and seams"), v.in("First and last width and the number of panels of least crew time: notches weighed by their chance, narrow ends, panels, uneven ends. Panels stop at the profile's gap before the low edge."), practice},
		{ruleNotches, v.in("Notches"), v.in("Depth is what hangs below the furring plus clearance. The chance that a carrier meets it comes from both positions' uncertainty, taken as normal; a notch is listed from 5\u00a0% up and expected from 50\u00a0% up."), v.in("normal distribution; clearances common practice, no source")},
		{ruleCutting, v.in("Cutting plan"), v.in("Least total stock length bought, then fewest sticks, with a saw cut between pieces. It is called least only where a bound proves it."), v.in("one-dimensional cutting stock, exact search")},
		{ruleTakeoff, v.in("Takeoff"), v.in("Exact need from the plan, a waste allowance where one is named, and whole packs where the pack size is known."), practice},
		{ruleWater, v.in("Water"), v.in("Flow is rain × area; depth in a panel by Manning's formula for a wide channel, n 0.011; half-round gutters by Beij (1934) as printed in EPA/600/R-16/093 eq. 6-68, ogee gutters and leaders by published table."), v.in("Manning; Beij 1934; NSPC 2006 Illustrated table 13.6.1")},
		{ruleScrews, v.in("Screws"), v.in("Withdrawal 2850 G² D pounds an inch of thread, times 0.9 for permanent load and 0.7 for wet wood. Withdrawal alone is screened; structure is for a licensed professional."), v.in("NDS 12.2-2")},
		{ruleMovement, v.in("Movement"), v.in("Length × expansion × temperature range: the gap leaves room up to the hottest, what is engaged is counted at the coldest."), v.in("linear expansion; the coefficient is the profile's")},
		{ruleHeadroom, v.in("Headroom and access"), v.in("Finished height is the underside less furring and carrier, over the ground where clearances were taken. A working platform is the underside less 78″."), practice},
		{ruleFixings, v.in("Fixings"), v.in("By wall surface: whether to drill first, with what, into the wall or up into the framing."), v.in("each line names its own")},
	}
}
