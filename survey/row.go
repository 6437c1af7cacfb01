package survey

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// The values of a row that goes from joist to joist: along what, its first and its last joist, and the joists between them that are left out.
const (
	rowAtKey   = "row_at"
	rowFromKey = "row_from"
	rowToKey   = "row_to"
	rowOutKey  = "row_out"
)

// RowGroup is the heading under which the joists of a row are asked.
const RowGroup = "Joists, counted from the right end facing the house"

// joistPM is how well the place of a joist is known by the first joist and the spacing, the ± of 95 % as it is typed (common practice, no source).
const joistPM = "3/8"

// Assumes is a field of the pin's kind with what it assumes for this pin: a row is known as well as its joists are.
func (p Pin) Assumes(f Field) Field {
	if f.Key == "pm" && p.Values[rowAtKey] != "" {
		f.Assumed = joistPM
	}
	return f
}

// rowWords say along what a row goes.
func rowWords() []Option {
	return []Option{{AtLedger, "at every joist along the ledger"}, {AtBeam, "at every joist along the beam"}, {AtRim, "at every joist along the rim"}}
}

func rowFields() []Field {
	return []Field{
		{Key: rowAtKey, Label: "Row", Hint: "one pin for all of them", Type: TypeChoice, Options: rowWords()},
		{Key: rowFromKey, Label: "From joist", Type: TypeCount, Group: RowGroup},
		{Key: rowToKey, Label: "to joist", Type: TypeCount, Group: RowGroup},
		{Key: rowOutKey, Label: "Left out", Hint: "joists that have none", Type: TypeJoists, Group: RowGroup},
	}
}

// Row is a row from joist to joist, both counted, less the joists that are left out; At is one of the places of a structure.
type Row struct {
	At       string
	From, To int
	Out      []int // ascending
}

// Row reads a pin's row; ok is false for a pin that is none, or whose first or last joist was not said.
func (p Pin) Row() (row Row, ok bool) {
	info, _ := KindInfo(p.Kind)
	at, okAt := p.Value(info.Fields, rowAtKey)
	from, okFrom := p.Value(info.Fields, rowFromKey)
	to, okTo := p.Value(info.Fields, rowToKey)
	if !okAt || !okFrom || !okTo {
		return Row{}, false
	}
	out, _ := p.Value(info.Fields, rowOutKey)
	return Row{At: at.Choice, From: int(from.Number), To: int(to.Number), Out: out.Joists}, true
}

// Joists lists the joists of a row, ascending; empty when its last one comes before its first.
func (row Row) Joists() []int {
	var list []int
	for n := row.From; n <= row.To; n++ {
		if !slices.Contains(row.Out, n) {
			list = append(list, n)
		}
	}
	return list
}

// String says a row: "joists 1 to 21 along the ledger, without 14, 15".
func (row Row) String() string {
	text := fmt.Sprintf("joists %d to %d along the %s", row.From, row.To, row.At)
	if len(row.Out) > 0 {
		text += ", without " + joistsText(row.Out)
	}
	return text
}

// joistsText writes numbers of joists as they are typed: "14, 15".
func joistsText(joists []int) string {
	texts := make([]string, len(joists))
	for i, n := range joists {
		texts[i] = strconv.Itoa(n)
	}
	return strings.Join(texts, ", ")
}

// readJoists reads numbers of joists with commas or spaces between them, in any order; each counts once.
func readJoists(text string) (Value, error) {
	var v Value
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\n' }) {
		n, err := strconv.Atoi(word)
		if err != nil || n < 1 || n > 1000 {
			return Value{}, Errorf(Invalid, "%q is no joist. Write the numbers of joists, as 14, 15.", word)
		}
		v.Joists = append(v.Joists, n)
	}
	slices.Sort(v.Joists)
	v.Joists = slices.Compact(v.Joists)
	if len(v.Joists) == 0 {
		return Value{}, Errorf(Invalid, "Write the numbers of joists, as 14, 15.")
	}
	v.Read = joistsText(v.Joists)
	return v, nil
}

// checkRow notes what a row from joist to joist cannot be: it takes its places from the joists, so that none may be typed along the house, and its
// values say nothing without the place that it goes along.
func checkRow(p Pin, problems map[string]string) {
	if p.Kind != PinHanger && p.Kind != PinBracket {
		return
	}
	note := func(key, text string) {
		if p.Values[key] != "" && problems[key] == "" {
			problems[key] = text
		}
	}
	if p.Values[rowAtKey] == "" {
		for _, key := range []string{rowFromKey, rowToKey, rowOutKey} {
			note(key, "Say along what the row goes, or empty this.")
		}
		return
	}
	for _, key := range []string{"x", "row_count", "row_step"} {
		note(key, "A row from joist to joist has this from its joists: empty it, or take the row back.")
	}
	row, ok := p.Row()
	switch {
	case !ok:
	case row.To < row.From:
		note(rowToKey, fmt.Sprintf("The last joist must not come before the first: write %d or more.", row.From))
	case len(row.Joists()) == 0:
		note(rowOutKey, "This leaves out every joist of the row.")
	case len(row.Out) > 0 && (row.Out[0] < row.From || row.Out[len(row.Out)-1] > row.To):
		note(rowOutKey, fmt.Sprintf("Leave out joists from %d to %d only.", row.From, row.To))
	}
}

