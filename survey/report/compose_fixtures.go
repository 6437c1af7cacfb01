package report

import (
	"slices"

	"undercroft/calc"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// fixtureRow is a fixture that is there, is moved or is planned. Its state is the answer of its pin: existing, moved or planned.
type fixtureRow struct {
	number       int
	label, state string
	at           string // ceiling, wall or ground
	through, cut bool   // goes down through the ceiling; gets an opening in it
}

// fixtureRows are the fixtures that pins show, each thing once.
func (c *composer) fixtureRows() []fixtureRow {
	r := c.m.from.record
	var rows []fixtureRow
	for _, p := range r.Pins {
		if p.Kind != survey.PinFixture || !r.OwnThing(p) {
			continue
		}
		fields := survey.PinFields(r, p.Kind)
		answer := func(key string) string {
			v, _ := p.Value(fields, key)
			return v.Choice
		}
		through, _ := p.Value(fields, "through")
		rows = append(rows, fixtureRow{number: p.Number, label: c.thingLabel(r, p.Number), state: answer("state"), at: answer("at"), through: through.Number == 1,
			cut: slices.ContainsFunc(c.m.CutOuts.Rows, func(k cutOutLine) bool { return k.Thing.Source.PinNumber == p.Number })})
	}
	return rows
}

// fixtures says of each fixture whether it is there, moved or planned, and what happens to it.
func (c *composer) fixtures() {
	rows := c.fixtureRows()
	if len(rows) == 0 {
		return
	}
	c.part("fixtures", c.in("Lights, vents, pipes and other fixtures"), "")
	t := document.Table{Columns: []document.Column{right(c.in("No."), 0), left(c.in("What"), 0.6), left(c.in("State"), 0.6), left(c.in("What happens to it"), 1)}}
	for _, f := range rows {
		t.Rows = append(t.Rows, row(c.plain(itoa(f.number)), c.bold(f.label), c.plain(c.fixtureState(f)), c.plain(c.fixtureFate(f))))
	}
	t.Caption = c.soft(c.in("The number is the one on the photo."))
	c.table(t)
}

func (c *composer) fixtureState(f fixtureRow) string {
	switch f.state {
	case "existing":
		return c.in("existing")
	case "moved":
		return c.in("to be moved")
	case "planned":
		return c.in("planned")
	}
	return c.in("not said")
}

func (c *composer) fixtureFate(f fixtureRow) string {
	switch {
	case f.state == "moved":
		return c.in("A licensed trade moves it before the ceiling is built.")
	case f.state == "planned" && f.cut:
		return c.in("A licensed trade puts it in; the ceiling gets an opening for it.")
	case f.state == "planned":
		return c.in("A licensed trade puts it in before the ceiling is built.")
	case f.through:
		return c.in("Stays and goes down through the ceiling, with a collar and sealant.")
	case f.cut:
		return c.in("Stays, in an opening of the ceiling.")
	case f.at == "ceiling":
		return c.in("Stays above the ceiling. How it is reached stands under care.")
	}
	return c.in("Stays where it is.")
}

// noSource is what the calculator says of a rule without a published source.
const noSource = "common practice, no source"

// homeNote is what a homeowner should know when one of some rules of the calculation applies.
type homeNote struct {
	rules      []string
	head, body string
}

// homeNotes are the notes for the homeowner, the most general first. Their words are our own; the rule behind each names its source.
func (c *composer) homeNotes() []homeNote {
	return []homeNote{
		{[]string{"what-it-catches"}, c.in("The ceiling catches rain that falls through the boards, and no more."), c.in("Wind-driven rain at open sides, condensation, splash and ice get past it. It is not the roof of a room.")},
		{[]string{"structure"}, c.in("The strength of the deck itself is not part of this scope."), c.in("For that, ask a licensed professional. Rot, rust and loose parts that we find are repaired before they are covered.")},
		{[]string{"rain"}, c.in("In a very heavy storm water may run over the front of the gutter."), c.say("The gutters are sized for a short storm of %s in/h; a heavier one is more than they carry.", c.m.Water.Intensity)},
		{[]string{"air"}, c.in("Gaps at the low edge stay open."), c.in("A closed underside needs air, or wet wood rots. Please do not have the gaps filled later.")},
		{[]string{"lead"}, c.in("Old paint is treated as lead until it is tested."), c.in("The house was built before 1978. Keep children and pregnant women away from the work and its dust until it is cleaned up.")},
		{[]string{"asbestos"}, c.in("Siding of this age may hold asbestos."), c.in("Nothing of it is drilled, sawn or broken before a laboratory has tested it.")},
		{[]string{"silica-drilling", "silica-sawing", "pre-drill-wall"}, c.in("Drilling the wall makes dust and noise."), c.in("Keep doors and windows to the deck shut while we work. The dust is collected at the tool and not swept.")},
		{[]string{"electrical", "fixture-light", "fixture-fan", "fixture-box", "fixture-wiring"}, c.in("Lights, fans, boxes and wires are work for a licensed electrician."), c.in("What is at the ceiling must be marked for damp or wet places, and boxes must stay in reach.")},
		{[]string{"carbon-monoxide", "fixture-flue", "fixture-gas"}, c.in("Nothing that burns fuel may end or leak above or below the ceiling."), c.in("Carbon monoxide kills without a smell. A licensed trade checks flue, clearances and openings; have an alarm in the house.")},
		{[]string{"fixture-exhaust"}, c.in("An exhaust must blow out freely, below the ceiling or past it."), c.in("Moisture and lint would gather above. A licensed trade leads it out where it does not.")},
		{[]string{"heat-below", "fixture-heater"}, c.in("Keep grills, fire pits and heaters out from under the ceiling."), c.in("Its plastic softens in heat. Keep the distance that both makers ask for.")},
		{[]string{"hot-tub"}, c.in("Steam of a hot tub meets the ceiling and drips."), c.in("Keep two sides or more open to the air.")},
		{[]string{"condenser-below", "fixture-condenser"}, c.in("The condenser below needs free height."), c.in("Its maker says how much; a licensed trade moves it if there is less.")},
		{[]string{"drains-to-house"}, c.in("The deck above drains toward the house."), c.in("The ceiling does not change that. Have flashing and boards at the wall looked at before they are covered.")},
		{[]string{"existing-ceiling"}, c.in("The old ceiling comes down before this plan is final."), c.in("It hides what holds the deck; what is found may change the plan, and then you are asked again.")},
		{[]string{"membrane"}, c.in("There is a membrane under the boards."), c.in("Screws are kept out of its reach, and its water must find a way out of its own.")},
	}
}

// pleaseKnow are the cautions that concern whoever lives there.
func (c *composer) pleaseKnow() {
	c.part("please-know", c.in("Please know"), "")
	for _, n := range c.homeNotes() {
		source, applies := c.sourceOf(n.rules)
		if !applies {
			continue
		}
		c.add(document.Block{Caution: &document.Caution{Weight: document.Note, Word: c.in("Note."), Head: n.head, Body: c.plain(n.body), Rule: c.deferring(source)}})
	}
	if n := len(c.m.Verify); n > 0 {
		c.add(document.Block{Caution: &document.Caution{Weight: document.Note, Word: c.in("Note."), Head: c.say("%s checked again on site before anything is cut.", c.count(n, "point is", "points are")),
			Body: c.plain(c.in("If one of them changes what this scope says, you get a new scope and are asked again."))}})
	}
}

// sourceOf is the source of the first of some rules that this deck touches.
func (c *composer) sourceOf(rules []string) (source string, applies bool) {
	for _, rule := range rules {
		i := slices.IndexFunc(c.m.Plan.Cautions, func(k calc.Caution) bool { return k.Rule == rule })
		if i >= 0 {
			return c.m.Plan.Cautions[i].Source, true
		}
	}
	return "", false
}

// deferring is the line under a note: what it rests on, and what comes before it.
func (c *composer) deferring(source string) document.Line {
	if source == noSource {
		return c.soft(c.in("Common practice. Local codes and licensed practice come first."))
	}
	return c.soft(c.say("Source: %s. Local codes and licensed practice come first.", c.in(source)))
}
