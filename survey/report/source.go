package report

import (
	"fmt"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// KindComputed is the kind of a figure that a rule worked out of others; the other kinds are survey's.
const KindComputed survey.SourceKind = "computed"

// Source is where a figure came from, ready to print: Kind, then Text. PinNumber and Rule say what it leads to: a pin of the report, or
// the rule that computed it; both 0 when it leads nowhere. PM is the ± of 95 %, 0 where none is known.
type Source struct {
	Kind      survey.SourceKind
	Text      string
	PM        length.Inches
	PinNumber int
	Pin       survey.PinID
	Photo     survey.PhotoID
	Field     string
	Rule      int
}

// computedBy is the source of figures that a rule of Methods worked out.
func computedBy(rule int) Source {
	return Source{Kind: KindComputed, Text: "rule " + itoa(rule), Rule: rule}
}

// profileSource is the source of the system profile's own figures: examples until the supplier's replace them.
func profileSource(name string) Source {
	return Source{Kind: survey.SourceAssumed, Text: "profile " + name, Field: "system"}
}

// sourceOf prints a survey's source: the pin with its photo, or the form it was typed in.
func sourceOf(s survey.Source) Source {
	out := Source{Kind: s.Kind, PinNumber: s.PinNumber, Pin: s.Pin, Photo: s.Photo, Field: s.Field}
	switch {
	case s.PinNumber > 0:
		out.Text = fmt.Sprintf("pin %d, photo %d", s.PinNumber, s.PhotoNumber)
	case s.Kind == survey.SourceAssumed:
		out.Text = "nobody said otherwise"
	default:
		out.Text = "Site and deck"
	}
	return out
}

// sourcesOf prints several sources, the same one once.
func sourcesOf(list []survey.Source) []Source {
	seen := map[survey.Source]bool{}
	var out []Source
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			out = append(out, sourceOf(s))
		}
	}
	return out
}

// Thing is what an id of the calculator's input stands for: what a person calls it, and the pin that it came from.
type Thing struct {
	ID     string
	Label  string // "Hanger 7.3", "Light 24"
	Source Source // the zero Source for an id that no pin gave
}

// Things names what the calculator's ids stand for.
type Things map[string]Thing

// Find names an id; one that is not known is called by itself.
func (t Things) Find(id string) Thing {
	if thing, ok := t[id]; ok {
		return thing
	}
	return Thing{ID: id, Label: strings.ReplaceAll(id, "-", " ")}
}

// thingsOf names every obstruction, beam and opening of the input by its pin's kind and number. In a row the n-th carries .n.
func thingsOf(r survey.Record, a survey.Assembly) Things {
	things := Things{}
	add := func(id string, pm length.Inches) {
		number, ok := survey.PinNumber(id)
		if !ok {
			return
		}
		source := sourceOf(a.Sources[id])
		source.PM = pm
		things[id] = Thing{ID: id, Label: thingLabel(r, number) + "\u00a0" + strings.TrimPrefix(id, "p"), Source: source}
	}
	for _, o := range a.Input.Obstructions {
		add(o.ID, length.Inches(float64(max(o.SX, o.SY))*deviations95))
	}
	for _, b := range a.Input.Beams {
		add(b.ID, 0)
	}
	for _, o := range a.Input.Openings {
		add(o.ID, 0)
	}
	return things
}

// deviations95 is how many standard deviations a ± of 95 % is, from the normal distribution.
const deviations95 = 1.96

// thingLabel is what a pin's thing is called: its sort where the pin says one, else its kind.
func thingLabel(r survey.Record, number int) string {
	for _, p := range r.Pins {
		if p.Number != number {
			continue
		}
		for _, f := range survey.PinFields(r, p.Kind) {
			if f.Key == "sort" && p.Values["sort"] != "" {
				if v, err := survey.ReadValue(f, p.Values["sort"]); err == nil {
					return v.Read
				}
			}
		}
		return kindLabel(p.Kind)
	}
	return "Pin"
}

// kindLabel is the short name of a kind of pin.
func kindLabel(kind survey.PinKind) string {
	if kind == survey.PinBeam {
		return "Beam"
	}
	if info, ok := survey.KindInfo(kind); ok {
		return info.Label
	}
	return "Pin"
}

// FactRow is one fact of the deck: what it says and where that came from. Values that disagree are all listed.
type FactRow struct {
	Group   string
	Label   string
	Value   string // empty when nobody said
	Sources []Source
	State   survey.FactState
	Field   string
	Others  []FactRow // what the other sources said, where they differ
}

// factsOf lists the facts of the deck that have a value or must be settled, in the order of the form.
func factsOf(a survey.Assembly) []FactRow {
	var rows []FactRow
	for _, f := range a.Facts.All() {
		if f.State == survey.FactMissing {
			continue
		}
		row := FactRow{Group: f.Field.Group, Label: f.Field.Label, Value: f.Value.Read, State: f.State, Field: f.Field.Key}
		if f.Known() {
			row.Sources = []Source{sourceOf(f.Source)}
		}
		if f.State == survey.FactConflict || f.State == survey.FactDiffers {
			for _, c := range f.Candidates {
				row.Others = append(row.Others, FactRow{Value: c.Value.Read, Sources: []Source{sourceOf(c.Source)}})
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// pinnedFacts are the facts that pins gave besides the deck's own fields: levels, clearances, what hangs, beams, openings.
func pinnedFacts(a survey.Assembly, things Things) []FactRow {
	var rows []FactRow
	add := func(group, label, value string, sources ...Source) {
		rows = append(rows, FactRow{Group: group, Label: label, Value: value, Sources: sources, State: survey.FactKnown})
	}
	for i, h := range a.Input.Heights {
		add("Levels", "Underside over the level line", fmt.Sprintf("%s at %s", h.Height.Typeset(), planPoint(h.X, h.Y)), sourceOf(a.Levels[i]))
	}
	for i, c := range a.Input.Clearances {
		value := fmt.Sprintf("%s at %s", c.Clearance.Typeset(), planPoint(c.X, c.Y))
		if a.Ground[i] != "" {
			value += ", " + strings.ToLower(a.Ground[i])
		}
		add("Levels", "Underside to the ground", value, sourceOf(a.Clearances[i]))
	}
	for _, b := range a.Input.Beams {
		t := things.Find(b.ID)
		add("In the way", t.Label, fmt.Sprintf("%s to %s out, hangs %s", b.Y0.Typeset(), b.Y1.Typeset(), b.Drop.Typeset()), t.Source)
	}
	for _, o := range a.Input.Obstructions {
		t := things.Find(o.ID)
		add("In the way", t.Label, obstructionText(o), t.Source)
	}
	for _, o := range a.Input.Openings {
		t := things.Find(o.ID)
		add("Openings", t.Label, fmt.Sprintf("%s to %s along, head at %s", o.X0.Typeset(), o.X1.Typeset(), o.Head.Typeset()), t.Source)
	}
	return rows
}

func planPoint(x, y length.Inches) string { return planPosition(float64(x), float64(y)) }

func obstructionText(o calc.Obstruction) string {
	text := fmt.Sprintf("%s, %s × %s", planPoint(o.X, o.Y), o.WX.Typeset(), o.WY.Typeset())
	if o.Through {
		return text + ", goes through the ceiling"
	}
	return text + ", hangs " + o.Drop.Typeset()
}
