package survey

import (
	"fmt"
	"math"

	"undercroft/calc/length"
)

// The facts by which joists are counted: how far the first one is from the right end, or from the house where joists run along it, and how many
// somebody has counted between the rims.
const (
	FirstJoist = "joist.first"
	JoistCount = "joist.count"
)

// lumber is the thickness of dressed two-inch lumber, of which joists and rims are taken to be (American Softwood Lumber Standard PS 20, from memory).
const lumber length.Inches = 1.5

func walkJoistFields(r Record) []Field {
	from := "right end"
	if runsAlong(r) {
		from = "house"
	}
	return []Field{
		{Key: FirstJoist, Label: "First joist from the " + from, Hint: "to its middle", Group: "Joists", Type: TypeLength, Likely: likelyFirst()},
		{Key: JoistCount, Label: "Joists counted", Hint: "between the two rims", Group: "Joists", Type: TypeCount},
	}
}

func joistFacts(r Record) []WalkFact {
	own := walkJoistFields(r)
	return []WalkFact{
		needed(r, "joist.direction"), needed(r, "joist.spacing"), needed(r, "joist.depth"),
		{Field: own[0], Ready: readyLengths(FirstJoist), Needed: true}, {Field: own[1]},
	}
}

// readyLengths are the lengths that most decks have. Spacings are those of the span tables of IRC R507.6, depths the dressed ones of 2x8, 2x10 and 2x12
// of PS 20 (both from memory); for the first joist, common practice, no source.
func readyLengths(key string) []Option {
	switch key {
	case "joist.spacing":
		return []Option{{"12", "12″"}, {"16", "16″"}, {"24", "24″"}}
	case "joist.depth":
		return []Option{{"7 1/4", "7 1/4″"}, {"9 1/4", "9 1/4″"}, {"11 1/4", "11 1/4″"}}
	case FirstJoist:
		return []Option{{"12", "12″"}, {"16", "16″"}}
	}
	return nil
}

// runsAlong tells whether the joists run along the house.
func runsAlong(r Record) bool { return walkFact(r, "joist.direction").Value.Choice == "x" }

// walkFact resolves a fact of the deck or of the walk list.
func walkFact(r Record, key string) Resolved {
	for _, f := range FactFields(r) {
		if f.Key == key {
			return resolve(r, f)
		}
	}
	return Resolved{State: FactMissing}
}

// JoistsThatFit counts the joists between two rims, across being the deck's size across the joists, from the outer face of one rim to that of the
// other: one at first, and one every spacing as long as it clears the other rim. 0 when nothing fits or a size is not positive.
func JoistsThatFit(across, first, spacing length.Inches) int {
	room := across - lumber - lumber/2 - first
	if first <= 0 || spacing <= 0 || room < 0 {
		return 0
	}
	return int(math.Floor(float64(room/spacing)+1e-9)) + 1
}

// JoistSum is what the answers about the joists come to. Count is 0 when they are not complete. Counted is what somebody counted, 0 for nobody has;
// Differs tells that it is not the same.
type JoistSum struct {
	Count, Counted int
	Across         length.Inches
	Words          string // "21 joists and two rims fit 28′ 4″."
	Differs        bool
}

// SumJoists adds up the joists of the rectangle of width and projection. Decks with other corners, and surveys without all four answers, have no sum.
func SumJoists(r Record) JoistSum {
	key := "width"
	if runsAlong(r) {
		key = "projection"
	}
	own := walkJoistFields(r)
	across, spacing, first, counted := walkFact(r, key), walkFact(r, "joist.spacing"), resolve(r, own[0]), resolve(r, own[1])
	if !across.Known() || !spacing.Known() || !first.Known() || !isPlainRectangle(corners(r)) {
		return JoistSum{}
	}
	sum := JoistSum{Across: across.Value.Inches(), Counted: int(counted.Value.Number)}
	sum.Count = JoistsThatFit(sum.Across, first.Value.Inches(), spacing.Value.Inches())
	sum.Words = fmt.Sprintf("%d joists and two rims fit %s.", sum.Count, sum.Across.Typeset())
	sum.Differs = sum.Counted > 0 && sum.Counted != sum.Count
	return sum
}
