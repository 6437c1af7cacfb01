package report

import (
	"fmt"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// factLine is one fact of the deck: what it says and where that came from. Values that disagree are all listed in Others.
type factLine struct {
	Group   string
	Label   string
	Value   string // empty when nobody said, or when a person must settle it
	State   survey.FactState
	Sources []Source
	Others  []factLine
}

// factsOf lists the facts of the deck that have a value or must be settled, in the order of the form, then what pins gave besides.
func factsOf(a survey.Assembly, named things, l Links) []factLine {
	var rows []factLine
	for _, f := range a.Facts.All() {
		if f.State == survey.FactMissing {
			continue
		}
		row := factLine{Group: l.in(f.Field.Group), Label: l.label(f.Field.Label), Value: l.read(f.Field, f.Value.Read), State: f.State}
		if f.Known() {
			row.Sources = []Source{l.source(f.Source)}
		}
		if f.State == survey.FactConflict || f.State == survey.FactDiffers {
			for _, c := range f.Candidates {
				row.Others = append(row.Others, factLine{Value: l.read(f.Field, c.Value.Read), Sources: []Source{l.source(c.Source)}})
			}
		}
		rows = append(rows, row)
	}
	rows = append(rows, heightFacts(a, l)...)
	return append(rows, l.pinnedFacts(a.Input, named)...)
}

// heightFacts are the levels and clearances.
func heightFacts(a survey.Assembly, l Links) []factLine {
	var rows []factLine
	for i, h := range a.Input.Heights {
		rows = append(rows, factLine{Group: l.in("Levels"), Label: l.in("Underside over the level line"), State: survey.FactKnown,
			Value: l.say("%s at %s", h.Height.Typeset(), l.planPoint(h.X, h.Y)), Sources: []Source{l.source(a.Levels[i])}})
	}
	for i, c := range a.Input.Clearances {
		value := l.say("%s at %s", c.Clearance.Typeset(), l.planPoint(c.X, c.Y))
		if a.Ground[i] != "" {
			value += ", " + strings.ToLower(l.in(a.Ground[i]))
		}
		rows = append(rows, factLine{Group: l.in("Levels"), Label: l.in("Underside to the ground"), State: survey.FactKnown, Value: value, Sources: []Source{l.source(a.Clearances[i])}})
	}
	return rows
}

// pinnedFacts are beams, what hangs or goes through, and openings. Things of one row stand in one line.
func (v voice) pinnedFacts(in calc.Input, named things) []factLine {
	var rows []factLine
	add := func(group string, t Thing, value string) {
		row := factLine{Group: group, Label: t.Label, Value: value, State: survey.FactKnown}
		if t.Source.Kind != "" {
			row.Sources = []Source{t.Source}
		}
		rows = append(rows, row)
	}
	for _, b := range in.Beams {
		add(v.in("In the way"), named.find(b.ID), v.say("%s to %s out, hangs %s", b.Y0.Typeset(), b.Y1.Typeset(), b.Drop.Typeset()))
	}
	for i, o := range in.Obstructions {
		first, count := rowOf(in.Obstructions, i)
		if !first {
			continue
		}
		t := named.find(o.ID)
		value := v.obstructionText(o)
		if count > 1 {
			t.Label, _, _ = strings.Cut(t.Label, ".")
			value = v.say("row of %d, first at %s", count, value)
		}
		add(v.in("In the way"), t, value)
	}
	for _, o := range in.Openings {
		add(v.in("Openings"), named.find(o.ID), v.say("%s to %s along, head at %s", o.X0.Typeset(), o.X1.Typeset(), o.Head.Typeset()))
	}
	return rows
}

// rowOf tells whether obstruction i is the first that its pin gave, and how many that pin gave.
func rowOf(list []calc.Obstruction, i int) (first bool, count int) {
	number, ok := survey.PinNumber(list[i].ID)
	if !ok {
		return true, 1
	}
	first = true
	for j, o := range list {
		if n, ok := survey.PinNumber(o.ID); ok && n == number {
			first = first && j >= i
			count++
		}
	}
	return first, count
}

func (v voice) planPoint(x, y length.Inches) string { return v.planPosition(float64(x), float64(y)) }

func (v voice) obstructionText(o calc.Obstruction) string {
	text := fmt.Sprintf("%s, %s × %s", v.planPoint(o.X, o.Y), o.WX.Typeset(), o.WY.Typeset())
	if o.Through {
		return text + ", " + v.in("goes through the ceiling")
	}
	return text + ", " + v.say("hangs %s", o.Drop.Typeset())
}

// assumedOf are the facts that nobody said.
func assumedOf(facts []factLine) []factLine {
	var rows []factLine
	for _, f := range facts {
		if f.State == survey.FactAssumed {
			rows = append(rows, f)
		}
	}
	return rows
}
