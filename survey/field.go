package survey

// FieldType says how a field's text is read and which control asks for it.
type FieldType string

// The types of field. A position is a length that may be negative; corners are one "x, y" pair of lengths a line.
const (
	TypeText     FieldType = "text"
	TypeLength   FieldType = "length"
	TypePosition FieldType = "position"
	TypeNumber   FieldType = "number"
	TypeCount    FieldType = "count"
	TypeChoice   FieldType = "choice"
	TypeYesNo    FieldType = "yesno"
	TypeCorners  FieldType = "corners"
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
	Assumed  string
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
