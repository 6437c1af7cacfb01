// Package length reads and prints lengths the way a crew says them: feet, inches and sixteenths, or metric.
//
// Inside the program a length is a float64 of inches. Text comes in as a person typed it (12' 3 5/8", 147 5/8, 3.75 m, with
// straight or typographic marks) and goes out to the nearest sixteenth. Text that cannot be read is an error that names the
// text and what was expected; it is never a silent zero. The grammar is in the comment of Parse.
package length

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
)

// Inches is a length in inches. The zero value is no length at all, 0".
type Inches float64

// PerFoot is twelve inches; PerMillimetre follows from the international inch of exactly 25.4 mm.
const (
	PerFoot       Inches = 12
	PerMillimetre Inches = 1 / 25.4
)

// tolerance settles roundings at an edge, in sixteenths: a value that close to a mark is on the mark.
const tolerance = 1e-6

// wholeInches is the length from which a float64 has no room for sixteenths.
const wholeInches = 1 << 48

// Nearest16 rounds to the nearest sixteenth of an inch, halves away from zero.
func (l Inches) Nearest16() Inches {
	if l < 0 {
		return -(-l).Nearest16()
	}
	return Inches(math.Floor(float64(l)*16+0.5+tolerance) / 16)
}

// Down16 rounds down (toward minus infinity) to a sixteenth: the rule for cut lengths.
func (l Inches) Down16() Inches { return Inches(math.Floor(float64(l)*16+tolerance) / 16) }

// Up16 rounds up (toward plus infinity) to a sixteenth: the rule for notches and screw lengths.
func (l Inches) Up16() Inches { return Inches(math.Ceil(float64(l)*16-tolerance) / 16) }

// String prints to the nearest sixteenth with straight marks: 12' 3 5/8", 14' 0", 1' 0 1/16", 3/4", 0", -1/2". After feet the inches always
// stand, also when they are 0, since 1' 1/16" is easily read as 1 1/16". Not-a-number and the infinities
// print as "?", lengths too great for sixteenths as plain inches.
func (l Inches) String() string { return l.print("'", `"`, " ") }

// Typeset prints like String with the primes ′ and ″ and no-break spaces, for pages and drawings.
func (l Inches) Typeset() string { return l.print("′", "″", "\u00a0") }

func (l Inches) print(foot, inch, space string) string {
	if math.IsNaN(float64(l)) || math.IsInf(float64(l), 0) {
		return "?"
	}
	if math.Abs(float64(l)) >= wholeInches {
		return strconv.FormatFloat(float64(l), 'g', -1, 64) + inch
	}
	n := int64(math.Round(float64(l.Nearest16()) * 16))
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	feet, sixteenths := n/192, n%192
	whole, num, den := sixteenths/16, sixteenths%16, int64(16)
	for num != 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	text := sign
	if feet > 0 {
		text += strconv.FormatInt(feet, 10) + foot + space
	}
	switch {
	case num > 0 && (whole > 0 || feet > 0):
		text += fmt.Sprintf("%d%s%d/%d", whole, space, num, den)
	case num > 0:
		text += fmt.Sprintf("%d/%d", num, den)
	default:
		text += strconv.FormatInt(whole, 10)
	}
	return text + inch
}

// UnmarshalJSON accepts a JSON number of inches or a length text. A null is an error, as is a number that is not finite.
func (l *Inches) UnmarshalJSON(data []byte) error {
	if len(data) > 0 && data[0] == '"' {
		var text string
		if err := json.Unmarshal(data, &text); err != nil {
			return err
		}
		v, err := Parse(text)
		if err != nil {
			return err
		}
		*l = v
		return nil
	}
	var v *float64
	if err := json.Unmarshal(data, &v); err != nil {
		return fmt.Errorf("length %s: expected a number of inches or a length text: %w", data, err)
	}
	if v == nil {
		return fmt.Errorf("length null: expected a number of inches or a length text")
	}
	*l = Inches(*v)
	return nil
}
