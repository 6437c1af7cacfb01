package report

import (
	"fmt"
	"math"

	"undercroft/calc/length"
	"undercroft/survey"
)

// photoPlane is the geometry of one photo for the table of sources.
type photoPlane struct {
	Number     int
	References int
	Residual   string // the worst reference's distance from where the others put it, empty without geometry
	Camera     string // where the camera stood, along and out, with its ±; empty when not known
	Below      string // how far below the joists it was held, with its ±
	Doubts     []string
	Trusted    bool
	Sources    []Source // its references
}

// planesOf lists the photos that have references, with how well these agree and where the camera stood.
func planesOf(r survey.Record, a survey.Assembly, l Links) []photoPlane {
	var rows []photoPlane
	for _, photo := range r.Photos {
		p := a.Geometry[photo.ID]
		if p.References == 0 {
			continue
		}
		row := photoPlane{Number: photo.Number, References: p.References, Trusted: p.Trusted, Sources: l.pinsSource(referencesOn(r, photo))}
		for _, doubt := range p.Said {
			row.Doubts = append(row.Doubts, doubt.In(l.lang))
		}
		if p.Fit == nil {
			rows = append(rows, row)
			continue
		}
		worst := 0.0
		for _, t := range p.Fit.References {
			worst = math.Max(worst, math.Hypot(t.ResIn.X, t.ResIn.Y))
		}
		row.Residual = length.Inches(worst).Up16().Typeset()
		if pose := p.Fit.Pose; pose != nil && p.Trusted {
			row.Camera = l.planPosition(pose.X, pose.Y) + " " + plusMinus(pose.Ellipse95().A)
			row.Below = typeset(pose.Below) + " " + plusMinus(deviations95*math.Sqrt(pose.Cov[2][2]))
		}
		rows = append(rows, row)
	}
	return rows
}

// referencesOn are the reference pins of a photo as sources.
func referencesOn(r survey.Record, photo survey.Photo) []survey.Source {
	var list []survey.Source
	for _, pin := range r.PinsOn(photo.ID) {
		if pin.Kind == survey.PinReference {
			list = append(list, survey.Source{Kind: survey.SourceTyped, Pin: pin.ID, PinNumber: pin.Number, Photo: photo.ID, PhotoNumber: photo.Number})
		}
	}
	return list
}

// plusMinus prints a ± in inches, rounded up to a sixteenth.
func plusMinus(pm float64) string { return "±\u00a0" + length.Inches(pm).Up16().Typeset() }

// locate fills in the place of a pin that its photo locates: as its place where none was typed, and beside a typed one from which it differs.
func (row *pinLine) locate(v voice, r survey.Record, a survey.Assembly, pin survey.Pin) {
	at, ok := a.Located[pin.ID]
	if !ok {
		return
	}
	photo, _ := r.Photo(pin.Photo)
	place := v.planPosition(at.X, at.Y)
	if !row.typed {
		row.Position, row.PM = place, plusMinus(at.PM())
		row.From = v.say("located · photo\u00a0%d", photo.Number)
		return
	}
	if by, ok := r.VerifiedValue(pin.ID, "x"); ok {
		row.Says = v.say("its photo had located it at %s %s; verified by %s, %s", place, plusMinus(at.PM()), by.By, v.date(by.At))
	} else if dispute, ok := a.Disputes[pin.ID]; ok {
		row.Says = v.say("its photo says %s %s: %s apart, to be settled", place, plusMinus(at.PM()), typeset(dispute.Apart))
	} else if apart, differs := at.Differs(row.x, row.y, row.pm); differs {
		row.Says = v.say("its photo says %s %s: %s apart; the typed place stands", place, plusMinus(at.PM()), typeset(apart))
	}
}

// unsureLocated are the located pins that are not among the things that hang: levels and clearances, whose place the fall and the headroom rest on.
func unsureLocated(r survey.Record, a survey.Assembly, l Links) []verifyLine {
	var rows []verifyLine
	for _, sources := range [][]survey.Source{a.Levels, a.Clearances} {
		for _, s := range sources {
			pin, _ := r.Pin(s.Pin)
			line := l.pinLine(r, pin)
			line.locate(l.voice, r, a, pin)
			at, ok := a.Located[s.Pin]
			if !ok || line.typed || at.PM() < doubtful {
				continue
			}
			rows = append(rows, verifyLine{What: fmt.Sprintf("%s %d", line.Label, pin.Number), Value: line.Position, PM: length.Inches(at.PM()).Up16(),
				Why: l.in("Its place is by its photo alone: tape it."), Sources: []Source{l.uncertain(survey.Source{Kind: survey.SourceLocated, Pin: s.Pin, PinNumber: s.PinNumber, Photo: s.Photo, PhotoNumber: s.PhotoNumber}, length.Inches(at.PM()))}})
		}
	}
	return rows
}
