package report

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"undercroft/survey"
	"undercroft/templates"
)

// PhotoSheet is one photo with its pins, for print. Screen is the SHA-256 of the picture that is shown, empty when it cannot be
// shown; Problem then says why. No place, camera or other private part of the photo's data is in it.
type PhotoSheet struct {
	ID       survey.PhotoID
	Number   int
	Caption  string
	Taken    string // "31 May 2026, 10:14", the camera's own clock; empty when unknown
	Screen   string
	Width    int
	Height   int
	Problem  string
	Pins     []pinLine
	Original []survey.Pin             // the pins as they are, for drawing
	Ceiling  []templates.CeilingShape // the computed ceiling as it lies over the photo, empty where there is none
}

// pinLine is one pin as a line of text.
type pinLine struct {
	Number   int
	ID       survey.PinID
	Kind     survey.PinKind
	Label    string
	Name     string // what a reference is, in the surveyor's words
	Values   []pinValue
	Note     string
	Ceiling  []string // what the ceiling does there
	Position string   // typed or located place on the plan, empty when unknown
	PM       string   // ± of the position
	From     string   // "located · photo 4", empty for a typed position
	Says     string   // the photo's word where it differs from what was typed

	x, y, pm float64 // the typed position in inches, when typed is set
	typed    bool
}

// pinValue is one answer of a pin as it was understood. A measure follows its label, another answer follows a colon.
type pinValue struct {
	Label, Value string
	Measure      bool
}

// photosOf lists the photos by number with their pins; what notches a pin calls for stands beside it.
func (v voice) photosOf(r survey.Record, c survey.Ceiling, notches Notches) []PhotoSheet {
	cuts := v.cutsByPin(notches)
	var list []PhotoSheet
	for _, p := range r.Photos {
		sheet := PhotoSheet{ID: p.ID, Number: p.Number, Caption: p.Caption, Taken: v.takenText(p.Meta.Taken), Screen: p.Screen, Width: p.Width, Height: p.Height,
			Problem: p.Meta.Problem, Original: placedOn(r, p.ID)}
		sheet.Ceiling, _ = CeilingShapes(c, p, v.lang)
		for _, pin := range sheet.Original {
			row := v.pinLine(r, pin)
			row.locate(v, r, c.Assembly, pin)
			row.Ceiling = cuts[pin.Number]
			sheet.Pins = append(sheet.Pins, row)
		}
		list = append(list, sheet)
	}
	return list
}

// placedOn lists a photo's pins with their places. A reference that the structure names says so by its joist and where on it, which have words in
// every language, and is known as well as joists are.
func placedOn(r survey.Record, id survey.PhotoID) []survey.Pin {
	pins := r.PlacedOn(id)
	for i, p := range pins {
		was, _ := r.Pin(p.ID)
		if was.Values["x"] != "" || p.Values["x"] == "" {
			continue // not named by the structure: its values are the record's own
		}
		if was.Values["name"] == "" {
			delete(pins[i].Values, "name")
		}
		if pm := assumed(r, p, "pm"); was.Values["pm"] == "" && pm != "" {
			pins[i].Values["pm"] = pm
		}
	}
	return pins
}

// assumed is what a pin's field assumes, empty for nothing.
func assumed(r survey.Record, p survey.Pin, key string) string {
	for _, f := range survey.PinFields(r, p.Kind) {
		if f.Key == key {
			return f.Assumed
		}
	}
	return ""
}

// cutsByPin says for each pin what its notches are: one line for the carriers that are cut alike.
func (v voice) cutsByPin(notches Notches) map[int][]string {
	type cut struct {
		pin      int
		zone     string
		depth    string
		expected bool
	}
	carriers := map[cut][]int{}
	var order []cut
	for _, n := range notches.Rows {
		c := cut{n.Thing.Source.PinNumber, n.Zone, n.Depth.Typeset(), n.Expected}
		if c.pin > 0 && carriers[c] == nil {
			order = append(order, c)
		}
		carriers[c] = append(carriers[c], n.Carrier)
	}
	lines := map[int][]string{}
	for _, c := range order {
		word := v.in("check on site")
		if c.expected {
			word = v.in("cut")
		}
		what := v.in("carrier")
		if len(carriers[c]) > 1 {
			what = v.in("carriers")
		}
		lines[c.pin] = append(lines[c.pin], v.say("Notch %s deep in zone %s, %s %s: %s.", c.depth, c.zone, what, ranges(carriers[c]), word))
	}
	return lines
}

