package web

import (
	"fmt"
	"math"
	"slices"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// verdictView is what the ceiling does at one pin: a small sum, then words.
type verdictView struct {
	Rows  []verdictRow
	Words []string
}

// verdictRow is one line of the sum; Sum marks its result.
type verdictRow struct {
	Label, Value string
	Sum          bool
}

// hanging is one thing below the joists against the ceiling over it. Room is what is left between it and the carriers' top, clearance kept;
// negative room is the depth of the notch that it needs. All in inches.
type hanging struct {
	item                calc.Obstruction
	thickness, room     float64
	inZone              bool
	notches             []calc.Notch
	blocking, otherwise []string // what the plan's issues say of it
}

// hangingsOf finds everything that one pin, a row too, put into the calculation; none when there is no plan.
func hangingsOf(ceiling survey.Ceiling, number int) []hanging {
	if ceiling.Plan == nil {
		return nil
	}
	var list []hanging
	for _, o := range ceiling.Input.Obstructions {
		if n, ok := survey.PinNumber(o.ID); ok && n == number {
			list = append(list, hangingAt(ceiling, o))
		}
	}
	return list
}

func hangingAt(ceiling survey.Ceiling, o calc.Obstruction) hanging {
	plan := ceiling.Plan
	h := hanging{item: o}
	for _, z := range plan.Zones {
		if !h.inZone && within(z.Polygon, float64(o.X), float64(o.Y)) {
			h.inZone = true
			h.thickness = thicknessAt(ceiling, z, float64(o.X), float64(o.Y))
			h.room = h.thickness - float64(o.Drop) - float64(plan.System.NotchClearance)
		}
		for _, n := range z.Notches {
			if n.Obstruction == o.ID {
				h.notches = append(h.notches, n)
			}
		}
	}
	for _, issue := range plan.Issues {
		switch {
		case !slices.Contains(issue.About, o.ID):
		case issue.Severity == "blocking":
			h.blocking = append(h.blocking, issue.Text)
		default:
			h.otherwise = append(h.otherwise, issue.Text)
		}
	}
	return h
}

// thicknessAt is the furring's thickness at a plan position of zone z: the joists' measured underside less the ceiling's plane, which falls
// from the zone's high edge. Without measured heights the joists count as level.
func thicknessAt(ceiling survey.Ceiling, z calc.Zone, x, y float64) float64 {
	plan := ceiling.Plan
	down := y
	switch ceiling.Input.Fall.Direction {
	case calc.FallRight:
		down = x
	case calc.FallLeft:
		down = greatestX(ceiling.Input.Outline) - x
	}
	fall := plan.FallPerFoot / 12 * (down - z.YHigh)
	if z.Z0 == nil {
		return z.Base + fall
	}
	return plan.Plane.A + plan.Plane.B*x + plan.Plane.C*y - (*z.Z0 - fall)
}

func greatestX(outline []calc.Point) float64 {
	x := math.Inf(-1)
	for _, p := range outline {
		x = math.Max(x, float64(p.X))
	}
	return x
}

// within tells whether a point lies in a ring, by counting the sides that a ray to the right crosses (the even-odd rule). Points on the ring
// may count either way.
func within(ring [][2]float64, x, y float64) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

// worst is the one of a row that has the least room.
func worst(list []hanging) hanging {
	return slices.MinFunc(list, func(a, b hanging) int {
		switch {
		case a.room < b.room:
			return -1
		case a.room > b.room:
			return 1
		}
		return 0
	})
}

// verdict says what the ceiling does at a pin; nil for pins that put nothing into its way.
func verdict(ceiling survey.Ceiling, p survey.Pin) *verdictView {
	info, _ := survey.KindInfo(p.Kind)
	if info.Button != "In the way" || p.Kind == survey.PinBeam || p.Number == 0 {
		return nil
	}
	if ceiling.Plan == nil {
		return &verdictView{Words: []string{noPlanWords(ceiling)}}
	}
	list := hangingsOf(ceiling, p.Number)
	if len(list) == 0 {
		return &verdictView{Words: []string{"This pin is not in the calculation: it lies outside of the ceiling, or some of it is missing."}}
	}
	h := worst(list)
	v := &verdictView{}
	if h.inZone && !h.item.Through {
		v.Rows = hangingRows(ceiling, h)
	}
	if len(list) > 1 {
		v.Words = append(v.Words, fmt.Sprintf("A row of %d: this is the one with the least room.", len(list)))
	}
	v.Words = append(v.Words, hangingWords(h)...)
	return v
}

func noPlanWords(ceiling survey.Ceiling) string {
	if ceiling.Refusal != "" {
		return "The ceiling cannot be computed: " + ceiling.Refusal
	}
	for _, f := range ceiling.Findings {
		if f.Severity == survey.SeverityMissing && f.Pin != "" {
			return "The ceiling cannot be computed yet. " + f.Text + " " + f.Do
		}
	}
	return "The ceiling is computed once the deck's size, joists and walls are known."
}

// hangingRows is the sum: thickness less drop less clearance. Room is rounded down, a notch up, the others to the nearest.
func hangingRows(ceiling survey.Ceiling, h hanging) []verdictRow {
	rows := []verdictRow{
		{Label: "Furring thickness here", Value: length.Inches(h.thickness).Typeset()},
		{Label: "Hangs below the joists", Value: h.item.Drop.Typeset()},
		{Label: "Clearance kept", Value: ceiling.Plan.System.NotchClearance.Typeset()},
	}
	if h.room >= -1e-6 {
		return append(rows, verdictRow{Label: "Room to spare", Value: length.Inches(max(h.room, 0)).Down16().Typeset(), Sum: true})
	}
	return append(rows, verdictRow{Label: "Too low by", Value: length.Inches(-h.room).Up16().Typeset(), Sum: true})
}

// hangingWords says which carriers meet it and what the plan warns of.
func hangingWords(h hanging) []string {
	var words []string
	for _, n := range h.notches {
		at := fmt.Sprintf("%s to %s from its high end", length.Inches(n.From).Typeset(), length.Inches(n.To).Typeset())
		if n.State == "expected" {
			words = append(words, fmt.Sprintf("Carrier %d: notch %s deep, %s. Mark on site, then cut.", n.Carrier, length.Inches(n.Depth).Up16().Typeset(), at))
		} else {
			words = append(words, fmt.Sprintf("Carrier %d may meet it (chance %.0f\u00a0%%): check on site; a notch would be %s deep, %s.", n.Carrier, n.Probability*100, length.Inches(n.Depth).Up16().Typeset(), at))
		}
	}
	words = append(words, h.blocking...)
	words = append(words, h.otherwise...)
	switch {
	case !h.inZone:
		words = append(words, "It lies outside of every part of the ceiling.")
	case h.item.Through:
		words = append(words, "It goes through the ceiling: the panels are cut out round it.")
	case h.room >= -1e-6:
		words = append(words, "No notch. Room is rounded down.")
	case len(words) == 0:
		words = append(words, "No carrier meets it, and the panels pass below it. No notch.")
	}
	return words
}

// hangingState is the verdict in two or three words; nil when there is none.
func hangingState(ceiling survey.Ceiling, number int) *stateView {
	list := hangingsOf(ceiling, number)
	if len(list) == 0 {
		return nil
	}
	state, depth, sure := &stateView{weightFine, "clear"}, 0.0, false
	for _, h := range list {
		switch {
		case len(h.blocking) > 0:
			return &stateView{weightStop, "in the way"}
		case len(h.notches) > 0:
			for _, n := range h.notches {
				depth, sure = math.Max(depth, n.Depth), sure || n.State == "expected"
			}
		case len(h.otherwise) > 0:
			state = &stateView{weightWarn, "check"}
		}
	}
	if depth == 0 {
		return state
	}
	text := "notch " + length.Inches(depth).Up16().Typeset()
	if !sure {
		text = "maybe " + text
	}
	return &stateView{weightWarn, text}
}
