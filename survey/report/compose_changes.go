package report

import (
	"undercroft/survey/report/document"
)

// changed are the differences since the last issued revision as the document's reader may see them: a crew is told neither price nor the contractor's texts.
// Nothing while no revision was issued, and for the homeowner, who approves each revision as a whole.
func (c *composer) changed() []Difference {
	if c.opt.Last == nil || c.reader == document.Scope {
		return nil
	}
	d := &differ{voice: c.voice, old: *c.opt.Last, record: c.m.from.record}
	d.deck(c.m.from.ceiling)
	d.texts()
	if c.reader == document.Survey {
		d.price()
		d.company(c.opt.Last.Company, c.opt.Company)
	}
	return d.list
}

// changeNotice says on the cover whether something has changed since the last revision, and where that is listed.
func (c *composer) changeNotice() {
	if c.opt.Last == nil {
		return
	}
	name := c.say("Revision %d of %s", c.opt.Last.Number, c.date(c.opt.Last.At))
	n := len(c.changed())
	if n == 0 {
		c.facts(fact(c.in("Last issued"), spaced(c.plain(name+"."), c.plain(c.in("Nothing in this report has changed since.")))))
		return
	}
	c.add(document.Block{Caution: &document.Caution{Weight: document.Warn, Word: c.in("Check."), Head: c.say("Changed since the last issue: %s.", c.count(n, "line", "lines")),
		Body: document.Line{{Text: c.say("%s is superseded. Do not build from an older print.", name) + " "}, {Text: c.in("See what has changed."), To: "changed"}}}})
}

// changes lists what has changed since the last revision: the ceiling first, then what was measured, photos and texts.
func (c *composer) changes() {
	list := c.changed()
	if len(list) == 0 {
		return
	}
	c.part("changed", c.in("What has changed"), c.say("since revision %d of %s", c.opt.Last.Number, c.date(c.opt.Last.At)))
	t := document.Table{Columns: []document.Column{left(c.in("What"), 1), left(c.in("It was"), 1), left(c.in("It is now"), 1)}}
	for _, d := range list {
		now := c.bold(d.Now)
		if d.Now == "" {
			now = c.soft(c.in("gone"))
		}
		t.Rows = append(t.Rows, row(c.plain(d.What), c.soft(d.Was), now))
	}
	c.table(t)
}
