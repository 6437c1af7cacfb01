package report

import (
	"undercroft/calc"
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// plan is the plan to scale.
func (c *composer) plan() {
	c.part("plan", c.in("Plan"), c.in("house at the top"))
	c.sheets(partPlan, c.figure(planFigure))
}

// sectionDrawing is the section along the fall.
func (c *composer) sectionDrawing() {
	c.part("section", c.in("Section along the fall"), "")
	c.sheets(partSection, c.figure(sectionFigure))
}

// figure draws one for a narrow screen; nil when it cannot be drawn, since the tables say the same.
func (c *composer) figure(of func(drawnJob, calc.Input, calc.Plan, figureSize) (*draw.Drawing, error)) *draw.Drawing {
	from := c.m.from
	d, err := of(c.jobOf(from.record, from.ceiling, thingsOf(from.record, from.ceiling.Assembly, from.links)), from.ceiling.Input, *c.m.Plan, phone)
	if err != nil {
		return nil
	}
	return d
}

// drawSheets draws the whole set, by part; none when it cannot be drawn.
func (c *composer) drawSheets() map[sheetPart][]*draw.Drawing {
	from := c.m.from
	parts, err := sheetParts(c.jobOf(from.record, from.ceiling, thingsOf(from.record, from.ceiling.Assembly, from.links)), from.ceiling.Input, *c.m.Plan)
	if err != nil {
		return nil
	}
	return parts
}

// sheets puts the whole sheets of a part, and says which they are, since on paper they stand after the page that speaks of them; on a narrow screen the first shows the
// other drawing instead, where there is one.
func (c *composer) sheets(part sheetPart, narrow *draw.Drawing) {
	if c.drawn == nil {
		c.drawn = c.drawSheets()
	}
	before, all := 0, 0
	for _, p := range sheetOrder() {
		if all += len(c.drawn[p]); p == part {
			before = all - len(c.drawn[p])
		}
	}
	if part != partPlan && part != partSection { // theirs have the section's heading on them
		c.sheetNames(c.drawn[part], before, all)
	}
	for i, d := range c.drawn[part] {
		f := document.Figure{ID: sheetID(before + i + 1), Drawing: d, Alt: join(". ", d.Title, d.Desc), Sheet: true}
		if i == 0 {
			f.Narrow = narrow
		}
		c.add(document.Block{Figure: &f})
	}
}

func sheetID(n int) string { return "sheet-" + itoa(n) }

// sheetNames names the sheets that a section has, each leading to its own.
func (c *composer) sheetNames(sheets []*draw.Drawing, before, all int) {
	var line document.Line
	for i, d := range sheets {
		line = spaced(line, document.Line{{Text: c.say("Drawn to scale on sheet %d of %d: %s.", before+i+1, all, d.Title), To: sheetID(before + i + 1)}})
	}
	c.text(document.Plain, line)
}
