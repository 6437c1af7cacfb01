package report

import (
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// verifyLine is one thing to check on site before it is built upon: what, what the report took it to be, and why it is doubtful.
type verifyLine struct {
	What    string
	Value   string
	PM      length.Inches // ± of 95 %, 0 where no figure is known
	Why     string
	Sources []Source
	Fact    string // the key of the fact that it is about, empty for none
}

// doubtful is the ± from which a position is worth taping again, in inches: twice the clearance of a notch.
const doubtful = 1.0 / 4

// verifyOf lists what is uncertain: facts that differ, positions known only within a quarter inch or worse, notches that may or may
// not be needed, readings out of plane, and what the survey says is left out.
func verifyOf(r survey.Record, c survey.Ceiling, m Model, named things, l Links) []verifyLine {
	rows := differingFacts(c.Assembly, l)
	rows = append(rows, l.unsurePositions(c.Input, named)...)
	rows = append(rows, unsureLocated(r, c.Assembly, l)...)
	rows = append(rows, l.unsureNotches(m.Notches)...)
	if c.Plan != nil {
		rows = append(rows, unsureLevels(*c.Plan, c.Assembly, l)...)
	}
	for _, f := range c.Findings {
		if f.Severity != survey.SeverityCheck {
			continue
		}
		row := verifyLine{What: l.saidOr(f.Said, f.Text), Why: l.saidOr(f.ToDo, f.Do), Fact: f.Fact}
		if pin, ok := r.Pin(f.Pin); ok {
			photo, _ := r.Photo(pin.Photo)
			row.Sources = l.sources(survey.Source{Kind: survey.SourceTyped, Pin: pin.ID, PinNumber: pin.Number, Photo: photo.ID, PhotoNumber: photo.Number})
		}
		rows = append(rows, row)
	}
	return rows
}

func differingFacts(a survey.Assembly, l Links) []verifyLine {
	var rows []verifyLine
	for _, f := range a.Facts.All() {
		if f.State != survey.FactDiffers && f.State != survey.FactConflict {
			continue
		}
		row := verifyLine{What: l.label(f.Field.Label), Value: l.read(f.Field, f.Value.Read), Why: l.in("Two sources differ: tape it again."), Fact: f.Field.Key}
		for _, c := range f.Candidates {
			row.Sources = append(row.Sources, l.source(c.Source))
		}
		rows = append(rows, row)
	}
	return rows
}

// unsurePositions gathers the things whose position is doubtful, one line for a whole row of them.
func (v voice) unsurePositions(in calc.Input, named things) []verifyLine {
	var rows []verifyLine
	for i, o := range in.Obstructions {
		t := named.find(o.ID)
		first, count := rowOf(in.Obstructions, i)
		if t.PM < doubtful-1e-9 || !first {
			continue
		}
		row := verifyLine{What: t.Label, Value: v.planPoint(o.X, o.Y), PM: t.PM, Why: v.in("Tape its position before a carrier near it is cut."), Sources: sourceList(t)}
		if count > 1 {
			row.What, _, _ = strings.Cut(t.Label, ".")
			row.Value = v.say("row of %d, first at %s", count, row.Value)
		}
		rows = append(rows, row)
	}
	return rows
}

// sourceList is a thing's source, if it has one.
func sourceList(t Thing) []Source {
	if t.Source.Kind == "" {
		return nil
	}
	return []Source{t.Source}
}

func (v voice) unsureNotches(list Notches) []verifyLine {
	var rows []verifyLine
	for _, n := range list.Rows {
		if !n.Expected {
			rows = append(rows, verifyLine{What: v.say("Notch for %s in carrier %d, zone %s", n.Thing.Label, n.Carrier, n.Zone), Value: v.say("chance %s", n.Chance),
				Why: v.in("Hold the carrier up, mark, and cut only if they meet."), Sources: concat(v.computed(ruleNotches), sourceList(n.Thing))})
		}
	}
	return rows
}

// unsureLevels are the levels that lie off the fitted plane by a sixteenth or more.
func unsureLevels(plan calc.Plan, a survey.Assembly, l Links) []verifyLine {
	var rows []verifyLine
	for i, r := range plan.Plane.Residuals {
		if i >= len(a.Input.Heights) || r < 1.0/16 && r > -1.0/16 {
			continue
		}
		h := a.Input.Heights[i]
		rows = append(rows, verifyLine{What: l.say("Level at %s", l.planPoint(h.X, h.Y)), Value: h.Height.Typeset(),
			Why: l.say("It lies %s off the plane through all levels.", typeset(r)), Sources: []Source{l.source(a.Levels[i])}})
	}
	return rows
}
