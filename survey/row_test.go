package survey

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"undercroft/calc/length"
)

// rowValues are those of a row of hangers from joist to joist, 1/16″ below, with seats of 1 5/8″ by 2″.
func rowValues(more ...string) map[string]string {
	v := map[string]string{"row_at": AtLedger, "row_from": "1", "row_to": "3", "drop": "1/16", "wx": "1 5/8", "wy": "2"}
	for i := 0; i < len(more); i += 2 {
		v[more[i]] = more[i+1]
	}
	return v
}

// joistedFacts are plainFacts with the first joist 16″ from the right end: joist n of 21 stands 340 - 16 - 16(n-1) inches from the left end.
func joistedFacts() map[string]string {
	facts := plainFacts()
	facts[FirstJoist] = "16"
	return facts
}

// Each hanger's place worked out by hand from the first joist's offset and the spacing; a seat of 2″ begins at the face of a ledger that is 1 1/2″ thick
// (PS 20, from memory), so that its middle is 2 1/2″ out, and ends at the face of a rim or beam.
func TestJoistRow(t *testing.T) {
	beam := map[string]string{"set": "flush", "y0": "10'", "thick": "3"}
	for _, row := range []struct {
		name   string
		values map[string]string
		want   [][2]length.Inches
		pm     length.Inches
	}{
		{"three at the ledger", rowValues(), [][2]length.Inches{{324, 2.5}, {308, 2.5}, {292, 2.5}}, 0.375},
		{"one left out", rowValues("row_out", "2"), [][2]length.Inches{{324, 2.5}, {292, 2.5}}, 0.375},
		{"not from the first", rowValues("row_from", "13", "row_to", "16", "row_out", "15 14"), [][2]length.Inches{{132, 2.5}, {84, 2.5}}, 0.375},
		{"the last alone", rowValues("row_from", "21", "row_to", "21"), [][2]length.Inches{{4, 2.5}}, 0.375},
		{"at the rim of 14'", rowValues("row_at", AtRim, "row_to", "1"), [][2]length.Inches{{324, 165.5}}, 0.375},
		{"at the beam 10' out", rowValues("row_at", AtBeam, "row_to", "1"), [][2]length.Inches{{324, 119}}, 0.375},
		{"how far out was typed", rowValues("row_to", "1", "y", "3"), [][2]length.Inches{{324, 3}}, 0.375},
		{"how well it is known was typed", rowValues("row_to", "1", "pm", "1"), [][2]length.Inches{{324, 2.5}}, 1},
	} {
		t.Run(row.name, func(t *testing.T) {
			pin := Pin{Kind: PinHanger, Number: 7, X: 0.5, Y: 0.5, Values: row.values}
			r := deckRecord(joistedFacts(), Pin{Kind: PinBeam, Number: 1, X: 0.5, Y: 0.5, Values: beam}, pin)
			pin = r.Pins[1]
			if err := ValidatePin(r, pin); err != nil {
				t.Fatal(err)
			}
			got := Assemble(r).Input.Obstructions
			if len(got) != len(row.want) || pin.Count() != len(row.want) {
				t.Fatalf("%d hangers, the pin counts %d, want %d", len(got), pin.Count(), len(row.want))
			}
			for i, o := range got {
				if n, _ := PinNumber(o.ID); o.X != row.want[i][0] || o.Y != row.want[i][1] || o.SX != deviation(float64(row.pm)) || n != pin.Number || o.Drop != 1.0/16 {
					t.Errorf("hanger %d is %+v, want it at %v ± %v", i+1, o, row.want[i], row.pm)
				}
			}
		})
	}
}

// A row from joist to joist is the same to the calculator as the row by count and spacing that stands on the same joists.
func TestJoistRowIsTheRowByCount(t *testing.T) {
	place := func(values map[string]string) [][2]length.Inches {
		var at [][2]length.Inches
		for _, o := range Assemble(deckRecord(joistedFacts(), Pin{Kind: PinHanger, Number: 1, X: 0.5, Y: 0.5, Values: values})).Input.Obstructions {
			at = append(at, [2]length.Inches{o.X, o.Y})
		}
		slices.SortFunc(at, func(a, b [2]length.Inches) int { return int(a[0] - b[0]) })
		return at
	}
	old := place(map[string]string{"drop": "1/16", "wx": "1 5/8", "wy": "2", "x": "132", "y": "2 1/2", "row_count": "13", "row_step": "16"})
	if got := place(rowValues("row_to", "13")); len(got) != 13 || !slices.Equal(got, old) {
		t.Errorf("from joist to joist %v, by count %v", got, old)
	}
}

