package survey

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
)

// Value is a text as it was understood. Number is inches for lengths and positions, the number itself for numbers and counts, 1
// or 0 for yes and no. Read is what a form shows back: typeset, with the exact value when it was not in sixteenths.
type Value struct {
	Number  float64
	Choice  string
	Corners []calc.Point
	Joists  []int // ascending, each once
	Read    string
}

// Inches is the value as a length.
func (v Value) Inches() length.Inches { return length.Inches(v.Number) }

// ReadValue reads a field's text. An empty text is an error for every type but text: whoever calls decides whether it may be
// empty. Errors are of kind Invalid; their message names the text, what is wrong with it and spellings that work.
func ReadValue(f Field, text string) (Value, error) {
	text = strings.TrimSpace(text)
	switch f.Type {
	case TypeText:
		return readText(text)
	case TypeLength, TypePosition:
		return readLength(f, text)
	case TypeNumber, TypeCount:
		return readNumber(f, text)
	case TypeChoice:
		label, ok := f.option(text)
		if !ok {
			return Value{}, Errorf(Invalid, "Choose one of the answers for %q.", f.Label)
		}
		return Value{Choice: text, Read: label}, nil
	case TypeYesNo:
		return readYesNo(f, text)
	case TypeCorners:
		return readCorners(text)
	case TypeJoists:
		return readJoists(text)
	}
	return Value{}, fmt.Errorf("field %s has the unknown type %q", f.Key, f.Type)
}

func readText(text string) (Value, error) {
	if len(text) > 2000 {
		return Value{}, Errorf(Invalid, "Keep this under 2,000 characters.")
	}
	return Value{Choice: text, Read: text}, nil
}

func readLength(f Field, text string) (Value, error) {
	l, err := length.Parse(text)
	if err != nil {
		return Value{}, &Error{Kind: Invalid, Message: fmt.Sprintf("%q cannot be read as a length. Write 12' 3 5/8\" or 147 5/8.", text), Cause: err}
	}
	if l < 0 && f.Type == TypeLength && f.Min >= 0 {
		return Value{}, Errorf(Invalid, "%q is less than nothing. Write it without the minus, as %s.", text, (-l).String())
	}
	if math.Abs(float64(l)) > calc.MaxLength {
		return Value{}, Errorf(Invalid, "%q is over 1,000 feet. Write 12' 3 5/8\" or 147 5/8.", text)
	}
	if err := inBounds(f, text, float64(l)); err != nil {
		return Value{}, err
	}
	return Value{Number: float64(l), Read: readBack(l)}, nil
}

// readBack typesets a length, with the exact decimals when they are not whole sixteenths.
func readBack(l length.Inches) string {
	if math.Abs(float64(l-l.Nearest16())) < 1e-9 {
		return l.Typeset()
	}
	return fmt.Sprintf("%s (%s in)", l.Typeset(), strconv.FormatFloat(math.Round(float64(l)*1000)/1000, 'f', -1, 64))
}

// inBounds asks about a length or number that does not suit what it names: a deck 28" wide was probably meant in feet.
func inBounds(f Field, text string, v float64) error {
	if f.Min == 0 && f.Max == 0 || v >= f.Min && (f.Max == 0 || v <= f.Max) {
		return nil
	}
	say := func(n float64) string {
		if f.Type == TypeLength || f.Type == TypePosition {
			return length.Inches(n).String()
		}
		return strings.TrimSpace(strconv.FormatFloat(n, 'f', -1, 64) + " " + f.Unit)
	}
	message := fmt.Sprintf("%s of %s? Expected at least %s.", f.Label, say(v), say(f.Min))
	if f.Max > 0 {
		message = fmt.Sprintf("%s of %s? Expected %s to %s.", f.Label, say(v), say(f.Min), say(f.Max))
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil && v < f.Min && f.Type == TypeLength && v*12 >= f.Min && (f.Max == 0 || v*12 <= f.Max) {
		message += fmt.Sprintf(" If you meant feet, write %s'.", text)
	}
	return Errorf(Invalid, "%s", message)
}

func readNumber(f Field, text string) (Value, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return Value{}, Errorf(Invalid, "%q is not a number. Write it as 4 or 3.4.", text)
	}
	if f.Type == TypeCount && (v != math.Trunc(v) || v < 1 || v > 1000) {
		return Value{}, Errorf(Invalid, "%q is not a count. Write a whole number from 1 to 1,000.", text)
	}
	if err := inBounds(f, text, v); err != nil {
		return Value{}, err
	}
	return Value{Number: v, Read: strings.TrimSpace(strconv.FormatFloat(v, 'f', -1, 64) + " " + f.Unit)}, nil
}

func readYesNo(f Field, text string) (Value, error) {
	switch text {
	case "yes":
		return Value{Number: 1, Choice: "yes", Read: "yes"}, nil
	case "no":
		return Value{Choice: "no", Read: "no"}, nil
	}
	return Value{}, Errorf(Invalid, "Answer yes or no for %q.", f.Label)
}

// readCorners reads one corner a line, "x, y"; three at least.
func readCorners(text string) (Value, error) {
	var v Value
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		xt, yt, ok := strings.Cut(line, ",")
		x, errX := length.Parse(xt)
		y, errY := length.Parse(yt)
		if !ok || errX != nil || errY != nil {
			return Value{}, Errorf(Invalid, "Line %d, %q, is not a corner. Write along the house, then out from it: 28' 4\", 5'.", i+1, line)
		}
		v.Corners = append(v.Corners, calc.Point{X: x, Y: y})
	}
	if len(v.Corners) < 3 {
		return Value{}, Errorf(Invalid, "An outline has three corners or more, one a line: along the house, then out from it.")
	}
	if len(v.Corners) > 200 {
		return Value{}, Errorf(Invalid, "An outline has at most 200 corners.")
	}
	v.Read = fmt.Sprintf("%d corners", len(v.Corners))
	return v, nil
}
