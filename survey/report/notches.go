package report

import (
	"cmp"
	"math"
	"slices"

	"undercroft/calc"
	"undercroft/calc/length"
)

// nearHighEnd is how close to a carrier's high end notches must start for a crew to cut them all alike, in inches.
const nearHighEnd = 4

// Notches is every notch and, where many of them lie at the high end alike, the one line that does them all.
type Notches struct {
	Rows     []notchLine
	Clips    []clip
	Sources  []Source
	PM       length.Inches // the widest ± of a position that a chance rests on, 0 for none
	Expected int           // notches that will be needed
	Check    int           // notches to decide on site
}

// notchLine is one notch in one carrier. From and To are from the carrier's high end, outward to a sixteenth; Depth is up to one.
type notchLine struct {
	Thing    Thing
	Zone     string
	Carrier  int
	From, To length.Inches
	Depth    length.Inches
	Chance   string
	Percent  string // the chance as a share of 100, for its bar
	Expected bool
}

// clip gathers the expected notches near the high end of a zone that are of one depth: the same cut in several carriers, from the high
// end to To.
type clip struct {
	Zone     string
	Count    int
	Carriers string // their numbers
	To       length.Inches
	Depth    length.Inches
}

// notchesOf lists the notches by zone, carrier and distance, and gathers those that one cut in every carrier would do.
func notchesOf(plan calc.Plan, things things, sources []Source) Notches {
	t := Notches{Sources: sources}
	for _, z := range plan.Zones {
		for _, n := range z.Notches {
			row := notchLine{Thing: things.find(n.Obstruction), Zone: zoneName(z.ID), Carrier: n.Carrier, From: length.Inches(n.From).Down16(),
				To: length.Inches(n.To).Up16(), Depth: length.Inches(n.Depth), Chance: percent(n.Probability), Percent: trimmed(n.Probability * 100), Expected: n.State == "expected"}
			if row.Expected {
				t.Expected++
			} else {
				t.Check++
			}
			t.PM = max(t.PM, row.Thing.PM)
			t.Rows = append(t.Rows, row)
		}
		t.Clips = append(t.Clips, clipsOf(z)...)
	}
	slices.SortStableFunc(t.Rows, func(a, b notchLine) int {
		return cmp.Or(cmp.Compare(a.Zone, b.Zone), cmp.Compare(a.Carrier, b.Carrier), cmp.Compare(a.From, b.From))
	})
	return t
}

// clipsOf gathers a zone's expected notches within four inches of the high end by depth; a single notch is no clip.
func clipsOf(z calc.Zone) []clip {
	byDepth := map[int]*clip{}
	numbers := map[int][]int{}
	var depths []int
	for _, n := range z.Notches {
		if n.From >= nearHighEnd || n.State != "expected" {
			continue
		}
		key := int(math.Round(n.Depth * 16))
		c, ok := byDepth[key]
		if !ok {
			c = &clip{Zone: zoneName(z.ID), Depth: length.Inches(n.Depth)}
			byDepth[key] = c
			depths = append(depths, key)
		}
		numbers[key] = append(numbers[key], n.Carrier)
		c.To = max(c.To, length.Inches(n.To).Up16())
	}
	slices.Sort(depths)
	var clips []clip
	for _, key := range depths {
		if c := byDepth[key]; len(numbers[key]) > 1 {
			c.Count, c.Carriers = len(numbers[key]), ranges(numbers[key])
			clips = append(clips, *c)
		}
	}
	return clips
}

// CutOuts is every hole in the panels.
type CutOuts struct {
	Rows    []cutOutLine
	Sources []Source
}

// cutOutLine is one hole in the panels, clearance included, with its center in plan.
type cutOutLine struct {
	Thing   Thing
	Through bool // something goes through: collar and sealant
	X, Y    length.Inches
	WX, WY  length.Inches
	Zone    string
	Panels  string // panels that the hole touches
}

// cutOutsOf lists the holes of all zones. Panels are found in the fall frame only where that is the plan itself (fall away from the
// house); for a turned fall they are left out.
func (v voice) cutOutsOf(plan calc.Plan, in calc.Input, things things) CutOuts {
	table := CutOuts{Sources: []Source{v.computedBy(ruleNotches)}}
	for _, z := range plan.Zones {
		for _, c := range z.CutOuts {
			row := cutOutLine{Thing: things.find(c.Obstruction), Through: c.Kind == "through", X: length.Inches(c.X), Y: length.Inches(c.Y),
				WX: length.Inches(c.WX), WY: length.Inches(c.WY), Zone: zoneName(z.ID)}
			if in.Fall.Direction == calc.FallOut || in.Fall.Direction == "" {
				row.Panels = ranges(panelsAt(z, c))
			}
			table.Rows = append(table.Rows, row)
		}
	}
	return table
}

// panelsAt are the numbers of the panels that a hole meets.
func panelsAt(z calc.Zone, c calc.CutOut) []int {
	var numbers []int
	for _, p := range z.Panels.Pieces {
		if p.X0 < c.X+c.WX/2 && p.X1 > c.X-c.WX/2 && p.Y0 < c.Y+c.WY/2 && p.Y1 > c.Y-c.WY/2 {
			numbers = append(numbers, p.N)
		}
	}
	return numbers
}
