package report

import (
	"fmt"

	"undercroft/survey/report/document"
)

// furring is the schedule of the strips.
func (c *composer) furring() {
	f := c.m.Furring
	c.part("furring", c.in("Furring schedule"), "")
	exact := c.in("Exact, in")
	if f.Tapered {
		exact = c.in("Exact, in: left, middle, right")
	}
	t := document.Table{Columns: []document.Column{left(c.in("Zone · row"), 0), right(c.in("From high edge"), 0)}}
	if f.Partial {
		t.Columns = append(t.Columns, right(c.in("From–to across"), 0))
	}
	t.Columns = append(t.Columns, right(exact, 0), right(c.in("Build"), 0), left(c.in("Plies"), 1))
	for _, r := range f.Rows {
		t.Rows = append(t.Rows, c.furringRow(f, r))
	}
	caption := c.in("Distance from the zone’s high edge down the fall; thickness below the joists, built to the nearest 1/16″.")
	if !f.Partial {
		caption += " " + c.in("Every row goes over its whole zone.")
	}
	for _, s := range f.Screws {
		if s.Length > 0 {
			caption += " " + c.say("Furring screws, zone %s: %d of %s.", s.Zone, s.Count, s.Length.Typeset())
		} else {
			caption += " " + c.say("Furring screws, zone %s: none, there is no strip.", s.Zone)
		}
	}
	t.Caption = spaced(c.plain(caption), c.from(f.Sources))
	c.table(t)
	c.sheets(partFurring, nil)
}

func (c *composer) furringRow(f Furring, r furringLine) document.Row {
	exact := fmt.Sprintf("%.3f", float64(r.Middle))
	if f.Tapered {
		exact = fmt.Sprintf("%.3f, %.3f, %.3f", float64(r.Left), float64(r.Middle), float64(r.Right))
	}
	build := c.soft(r.Build.Typeset())
	if r.Strip {
		build = c.bold(r.Build.Typeset())
	}
	plies := r.Plies
	if r.Tapered {
		plies += ", " + c.in("tapered")
	}
	cells := []document.Line{c.bold(r.Zone + " · " + r.Row), c.plain(r.Distance.Typeset())}
	if f.Partial {
		cells = append(cells, c.plain(r.X0.Typeset()+"–"+r.X1.Typeset()))
	}
	return row(append(cells, c.soft(exact), build, c.plain(plies))...)
}

// byZone is a table with a row for each figure and a column for each zone.
type byZone struct {
	c     *composer
	table document.Table
}

func (c *composer) byZone(zones []string) *byZone {
	t := document.Table{Columns: []document.Column{left(c.in("Figure"), 1)}}
	for _, z := range zones {
		t.Columns = append(t.Columns, right(c.say("Zone %s", z), 0.6))
	}
	return &byZone{c, t}
}

// add appends the row of a figure.
func (b *byZone) add(name string, cells ...document.Cell) {
	b.table.Rows = append(b.table.Rows, document.Row{Cells: append([]document.Cell{cell(b.c.plain(name))}, cells...)})
}

// panels is the layout: first and last width, what is cut, where seams are checked.
func (c *composer) panels() {
	columns := c.m.Panels.Columns
	c.part("panels", c.in("Panels and seams"), "")
	var zones []string
	for _, z := range columns {
		zones = append(zones, z.Zone)
	}
	t := c.byZone(zones)
	each := func(name string, of func(panelColumn) document.Cell) {
		var cells []document.Cell
		for _, z := range columns {
			cells = append(cells, of(z))
		}
		t.add(name, cells...)
	}
	each(c.in("Panels"), func(z panelColumn) document.Cell { return cell(c.plain(itoa(z.Count))) })
	each(c.in("First width, at the left"), func(z panelColumn) document.Cell { return c.endWidth(z, z.First) })
	each(c.in("Whole panels between"), func(z panelColumn) document.Cell { return cell(c.plain(itoa(z.Between))) })
	each(c.in("Seam to seam"), func(z panelColumn) document.Cell {
		if z.Step == 0 {
			return cell(c.soft(c.in("one seam or none")))
		}
		return cell(c.plain(z.Step.Typeset()))
	})
	each(c.in("Last width, at the right"), func(z panelColumn) document.Cell { return c.endWidth(z, z.Last) })
	each(c.in("Cut length"), c.cutCell)
	each(c.in("First seam from the left side"), func(z panelColumn) document.Cell {
		if z.Count == 0 {
			return document.Cell{}
		}
		return cell(c.plain(z.FirstSeam.Typeset()))
	})
	each(c.in("Check, seam from the left side"), func(z panelColumn) document.Cell {
		var out document.Cell
		for _, k := range z.Checks {
			out.Lines = append(out.Lines, spaced(c.soft(c.say("seam %d", k.Seam)), c.plain(k.Distance.Typeset())))
		}
		return out
	})
	each(c.in("Layout chosen by crew time"), func(z panelColumn) document.Cell {
		next := z.NextBest
		if next == "" {
			next = c.in("no other count fits")
		}
		return cell(c.plain(z.Minutes+"\u00a0min"), c.soft(next))
	})
	t.table.Caption = spaced(c.plain(c.in("Left is as seen facing up the fall. Cut lengths are rounded down to 1/16″. Hold the seam checks: a creeping gain shows there first.")), c.from(c.m.Panels.Sources))
	c.table(t.table)
}

func (c *composer) endWidth(z panelColumn, w width) document.Cell {
	if z.Count == 0 {
		return document.Cell{}
	}
	return cell(c.bold(w.Typeset()))
}

func (c *composer) cutCell(z panelColumn) document.Cell {
	var out document.Cell
	for _, k := range z.Cuts {
		line := spaced(c.soft(itoa(k.Count)+" ×"), c.bold(k.Text))
		if k.Shape != "rectangle" {
			line = spaced(line, c.soft(c.in(k.Shape)+", "+c.say("panels %s", k.Panels)))
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}
