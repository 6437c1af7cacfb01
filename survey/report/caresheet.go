package report

import (
	"slices"

	"undercroft/calc"
	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// careSheet is what whoever lives there keeps: how to look after this ceiling, which panels come down for what, and what is dangerous. Its lists are common practice, no source,
// but for the ladder's, which name theirs.
func careSheet(m Model, in FinishingInput, lang words.Lang) document.Document {
	c := &composer{m: m.spoken(lang), voice: voice{lang}, opt: Options{Company: in.Company}, reader: document.Scope}
	c.doc.Title = c.in("Care sheet")
	k, s := in.Company, in.Record.Survey
	c.add(document.Block{Heading: &document.Heading{Level: 1, Text: s.Title, Aside: c.doc.Title, ID: "top"}})
	c.text(document.Lead, c.plain(c.in("How to look after the ceiling under your deck. Keep this with the papers of the house, and give it on with the house.")))
	var finished document.Line
	if !in.At.IsZero() {
		finished = c.plain(c.date(in.At))
	}
	c.facts(known(fact(c.in("Address"), cell(own(s.Address)).Lines...), fact(c.in("Built by"), cell(own(k.Name), own(k.Address), own(k.Phone)).Lines...), fact(c.in("Finished"), finished))...)
	for _, part := range []func(){c.careDoes, c.careSafety, c.careYear, c.careGutters, c.careService, c.careNever, c.careAfter, c.careOwn} {
		part()
	}
	return c.frame(s.Title, in.At)
}

// sentences is a list of texts of the program.
func (c *composer) sentences(texts ...string) {
	l := document.List{}
	for _, text := range texts {
		l.Items = append(l.Items, c.plain(text))
	}
	c.list(l)
}

// careDoes is what the ceiling does, and what else a person who lives with it should know: of the scope's notes those that stay true when it is built.
func (c *composer) careDoes() {
	c.part("does", c.in("What the ceiling does"), "")
	c.text(document.Plain, c.plain(c.catches()+" "+c.in("A drip, a stain or a panel that hangs lower than the others is a reason to call us. Stay out from under such a panel: it may hold water and come down.")))
	if c.m.Plan == nil {
		return
	}
	stays := []string{"rain", "air", "electrical", "carbon-monoxide", "fixture-exhaust", "heat-below", "hot-tub", "condenser-below"}
	for _, n := range c.homeNotes() {
		if source, applies := c.sourceOf(n.rules); applies && slices.Contains(stays, n.rules[0]) {
			c.add(document.Block{Caution: &document.Caution{Weight: document.Note, Word: c.in("Note."), Head: n.head, Body: c.plain(n.body), Rule: c.deferring(source)}})
		}
	}
}

// careYear is the work of a year.
func (c *composer) careYear() {
	c.part("year", c.in("Cleaning"), c.in("in spring and in fall"))
	c.sentences(
		c.in("Sweep the deck above, and clear the gaps between its boards: what falls through lies on the panels and holds water."),
		c.in("Take leaves and grit out of the gutter by hand, then rinse it from the far end with a garden hose until the water runs clear at the downspout."),
		c.in("Wash the panels from below by hand, with water, mild soap and a soft cloth. Rinse them."),
		c.in("Use no pressure washer, no steam, no solvent, no bleach and nothing that scratches: they open the seams and dull the surface."),
		c.in("Rinse the deck above before you clean it with anything strong, and keep stain, oil and deck cleaner from running through the boards."),
		c.in("Look along the sealant at the walls. Where it is torn or loose, call us: water behind it runs to the wall."),
	)
	c.text(document.Small, c.soft(c.in("Common practice. Local codes and licensed practice come first.")))
}

// careGutters says which gutter lies where, with its downspouts.
func (c *composer) careGutters() {
	c.part("gutters", c.in("Gutters and downspouts"), "")
	if c.m.Plan != nil {
		t := document.Table{Columns: []document.Column{left(c.in("Where"), 1), right(c.in("Length"), 0), right(c.in("Downspouts"), 0)}}
		for _, z := range c.m.Plan.Zones {
			for _, run := range z.Gutter.Lines {
				t.Rows = append(t.Rows, row(c.plain(c.gutterPlace(run)), c.bold(typeset(run.Length)), c.plain(itoa(run.Downspouts))))
			}
		}
		if len(t.Rows) > 0 {
			t.Caption = c.soft(c.in("Sides are named as one sees them standing below, facing the house."))
			c.table(t)
		}
	}
	c.sentences(
		c.in("See that each downspout carries water away from the house wall and from posts, and that its end is free."),
		c.in("A downspout that stands full is blocked. Stand to the side, off the ladder, and open its lowest joint slowly: the water comes out at once."),
		c.in("Leaf guards keep leaves out, not grit: a gutter with a guard is rinsed all the same."),
	)
}

// gutterPlace names the side of the deck along which a gutter runs, or where it runs when that is under the deck.
func (c *composer) gutterPlace(run calc.GutterRun) string {
	x, y := float64(run.P0.X+run.P1.X)/2, float64(run.P0.Y+run.P1.Y)/2
	if side, ok := survey.SideAt(c.m.from.record, x, y); ok {
		return c.in(side)
	}
	return c.say("under the deck, from %s to %s", c.planPoint(run.P0.X, run.P0.Y), c.planPoint(run.P1.X, run.P1.Y))
}

// careService is which panels come down for what, by the plan, and how.
func (c *composer) careService() {
	c.part("service", c.in("Panels that come down for service"), "")
	if c.m.Plan != nil {
		c.notes(noteLater)
	}
	c.sentences(
		c.in("Two people take panels down, each on a platform or a stepladder, never on a leaning ladder with both hands full. Power off at the breaker first, where lights, fans or boxes are near. Keep everybody else out from under them."),
		c.in("Number the panels on the upper side and put them back in their order and the same way round."),
		c.in("Water and dirt may lie on a panel: tip it slowly toward the gutter."),
		c.in("Sealant that is cut is made new. Without it water gets past the edge."),
		c.in("Carriers and channels stay: they are fastened into the deck. Ask us before one comes down."),
	)
	c.text(document.Small, c.soft(c.in("Panel and carrier numbers count from the left as the plan shows them.")))
}

// careNever is what is not done to it.
func (c *composer) careNever() {
	c.part("never", c.in("Do not"), "")
	c.sentences(
		c.in("Hang nothing from panels, seams, channels or gutter: no swing, hammock, plant, fan, heater or screen. What hangs is fastened to the framing, by somebody who knows what it carries."),
		c.in("Do not screw, drill, cut or paint the panels. Do not lay anything on them, and do not climb on them."),
		c.in("Do not close the gap at the low edge or the weep holes: water and air go out there."),
		c.in("Do not light a grill, a fire pit or a heater under the ceiling. Its plastic softens in heat and burns; keep the distance that the makers and the local fire code ask for."),
		c.in("Do not put new boards, screws or a hot tub on the deck without asking us: a screw through a carrier leaks, and load is for a licensed professional."),
	)
}

// careAfter is what to look at after storms, and in winter.
func (c *composer) careAfter() {
	c.part("after", c.in("After a storm, and in winter"), "")
	c.list(document.List{Boxes: true, Items: []document.Line{
		c.plain(c.in("From the ground: does a panel hang lower, stand open or rattle? Stay out from under it and call us; it may hold water.")),
		c.plain(c.in("Is the gutter straight and tight, and does water come out at each downspout?")),
		c.plain(c.in("Are branches, hail or boards lying on the deck above? Clear them.")),
		c.plain(c.in("After wind: have panels slid out of a channel at a side?")),
		c.plain(c.in("After snow: shovel the deck with a plastic shovel, and leave ice on gutter and panels to melt. Knock nothing off, pour no hot water and use no salt that rusts fasteners.")),
		c.plain(c.in("Icicles fall from the gutter: keep people out from below.")),
		c.plain(c.in("In spring: look for cracked panels, and for gaps where they have shrunk in the cold and not come back.")),
	}})
}

// careSafety are the dangers of looking after it.
func (c *composer) careSafety() {
	c.part("safety", c.in("Ladders and electricity"), "")
	for _, k := range []struct{ head, body, source string }{
		{c.in("People fall from low ladders, too."), c.in("Work from the ground where you can. Set a leaning ladder on firm level ground, its base out a quarter of its working length; open a stepladder fully and do not stand on its top or top step. Lean it on no gutter. Somebody holds it."),
			"29 CFR 1926.1053(b)(5)(i), (b)(13)"},
		{c.in("Water and electricity kill."), c.in("Before you rinse or take a panel down near lights, fans, boxes or outlets, switch them off at the breaker. Work on them is for a licensed electrician. Keep metal ladders and poles away from power lines."), noSource},
		{c.in("Work on the ceiling in no wind, frost or thunderstorm."), c.in("Wear gloves and glasses: grit and edges lie above."), noSource},
	} {
		c.add(document.Block{Caution: &document.Caution{Weight: document.Warn, Word: c.in("Check."), Head: k.head, Body: c.plain(k.body), Rule: c.deferring(k.source)}})
	}
}

// careOwn is what the contractor says, as it was typed.
func (c *composer) careOwn() {
	if c.opt.Company.Care == "" {
		return
	}
	c.part("own", c.in("From your contractor"), "")
	c.paragraphs(c.opt.Company.Care)
}
