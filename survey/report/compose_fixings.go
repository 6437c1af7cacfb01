package report

import (
	"undercroft/survey/report/document"
)

// fixings say for each wall surface whether to drill first, with what, and what dust rules apply.
func (c *composer) fixings() {
	c.part("fixings", c.in("Fixings by wall surface"), c.in("pre-drilling"))
	for i, f := range c.m.Fixings {
		c.sub("fixing-"+itoa(i+1), capital(c.in(string(f.Surface))), "")
		drill := c.in("No")
		if f.PreDrill {
			drill = c.in("Yes")
		}
		first := c.bold(drill)
		if f.Bit != "" {
			first[0].Text += ":"
			first = spaced(first, c.plain(typographic(c.in(f.Bit))))
		}
		list := []document.Fact{fact(c.in("Drill first"), first)}
		if f.IntoWall == "" {
			list = append(list, fact(c.in("Into the wall"), spaced(c.bold(c.in("No")+"."), c.plain(c.in("Up into the framing only.")))))
		}
		for _, k := range []struct{ name, text string }{{c.in("Into the wall"), f.IntoWall}, {c.in("Fastener"), f.Fastener}, {c.in("Up into the framing"), f.UpIntoWood}, {c.in("Dust and eyes"), f.Protection},
			{c.in("Silica"), f.Silica}, {c.in("Lead"), f.Lead}, {c.in("Flashing and sealing"), f.Sealing}} {
			if k.text != "" {
				list = append(list, fact(k.name, c.plain(c.in(k.text))))
			}
		}
		if f.Source != "" {
			list = append(list, fact(c.in("Source"), c.soft(c.in(f.Source))))
		}
		c.facts(list...)
	}
	if len(c.m.Fixings) == 0 {
		c.text(document.Plain, c.plain(c.in("No wall: the channel goes up into rim and joists.")))
	}
	c.sheets(partChannel, nil)
}
