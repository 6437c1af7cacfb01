package calc

import (
	"slices"
	"strconv"

	"undercroft/calc/words"
)

// fixtureSort is one answer to what a fixture, pipe or wiring is: its name in the input, its caution and, in "later" notes, what
// people come back to.
type fixtureSort struct {
	name   string
	label  string // as a crew says it
	text   string // two or three sentences, the first complete by itself
	source string
}

const (
	sourceDamp     = "NEC 410.10(A), and article 100 on damp locations"
	sourceMono     = "maker's instructions; " + noSource
	sourceAsked    = "asked for by the program; " + noSource
	sourceReach    = "NEC 314.29 (from memory)"
	sourceFanBox   = "NEC 314.27(C) (from memory)"
	sourceGFCI     = "NEC 210.8(A)(3) and 406.9(A) (numbers partly from memory)"
	sourceFuelLine = "fuel gas code; " + noSource
)

// fixtureSorts lists every sort that Obstruction.Sort may name. The last one stands for a fixture whose sort nobody gave.
func fixtureSorts() []fixtureSort {
	return []fixtureSort{
		{"light", "light", "A light below a deck is in a damp or wet place. Use one marked for it, with its box fixed to framing and its wires protected; " +
			"a licensed electrician moves or adds it.", sourceDamp},
		{"fan", "fan", "A fan needs its own brace and fan box, fixed to framing before the ceiling. It must be marked for damp or wet places; the ceiling carries " +
			"none of it. A licensed electrician hangs it.", sourceFanBox + "; " + sourceDamp},
		{"box", "junction box", "A junction box must stay reachable without taking the ceiling apart. Leave an opening with a cover, or have a licensed electrician move " +
			"the box.", sourceReach},
		{"heater", "heater", "A heater softens plastic and needs the clearance its maker gives, all round. Fix it to framing, keep the clearance to panels and carriers, " +
			"and let a licensed trade connect it.", sourceMono},
		{"flue", "flue or direct vent", "A flue or direct vent must not end above the ceiling: carbon monoxide would gather there and enter the house. Stop until a licensed " +
			"trade has taken it out to the open air, with the maker's clearances to panels and openings.", sourceMono},
		{"exhaust", "dryer or bath exhaust", "An exhaust must not end above the ceiling: moisture and lint would gather there. Have it led out to the open air by a licensed " +
			"trade before it is covered.", sourceMono},
		{"gas", "gas line", "A gas line is never moved, notched round or leaned on by this crew. Have a licensed trade test and move it before it is covered; keep its valve " +
			"reachable.", sourceFuelLine},
		{"condensate", "condensate line", "A condensate line must not drip onto the panels. Lead it down through the ceiling with a collar, or to the gutter, before it is covered.",
			noSource},
		{"pipe", "water pipe", "A water pipe above the ceiling must be sound, drained or kept from freezing, and its valves reachable. Look for leaks before it is covered.",
			noSource},
		{"leader", "downspout", "A downspout goes through with a cut-out, a collar and sealant, or is moved. It never empties onto the panels.", noSource},
		{"bib", "hose bib", "A hose bib must stay reachable, with its shut-off. Cut the panel round it with a collar, or move it before it is covered.", noSource},
		{"wiring", "wiring", "Wiring is moved and fastened by a licensed electrician before it is covered, never cut round live. Switch it off, lock it off and test it dead " +
			"before work near it.", sourceGFCI},
		{"condenser", "condenser below", "A condenser below the ceiling needs free air above it. Keep the distance its maker asks for, or have it moved by a licensed trade.",
			sourceMono},
		{"other", "fixture", "A fixture of a kind that nobody has named meets the ceiling. Say what it is before it is covered: its clearances and its trade depend on it.",
			sourceAsked},
	}
}

// sortOf is what an obstruction is as a fixture, by name; empty for framing hardware, posts and things that need no caution of
// their own. What nobody sorted is sorted by its kind, a fixture as "other".
func sortOf(o *Obstruction) string {
	switch {
	case o.Sort != "":
		return o.Sort
	case o.Kind == KindWiring:
		return "wiring"
	case o.Kind == KindPipe:
		return "pipe"
	case o.Kind == KindFixture:
		return "other"
	}
	return ""
}

// electric sorts call for the general caution about electricity.
func electric(sort string) bool {
	return slices.Contains([]string{"light", "fan", "box", "heater", "wiring", "condenser"}, sort)
}

// burns tells of sorts that may give off carbon monoxide.
func burns(sort string) bool { return slices.Contains([]string{"flue", "heater", "gas"}, sort) }

// judgeExhausts blocks flues and exhausts that would end above a zone's ceiling. Those that go on through it are not among them.
func (j *job) judgeExhausts(bays []*bay) {
	for i, t := range j.things {
		o := &j.in.Obstructions[i]
		if t.zone < 0 || o.Through || o.Sort != "flue" && o.Sort != "exhaust" {
			continue
		}
		text := words.Say("the flue or direct vent would end above the ceiling: it must be led out to the open air first")
		if o.Sort == "exhaust" {
			text = words.Say("the dryer or bath exhaust would end above the ceiling: it must be led out to the open air first")
		}
		j.block("exhaust-above", text, bays[t.zone].out.ID, o.ID)
	}
}

// Answers that the input takes for means and conditions.
const (
	meansLadder   = "ladder"
	meansScaffold = "scaffold"
	meansLift     = "lift"

	conditionHeat      = "heat-below"       // grill, fire pit or heater under the ceiling
	conditionHotTub    = "hot-tub"          // under the ceiling
	conditionCondenser = "condenser-below"  // under the ceiling
	conditionEdgeAbove = "edge-above"       // an open deck edge above the work
	conditionDrop      = "drop-beside"      // a retaining wall or stairwell beside the work
	conditionCeiling   = "existing-ceiling" // a ceiling is there already
	conditionMembrane  = "membrane"         // the deck boards lie on a membrane
)

func conditions() []string {
	return []string{conditionHeat, conditionHotTub, conditionCondenser, conditionEdgeAbove, conditionDrop, conditionCeiling, conditionMembrane}
}

// checkCare refuses means, conditions and sorts that are not in the lists.
func checkCare(in Input) error {
	if !slices.Contains([]string{"", meansLadder, meansScaffold, meansLift}, in.Means) {
		return faultf("means", "%q must be ladder, scaffold or lift", clip(in.Means))
	}
	for i, c := range in.Conditions {
		if !slices.Contains(conditions(), c) {
			return faultf(place("conditions", i), "%q is no condition", clip(c))
		}
		if slices.Index(in.Conditions, c) < i {
			return faultf(place("conditions", i), "%q is there twice", clip(c))
		}
	}
	known := map[string]bool{"": true}
	for _, s := range fixtureSorts() {
		known[s.name] = true
	}
	for i := range in.Obstructions {
		if name := in.Obstructions[i].Sort; !known[name] {
			return faultf(place("obstructions", i)+".sort", "%q is no sort of fixture", clip(name))
		}
	}
	return nil
}

// place is the path of a list's entry.
func place(list string, i int) string { return list + "[" + strconv.Itoa(i) + "]" }
