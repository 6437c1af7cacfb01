package report

import (
	"undercroft/survey/report/document"
)

// changed are the differences since an issued revision as the document's reader may see them: a crew is told neither price nor the contractor's texts.
// Nothing since none, and for the homeowner, who approves each revision as a whole.
func (c *composer) changed(since *Content) []Difference {
	if since == nil || c.reader == document.Scope {
		return nil
	}
	d := &differ{voice: c.voice, old: *since, record: c.m.from.record}
	d.deck(c.m.from.ceiling)
	d.texts()
	if c.reader == document.Survey {
		d.price()
		d.company(since.Company, c.opt.Company)
	}
	return d.list
}

// changeNotice says on the cover whether something has changed since the last revision, and where that is listed.
func (c *composer) changeNotice() {
	c.approvalNotice()
	if c.opt.Last == nil {
		return
	}
	name := c.say("Revision %d of %s", c.opt.Last.Number, c.date(c.opt.Last.At))
	n := len(c.changed(c.opt.Last))
	if n == 0 {
		c.facts(fact(c.in("Last issued"), spaced(c.plain(name+"."), c.plain(c.in("Nothing in this report has changed since.")))))
		return
	}
	c.add(document.Block{Caution: &document.Caution{Weight: document.Warn, Word: c.in("Check."), Head: c.say("Changed since the last issue: %s.", c.count(n, "line", "lines")),
		Body: document.Line{{Text: c.say("%s is superseded. Do not build from an older print.", name) + " "}, {Text: c.in("See what has changed."), To: "changed"}}}})
}

// changes lists what has changed since the last revision: the ceiling first, then what was measured, photos and texts.
func (c *composer) changes() {
	if list := c.changed(c.opt.Last); len(list) > 0 {
		c.part("changed", c.in("What has changed"), c.say("since revision %d of %s", c.opt.Last.Number, c.date(c.opt.Last.At)))
		c.differences(list)
	}
	if list := c.changed(c.opt.Approved); len(list) > 0 && !c.approvedLast() {
		c.part("changed-approved", c.in("What has changed since the approval"), c.say("since revision %d of %s", c.opt.Approved.Number, c.date(c.opt.Approved.At)))
		c.differences(list)
	}
}

// approvedLast tells whether the last revision is the one that the homeowner approved: then one list says both.
func (c *composer) approvedLast() bool {
	return c.opt.Last != nil && c.opt.Approved != nil && c.opt.Last.Number == c.opt.Approved.Number
}

// approvalNotice says on the cover which revision the homeowner has approved, and whether what is built now is another.
func (c *composer) approvalNotice() {
	if c.opt.Approved == nil {
		return
	}
	name := c.say("Revision %d of %s", c.opt.Approved.Number, c.date(c.opt.Approved.At))
	n := len(c.changed(c.opt.Approved))
	if n == 0 {
		c.facts(fact(c.in("Approved by the homeowner"), spaced(c.plain(name+"."), c.plain(c.in("Nothing in this report has changed since it was approved.")))))
		return
	}
	to := "changed-approved"
	if c.approvedLast() {
		to = "changed"
	}
	c.add(document.Block{Caution: &document.Caution{Weight: document.Warn, Word: c.in("Check."), Head: c.say("Changed since the homeowner's approval: %s.", c.count(n, "line", "lines")),
		Body: document.Line{{Text: c.say("%s was approved. What is built now needs a new approval.", name) + " "}, {Text: c.in("See what has changed."), To: to}}}})
}

// differences is the table of what was and what is now.
func (c *composer) differences(list []Difference) {
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
