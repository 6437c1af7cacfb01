package report

import (
	"fmt"
	"strings"
	"time"

	"undercroft/survey"
)

// PhotoSheet is one photo with its pins, for print. Screen is the SHA-256 of the picture that is shown, empty when it cannot be
// shown; Problem then says why. No place, camera or other private part of the photo's data is in it.
type PhotoSheet struct {
	ID       survey.PhotoID
	Number   int
	Caption  string
	Taken    string // "May 31, 2026, 10:14", the camera's own clock; empty when unknown
	Screen   string
	Width    int
	Height   int
	Problem  string
	Pins     []PinRow
	Original []survey.Pin // the pins as they are, for drawing
}

// PinRow is one pin as a line of text.
type PinRow struct {
	Number   int
	ID       survey.PinID
	Kind     survey.PinKind
	Label    string
	Values   []PinValue
	Note     string
	By       string
	Ceiling  []string // what the ceiling does there
	Position string   // typed or located place on the plan, empty when unknown
	PM       string   // ± of the position
}

// PinValue is one answer of a pin as it was understood.
type PinValue struct{ Label, Value string }

// photosOf lists the photos by number with their pins; what notches a pin calls for stands beside it.
func photosOf(r survey.Record, c survey.Ceiling, notches NotchTable) []PhotoSheet {
	cuts := map[int][]string{}
	for _, n := range notches.Rows {
		if number := n.Thing.Source.PinNumber; number > 0 {
			word := "check on site"
			if n.Expected {
				word = "cut"
			}
			cuts[number] = append(cuts[number], fmt.Sprintf("notch %s deep in carrier %d, zone %s: %s", n.Depth.Typeset(), n.Carrier, n.Zone, word))
		}
	}
	var list []PhotoSheet
	for _, p := range r.Photos {
		sheet := PhotoSheet{ID: p.ID, Number: p.Number, Caption: p.Caption, Taken: takenText(p.Meta.Taken), Screen: p.Screen, Width: p.Width, Height: p.Height,
			Problem: p.Meta.Problem, Original: r.PinsOn(p.ID)}
		for _, pin := range sheet.Original {
			row := pinRow(r, pin)
			row.Ceiling = cuts[pin.Number]
			sheet.Pins = append(sheet.Pins, row)
		}
		list = append(list, sheet)
	}
	return list
}

func takenText(taken string) string {
	t, err := time.Parse("2006-01-02T15:04:05", taken)
	if err != nil {
		return ""
	}
	return t.Format("January 2, 2006, 15:04")
}

// pinRow reads a pin's values by the fields of its kind. A value that cannot be read is shown as it was typed, in quotes.
func pinRow(r survey.Record, pin survey.Pin) PinRow {
	row := PinRow{Number: pin.Number, ID: pin.ID, Kind: pin.Kind, Label: thingLabel(r, pin.Number), Note: pin.Note, By: pin.By}
	var place [2]string
	for _, f := range survey.PinFields(r, pin.Kind) {
		text := pin.Values[f.Key]
		if text == "" {
			continue
		}
		value := fmt.Sprintf("“%s”", text)
		if v, err := survey.ReadValue(f, text); err == nil {
			value = v.Read
		}
		switch f.Key {
		case "x":
			place[0] = value
		case "y":
			place[1] = value
		case "pm":
			row.PM = "±\u00a0" + value
		case "sort":
		default:
			row.Values = append(row.Values, PinValue{f.Label, value})
		}
	}
	if place[0] != "" && place[1] != "" {
		row.Position = fmt.Sprintf("%s along, %s out", place[0], place[1])
	}
	return row
}

// Summary is the pin's values in one line.
func (p PinRow) Summary() string {
	parts := make([]string, 0, len(p.Values))
	for _, v := range p.Values {
		parts = append(parts, strings.ToLower(v.Label[:1])+v.Label[1:]+" "+v.Value)
	}
	return strings.Join(parts, " · ")
}
