package survey

import (
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/words"
)

// The answers to a question about what the ceiling will cover. Nobody having answered is none of them.
const (
	AnswerYes     = "yes"      // there is something
	AnswerNo      = "no"       // somebody looked: there is nothing
	AnswerNotSeen = "not-seen" // nobody could look
)

// CoverQuestion is one question about what the ceiling will cover or what is about it. Yes always means that there is something. Key is the
// fact that holds the answer; the fact Key + ".photo" holds the number of a photo that shows it. Caution says what must be done before it is
// covered. Sort is the sort of fixture pin that shows the same thing, empty for none.
type CoverQuestion struct {
	Key, Group, Label, Hint string
	Caution                 calc.Caution
	Sort                    string
}

// vents tells of what must not end above the ceiling.
func (q CoverQuestion) vents() bool { return q.Sort == "flue" || q.Sort == "exhaust" }

// coverPrefix starts the keys of answers that the calculator does not need; photoSuffix ends the key of an answer's photo.
const (
	coverPrefix = "cover."
	photoSuffix = ".photo"
)

// The groups of questions, as their headings.
const (
	groupAir   = "Air, gas and heat"
	groupFrame = "Ledger and framing"
	groupDeck  = "On and in the deck"
	groupPlace = "At the place of work"
)

// What the framing's cautions rest on. The section numbers of the IRC are from memory.
const (
	sourceFlashing = "IRC R507.2.4 and R703.4, flashing (from memory)"
	sourceLedger   = "IRC R507.9, ledgers and their fasteners (from memory)"
	sourceHangers  = "hanger maker's instructions; IRC R507.2.3, fasteners and connectors (from memory)"
	sourceGuards   = "IRC R301.5, loads on guards (from memory)"
	sourceWood     = "IRC R317, protection of wood against decay (from memory)"
	sourceCommon   = "common practice, no source"
)

// CoverQuestions lists the questions by group, in the order of the page.
func CoverQuestions() []CoverQuestion {
	return []CoverQuestion{
		fixtureQuestion("flue", "flue", "Flue or direct vent under or at the deck", "furnace, water heater, stove"),
		fixtureQuestion("exhaust", "exhaust", "Exhaust that ends under the deck", "clothes dryer, bath, range hood"),
		fixtureQuestion("gas", "gas", "Gas pipe, meter or regulator", "its shut-off must stay in reach"),
		fixtureQuestion("condensate", "condensate", "Condensate or drain line", "air conditioner, water heater pan"),
		conditionQuestion("condenser-below", groupAir, "Condenser or heat pump below", "it blows warm air upward"),
		conditionQuestion("heat-below", groupAir, "Grill, fire pit or heater below", "planned ones too"),
		conditionQuestion("hot-tub", groupAir, "Hot tub below", "planned ones too"),

		frameQuestion("ledger-flashing", "Ledger flashing missing or doubtful", "from below and, if you can, from above", sourceFlashing,
			"Water behind the ledger rots what holds the deck. Have the flashing put right before the ceiling hides it, and photograph it."),
		frameQuestion("ledger-fasteners", "Ledger fasteners loose or missing", "bolts or structural screws, two rows; nails alone are not enough", sourceLedger,
			"A ledger without sound fasteners can come off the wall with the whole deck. Keep people off and from under it until a licensed professional has had it fastened."),
		frameQuestion("rot", "Rot or soft wood", "joist ends, ledger, beam, posts: press with a key", sourceWood,
			"Rotten wood holds neither the deck nor screws. It is replaced before the ceiling, not after; find the water that did it."),
		frameQuestion("hangers", "Hangers rusted, loose or short of nails", "the ceiling hides them", sourceHangers,
			"Hangers are put right before they are hidden. Who replaces them, and when, belongs in the scope."),
		frameQuestion("guard-posts", "Guard posts loose, or fastened in what is covered", "their bolts must stay in reach", sourceGuards,
			"A loose guard lets people fall. Have its posts fastened before the ceiling closes the joists, and keep the bolts in reach."),

		deckQuestion("board-gaps", "Board gaps closed, or wide", "closed ones hold water, wide ones let leaves through",
			"What comes through the gaps lands on the ceiling. Clear or renew the boards first; the ceiling must be reachable for cleaning."),
		conditionQuestion("membrane", groupDeck, "Membrane under the boards", "above, between or under the joists"),
		boxQuestion(),
		conditionQuestion("existing-ceiling", groupDeck, "A ceiling is there already", "it hides what holds the deck"),

		conditionQuestion("edge-above", groupPlace, "Open deck edge above the work", "no guard, or a guard taken down"),
		conditionQuestion("drop-beside", groupPlace, "Retaining wall or stairwell beside it", "somebody could fall from the work"),
	}
}

func fixtureQuestion(name, sort, label, hint string) CoverQuestion {
	caution, _ := calc.CautionAbout(sort)
	return CoverQuestion{coverPrefix + name, groupAir, label, hint, caution, sort}
}

func boxQuestion() CoverQuestion {
	q := fixtureQuestion("junction-boxes", "box", "Junction boxes or wiring that the ceiling closes in", "a box must stay in reach")
	q.Group = groupDeck
	return q
}

func conditionQuestion(condition, group, label, hint string) CoverQuestion {
	caution, _ := calc.CautionAbout(condition)
	sort := ""
	if condition == "condenser-below" {
		sort = "condenser"
	}
	return CoverQuestion{conditionPrefix + condition, group, label, hint, caution, sort}
}

func frameQuestion(name, label, hint, source, text string) CoverQuestion {
	said := words.Join(" ", words.Say(text), words.Say("Structure is for a licensed professional; local code comes first."))
	return CoverQuestion{coverPrefix + name, groupFrame, label, hint, calc.Caution{Rule: "cover-" + name, Text: said.String(), Source: source, Said: said}, ""}
}

func deckQuestion(name, label, hint, text string) CoverQuestion {
	said := words.Join(" ", words.Say(text), words.Say("Local code comes first."))
	return CoverQuestion{coverPrefix + name, groupDeck, label, hint, calc.Caution{Rule: "cover-" + name, Text: said.String(), Source: sourceCommon, Said: said}, ""}
}

// answers are the answers with their labels.
func answers() []Option {
	return []Option{{AnswerYes, "Yes"}, {AnswerNo, "No"}, {AnswerNotSeen, "Not seen"}}
}

// CoverFields are the fields of the page: for each question its answer, then the photo that shows it.
func CoverFields(r Record) []Field {
	var photos []Option
	for _, p := range r.Photos {
		photos = append(photos, Option{strconv.Itoa(p.Number), strings.TrimSuffix("Photo "+strconv.Itoa(p.Number)+": "+p.Caption, ": ")})
	}
	var fields []Field
	for _, q := range CoverQuestions() {
		fields = append(fields, Field{Key: q.Key, Label: q.Label, Hint: q.Hint, Group: q.Group, Type: TypeChoice, Options: answers()},
			Field{Key: q.Key + photoSuffix, Label: "Photo that shows it", Group: q.Group, Type: TypeChoice, Options: photos})
	}
	return fields
}