func (v voice) takenText(taken string) string {
	t, err := time.Parse("2006-01-02T15:04:05", taken)
	if err != nil {
		return ""
	}
	return v.date(t) + t.Format(", 15:04")
}

// pinLineOf reads a pin's values by the fields of its kind. A value that cannot be read is shown as it was typed, in quotes.
func (v voice) pinLine(r survey.Record, pin survey.Pin) pinLine {
	row := pinLine{Number: pin.Number, ID: pin.ID, Kind: pin.Kind, Label: v.thingLabel(r, pin.Number), Note: pin.Note}
	var place [6]string
	for _, f := range survey.PinFields(r, pin.Kind) {
		text := pin.Values[f.Key]
		if text == "" {
			continue
		}
		value := fmt.Sprintf("“%s”", text)
		if read, err := survey.ReadValue(f, text); err == nil {
			value = v.read(f, read.Read)
		}
		if by, ok := r.VerifiedValue(pin.ID, f.Key); ok && f.Key != "x" && f.Key != "y" && f.Key != "pm" && f.Key != "typed_stands" {
			value = v.verifiedText(f, value, by)
		}
		switch f.Key {
		case "x", "y", "x0", "x1", "y0", "y1":
			place[slices.Index(placeKeys(), f.Key)] = value
			row.number(f, text)
		case "pm":
			row.number(f, text)
			row.PM = "±\u00a0" + value
		case "sort":
		case "name":
			row.Name = value
		default:
			row.Values = append(row.Values, pinValue{v.label(f.Label), value, f.Type == survey.TypeLength || f.Type == survey.TypePosition})
		}
	}
	row.Position = v.placeText(place)
	row.typed = place[0] != "" && place[1] != ""
	return row
}

// verifiedText is a value with who verified it on site and what stood there before.
func (v voice) verifiedText(f survey.Field, value string, by survey.Verification) string {
	was := v.in("nothing")
	if read, err := survey.ReadValue(f, by.Was[f.Key]); err == nil && by.Was[f.Key] != "" {
		was = v.read(f, read.Read)
	}
	return v.say("%s (verified by %s, %s; before: %s)", value, by.By, v.date(by.At), was)
}

// pinLineOf is pinLine in English, for whoever needs its numbers only.
func pinLineOf(r survey.Record, pin survey.Pin) pinLine { return voice{}.pinLine(r, pin) }

// number keeps a typed position or its ± in inches.
func (p *pinLine) number(f survey.Field, text string) {
	v, err := survey.ReadValue(f, text)
	switch {
	case err != nil:
	case f.Key == "x":
		p.x = v.Number
	case f.Key == "y":
		p.y = v.Number
	case f.Key == "pm":
		p.pm = v.Number
	}
}

// placeKeys are the fields that say where a pin's thing is: one point, or the box it takes.
func placeKeys() []string { return []string{"x", "y", "x0", "x1", "y0", "y1"} }

// placeText says a place by what was given of placeKeys; empty when that is not enough.
func (v voice) placeText(p [6]string) string {
	between := func(a, b string) string {
		if a == "" || b == "" {
			return ""
		}
		return v.say("%s to %s", a, b)
	}
	along, out := between(p[2], p[3]), between(p[4], p[5])
	switch {
	case p[0] != "" && p[1] != "":
		return v.say("%s along, %s out", p[0], p[1])
	case along != "" && out != "":
		return v.say("%s along, %s out", along, out)
	case along != "":
		return v.say("%s along", along)
	}
	return ""
}

// Summary is the pin's values in one line.
func (p pinLine) Summary() string {
	var parts []string
	if p.Name != "" {
		parts = append(parts, p.Name)
	}
	for _, v := range p.Values {
		between := ": "
		if v.Measure {
			between = " "
		}
		parts = append(parts, lowered(v.Label)+between+lowered(v.Value))
	}
	return strings.Join(parts, " · ")
}

// lowered makes the first letter of an answer small within a line; one that is a sign or a short name stays.
func lowered(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if second, _ := utf8.DecodeRuneInString(text[size:]); unicode.IsLower(second) {
		return string(unicode.ToLower(first)) + text[size:]
	}
	return text
}
