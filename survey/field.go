package survey

import "encoding/json"

// FieldType says how a field's text is read and which control asks for it.
type FieldType string

// The types of field. A position is a length that may be negative; corners are one "x, y" pair of lengths a line;
// joists are numbers of joists.
const (
	TypeText     FieldType = "text"
	TypeLength   FieldType = "length"
	TypePosition FieldType = "position"
	TypeNumber   FieldType = "number"
	TypeCount    FieldType = "count"
	TypeChoice   FieldType = "choice"
	TypeYesNo    FieldType = "yesno"
	TypeCorners  FieldType = "corners"
	TypeJoists   FieldType = "joists"
)

// Option is one answer of a choice.
type Option struct{ Value, Label string }

// Field is one thing that a form asks for. Min and Max bound lengths in inches and numbers in their unit; both 0 means no bound.
// Group gathers fields under one heading. Assumed is the text that stands when nothing was typed; it is empty when nothing may be
// assumed.
type Field struct {
	Key      string
	Label    string
	Hint     string
	Unit     string
	Group    string
	Type     FieldType
	Options  []Option
	Required bool
	Min, Max float64
	Likely   Range            // what such a length mostly is; one outside of it is asked about, and may stand
	LikelyAs map[string]Range // the same by the answer to "names", for a length that can measure several things
	Assumed  string
	Offers   []Offer // ready answers beside it
}

// Offer is a ready answer: what it is called, and the texts that it writes, by field key.
type Offer struct {
	Label  string
	Values map[string]string
}

// JSON is what the offer writes, for a page's script.
func (o Offer) JSON() string {
	text, err := json.Marshal(o.Values)
	if err != nil { // texts only
		return ""
	}
	return string(text)
}

// Range is what lengths of one sort mostly are, in inches, with its reason; High 0 is no bound. The zero Range asks about nothing.
type Range struct {
	Low, High float64
	Why       string
}

// As is the field of a length that was said to measure one of several things.
func (f Field) As(names string) Field {
	if likely, ok := f.LikelyAs[names]; ok {
		f.Likely = likely
	}
	return f
}

// option gives the label of one of the field's options, and whether it has it.
func (f Field) option(value string) (string, bool) {
	for _, o := range f.Options {
		if o.Value == value {
			return o.Label, true
		}
	}
	return "", false
}
