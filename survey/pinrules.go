package survey

import (
	"fmt"
	"math"
	"unicode/utf8"
)

// ValidatePin checks a pin before it is kept: a known kind, its ends inside the picture, only values that its kind asks for, each
// readable. Values may be missing: a pin placed on site is completed later, and what is missing is shown. The error is of kind
// Invalid with one message a field; the ends are the fields "x" and "x2" of the picture, called "end" and "end2".
func ValidatePin(r Record, p Pin) error {
	info, ok := KindInfo(p.Kind)
	if !ok {
		return Errorf(Invalid, "There is no kind of pin called %q.", string(p.Kind))
	}
	problems := map[string]string{}
	if !inPicture(p.X) || !inPicture(p.Y) {
		problems["end"] = "The pin lies outside the picture."
	}
	switch {
	case info.Ends == 1 && (p.X2 != nil || p.Y2 != nil):
		problems["end2"] = fmt.Sprintf("A %s has one end only.", info.Label)
	case info.Ends == 2 && (p.X2 == nil || p.Y2 == nil || !inPicture(*p.X2) || !inPicture(*p.Y2)):
		problems["end2"] = "The other end lies outside the picture."
	}
	if len(p.Note) > 2000 || !utf8.ValidString(p.Note) {
		problems["note"] = "Keep the note under 2,000 characters."
	}
	checkValues(PinFields(r, p.Kind), p.Values, problems)
	checkRow(p, problems)
	if why := checkSame(r, p); why != "" && problems["same_as"] == "" {
		problems["same_as"] = why
	}
	if len(problems) > 0 {
		return &Error{Kind: Invalid, Message: "The pin was not saved: some of it could not be read.", Fields: problems}
	}
	return nil
}

// inPicture tells whether a fraction lies in 0..1; not-a-number does not.
func inPicture(v float64) bool { return !math.IsNaN(v) && v >= 0 && v <= 1 }

// checkValues reads each value by its field and notes what cannot be read; values of no field are refused.
func checkValues(fields []Field, values map[string]string, problems map[string]string) {
	known := map[string]Field{}
	for _, f := range fields {
		known[f.Key] = f
	}
	for key, text := range values {
		f, ok := known[key]
		if !ok {
			problems[key] = "This kind of pin has no such field."
			continue
		}
		if text == "" {
			continue
		}
		if _, err := ReadValue(f, text); err != nil {
			problems[key] = Message(err)
		}
	}
	if from, to, ok := span(fields, values, "x0", "x1"); ok && to <= from {
		problems["x1"] = "The right end must lie to the right of the left one."
	}
	if from, to, ok := span(fields, values, "y0", "y1"); ok && to <= from {
		problems["y1"] = "The far face must lie farther out than the near one."
	}
}

// span reads two positions of a form; ok is false unless both are there and readable.
func span(fields []Field, values map[string]string, a, b string) (from, to float64, ok bool) {
	read := func(key string) (float64, bool) {
		for _, f := range fields {
			if f.Key == key && values[key] != "" {
				v, err := ReadValue(f, values[key])
				return v.Number, err == nil
			}
		}
		return 0, false
	}
	from, okA := read(a)
	to, okB := read(b)
	return from, to, okA && okB
}
