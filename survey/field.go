package survey

// FieldType says how a field's text is read and which control asks for it.
type FieldType string

// The types of field. A position is a signed length in plan.
const (
	TypeText     FieldType = "text"
	TypeLength   FieldType = "length"
	TypePosition FieldType = "position"
	TypeNumber   FieldType = "number"
	TypeCount    FieldType = "count"
	TypeChoice   FieldType = "choice"
	TypeYesNo    FieldType = "yesno"
)

// Option is one answer of a choice.
type Option struct{ Value, Label string }

// Field is one thing that a form asks for. Min and Max bound lengths in inches and numbers in their unit; Max 0 means no bound.
// Group gathers fields under one heading. Assumed is the text that stands when nothing was typed, empty when nothing may be
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