// What cannot be a row is refused beside its value; what the deck does not have is said and left out.
func TestJoistRowThatCannotBe(t *testing.T) {
	for _, row := range []struct {
		name    string
		values  map[string]string
		problem string // the field, empty when the pin may be saved
		left    bool   // out of the calculation
	}{
		{"backwards", rowValues("row_from", "4"), "row_to", false},
		{"a place along the house", rowValues("x", "132"), "x", false},
		{"a count too", rowValues("row_count", "13"), "row_count", false},
		{"a spacing too", rowValues("row_step", "16"), "row_step", false},
		{"all left out", rowValues("row_out", "1, 2, 3"), "row_out", false},
		{"left out beyond its end", rowValues("row_out", "9"), "row_out", false},
		{"no joists' numbers", rowValues("row_out", "the last"), "row_out", false},
		{"joists of no row", rowValues("row_at", ""), "row_from", false},
		{"no last joist", rowValues("row_to", ""), "", true},
		{"more joists than there are", rowValues("row_to", "22"), "", true},
		{"along a beam that is not pinned", rowValues("row_at", AtBeam), "", true},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := deckRecord(joistedFacts(), Pin{Kind: PinHanger, Number: 1, X: 0.5, Y: 0.5, Values: row.values})
			err := ValidatePin(r, r.Pins[0])
			if e, ok := err.(*Error); row.problem != "" && (!ok || e.Fields[row.problem] == "") || row.problem == "" && err != nil {
				t.Fatalf("got %v, want a problem of %q", err, row.problem)
			}
			a := Assemble(r)
			if left := len(a.Input.Obstructions) == 0; row.left && (!left || len(a.Findings) != 1 || a.Findings[0].Pin != r.Pins[0].ID) {
				t.Errorf("got %d hangers and the findings %+v", len(a.Input.Obstructions), a.Findings)
			}
		})
	}
}

// At every joist in one answer: the ends are filled in, and joists that stop at a header do not reach the ledger. The header is 5′ to 5′ 3″ out, between
// the middles of joists 16 (7′) and 13 (11′): nothing goes on from it to the house.
func TestCompletedRow(t *testing.T) {
	header := Pin{Kind: PinBeam, Number: 1, X: 0.5, Y: 0.5, Values: map[string]string{"set": "flush", "y0": "5'", "thick": "3", "x0": "7'", "x1": "11'", "gap_to": "0"}}
	row := func(at string, more ...string) Pin {
		return Pin{Kind: PinHanger, Number: 2, X: 0.5, Y: 0.5, Values: maps.Clone(rowValues(append([]string{"row_at", at, "row_from", "", "row_to", ""}, more...)...))}
	}
	for _, test := range []struct {
		name  string
		facts map[string]string
		pin   Pin
		want  string
		count int
	}{
		{"along the ledger", joistedFacts(), row(AtLedger), "joists 1 to 21 along the ledger, without 14, 15", 19},
		{"along the rim", joistedFacts(), row(AtRim), "joists 1 to 21 along the rim", 21},
		{"the last was said", joistedFacts(), row(AtLedger, "row_to", "9"), "joists 1 to 9 along the ledger", 9},
		{"joists without places", plainFacts(), row(AtLedger), "", 1},
		{"no row", joistedFacts(), row(""), "", 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := deckRecord(test.facts, header)
			before := fmt.Sprint(test.pin.Values)
			got := Completed(r, test.pin)
			said := ""
			if row, ok := got.Row(); ok {
				said = row.String()
			}
			if said != test.want || got.Count() != test.count {
				t.Errorf("got %q of %d, want %q of %d", said, got.Count(), test.want, test.count)
			}
			if fmt.Sprint(test.pin.Values) != before {
				t.Error("the pin that was given was changed")
			}
		})
	}
}
