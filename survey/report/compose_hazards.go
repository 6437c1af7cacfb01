package report

import (
	"strings"

	"undercroft/survey/report/document"
)

// hazards are the cautions that this deck calls up, people at height first: each with what triggered it, its rule and its source.
func (c *composer) hazards() {
	c.part("hazards", c.in("Hazards and cautions"), c.count(len(c.m.Cautions), "caution", "cautions"))
	if c.m.Lead != "" {
		c.text(document.Plain, c.soft(c.in("For each of them:")+" "+c.m.Lead))
	}
	for _, f := range c.m.Cautions {
		c.finding(f)
	}
	if len(c.m.Cautions) == 0 {
		c.text(document.Plain, c.plain(c.in("The calculation raised none. Follow local codes and licensed practice all the same.")))
	}
}

// finding is a caution, an issue or a doubt; the places that it is about follow its rule.
func (c *composer) finding(f Finding) {
	rule := c.soft(f.Rule)
	for _, a := range f.Actions {
		if to, within := strings.CutPrefix(a.Href, "#"); within {
			rule = spaced(rule, document.Line{{Text: a.Label, Soft: true, To: to}})
		}
	}
	c.add(document.Block{Caution: &document.Caution{Weight: document.Weight(f.Weight), Word: f.Word, Head: c.measured(f.Head), Body: c.plain(f.Body), Rule: rule}})
}

// covered is what was answered about what the ceiling will hide.
func (c *composer) covered() {
	c.part("cover", c.in("What will be covered"), "")
	for _, f := range c.m.Cover.Findings {
		c.finding(f)
	}
	var list []document.Fact
	if c.m.Cover.None != "" {
		list = append(list, fact(c.in("Looked for and not found"), c.plain(c.m.Cover.None)))
	}
	if c.m.Cover.Open != "" {
		list = append(list, fact(c.in("Nobody has answered"), c.plain(c.m.Cover.Open+". "+c.in("Look before it is covered."))))
	}
	c.facts(list...)
}

// issues are the calculation's findings about the deck and the survey's own doubts.
func (c *composer) issues() {
	c.part("issues", c.in("Issues"), c.m.Counts())
	for _, f := range c.m.Issues {
		c.finding(f)
	}
	if len(c.m.Issues) == 0 {
		c.text(document.Plain, document.Line{{Text: c.in("The calculation found none.") + " "}, {Text: c.in("What must be verified on site stands near the end."), To: "verify"}})
	}
}
