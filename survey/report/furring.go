package report

import (
	"math"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
)

// tapered is how much two ends of a row may differ before the row counts as tapered: a sixteenth of an inch.
const tapered = length.Inches(1.0 / 16)

// Furring is the schedule of the strips: what to build, where, of what, and the screws of each zone.
type Furring struct {
	Rows    []furringLine
	Screws  []zoneScrews
	Sources []Source
	Partial bool // some row does not go over its whole zone, so that X0 and X1 are worth showing
	Tapered bool // some row's ends differ by more than a sixteenth
}

// furringLine is one line of the schedule. Distance is from the zone's high edge down the fall. Left, Middle and Right are exact,
// Build is to the nearest sixteenth. X0 and X1 are the row's ends across the fall.
type furringLine struct {
	Zone                string
	Row                 string // 1, 2, … or "last"
	Distance            length.Inches
	X0, X1              length.Inches
	Left, Middle, Right length.Inches
	Build               length.Inches
	Plies               string
	Strip               bool // false: fastened to the joists, or dropped framing
	Tapered             bool
}

// zoneScrews is how many furring screws a zone takes and how long they are; Length is 0 where there is no strip.
type zoneScrews struct {
	Zone   string
	Count  int
	Length length.Inches
}

// furringOf lists the rows of all zones in the order of the plan.
func (v voice) furringOf(plan calc.Plan, sources []Source) Furring {
	f := Furring{Sources: sources}
	for _, z := range plan.Zones {
		number := 0
		for _, r := range z.Furring {
			if r.Place != "last" {
				number++
			}
			row := v.furringLineOf(z, r, number)
			f.Partial = f.Partial || math.Abs(r.X0-z.X0) > 1e-6 || math.Abs(r.X1-z.X1) > 1e-6
			f.Tapered = f.Tapered || row.Tapered
			f.Rows = append(f.Rows, row)
		}
		if len(z.Furring) > 0 {
			f.Screws = append(f.Screws, zoneScrews{Zone: zoneName(z.ID), Count: z.FurringScrews, Length: length.Inches(z.FurringScrew)})
		}
	}
	return f
}

func (v voice) furringLineOf(z calc.Zone, r calc.Row, number int) furringLine {
	row := furringLine{Zone: zoneName(z.ID), Row: itoa(number), Distance: length.Inches(r.Y - z.YHigh), X0: length.Inches(r.X0), X1: length.Inches(r.X1),
		Left: length.Inches(r.Left), Middle: length.Inches(r.Middle), Right: length.Inches(r.Right), Build: length.Inches(r.Build),
		Strip: r.Fasten == "strip" && !r.Dropped}
	if r.Place == "last" {
		row.Row = v.in("last")
	}
	row.Tapered = row.Strip && math.Abs(float64(row.Left-row.Right)) > float64(tapered)
	row.Plies = v.pliesText(r)
	return row
}

// pliesText says what a strip is built from: stock plies, a thickness to rip to, or nothing where it is no strip.
func (v voice) pliesText(r calc.Row) string {
	switch {
	case r.Dropped:
		return v.in("dropped framing")
	case r.Fasten == "joist":
		return v.in("no strip: to the joists")
	case len(r.Plies) == 0:
		return v.say("rip to %s", typeset(r.Build))
	case len(r.Plies) == 1:
		return v.say("one %s", typeset(r.Plies[0]))
	}
	parts := make([]string, 0, len(r.Plies))
	for _, p := range r.Plies {
		parts = append(parts, typeset(p))
	}
	return strings.Join(parts, " + ")
}
