package report

import (
	"undercroft/calc"
	"undercroft/calc/length"
)

// Water is the rain and what carries it, zone by zone.
type Water struct {
	Intensity string        // inches an hour
	Roof      string        // ft² of roof that drain onto the deck, empty for none
	Rib       length.Inches // how deep a panel is
	Columns   []waterColumn
	Sources   []Source
}

// waterColumn is one zone's water: what falls, what runs, what carries it.
type waterColumn struct {
	Zone       string
	AreaFt2    string
	Flow       string // gpm to the gutter, empty when nothing was computed
	Depth      string // inches deep in a panel
	Size       string // the gutter that carries it
	Carries    string // gpm
	Leader     string
	Downspouts int
	Lines      []gutterLine
}

// gutterLine is one gutter along one low edge.
type gutterLine struct {
	Length     length.Inches
	Flow       string
	Size       string
	Downspouts int
}

func waterOf(plan calc.Plan, in calc.Input, sources []Source) Water {
	table := Water{Intensity: trimmed(in.Rain.InchesPerHour), Rib: plan.System.PanelRib, Sources: sources}
	if in.Rain.RoofFt2 > 0 {
		table.Roof = trimmed(in.Rain.RoofFt2)
	}
	for _, z := range plan.Zones {
		g := z.Gutter
		c := waterColumn{Zone: zoneName(z.ID), AreaFt2: decimal(z.AreaFt2, 1), Flow: decimal(g.FlowGPM, 1), Depth: decimal(z.PanelWaterDepth, 2),
			Size: g.Size, Leader: g.Leader, Downspouts: g.Downspouts}
		if g.Carries > 0 {
			c.Carries = decimal(g.Carries, 1)
		}
		for _, l := range g.Lines {
			c.Lines = append(c.Lines, gutterLine{Length: length.Inches(l.Length), Flow: decimal(l.FlowGPM, 1), Size: l.Size, Downspouts: l.Downspouts})
		}
		if len(c.Lines) == 0 {
			for _, run := range g.Runs {
				c.Lines = append(c.Lines, gutterLine{Length: length.Inches(run), Size: g.Size, Downspouts: g.Downspouts})
			}
		}
		table.Columns = append(table.Columns, c)
	}
	return table
}

// Checks are the screenings of every zone, the temperatures they were made for, in °F, and how high people work.
type Checks struct {
	Install, Coldest, Hottest string
	Platform                  length.Inches
	HasPlatform               bool // false when no height was measured
	OverGround                bool // heights are over the ground, by clearances; else over the level line
	Columns                   []checkColumn
	Sources                   []Source
}

// checkColumn is one zone's screenings: screws, movement and the height that is left.
type checkColumn struct {
	Zone      string
	Carrier   screwLine
	Furring   screwLine
	Gap       length.Inches
	Engaged   length.Inches
	Lowest    length.Inches // finished height over the ground
	HasLowest bool          // false when nothing was measured
	At        string        // where the lowest point is, on the plan
}

// screwLine compares the load on one screw with what it holds. Holds and Share are empty where no capacity is claimed.
type screwLine struct{ Load, Holds, Share string }

func (v voice) checksOf(plan calc.Plan, in calc.Input, sources []Source) Checks {
	t := in.Temperature
	table := Checks{Install: trimmed(t.Install), Coldest: trimmed(t.Min), Hottest: trimmed(t.Max), OverGround: len(in.Clearances) > 0, Sources: sources}
	if plan.Access.Platform != nil {
		table.Platform, table.HasPlatform = length.Inches(*plan.Access.Platform), true
	}
	for _, z := range plan.Zones {
		c := checkColumn{Zone: zoneName(z.ID), Carrier: screwLineOf(z.ScrewCheck.Carrier), Furring: screwLineOf(z.ScrewCheck.Furring),
			Gap: length.Inches(z.Movement.Gap).Up16(), Engaged: length.Inches(z.Movement.EngagementCold).Down16()}
		if z.Headroom.Min != nil {
			c.Lowest, c.HasLowest = length.Inches(*z.Headroom.Min).Down16(), true
		}
		if z.Headroom.At != nil {
			c.At = v.planPosition(z.Headroom.At[0], z.Headroom.At[1])
		}
		table.Columns = append(table.Columns, c)
	}
	return table
}

func screwLineOf(s calc.ScrewCheck) screwLine {
	line := screwLine{Load: decimal(s.Load, 1)}
	if s.Capacity != nil {
		line.Holds = decimal(*s.Capacity, 1)
	}
	if s.Ratio != nil {
		line.Share = percent(*s.Ratio)
	}
	return line
}

// planPosition says where a plan point is: from the house's left end, then out from the house.
func (v voice) planPosition(x, y float64) string {
	return v.say("%s along, %s out", typeset(x), typeset(y))
}

// BeamLine is what the ceiling does at a beam, and what passing under it would take.
type BeamLine struct {
	ID        string
	Thing     Thing
	Drop      length.Inches
	Chosen    calc.Treatment // as asked, "auto" included
	Treatment calc.Treatment // as it came out; "outside" for a beam that no zone meets
	Under     string         // "needs base 7 15/16″, leaves 7′ 10 13/16″"; empty when not computed
}

func beamsOf(plan calc.Plan, in calc.Input, things things) []BeamLine {
	var rows []BeamLine
	for _, b := range plan.Beams {
		row := BeamLine{ID: b.ID, Thing: things.find(b.ID), Treatment: calc.Treatment(b.Treatment)}
		for _, asked := range in.Beams {
			if asked.ID == b.ID {
				row.Drop, row.Chosen = asked.Drop, asked.Treatment
			}
		}
		if b.Under != nil {
			row.Under = "needs base " + length.Inches(b.Under.Base).Up16().Typeset()
			if b.Under.Headroom != nil {
				row.Under += ", leaves " + down(*b.Under.Headroom)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// lowest is the least finished height of all zones; known is false when nothing was measured.
func (c Checks) lowest() (lowest length.Inches, known bool) {
	for _, z := range c.Columns {
		if z.HasLowest && (!known || z.Lowest < lowest) {
			lowest, known = z.Lowest, true
		}
	}
	return lowest, known
}
