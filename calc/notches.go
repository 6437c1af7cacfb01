package calc

import (
	"cmp"
	"slices"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

// longNotch is the length of an expected notch, in inches, from which it is worth a warning.
const longNotch = 12

// notchesOf lists the notches of a zone and reports what no notch clears.
func (j *job) notchesOf(b *bay, l layout) {
	z := b.out
	z.Notches = []Notch{}
	for _, i := range b.things {
		o := &j.things[i]
		role := j.role(o)
		if role == roleThrough || role == roleClear {
			continue
		}
		most := 0.0
		long, onRow := false, false
		for h := range j.hits(b, o, l) {
			most = max(most, h.p)
			if role != roleNotch {
				continue
			}
			c := carrierAt(z.Carriers, h)
			n := j.notch(o, c, h.p)
			if n.State == stateExpect {
				long = long || n.To-n.From > longNotch+tol
				onRow = onRow || b.meetsRow(c, n, float64(j.sys.FurringWidth))
			}
			z.Notches = append(z.Notches, n)
		}
		j.report(b, o, role, most)
		if long {
			j.warn("long-notch", words.Say("the notch for %s is longer than %s: ask the maker whether the carrier may be cut that far", o.id, text16(longNotch)), z.ID, o.id)
		}
		if onRow {
			j.warn("notch-on-row", words.Say("the notch for %s meets a furring row, where the carrier is fastened: move the row or the screw", o.id), z.ID, o.id)
		}
	}
	slices.SortStableFunc(z.Notches, func(a, b Notch) int { return cmp.Or(cmp.Compare(a.Carrier, b.Carrier), cmp.Compare(a.From, b.From)) })
}

// carrierAt is the carrier of a hit; hits only meet carriers that there are.
func carrierAt(carriers []Carrier, h hit) Carrier {
	i, _ := slices.BinarySearchFunc(carriers, h, func(c Carrier, h hit) int {
		return cmp.Or(cmp.Compare(c.Seam, h.seam), cmp.Compare(c.Y0, h.y0))
	})
	return carriers[i]
}

func (j *job) notch(o *thing, c Carrier, p float64) Notch {
	half := o.wy/2 + float64(j.sys.NotchClearance)
	n := Notch{Obstruction: o.id, Carrier: c.N, Probability: p, Depth: up16(o.depth), State: stateOnSite,
		From: max(o.at.y-half, c.Y0) - c.Y0, To: min(o.at.y+half, c.Y1) - c.Y0}
	if p >= likelyHit {
		n.State = stateExpect
	}
	n.FromText, n.ToText = length.Inches(n.From).Down16().String(), length.Inches(n.To).Up16().String()
	n.DepthText = text16(n.Depth)
	return n
}

// meetsRow tells whether a notch overlaps the width of a row that reaches its carrier, whatever the row is fastened to.
func (b *bay) meetsRow(c Carrier, n Notch, width float64) bool {
	for _, r := range b.rows {
		if r.crosses(c) && min(c.Y0+n.To, r.y+width/2)-max(c.Y0+n.From, r.y-width/2) > tol {
			return true
		}
	}
	return false
}

// report says which carriers and panels an obstruction blocks; p is its greatest probability over the carriers.
func (j *job) report(b *bay, o *thing, role role, p float64) {
	id := b.out.ID
	switch {
	case role != roleBlock || p < leastHit:
	case p >= likelyHit && o.fixture:
		j.block("fixture-on-carrier", words.Say("%s is on a carrier: move the fixture or shift the layout", o.id), id, o.id)
	case p >= likelyHit:
		j.block("carrier-blocked", words.Say("%s hangs %s below the top of a carrier, deeper than the %s that may be cut", o.id,
			text16(up16(o.depth)), text16(float64(j.sys.CarrierMaxNotch))), id, o.id)
	default:
		j.warn("carrier-may-be-blocked", words.Say("%s may meet a carrier and no notch clears it: measure it on site", o.id), id, o.id)
	}
	if o.fixture {
		return
	}
	need := o.drop - float64(j.sys.CarrierDepth-j.sys.PanelClearance) - o.t
	if need <= tol {
		return
	}
	base := b.base + need
	issue := Issue{Rule: "panel-blocked", Severity: severeBlock, About: []string{id, o.id}, Base: &base}
	issue.Said = words.Say("%s hangs into the panels: base furring of %s would clear it", o.id, text16(up16(base)))
	if h := b.out.Headroom.Min; h != nil {
		left := *h - need
		issue.Headroom = &left
		issue.Said = words.Join(" ", issue.Said, words.Say("and leave %s of headroom", text16(down16(left))))
	}
	issue.Text = issue.Said.String()
	j.plan.Issues = append(j.plan.Issues, issue)
}

// cutOuts lists the holes in the panels for fixtures and for what goes through, in plan coordinates.
func (j *job) cutOuts(b *bay) []CutOut {
	out := []CutOut{}
	room := float64(2 * j.sys.CutOutClearance)
	for _, i := range b.things {
		t := &j.things[i]
		if !t.thru && !t.fixture {
			continue
		}
		o := j.in.Obstructions[t.index]
		c := CutOut{Obstruction: o.ID, Kind: kindFixture, X: float64(o.X), Y: float64(o.Y), WX: float64(o.WX) + room, WY: float64(o.WY) + room}
		if t.thru {
			c.Kind = kindThrough
		}
		out = append(out, c)
	}
	return out
}

// warn and block add an issue; about lists the zone first, then input ids.
func (j *job) warn(rule string, text words.Phrase, about ...string) {
	j.issue(rule, severeWarn, text, about)
}

func (j *job) block(rule string, text words.Phrase, about ...string) {
	j.issue(rule, severeBlock, text, about)
}

func (j *job) issue(rule, severity string, text words.Phrase, about []string) {
	j.plan.Issues = append(j.plan.Issues, Issue{Rule: rule, Severity: severity, Text: text.String(), About: list(about), Said: text})
}
