package calc

import "encoding/json"

// SystemSelection names a built-in profile or starts from one and overrides fields of it.
type SystemSelection struct {
	Name      string
	Overrides json.RawMessage // a JSON object of profile keys; nil for none
}

// System is a profile: every figure of a ceiling system that the calculator uses. The built-in ones are worked examples, common
// practice or assumptions without a source; the supplier's own figures replace them.
type System struct {
	Name string `json:"name"`
}
