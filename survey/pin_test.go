package survey

import "testing"

// A pin's value is what was typed, else what its field assumes; what cannot be read is none.
func TestPinValue(t *testing.T) {
	fields := []Field{{Key: "pm", Type: TypeLength, Assumed: "1/8"}, {Key: "drop", Type: TypeLength}, {Key: "row_count", Type: TypeCount}}
	for _, test := range []struct {
		name, key, typed string
		want             float64
		ok               bool
	}{
		{"typed", "drop", "1 1/2", 1.5, true},
		{"typed over what is assumed", "pm", "1/4", 0.25, true},
		{"assumed", "pm", "", 0.125, true},
		{"neither", "drop", "", 0, false},
		{"not to be read", "row_count", "many", 0, false},
		{"what the field assumes does not stand in for what cannot be read", "pm", "some", 0, false},
		{"of no field", "wx", "3", 0, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, ok := Pin{Values: map[string]string{test.key: test.typed}}.Value(fields, test.key)
			if ok != test.ok || ok && got.Number != test.want {
				t.Errorf("got %v, %v, want %v, %v", got.Number, ok, test.want, test.ok)
			}
		})
	}
}

// A row counts what it says; without a row, and for a kind that has none, a pin is one thing.
func TestPinCount(t *testing.T) {
	for _, test := range []struct {
		kind PinKind
		row  string
		want int
	}{
		{PinHanger, "19", 19}, {PinHanger, "1", 1}, {PinHanger, "", 1}, {PinHanger, "0", 1}, {PinHanger, "many", 1}, {PinPost, "19", 1},
	} {
		if got := (Pin{Kind: test.kind, Values: map[string]string{"row_count": test.row}}).Count(); got != test.want {
			t.Errorf("%s with a row of %q: got %d, want %d", test.kind, test.row, got, test.want)
		}
	}
}
