package report

import (
	"strings"

	"undercroft/calc/length"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// scope is what the homeowner reads and approves: plain words, and nothing that is the office's own. It takes what it says from closed lists of
// the model and from texts that were typed for it; no note, contact, place or camera of the survey comes into it.
func (c *composer) scope() {
	c.doc.Title = c.in("Scope of work")
	c.scopeCover()
	if c.m.Plan == nil {
		c.add(document.Block{Caution: &document.Caution{Weight: document.Stop, Word: c.in("Stop."), Head: c.in("No ceiling has been planned yet."), Body: c.plain(c.in("This is not a scope to approve. We will send one when the plan is made."))}})
		c.scopePhotos()
		return
	}
	for _, part := range []func(){c.scopePhotos, c.scopePlan, c.included, c.notIncluded, c.fixtures, c.repairs, c.before, c.pleaseKnow, c.care, c.price, c.terms, c.approval} {
		part()
	}
}

// typed are the lines that the office typed for one part of the scope.
func (c *composer) typed(key string) []document.Line {
	var lines []document.Line
	for _, l := range c.m.from.record.ScopeLines(key) {
		lines = append(lines, own(l))
	}
	return lines
}

func (c *composer) scopeCover() {
	k, site := c.opt.Company, c.m.Site
	c.add(document.Block{Heading: &document.Heading{Level: 1, Text: site.Title, Aside: c.doc.Title, ID: "top"}})
	c.text(document.Lead, c.plain(c.in("This says what will be built under the deck, what will not, and what you should know. Read it, ask what is unclear, and approve it only when it is right. Nothing starts before you approve.")))
	var list []document.Fact
	add := func(name string, lines ...document.Line) {
		if f := (document.Fact{Name: name, Value: cell(lines...).Lines}); len(f.Value) > 0 {
			list = append(list, f)
		}
	}
	add(c.in("Prepared for"), own(site.Client), own(site.Address))
	add(c.in("Prepared by"), own(k.Name), own(k.Address), own(k.Phone))
	add(c.in("License"), own(k.License))
	add(c.in("Visited"), c.plain(site.Visited))
	add(c.in("Deck"), c.plain(site.Size))
	add(c.in("Date"), c.plain(c.date(c.m.At)))
	c.facts(list...)
	if c.m.Plan != nil && c.m.Stops() > 0 {
		c.add(document.Block{Caution: &document.Caution{Weight: document.Stop, Word: c.in("Stop."), Head: c.in("This is not ready to approve."),
			Body: c.plain(c.in("Something must be settled first. We will tell you what, and send the scope again."))}})
	}
}

// scopePhotos are the photos with the fixtures on them numbered.
func (c *composer) scopePhotos() {
	if len(c.m.Photos) == 0 {
		return
	}
	c.part("photos", c.in("Your deck today"), "")
	for _, p := range c.m.Photos {
		p = onlyFixtures(p)
		caption := own(p.Caption)
		for _, pin := range p.Pins {
			caption = spaced(caption, c.soft(c.say("%d: %s.", pin.Number, lowered(pin.Label))))
		}
		c.photo(p, "photo-"+itoa(p.Number), photoOver(p, c.overWidth(p)), caption)
	}
}

// onlyFixtures is a photo with its fixtures and nothing else on it, and nothing that was noted about them.
func onlyFixtures(p PhotoSheet) PhotoSheet {
	out := p
	out.Pins, out.Original, out.Ceiling, out.Taken = nil, nil, nil, ""
	for i, pin := range p.Original {
		if pin.Kind == survey.PinFixture {
			pin.Note, pin.Values, pin.By = "", nil, ""
			out.Original = append(out.Original, pin)
			out.Pins = append(out.Pins, pinLine{Number: p.Pins[i].Number, Kind: pin.Kind, Label: p.Pins[i].Label})
		}
	}
	return out
}

// scopePlan is the plan in plain words and lines.
func (c *composer) scopePlan() {
	c.part("plan", c.in("The plan"), c.in("seen from above"))
	wide, narrow := c.plainPlan(desk), c.plainPlan(phone)
	if wide != nil {
		c.add(document.Block{Figure: &document.Figure{Drawing: wide, Narrow: narrow, Alt: join(". ", wide.Title, wide.Desc)}})
	}
	fall := length.Inches(c.m.Plan.FallPerFoot).Typeset()
	c.text(document.Plain, c.plain(c.say("The ceiling hangs below the joists and falls %s in every foot, so that water runs to the gutters.", fall)+" "+c.catches()))
}

// included is what will be built, by the plan and by what the office typed.
func (c *composer) included() {
	c.part("included", c.in("Included"), "")
	var l document.List
	add := func(text string) { l.Items = append(l.Items, c.plain(text)) }
	area, parts := 0.0, 0
	for _, z := range c.m.Plan.Zones {
		if len(z.Panels.Pieces) > 0 {
			area, parts = area+z.AreaFt2, parts+1
		}
	}
	add(c.say("A sloped ceiling that carries rain to the gutters: %s, in %s", decimal(area, 0)+"\u00a0ft²", c.count(parts, "part", "parts")))
	for _, text := range c.gutterLines() {
		add(text)
	}
	add(c.in("A channel along the high edge and the sides, with a bead of sealant along it"))
	for _, k := range c.m.CutOuts.Rows {
		add(c.say("An opening in the ceiling for: %s", lowered(k.Thing.Label)))
	}
	if lowest, known := c.m.Checks.lowest(); known && c.m.Checks.OverGround {
		add(c.say("The lowest point of the finished ceiling is %s over the ground", lowest.Typeset()))
	}
	l.Items = append(l.Items, c.typed(survey.ScopeIncluded)...)
	c.list(l)
	if finish := c.m.from.record.ScopeText(survey.ScopeFinish); finish != "" {
		c.facts(fact(c.in("Finish"), own(finish)))
	}
}

// gutterLines are the gutters by length and downspouts, those that are alike in one line.
func (c *composer) gutterLines() []string {
	type kind struct {
		length     string
		downspouts int
	}
	count := map[kind]int{}
	var order []kind
	for _, z := range c.m.Water.Columns {
		for _, g := range z.Lines {
			k := kind{g.Length.Typeset(), g.Downspouts}
			if count[k]++; count[k] == 1 {
				order = append(order, k)
			}
		}
	}
	var lines []string
	for _, k := range order {
		line := c.say("%s, %s long", c.count(count[k], "gutter", "gutters"), k.length)
		if count[k] > 1 {
			line = c.say("%s, each %s long", c.count(count[k], "gutter", "gutters"), k.length)
		}
		switch {
		case k.downspouts > 0 && count[k] > 1:
			line = c.say("%s with %s", line, c.count(k.downspouts, "downspout", "downspouts"))
		case k.downspouts > 0:
			line = c.say("%s, with %s", line, c.count(k.downspouts, "downspout", "downspouts"))
		}
		lines = append(lines, line)
	}
	return lines
}

// notIncluded is what others do, or nobody.
func (c *composer) notIncluded() {
	c.part("not-included", c.in("Not included"), "")
	l := document.List{Items: []document.Line{
		c.plain(c.in("Electrical, gas and plumbing work: that is for licensed trades")),
		c.plain(c.in("Repairs to the deck, its joists, ledger, hangers, flashing and boards, unless this scope names them")),
		c.plain(c.in("Drains in the ground, beyond the end of the downspouts")),
		c.plain(c.in("Painting and staining")),
	}}
	if len(c.m.from.ceiling.Input.Holes) > 0 {
		l.Items = append(l.Items, c.plain(c.in("The stair opening: it stays open")))
	}
	l.Items = append(l.Items, c.typed(survey.ScopeExcluded)...)
	c.list(l)
	c.text(document.Small, c.soft(c.in("What this scope does not name is not included.")))
}

// repairs are what is put right first, and who does it.
func (c *composer) repairs() {
	who := c.typed(survey.ScopeRepairs)
	var found []survey.CoverState
	for _, s := range survey.Covered(c.m.from.record, c.m.from.ceiling) {
		if s.Finding.Severity == survey.SeverityCheck && strings.HasPrefix(s.Key, "cover.") && s.Sort == "" {
			found = append(found, s)
		}
	}
	if len(who)+len(found) == 0 {
		return
	}
	c.part("repairs", c.in("Before it is covered"), "")
	for _, s := range found {
		head, body := cutSentence(c.textOf(s.Caution))
		if s.Answer == survey.AnswerNotSeen {
			head, body = c.say("%s: it could not be seen.", c.in(s.Label)), c.textOf(s.Caution)
		}
		c.add(document.Block{Caution: &document.Caution{Weight: document.Warn, Word: c.in("Check."), Head: head, Body: c.plain(body), Rule: c.deferring(s.Caution.Source)}})
	}
	if len(who) > 0 {
		c.sub("repairs-who", c.in("Repaired first, and by whom"), "")
		c.list(document.List{Items: who})
	} else {
		c.text(document.Plain, c.plain(c.in("Who looks at or repairs these, and when, is agreed before the work starts.")))
	}
}

// before is what the homeowner does before the day.
func (c *composer) before() {
	c.part("before", c.in("Please do before the day"), "")
	l := document.List{Boxes: true, Items: []document.Line{
		c.plain(c.in("Clear the space under the deck and the way to it.")),
		c.plain(c.in("Keep people and animals off the deck and out from under it while we work.")),
		c.plain(c.in("Show us an outlet and a water tap that we may use.")),
		c.plain(c.in("Tell us of cables, pipes and sprinklers that do not show.")),
	}}
	for _, f := range c.fixtureRows() {
		if f.state == "moved" || f.state == "planned" {
			l.Items = append(l.Items, c.plain(c.say("Agree with a licensed trade on the %s (%d): it comes before the ceiling.", lowered(f.label), f.number)))
		}
	}
	l.Items = append(l.Items, c.typed(survey.ScopeBefore)...)
	c.list(l)
}

// care is how to look after the ceiling and how panels come down.
func (c *composer) care() {
	c.part("care", c.in("Care, and how panels come down"), "")
	c.paragraphs(c.opt.Company.Care)
	c.notes(noteLater)
}

// paragraphs are texts of the contractor, as they were typed.
func (c *composer) paragraphs(text string) {
	for _, p := range strings.Split(text, "\n\n") {
		c.text(document.Plain, own(strings.TrimSpace(p)))
	}
}

// price is the price as typed, added up; what cannot be added up is printed without a total.
func (c *composer) price() {
	r := c.m.from.record
	lines, total, err := survey.PriceLines(r.ScopeText(survey.ScopePrice))
	if err != nil {
		c.part("price", c.in("Price"), "")
		c.list(document.List{Items: c.typed(survey.ScopePrice)})
		return
	}
	if len(lines) == 0 {
		return
	}
	c.part("price", c.in("Price"), "")
	t := document.Table{Columns: []document.Column{left(c.in("What"), 1), right(c.in("Amount"), 0)}, Total: true}
	for _, l := range lines {
		t.Rows = append(t.Rows, row(own(l.What), own(l.Amount)))
	}
	t.Rows = append(t.Rows, row(c.bold(c.in("Total")), c.bold(dollars(total))))
	if days := c.opt.Company.ValidDays; days > 0 {
		t.Caption = c.plain(c.say("Holds until %s.", c.date(c.m.At.AddDate(0, 0, days))))
	}
	t.Caption = spaced(t.Caption, own(r.ScopeText(survey.ScopePriceAt)))
	c.table(t)
}

// terms are the contractor's own.
func (c *composer) terms() {
	if c.opt.Company.Terms != "" {
		c.part("terms", c.in("Terms"), "")
		c.paragraphs(c.opt.Company.Terms)
	}
	if c.opt.Company.Cancellation != "" {
		c.part("cancellation", c.in("Cancellation"), "")
		c.paragraphs(c.opt.Company.Cancellation)
	}
}

// approval is the place to sign; there is none while something stops the job.
func (c *composer) approval() {
	if c.m.Stops() > 0 {
		return
	}
	c.part("approval", c.in("Approval"), "")
	c.add(document.Block{Sign: &document.Sign{Text: c.plain(c.in("I approve exactly what this scope says: the plan, what is included, what is not, and the price where one is given. A later change makes a new scope and asks me again.")),
		Lines: []string{c.in("Name"), c.in("Date"), c.in("Signature")}}})
}
