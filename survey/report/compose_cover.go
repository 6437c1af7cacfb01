package report

import (
	"undercroft/survey/report/document"
)

// cover is the head of a report for people at work: where, who, when, how one gets in, and the figures that size the job.
func (c *composer) cover() {
	m := c.m
	c.add(document.Block{Heading: &document.Heading{Level: 1, Text: m.Site.Title, Aside: c.doc.Title, ID: "top"}})
	var list []document.Fact
	typed := func(name, text string) {
		if text != "" {
			list = append(list, fact(name, own(text)))
		}
	}
	said := func(name, text string) {
		if text != "" {
			list = append(list, fact(name, c.plain(text)))
		}
	}
	typed(c.in("Address"), m.Site.Address)
	typed(c.in("Client"), m.Site.Client)
	typed(c.in("Contact"), m.Site.Contact)
	typed(c.in("Access"), m.Site.Access)
	typed(c.in("Surveyed by"), m.Site.Surveyor)
	said(c.in("Visited"), m.Site.Visited)
	said(c.in("Deck"), m.Site.Size)
	if m.System != "" {
		list = append(list, fact(c.in("System profile"), own(m.System), c.soft(c.confirmed())))
	}
	if m.Ready != "" {
		state := fact(c.in("State"), c.plain(m.Ready))
		if m.Although != "" {
			state.Value = append(state.Value, spaced(c.plain(c.in("Although:")), own(m.Although)))
		}
		list = append(list, state)
	}
	typed(c.in("Notes"), m.Site.Notes)
	typed(c.in("Contractor"), c.opt.Company.Name)
	said(c.in("Report made"), c.date(m.At))
	c.facts(list...)
	c.text(document.Small, c.soft(c.in("Lengths in feet, inches and sixteenths. Along is from the house’s left end as seen facing it, out is from the house. Nothing here is invented: what nobody said is missing or marked as assumed. Verify every length on site before cutting; follow local codes and licensed practice; structure is for a licensed professional.")))
	c.changeNotice()
	if m.Plan == nil {
		return
	}
	if n := m.Stops(); n > 0 {
		c.add(document.Block{Caution: &document.Caution{Weight: document.Stop, Word: c.in("Stop."), Head: c.in("Not to be built as it stands."),
			Body: document.Line{{Text: c.stopCount(n) + " "}, {Text: c.in("See the issues."), To: "issues"}}}})
	}
	c.keyFigures()
}

// confirmed says whether the profile's figures are the supplier's.
func (c *composer) confirmed() string {
	if c.m.Confirmed {
		return c.in("its figures are confirmed by the supplier")
	}
	return c.in("its figures are assumed until the supplier’s own are confirmed")
}

func (c *composer) stopCount(n int) string {
	if n == 1 {
		return c.in("1 issue stops the job.")
	}
	return c.say("%d issues stop the job.", n)
}

// keyFigures are the six figures that size the job.
func (c *composer) keyFigures() {
	var list []document.Fact
	for _, f := range c.m.Figures {
		list = append(list, fact(f.Label, c.bold(f.Value), c.from(f.Sources)))
	}
	c.facts(list...)
}

// noCeiling says why nothing was computed.
func (c *composer) noCeiling() {
	c.part("issues", c.in("No ceiling yet"), "")
	if c.m.Refusal != "" {
		c.add(document.Block{Caution: &document.Caution{Weight: document.Stop, Word: c.in("Stop."), Head: c.measured(c.m.Refusal),
			Body: c.plain(c.in("The calculation refused what it was given. Correct it under Site and deck, or on its pin."))}})
	} else {
		c.text(document.Plain, c.plain(c.in("Plan, furring, cuts and takeoff cannot be computed yet. Missing:")))
	}
	for _, f := range append(c.m.Missing[:len(c.m.Missing):len(c.m.Missing)], c.m.Issues...) {
		c.finding(f)
	}
}
