package report

import (
	"fmt"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// VerifyRow is one thing to check on site before it is built upon: what, what the report took it to be, and why it is doubtful.
type VerifyRow struct {
	What    string
	Value   string
	PM      length.Inches // ± of 95 %, 0 where no figure is known
	Why     string
	Sources []Source
}

// doubtful is the ± from which a position is worth taping again, in inches: less than what a notch's clearance forgives.
const doubtful = 1.0 / 4

// verifyOf lists what is uncertain: facts that differ, positions known only within a quarter inch or worse, notches that may or may
// not be needed, readings out of plane, and what the survey says is left out.
func verifyOf(r survey.Record, c survey.Ceiling, things Things) []VerifyRow {
	rows := differingFacts(c.Assembly)
	rows = append(rows, unsurePositions(c.Input, things)...)
	if c.Plan != nil {
		rows = append(rows, unsureNotches(*c.Plan, things)...)
		rows = append(rows, unsureLevels(*c.Plan, c.Assembly)...)
	}
	for _, f := range surveyFindings(r, c.Assembly, survey.SeverityCheck) {
		row := VerifyRow{What: f.Head, Why: f.Do}
		if pin, ok := r.Pin(f.Pin); ok {
			photo, _ := r.Photo(pin.Photo)
			row.Sources = []Source{sourceOf(survey.Source{Kind: survey.SourceTyped, Pin: pin.ID, PinNumber: pin.Number, Photo: photo.ID, PhotoNumber: photo.Number})}
		}
		rows = append(rows, row)
	}
	return rows
}

func differingFacts(a survey.Assembly) []VerifyRow {
	var rows []VerifyRow
	for _, f := range a.Facts.All() {
		if f.State != survey.FactDiffers && f.State != survey.FactConflict {
			continue
		}
		row := VerifyRow{What: f.Field.Label, Value: f.Value.Read, Why: "two sources differ"}
		for _, c := range f.Candidates {
			row.Sources = append(row.Sources, sourceOf(c.Source))
		}
		rows = append(rows, row)
	}
	return rows
}

// unsurePositions gathers the things whose position is doubtful, one line for a whole row of them.
func unsurePositions(in calc.Input, things Things) []VerifyRow {
	var rows []VerifyRow
	seen := map[string]bool{}
	for _, o := range in.Obstructions {
		pm := length.Inches(float64(max(o.SX, o.SY)) * deviations95)
		if pm < doubtful-1e-9 {
			continue
		}
		t := things.Find(o.ID)
		key := o.ID
		if n, ok := survey.PinNumber(o.ID); ok {
			key = itoa(n)
		}
		if seen[key] {
			continue
		}
		seen[key] = true
		row := VerifyRow{What: t.Label, Value: planPoint(o.X, o.Y), PM: pm, Why: "tape its position before cutting a carrier near it"}
		if t.Source.PinNumber > 0 {
			row.Sources = []Source{t.Source}
		}
		rows = append(rows, row)
	}
	return rows
}

func unsureNotches(plan calc.Plan, things Things) []VerifyRow {
	var rows []VerifyRow
	for _, n := range notchesOf(plan, things).Rows {
		if n.Expected {
			continue
		}
		rows = append(rows, VerifyRow{What: fmt.Sprintf("Notch for %s in carrier %d, zone %s", n.Thing.Label, n.Carrier, n.Zone),
			Value: "chance " + n.Chance, PM: n.Thing.Source.PM, Why: "hold the carrier up, mark, then cut if they meet", Sources: []Source{computedBy(ruleNotches)}})
	}
	return rows
}

// unsureLevels are the levels that lie off the fitted plane by a sixteenth or more.
func unsureLevels(plan calc.Plan, a survey.Assembly) []VerifyRow {
	var rows []VerifyRow
	for i, r := range plan.Plane.Residuals {
		if i >= len(a.Input.Heights) || r < 1.0/16 && r > -1.0/16 {
			continue
		}
		h := a.Input.Heights[i]
		rows = append(rows, VerifyRow{What: "Level at " + planPoint(h.X, h.Y), Value: h.Height.Typeset(),
			Why: fmt.Sprintf("%s off the plane through all levels", typeset(r)), Sources: []Source{sourceOf(a.Levels[i])}})
	}
	return rows
}
