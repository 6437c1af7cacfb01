package survey

import (
	"strings"
	"testing"
)

func TestReadValue(t *testing.T) {
	deck := Field{Label: "Deck width", Type: TypeLength, Min: 36, Max: 2400}
	for _, test := range []struct {
		name    string
		field   Field
		text    string
		number  float64
		read    string
		problem string // a part of the message, empty when the text is good
	}{
		{"feet and inches", deck, `28' 4"`, 340, "28′\u00a04″", ""},
		{"not in sixteenths shows the exact value", Field{Type: TypeLength}, "9.252", 9.252, "9\u00a01/4″ (9.252 in)", ""},
		{"a fraction of sevenths", deck, `12' 3 5/7"`, 0, "", "5/7"},
		{"negative width", deck, "-28'", 0, "", "less than nothing"},
		{"a deck of 28 inches asks about feet", deck, "28", 0, "", "If you meant feet, write 28'."},
		{"a position may be negative", Field{Type: TypePosition}, `-1/2"`, -0.5, "-1/2″", ""},
		{"over a thousand feet", Field{Type: TypeLength}, "1001'", 0, "", "1,000 feet"},
		{"a number", Field{Type: TypeNumber, Unit: "in/h"}, "3.4", 3.4, "3.4 in/h", ""},
		{"not a number", Field{Type: TypeNumber}, "NaN", 0, "", "not a number"},
		{"a count is whole", Field{Type: TypeCount}, "2.5", 0, "", "not a count"},
		{"a choice", Field{Type: TypeChoice, Options: []Option{{"y", "Out from the house"}}}, "y", 0, "Out from the house", ""},
		{"no such answer", Field{Label: "Joists run", Type: TypeChoice}, "z", 0, "", "Joists run"},
		{"yes", Field{Type: TypeYesNo}, "yes", 1, "yes", ""},
		{"corners", Field{Type: TypeCorners}, "0, 0\n23' 4\", 0\n23' 4\", 10'", 0, "3 corners", ""},
		{"two corners", Field{Type: TypeCorners}, "0, 0\n10', 0", 0, "", "three corners"},
		{"a corner without its second length", Field{Type: TypeCorners}, "0, 0\n10'\n10', 10'", 0, "", "Line 2"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := ReadValue(test.field, test.text)
			if test.problem != "" {
				if KindOf(err) != Invalid || !strings.Contains(Message(err), test.problem) {
					t.Fatalf("got %v, want an invalid text whose message has %q", err, test.problem)
				}
				return
			}
			if err != nil || got.Number != test.number || got.Read != test.read {
				t.Fatalf("got %v %q, %v; want %v %q", got.Number, got.Read, err, test.number, test.read)
			}
		})
	}
}

// Every assumption that a field states must itself be readable, or it would silently be no assumption.
func TestAssumptionsCanBeRead(t *testing.T) {
	fields := FactFields(Record{})
	for _, k := range PinKinds() {
		fields = append(fields, k.Fields...)
	}
	for _, f := range fields {
		if f.Assumed == "" {
			continue
		}
		if _, err := ReadValue(f, f.Assumed); err != nil {
			t.Errorf("field %s assumes %q: %v", f.Key, f.Assumed, err)
		}
	}
}
