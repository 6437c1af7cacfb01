package survey

import "time"

// Pin is a mark on one photo. X and Y are fractions of the upright picture, 0 at its left and top, 1 at its right and bottom; X2
// and Y2 are the other end of a pin with two ends and nil otherwise. Values holds what was typed, by the field keys of its kind.
// Number is unique in the survey, given by the store when the pin is first saved and never used again.
type Pin struct {
	ID        PinID             `json:"id"`
	Survey    SurveyID          `json:"survey"`
	Photo     PhotoID           `json:"photo"`
	Kind      PinKind           `json:"kind"`
	Number    int               `json:"number"`
	X         float64           `json:"x"`
	Y         float64           `json:"y"`
	X2        *float64          `json:"x2,omitempty"`
	Y2        *float64          `json:"y2,omitempty"`
	Values    map[string]string `json:"values"`
	Note      string            `json:"note"`
	By        string            `json:"by,omitempty"`
	Version   int               `json:"version"`
	CreatedAt time.Time         `json:"created_at"`
	UpdatedAt time.Time         `json:"updated_at"`
}

// Value reads what a pin says of one of its kind's fields (see PinFields); what was not typed is what the field assumes. ok is false when there
// is neither, when it cannot be read, and when fields has no such key.
func (p Pin) Value(fields []Field, key string) (v Value, ok bool) {
	for _, f := range fields {
		if f.Key != key {
			continue
		}
		text := p.Values[key]
		if text == "" {
			text = p.Assumes(f).Assumed
		}
		if text == "" {
			return Value{}, false
		}
		v, err := ReadValue(f, text)
		return v, err == nil
	}
	return Value{}, false
}

// Count is how many things a pin stands for: the joists or the count of its row, 1 where it has none or it cannot be read.
func (p Pin) Count() int {
	if row, ok := p.Row(); ok {
		return max(1, len(row.Joists()))
	}
	info, _ := KindInfo(p.Kind)
	if row, ok := p.Value(info.Fields, "row_count"); ok && row.Number >= 1 {
		return int(row.Number)
	}
	return 1
}

// PinKind names what a pin says.
type PinKind string

// The kinds of pin.
const (
	PinReference PinKind = "reference"
	PinDimension PinKind = "dimension"
	PinLevel     PinKind = "level"
	PinClearance PinKind = "clearance"
	PinHanger    PinKind = "hanger"
	PinBracket   PinKind = "bracket"
	PinBeam      PinKind = "beam"
	PinPost      PinKind = "post"
	PinFixture   PinKind = "fixture"
	PinWall      PinKind = "wall"
	PinOpening   PinKind = "opening"
	PinWater     PinKind = "water"
	PinConcern   PinKind = "concern"
	PinNote      PinKind = "note"
)