// Completed fills in the first and the last joist of a row of which nothing but its place was said: at every joist, but those that stop at a header.
// A pin that is no such row, or of a deck whose joists have no places, is given back as it is.
func Completed(r Record, p Pin) Pin {
	if p.Values[rowAtKey] == "" || p.Values[rowFromKey] != "" && p.Values[rowToKey] != "" {
		return p
	}
	s := StructureOf(r)
	if s.Count == 0 {
		return p
	}
	p.Values = maps.Clone(p.Values)
	if stops := s.Stops[p.Values[rowAtKey]]; p.Values[rowFromKey] == "" && p.Values[rowToKey] == "" && p.Values[rowOutKey] == "" && len(stops) > 0 {
		p.Values[rowOutKey] = joistsText(stops)
	}
	if p.Values[rowFromKey] == "" {
		p.Values[rowFromKey] = "1"
	}
	if p.Values[rowToKey] == "" {
		p.Values[rowToKey] = strconv.Itoa(s.Count)
	}
	return p
}

// Seat is the middle of what hangs on a joist at a place and takes size inches out from the house: a seat at the ledger begins at its face and runs
// out, one at a beam or rim ends at its near face. ok is false when there is no such joist or place.
func (s Structure) Seat(joist int, at string, size length.Inches) (x, y length.Inches, ok bool) {
	x, y, ok = s.Place(joist, at)
	if at == AtLedger {
		return x, y + size/2, ok
	}
	return x, y - size/2, ok
}

// stops lists by place the joists that do not reach it, because they stop at a header: those that cross a gap of a beam pin whose near face was typed.
func (s Structure) stops(r Record) map[string][]int {
	stops := map[string][]int{}
	for _, pin := range r.Pins {
		p := pinReader{pin, PinFields(r, PinBeam)}
		to, gap := p.value("gap_to")
		near, typed := p.value("y0")
		if pin.Kind != PinBeam || !gap || !typed {
			continue
		}
		left, right := length.Inches(0), s.Width
		if x, ok := p.value("x0"); ok {
			left = x.Inches()
		}
		if x, ok := p.value("x1"); ok {
			right = x.Inches()
		}
		for _, o := range rowWords() {
			for joist := 1; joist <= s.Count; joist++ {
				x, y, ok := s.Place(joist, o.Value)
				if ok && x > left && x < right && y > min(near.Inches(), to.Inches()) && y < max(near.Inches(), to.Inches()) && !slices.Contains(stops[o.Value], joist) {
					stops[o.Value] = append(stops[o.Value], joist)
				}
			}
		}
	}
	for _, list := range stops {
		slices.Sort(list)
	}
	return stops
}

// addJoistRow adds a row from joist to joist, each of its things at its joist. The distance out from the house may be typed.
// A row with a joist or a place that the deck does not have is left out of the calculation, and a finding says why.
func (a *Assembly) addJoistRow(r Record, p pinReader, kind calc.ObstructionKind) {
	if !a.complete(p, rowFromKey, rowToKey) {
		return
	}
	row, _ := p.pin.Row()
	s := StructureOf(r)
	pm, _ := p.value("pm")
	at := place{sx: deviation(pm.Number), sy: deviation(pm.Number), source: pinSource(r, p.pin, SourceTyped)}
	var list []place
	for _, joist := range row.Joists() {
		x, y, ok := s.Seat(joist, row.At, p.inches("wy"))
		if out, typed := p.value("y"); typed {
			y = out.Inches()
		}
		if !ok {
			a.noSeat(p, s, row)
			return
		}
		at.x, at.y = x, y
		list = append(list, at)
	}
	for i, at := range list {
		a.addObstruction(p, fmt.Sprintf("%s.%d", InputID(p.pin.Number), i+1), kind, false, at)
	}
}

// noSeat says why a row has no place.
func (a *Assembly) noSeat(p pinReader, s Structure, row Row) {
	info, _ := KindInfo(p.pin.Kind)
	name := words.Say(info.Label)
	switch {
	case s.Count == 0:
		a.find(SeverityCheck, words.Say("%s %d is left out of the calculation: its joists have no place on the plan.", name, p.pin.Number),
			words.Say("Give the deck's size, the joist spacing and the first joist, or pin each by itself."), FirstJoist, p.pin.ID)
	case row.To > s.Count:
		a.find(SeverityCheck, words.Say("%s %d is left out of the calculation: it goes to joist %d, and %d joists fit.", name, p.pin.Number, row.To, s.Count),
			words.Say("Open the pin and say its last joist."), "", p.pin.ID)
	default:
		a.find(SeverityCheck, words.Say("%s %d is left out of the calculation: the beam that it goes along has no typed near face.", name, p.pin.Number),
			words.Say("Open the beam's pin and type it."), "", p.pin.ID)
	}
}
