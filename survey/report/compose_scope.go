package report

import "undercroft/survey/report/document"

// scope is what the homeowner reads and approves.
func (c *composer) scope() {
	c.doc.Title = c.in("Scope of work")
	c.add(document.Block{Heading: &document.Heading{Level: 1, Text: c.m.Site.Title, Aside: c.doc.Title, ID: "top"}})
}

// office is what only the office reads.
func (c *composer) office() {}
