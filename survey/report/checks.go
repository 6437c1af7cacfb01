package report

import (
	"fmt"

	"undercroft/calc"
	"undercroft/calc/length"
)

// WaterColumn is one zone's water: what falls, what runs, what carries it.
type WaterColumn struct {
	Zone       string
	AreaFt2    string
	Flow       string // gpm to the gutter, empty when nothing was computed
	Depth      string // inches deep in a panel
	Size       string // the gutter that carries it
	Carries    string // gpm
	Leader     string
	Downspouts int
	Lines      []GutterLine
}

// GutterLine is one gutter along one low edge.
type GutterLine struct {
	Length     length.Inches
	Flow       string
	Size       string
	Downspouts int
}

func waterOf(plan calc.Plan) []WaterColumn {
	var columns []WaterColumn
	for _, z := range plan.Zones {
		g := z.Gutter
		c := WaterColumn{Zone: zoneName(z.ID), AreaFt2: decimal(z.AreaFt2, 1), Flow: decimal(g.FlowGPM, 1), Depth: decimal(z.PanelWaterDepth, 2),
			Size: g.Size, Leader: g.Leader, Downspouts: g.Downspouts}
		if g.Carries > 0 {
			c.Carries = decimal(g.Carries, 1)
		}
		for _, l := range g.Lines {
			c.Lines = append(c.Lines, GutterLine{Length: length.Inches(l.Length), Flow: decimal(l.FlowGPM, 1), Size: l.Size, Downspouts: l.Downspouts})
		}
		if len(c.Lines) == 0 {
			for _, run := range g.Runs {
				c.Lines = append(c.Lines, GutterLine{Length: length.Inches(run), Size: g.Size, Downspouts: g.Downspouts})
			}
		}
		columns = append(columns, c)
	}
	return columns
}

// CheckColumn is one zone's screenings: screws, movement and the height that is left.
type CheckColumn struct {
	Zone      string
	Carrier   ScrewLine
	Furring   ScrewLine
	Gap       length.Inches
	Engaged   length.Inches
	Lowest    length.Inches // finished height over the ground
	HasLowest bool          // false when nothing was measured
	At        string        // where the lowest point is, on the plan
}

// ScrewLine compares the load on one screw with what it holds. Holds and Share are empty where no capacity is claimed.
type ScrewLine struct{ Load, Holds, Share string }

func checksOf(plan calc.Plan) []CheckColumn {
	var columns []CheckColumn
	for _, z := range plan.Zones {
		c := CheckColumn{Zone: zoneName(z.ID), Carrier: screwLine(z.ScrewCheck.Carrier), Furring: screwLine(z.ScrewCheck.Furring),
			Gap: length.Inches(z.Movement.Gap).Up16(), Engaged: length.Inches(z.Movement.EngagementCold).Down16()}
		if z.Headroom.Min != nil {
			c.Lowest, c.HasLowest = length.Inches(*z.Headroom.Min).Down16(), true
		}
		if z.Headroom.At != nil {
			c.At = planPosition(z.Headroom.At[0], z.Headroom.At[1])
		}
		columns = append(columns, c)
	}
	return columns
}

func screwLine(s calc.ScrewCheck) ScrewLine {
	line := ScrewLine{Load: decimal(s.Load, 1)}
	if s.Capacity != nil {
		line.Holds = decimal(*s.Capacity, 1)
	}
	if s.Ratio != nil {
		line.Share = percent(*s.Ratio)
	}
	return line
}

// planPosition says where a plan point is: from the house's left end, then out from the house.
func planPosition(x, y float64) string {
	return fmt.Sprintf("%s along, %s out", typeset(x), typeset(y))
}

// BeamRow is what the ceiling does at a beam, and what passing under it would take.
type BeamRow struct {
	ID        string
	Thing     Thing
	Drop      length.Inches
	Chosen    calc.Treatment // as asked, "auto" included
	Treatment calc.Treatment // as it came out; "outside" for a beam that no zone meets
	Under     string         // "needs base 7 15/16″, leaves 7′ 10 13/16″"; empty when not computed
}

func beamsOf(plan calc.Plan, in calc.Input, things Things) []BeamRow {
	var rows []BeamRow
	for _, b := range plan.Beams {
		row := BeamRow{ID: b.ID, Thing: things.Find(b.ID), Treatment: calc.Treatment(b.Treatment)}
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
