package survey

import (
	"fmt"
	"strconv"
	"strings"
)

// WalkStep is one question of the walk list. Facts are what is asked, Pins what is to be pinned on photos, Slots the photos that must be there. None
// is what to say when there is nothing to pin, empty where there is always something.
type WalkStep struct {
	Key, Place, Label, Say string
	Facts                  []WalkFact
	Pins                   []WalkPin
	None                   string
	Slots                  []WalkSlot
}

// WalkFact is one fact that a step asks for. Ready are answers that most decks have; a fact of type TypeChoice or TypeYesNo has its own. Needed facts
// must be said, not merely assumed, before the step is done. OnlyWall facts are asked of a side that is a wall; Title, where not empty, is the heading
// above this fact.
type WalkFact struct {
	Field
	Ready    []Option
	Title    string
	Needed   bool
	OnlyWall bool
}

// WalkPin is one sort of pin that a step wants. Fewer than Least leave the step open; with Least 0 the pin is worth having, no more. counts tells which
// pins of the kinds are of this sort, nil for all.
type WalkPin struct {
	Label  string
	Kinds  []PinKind
	Least  int
	counts func(Pin) bool
}

// WalkSlot is one view that must be among the photos.
type WalkSlot struct{ Key, Label string }

// The prefixes and endings of the walk list's own facts: the photo of a slot, a step that was put off, and a step with nothing to pin.
const (
	slotPrefix = "slot."
	walkPrefix = "walk."
	lateSuffix = ".later"
	noneSuffix = ".none"
)

// SlotKey is the key of the fact that holds the id of the photo that fills a slot. It is the id, not the number, because a photo that still waits on
// the phone has no number.
func SlotKey(slot string) string { return slotPrefix + slot }

// LaterKey is the key of the fact, "yes" or empty, that a step is put off; NoneKey of the fact that there is nothing to pin in it.
func LaterKey(step string) string { return walkPrefix + step + lateSuffix }

// NoneKey is the key of the fact, "yes" or empty, that somebody looked and there is nothing to pin in a step.
func NoneKey(step string) string { return walkPrefix + step + noneSuffix }

// WalkSteps are the questions in walking order: around the deck, then under it.
func WalkSteps(r Record) []WalkStep {
	steps := yardSteps(r)
	steps = append(steps, wallSteps(r)...)
	return append(steps, underSteps(r)...)
}

func yardSteps(r Record) []WalkStep {
	const place = "In the yard"
	return []WalkStep{
		{Key: "size", Place: place, Label: "Deck size", Say: "Tape along the house, then from the house to the outer edge.",
			Facts: []WalkFact{needed(r, "width"), needed(r, "projection")},
			Pins:  []WalkPin{{Label: "Taped lengths", Kinds: []PinKind{PinDimension}}}, Slots: []WalkSlot{{"yard", "the deck from the yard"}}},
		{Key: "ground", Place: place, Label: "Ground and access", Say: "What people stand on, and how far up it is.",
			Facts: []WalkFact{needed(r, "means")},
			Pins:  []WalkPin{{Label: "Clearance to the ground", Kinds: []PinKind{PinClearance}, Least: 1}}, Slots: []WalkSlot{{"ground", "the ground"}}},
		{Key: "water", Place: place, Label: "Where the water can go", Say: "The gutter's corner, the downspout, and any roof that drains onto the deck.",
			Pins: []WalkPin{{Label: "Where water can go", Kinds: []PinKind{PinWater}, Least: 1}}, Slots: []WalkSlot{{"gutter", "the gutter's corner"}}},
	}
}

func wallSteps(r Record) []WalkStep {
	const house = "House wall"
	surface := func(place string) []WalkPin {
		return []WalkPin{{Label: "Wall surface", Kinds: []PinKind{PinWall}, counts: onSidesAt(r, place)}}
	}
	facade := append(sideFacts(r, placeHouse), needed(r, "built_before_1978"))
	return []WalkStep{
		{Key: "right", Place: "Right end", Label: "Wall or open?", Say: "Right and left are as you face the house.", Facts: sideFacts(r, placeRight), Pins: surface(placeRight), Slots: []WalkSlot{{"right", "the right end"}}},
		{Key: "house", Place: house, Label: "House wall surface", Say: "What the ceiling's edge is fastened to.", Facts: facade, Pins: surface(placeHouse), Slots: []WalkSlot{{"house", "the house wall"}}},
		{Key: "openings", Place: house, Label: "Doors and windows", Say: "Their heads must stay below the ceiling, and doors must swing free.",
			Pins: []WalkPin{{Label: "Doors and windows", Kinds: []PinKind{PinOpening}, Least: 1}}, None: "No door and no window"},
		{Key: "onwall", Place: house, Label: "What is on the wall", Say: "Vents, bibs, lights, boxes, downspouts.",
			Pins: []WalkPin{{"Things on the wall", []PinKind{PinFixture}, 1, fixtureAt("wall")}}, None: "Nothing on the wall"},
		{Key: "left", Place: "Left end", Label: "Wall or open?", Say: "The left end, and the outer edge beside it.", Facts: sideFacts(r, placeLeft), Pins: surface(placeLeft), Slots: []WalkSlot{{"left", "the left end"}}},
	}
}

