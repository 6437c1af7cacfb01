package report

import (
	"strings"

	"undercroft/survey/report/document"
)

// notches is every notch with its carrier, from, to and depth, then the drawing of each distinct one.
func (c *composer) notches() {
	n := c.m.Notches
	aside := ""
	if len(n.Rows) > 0 {
		aside = c.say("%d cut, %d check", n.Expected, n.Check)
	}
	c.part("notches", c.in("Notches in carriers"), aside)
	if len(n.Rows) == 0 {
		c.text(document.Plain, spaced(c.plain(c.in("No carrier meets anything that hangs below the furring.")), c.from(n.Sources)))
		return
	}
	for _, k := range n.Clips {
		c.text(document.Plain, spaced(c.bold(c.say("Clip %s of zone %s at the high end,", c.count(k.Count, "carrier", "carriers"), k.Zone)),
			c.plain(c.say("%s deep and back to %s: %s. Mark on site, then cut. What says check below is cut only if it meets.", k.Depth.Typeset(), k.To.Typeset(), k.Carriers))))
	}
	t := document.Table{Columns: []document.Column{left(c.in("At"), 1), right(c.in("Carrier"), 0), right(c.in("From"), 0), right(c.in("To"), 0), right(c.in("Depth"), 0), right(c.in("Chance"), 0), left(c.in("Do"), 0)}}
	for _, k := range n.Rows {
		do := c.bold(c.in("cut"))
		if !k.Expected {
			do = c.plain(c.in("check"))
		}
		t.Rows = append(t.Rows, row(c.thing(k.Thing), c.plain(k.Zone+" · "+itoa(k.Carrier)), c.plain(k.From.Typeset()), c.plain(k.To.Typeset()), c.bold(k.Depth.Typeset()), c.plain(k.Chance), do))
	}
	caption := c.in("Carrier is zone · number from the left. From and to are from the carrier’s high end, rounded outward to 1/16″. Mark on site, then cut; only carriers are ever cut, never a joist, hanger, ledger, beam or their fasteners. To settle a doubtful one, tape its place.")
	if n.PM > 0 {
		caption += " " + c.say("Places are known ±\u00a0%s (95\u00a0%%).", n.PM.Typeset())
	}
	t.Caption = spaced(c.plain(caption), c.from(n.Sources))
	c.table(t)
	c.sheets(partNotches, nil)
}

// thing names what a line is about and leads to its pin.
func (c *composer) thing(t Thing) document.Line {
	line := c.bold(t.Label)
	if to, within := strings.CutPrefix(t.Source.Href, "#"); within && len(line) > 0 {
		line[0].To = to
	}
	return line
}

// cutOuts are the holes in the panels.
func (c *composer) cutOuts() {
	c.part("cutouts", c.in("Cut-outs in panels"), "")
	if len(c.m.CutOuts.Rows) == 0 {
		c.text(document.Plain, spaced(c.plain(c.in("Nothing goes through the panels.")), c.from(c.m.CutOuts.Sources)))
		return
	}
	t := document.Table{Columns: []document.Column{left(c.in("For"), 1), right(c.in("Size"), 0), left(c.in("Center on the plan"), 1), right(c.in("Zone"), 0), right(c.in("Panels"), 0), left(c.in("Finish"), 1)}}
	for _, k := range c.m.CutOuts.Rows {
		finish := c.in("trim of the fixture")
		if k.Through {
			finish = c.in("collar and sealant")
		}
		place := c.plain(c.planPosition(float64(k.X), float64(k.Y)))
		if k.Thing.PM > 0 {
			place = spaced(place, c.soft("±\u00a0"+k.Thing.PM.Typeset()))
		}
		t.Rows = append(t.Rows, row(c.thing(k.Thing), c.bold(k.WX.Typeset()+" × "+k.WY.Typeset()), place, c.plain(k.Zone), c.plain(k.Panels), c.plain(finish)))
	}
	t.Caption = spaced(c.plain(c.in("Size includes the clearance. Along is from the house’s left end, out is from the house.")), c.from(c.m.CutOuts.Sources))
	c.table(t)
}

// servicePanels say what comes down to reach what the ceiling covers.
func (c *composer) servicePanels() {
	c.part("service", c.in("Service panels"), c.in("what comes down to reach what is above"))
	c.notes(noteLater)
}

// notes are one group of the crew notes.
func (c *composer) notes(group int) {
	if group >= len(c.m.Notes) {
		return
	}
	for _, part := range c.m.Notes[group].Parts {
		if part.Head != "" {
			c.text(document.Plain, c.bold(part.Head))
		}
		var l document.List
		for _, line := range part.Lines {
			l.Items = append(l.Items, c.plain(line))
		}
		c.list(l)
	}
}
