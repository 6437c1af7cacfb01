package survey

import (
	"math"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// The facts that tell whether a deck of four sides is square: what was taped besides width and projection. Left and right are as seen facing the house.
const (
	rimKey         = "square.rim"
	leftKey        = "square.left"
	middleKey      = "square.middle"
	rightKey       = "square.right"
	diagonalOut    = "square.diagonal-out"  // from the house's left end to the outer right corner
	diagonalIn     = "square.diagonal-home" // from the house's right end to the outer left corner
	groupSquare    = "Is it square?"
	squareTellsAt  = 0.25 // inches: what a tape across a deck cannot tell from nothing; common practice, no source
	leastDiagonals = 12   // inches: sides shorter than this tell nothing about a corner
)

// squareFields ask for what shows out of square. None is needed; each tells something by itself.
func squareFields() []Field {
	field := func(key, label, hint string) Field {
		return Field{Key: key, Label: label, Hint: hint, Group: groupSquare, Type: TypeLength, Likely: likelyOnPlan()}
	}
	return []Field{
		field(rimKey, "Width at the outer edge", "along the house"),
		field(leftKey, "Projection at the left end", "house to outer edge"), field(middleKey, "Projection in the middle", "house to outer edge"), field(rightKey, "Projection at the right end", "house to outer edge"),
		field(diagonalOut, "Diagonal from the house’s left end", "to the outer right corner"), field(diagonalIn, "Diagonal from the house’s right end", "to the outer left corner"),
	}
}

// Squareness is what the tape says about a deck of four sides. Lines are its sentences, the worst first; OutOfSquare tells whether any is more than a tape can miss. Corners
// are the outline that width, both ends' projections and both diagonals come to, nil unless all are known and agree.
type Squareness struct {
	Lines       []SquareLine
	OutOfSquare bool
	Corners     []calc.Point
}

// SquareLine is one thing that the tape shows: By is how far, in inches, Text what, and Do what the crew does about it. A line within what a tape can miss has no Do.
type SquareLine struct {
	By       length.Inches
	Text, Do words.Phrase
}

// CheckSquare compares what was taped. The corner between the house and an end is square when the diagonal across it is the hypotenuse of width and projection (Pythagoras; on site, the
// 3-4-5 rule); how far an outer corner leans along the house follows from the law of cosines.
func CheckSquare(r Record) Squareness {
	facts := ResolveFacts(r)
	get := func(key string) (length.Inches, bool) {
		f := facts.Get(key)
		return f.Value.Inches(), f.Known()
	}
	var q Squareness
	w, hasW := get("width")
	p, hasP := get("projection")
	left, hasLeft := get(leftKey)
	right, hasRight := get(rightKey)
	if !hasLeft {
		left, hasLeft = p, hasP
	}
	if !hasRight {
		right, hasRight = p, hasP
	}
	out, hasOut := get(diagonalOut)
	in, hasIn := get(diagonalIn)
	if rim, ok := get(rimKey); ok && hasW {
		q.compare(rim-w, words.Say("The outer edge is %s than the house side.", longer(rim-w)),
			words.Say("Lay the panels out from the house side; the last one at the outer edge is cut on a slant, or the side channels follow the ends."))
	}
	if _, typed := get(rightKey); typed || hasLeft && hasRight && left != right {
		q.compare(right-left, words.Say("The right end is %s than the left one: the outer edge does not run along the house.", longer(right-left)),
			words.Say("Keep the gutter level with the outer edge's own line, and cut the panels to it one by one."))
	}
	if middle, ok := get(middleKey); ok && hasLeft && hasRight {
		bow := middle - (left+right)/2
		q.compare(bow, words.Say("The outer edge bows: in its middle the deck is %s than at its ends.", longer(bow)),
			words.Say("String a line from corner to corner and set the gutter to the line, not to the rim."))
	}
	leftLean, leftOK := q.lean(w, left, in, hasW && hasLeft && hasIn, words.Say("The outer left corner"), true)
	rightLean, rightOK := q.lean(w, right, out, hasW && hasRight && hasOut, words.Say("The outer right corner"), false)
	if leftOK && rightOK {
		q.Corners = []calc.Point{{}, {X: w}, {X: w + rightLean, Y: rise(right, rightLean)}, {X: leftLean, Y: rise(left, leftLean)}}
	}
	return q
}

// longer says by how much something is longer or shorter.
func longer(by length.Inches) words.Phrase {
	if by < 0 {
		return words.Say("%s shorter", (-by).Typeset())
	}
	return words.Say("%s longer", by.Typeset())
}

// compare adds a line, with what to do where it is more than a tape can miss.
func (q *Squareness) compare(by length.Inches, text, do words.Phrase) {
	by = by.Nearest16()
	if math.Abs(float64(by)) < squareTellsAt {
		return
	}
	q.OutOfSquare = true
	q.Lines = append(q.Lines, SquareLine{By: by, Text: text, Do: do})
}

// lean works out how far an outer corner leans along the house, to the right when over 0: side w along the house, p out, d the diagonal across the corner at the house. It is false when they are
// not known or make no triangle.
func (q *Squareness) lean(w, p, d length.Inches, known bool, corner words.Phrase, atLeft bool) (length.Inches, bool) {
	if !known || w < leastDiagonals || p < leastDiagonals {
		return 0, false
	}
	cos := (float64(w)*float64(w) + float64(p)*float64(p) - float64(d)*float64(d)) / (2 * float64(w) * float64(p))
	if cos <= -1 || cos >= 1 {
		q.OutOfSquare = true
		q.Lines = append(q.Lines, SquareLine{Text: words.Say("A diagonal of %s cannot be: width %s and projection %s do not reach so far, or reach farther.", d.Typeset(), w.Typeset(), p.Typeset()),
			Do: words.Say("Tape it again, and the two sides.")})
		return 0, false
	}
	lean := p * length.Inches(cos) // to the right of square at the left corner
	if !atLeft {
		lean = -lean
	}
	shown := lean.Nearest16()
	side := words.Say("right")
	if shown < 0 {
		side = words.Say("left")
	}
	square := length.Inches(math.Hypot(float64(w), float64(p)))
	if math.Abs(float64(shown)) < squareTellsAt {
		q.Lines = append(q.Lines, SquareLine{By: shown, Text: words.Say("%s is square within what a tape can tell: the diagonal is %s, and %s for a square corner.", corner, d.Typeset(), square.Nearest16().Typeset())})
		return lean, true
	}
	q.OutOfSquare = true
	q.Lines = append(q.Lines, SquareLine{By: shown, Text: words.Say("%s stands %s to the %s of square: the diagonal is %s, and %s for a square corner.", corner, length.Inches(math.Abs(float64(shown))).Typeset(), side, d.Typeset(), square.Nearest16().Typeset()),
		Do: words.Say("Snap the first panel's line square to the house (3-4-5), not along the end; the channel follows the end, and the last panel is ripped to it.")})
	return lean, true
}

// rise is how far out a corner is whose end is p long and leans by lean.
func rise(p, lean length.Inches) length.Inches {
	return length.Inches(math.Sqrt(float64(p)*float64(p) - float64(lean)*float64(lean)))
}