func underSteps(r Record) []WalkStep {
	const place = "Under the deck"
	stops := func(p Pin) bool { return p.Values["gap_to"] != "" || p.Values["set"] == "flush" }
	dropped := func(p Pin) bool { return p.Values["set"] == "dropped" }
	return []WalkStep{
		{Key: "joists", Place: place, Label: "How do the joists run?", Say: "Stand in the middle, back to the yard, and look up.", Facts: joistFacts(r),
			Slots: []WalkSlot{{"under.right", "right third"}, {"under.middle", "middle third"}, {"under.left", "left third"}}},
		{Key: "header", Place: place, Label: "Header or doubled joists", Say: "Where joists stop short, and at what.",
			Pins: []WalkPin{{"Headers", []PinKind{PinBeam}, 1, stops}}, None: "All joists run through"},
		{Key: "hangers", Place: place, Label: "Hangers and brackets", Say: "One pin for a row: size, and how far they hang below the joists.",
			Pins: []WalkPin{{Label: "Hangers and brackets", Kinds: []PinKind{PinHanger, PinBracket}, Least: 1}}, None: "Nothing hangs below the joists", Slots: []WalkSlot{{"ledger", "the ledger"}}},
		{Key: "beam", Place: place, Label: "Beam and posts", Say: "How deep the beam hangs, and where posts stand.",
			Pins: []WalkPin{{"Beams below the joists", []PinKind{PinBeam}, 1, dropped}, {Label: "Posts", Kinds: []PinKind{PinPost}}}, None: "No beam below the joists", Slots: []WalkSlot{{"post", "a post and the beam"}}},
		{Key: "level", Place: place, Label: "Are the joists level?", Say: "Points against one laser or string line: three at least, six show a sag.",
			Pins: []WalkPin{{Label: "Levels", Kinds: []PinKind{PinLevel}, Least: leastLevels}}},
		{Key: "overhead", Place: place, Label: "Lights, boxes, pipes overhead", Say: "What is there, what stays, what is planned.",
			Pins: []WalkPin{{"Things overhead", []PinKind{PinFixture}, 1, fixtureAt("ceiling")}}, None: "Nothing overhead"},
	}
}

// fixtureAt tells which fixtures are in one place.
func fixtureAt(at string) func(Pin) bool {
	return func(p Pin) bool { return p.Values["at"] == at }
}

// onSidesAt tells which wall pins name a side at one end of the deck.
func onSidesAt(r Record, place string) func(Pin) bool {
	list := sides(r)
	return func(p Pin) bool {
		i, err := strconv.Atoi(p.Values["edge"])
		return err == nil && i >= 0 && i < len(list) && sidePlace(list, i) == place
	}
}

// WalkFields are the fields of the walk list that Site and deck does not ask for.
func WalkFields(r Record) []Field {
	fields := walkJoistFields(r)
	for _, step := range WalkSteps(r) {
		fields = append(fields, Field{Key: LaterKey(step.Key), Label: step.Label + ": put off", Type: TypeYesNo})
		if step.None != "" {
			fields = append(fields, Field{Key: NoneKey(step.Key), Label: step.None, Type: TypeYesNo})
		}
		for _, slot := range step.Slots {
			fields = append(fields, Field{Key: SlotKey(slot.Key), Label: "Photo of " + slot.Label, Type: TypeText})
		}
	}
	return fields
}

// WalkRegion are the facts that come from the company's region: shown last, never asked on site.
func WalkRegion(s FactSet) []Resolved {
	var list []Resolved
	for _, key := range []string{"rain.inches_per_hour", "temperature.install", "temperature.min", "temperature.max", "joist.wood", "system"} {
		list = append(list, s.Get(key))
	}
	return list
}

// needed is a fact of the deck that a step cannot do without. A key that is no field of the deck is a mistake in the steps above.
func needed(r Record, key string) WalkFact {
	for _, f := range FactFields(r) {
		if f.Key == key {
			return WalkFact{Field: f, Ready: readyLengths(key), Needed: true}
		}
	}
	panic(fmt.Sprintf("the walk list asks for %q, which is no field of the deck", key))
}

// The ends of the deck, as one stands facing the house.
const (
	placeRight = "right"
	placeHouse = "house"
	placeLeft  = "left"
)

// sidePlace tells at which end side i is looked at. The outer edge is looked at from the left end, where the way around the deck comes back to it.
func sidePlace(list []Side, i int) string {
	low, high := list[0].From.X, list[0].From.X
	for _, s := range list {
		low, high = min(low, s.From.X), max(high, s.From.X)
	}
	s := list[i]
	switch {
	case s.atHouse:
		return placeHouse
	case low == high: // no size yet: a rectangle's sides in their order
		if i == 1 {
			return placeRight
		}
	case !s.along() && s.From.X+s.To.X > low+high:
		return placeRight
	}
	return placeLeft
}

// sideFacts ask about the sides at one end of the deck. The house's own side is a wall; of any other it is asked.
func sideFacts(r Record, place string) []WalkFact {
	var facts []WalkFact
	list := sides(r)
	for i, side := range list {
		if sidePlace(list, i) != place {
			continue
		}
		for _, f := range edgeFields(i, side) {
			switch fact := (WalkFact{Field: f, Needed: true}); {
			case strings.HasSuffix(f.Key, ".kind") && place != placeHouse:
				fact.Title = side.Label
				facts = append(facts, fact)
			case strings.HasSuffix(f.Key, ".surface"):
				fact.OnlyWall = place != placeHouse
				facts = append(facts, fact)
			case strings.HasSuffix(f.Key, ".wall_end") && place != placeHouse:
				fact.OnlyWall, fact.Needed = true, false
				facts = append(facts, fact)
			}
		}
	}
	return facts
}
