package survey

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"undercroft/calc/length"
)

// Doubt is the question about a length that does not suit what it names. Ways are what was probably meant, at most two.
type Doubt struct {
	Head, Why, Reads string
	Ways             []length.Inches
}

// bareFigure is a length without any unit, or feet alone.
var bareFigure = regexp.MustCompile(`^(\d+)(')?$`)

// Question asks about a text that can be read but lies outside of what such lengths mostly are: a deck 28″ wide is asked: feet? ok is false when there is
// nothing to ask. The question is never a refusal: whoever says that it is right may save it.
func Question(f Field, text string) (q Doubt, ok bool) {
	if f.Likely.Why == "" || f.Type != TypeLength && f.Type != TypePosition {
		return Doubt{}, false
	}
	v, err := ReadValue(f, text)
	if err != nil {
		return Doubt{}, false
	}
	ways, fits := Likely(f.Likely, text, v.Inches())
	if fits {
		return Doubt{}, false
	}
	q = Doubt{Why: f.Likely.Why, Reads: v.Inches().Typeset(), Ways: ways}
	meant := "is it right"
	for i, way := range ways {
		if i == 0 {
			meant = "or " + way.Typeset()
		} else {
			meant += " or " + way.Typeset()
		}
	}
	q.Head = fmt.Sprintf("%s %s: %s?", f.Label, q.Reads, meant)
	return q, true
}

// Likely tells whether a length lies within a range, its bounds included and its sign aside, and when not, the lengths within it that the text was
// probably meant to be: bare digits as feet, or as feet and inches, and feet alone as inches.
func Likely(r Range, text string, l length.Inches) (ways []length.Inches, fits bool) {
	within := func(l length.Inches) bool { return float64(l) >= r.Low && (r.High == 0 || float64(l) <= r.High) }
	if within(length.Inches(math.Abs(float64(l)))) {
		return nil, true
	}
	add := func(v int) {
		if way := length.Inches(v); within(way) && len(ways) < 2 && !slices.Contains(ways, way) {
			ways = append(ways, way)
		}
	}
	m := bareFigure.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return nil, false
	}
	digits := m[1]
	figure, err := strconv.Atoi(digits)
	switch {
	case err != nil:
	case m[2] != "":
		add(figure)
	default:
		add(figure * 12)
		for i := 1; i < len(digits); i++ {
			feet, _ := strconv.Atoi(digits[:i])
			inches, _ := strconv.Atoi(digits[i:])
			if inches < 12 && (len(digits)-i == 1 || digits[i] != '0') {
				add(feet*12 + inches)
			}
		}
	}
	return ways, false
}

// noSource closes the reason of a range that is what the trade mostly meets, and that no standard gives.
const noSource = " (common practice, no source)"

// The ranges of lengths that several fields name. Lumber sizes are those of American Softwood Lumber Standard PS 20, from memory.
func likelyWidth() Range {
	return Range{36, 1200, "Decks are mostly 3′ to 100′ along the house" + noSource + "."}
}

func likelyProjection() Range {
	return Range{36, 480, "Decks mostly come 3′ to 40′ out from the house" + noSource + "."}
}

func likelySpacing() Range {
	return Range{8, 32, "Joists are mostly 8″ to 32″ apart, center to center" + noSource + "."}
}

func likelyFirst() Range {
	return Range{0.75, 48, "The first joist is mostly 3/4″ (beside the rim) to 4′ from the end, to its middle" + noSource + "."}
}

func likelyDepth() Range {
	return Range{3.5, 18, "Joists are mostly 3 1/2″ (a 2×4) to 18″ deep (PS 20 lumber and deep I-joists)."}
}

func likelyDrop() Range {
	return Range{0, 12, "Metal and fixtures mostly hang less than 12″ below the joists" + noSource + "."}
}

func likelySize(what string, high float64) Range {
	return Range{0.25, high, fmt.Sprintf("%s is mostly 1/4″ to %s%s.", what, length.Inches(high).Typeset(), noSource)}
}

func likelyAccuracy() Range {
	return Range{0, 12, "A place known only within more than 12″ fixes nothing" + noSource + "."}
}

func likelyHeight() Range {
	return Range{0, 240, "A level line is mostly within 20′ of the joists" + noSource + "."}
}

func likelyOnPlan() Range {
	return Range{0, 1200, "Places on the plan are mostly within 100′" + noSource + "."}
}
