package report

import (
	"undercroft/survey/report/document"
)

// assumed is what nobody said: facts by their default, and the profile's own figures.
func (c *composer) assumed() {
	c.part("assumed", c.in("Assumed"), c.in("nobody said otherwise"))
	if len(c.m.Assumed) == 0 {
		c.text(document.Plain, c.plain(c.in("Every fact of the deck was typed or taped.")))
	} else {
		c.factTable(c.m.Assumed)
	}
	c.sub("profile", c.in("Figures of the profile"), "")
	var list []document.Fact
	for _, f := range c.m.Profile {
		list = append(list, fact(f.Label, c.bold(f.Value)))
	}
	c.facts(list...)
	if len(c.m.Profile) > 0 {
		c.text(document.Small, spaced(c.soft(c.in("Worked examples from common practice until the supplier’s own figures replace them.")), c.from(c.m.Profile[0].Sources)))
	}
}

// known is what is known while nothing can be computed.
func (c *composer) known() {
	c.part("known", c.in("What is known"), "")
	if len(c.m.Facts) == 0 {
		c.text(document.Plain, c.plain(c.in("Nothing was typed or taped yet.")))
		return
	}
	c.factTable(c.m.Facts)
}

// sources say where each number came from.
func (c *composer) sources() {
	c.part("sources", c.in("Where each number came from"), "")
	c.factTable(c.m.Facts)
	c.planes()
}

// factTable lists facts under the headings of their groups.
func (c *composer) factTable(list []factLine) {
	t := document.Table{Columns: []document.Column{left(c.in("Fact"), 1), left(c.in("Value"), 1), left(c.in("Source"), 1)}}
	group := ""
	for _, f := range list {
		if f.Group != group {
			group = f.Group
			t.Rows = append(t.Rows, row(c.bold(group), nil, nil))
		}
		value := cell(c.bold(f.Value))
		if f.Value == "" {
			value = cell(c.bold(c.in("to be settled")))
		}
		for _, o := range f.Others {
			value.Lines = append(value.Lines, spaced(c.soft(o.Value), c.from(o.Sources)))
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{cell(c.plain(f.Label)), value, cell(c.from(f.Sources))}})
	}
	c.table(t)
}

// planes is what the photos' geometry rests on.
func (c *composer) planes() {
	if len(c.m.Planes) == 0 {
		return
	}
	c.sub("geometry", c.in("Geometry of the photos"), "")
	t := document.Table{Columns: []document.Column{right(c.in("Photo"), 0), left(c.in("References"), 1), left(c.in("Worst is off by"), 1), left(c.in("The camera stood at"), 1), left(c.in("Below the joists"), 0.6)},
		Caption: c.plain(c.in("Pins without a typed place are located through these references, on the plane of the joists’ bottoms; what hangs below it is set back by the camera’s place. ± is 95 %."))}
	for _, p := range c.m.Planes {
		off := cell(c.plain(dash(p.Residual)))
		for _, d := range p.Doubts {
			off.Lines = append(off.Lines, c.soft(d))
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{cell(document.Line{{Text: itoa(p.Number), To: "photo-" + itoa(p.Number)}}), cell(c.plain(itoa(p.References)), c.from(p.Sources)), off,
			cell(c.plain(dash(p.Camera))), cell(c.plain(dash(p.Below)))}})
	}
	c.table(t)
}

// dash stands for what is not known.
func dash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// methods say how the figures were computed, by the numbers that sources name.
func (c *composer) methods() {
	c.part("methods", c.in("How the figures were computed"), "")
	t := document.Table{Columns: []document.Column{right(c.in("Rule"), 0), left(c.in("What it does"), 1)}}
	for _, m := range c.m.Methods {
		t.Rows = append(t.Rows, document.Row{ID: "rule-" + itoa(m.Number), Cells: []document.Cell{cell(c.bold(itoa(m.Number))),
			cell(spaced(c.bold(m.Name+"."), c.plain(m.Text)), c.soft(c.say("Source: %s.", m.Source)))}})
	}
	c.table(t)
}
