package report

import (
	"undercroft/survey/report/document"
)

// The groups of the calculator's crew notes, by their place in its list.
const (
	noteLayout = iota
	noteFraming
	noteChannel
	noteField
	noteTemperature
	noteWater
	noteBring
	noteLater
)

// work is the order of the work: what is marked, what goes up under the joists, the channel, the panels. Water and temperature have their own
// sections.
func (c *composer) work() {
	c.part("work", c.in("Order of work"), "")
	for step, group := range []int{noteLayout, noteFraming, noteChannel, noteField} {
		if group < len(c.m.Notes) {
			c.sub("work-"+itoa(step+1), itoa(step+1)+". "+c.m.Notes[group].Name, "")
			c.notes(group)
		}
	}
}

// bring is what has to be on the truck: tools and fasteners, then the material with its packs.
func (c *composer) bring() {
	c.part("bring", c.in("What to bring"), "")
	c.sub("tools", c.in("Tools and fasteners"), "")
	c.notes(noteBring)
	c.sub("takeoff", c.in("Material"), "")
	c.takeoff()
}

// takeoff is the material list.
func (c *composer) takeoff() {
	k := c.m.Takeoff
	t := document.Table{Columns: []document.Column{left(c.in("Item"), 1), right(c.in("Need"), 0), right(c.in("Waste"), 0), right(c.in("Buy"), 0)}, Total: k.Total != ""}
	priced := k.Priced && c.reader == document.Survey
	if priced {
		t.Columns = append(t.Columns, right(c.in("Price"), 0))
	}
	t.Columns = append(t.Columns, left(c.in("From"), 0.6))
	for _, i := range k.Rows {
		buy := c.bold(i.Buy)
		if i.Buy == "" {
			buy = c.soft(c.in("pack not set"))
		}
		cells := []document.Line{c.plain(i.Label), c.plain(i.Need), c.plain(i.Waste), buy}
		if priced {
			cells = append(cells, c.plain(i.Price))
		}
		t.Rows = append(t.Rows, row(append(cells, c.soft(i.From))...))
	}
	if t.Total = t.Total && priced; t.Total {
		total := c.in("Total of what has a price")
		if k.Unpriced > 0 {
			total += "; " + c.say("%s without", c.count(k.Unpriced, "line", "lines"))
		}
		t.Rows = append(t.Rows, row(c.bold(total), nil, nil, nil, c.bold(k.Total), nil))
	}
	t.Caption = spaced(c.plain(c.in("Need is exact; waste is added before whole packs are counted.")), c.from(k.Sources))
	c.table(t)
}
