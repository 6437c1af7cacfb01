package web

import (
	"strconv"

	"undercroft/survey"
)

// pinList is the list of one photo's pins; All counts those of the survey.
type pinList struct {
	Rows []pinRow
	All  int
}

// pinRow is one pin of the list in words.
type pinRow struct {
	survey.Pin
	Href, Label, Words string
	State              *stateView
	Says               string // the photo's word where it differs from what was typed, or how a reference fits
	Drop               string // how far the pinned thing hangs below the joists, in inches, for scripts
	Source             sourceView
	Caution, Current   bool
}

// viewPins lists the pins of a photo. chosen may be empty.
func viewPins(r survey.Record, ceiling survey.Ceiling, photo survey.Photo, chosen survey.PinID) pinList {
	list := pinList{All: len(r.Pins)}
	for _, p := range r.PlacedOn(photo.ID) {
		at := placeOf(r, ceiling, photo, p)
		text := at.text
		row := pinRow{Pin: p, Href: photoPath(photo) + "?pin=" + string(p.ID) + "#pin", Label: text.title(), Words: text.words(), Source: text.source(), Current: p.ID == chosen}
		at.row(&row)
		if drop, ok := text.number("drop"); ok {
			row.Drop = strconv.FormatFloat(drop, 'g', -1, 64)
		}
		row.State = pinState(ceiling, text)
		if p.Kind == survey.PinReference {
			row.reference(ceiling.Geometry[photo.ID], text)
		}
		row.Caution = row.State != nil && (row.State.Weight == weightStop || row.State.Weight == weightWarn)
		list.Rows = append(list.Rows, row)
	}
	return list
}

// reference says how a reference fits the others, and whether it counts at all.
func (row *pinRow) reference(p survey.PhotoPlane, text pinText) {
	row.Says = residual(p, text.pin)
	switch {
	case text.place() == "":
		row.State = &stateView{weightWarn, "no place yet: not used"}
	case suspected(p, text.pin):
		row.State = &stateView{weightWarn, "suspected"}
	}
}

// pinState says in two or three words what is to be known of a pin: what is missing, what the ceiling does there, what to look at.
func pinState(ceiling survey.Ceiling, p pinText) *stateView {
	if name := p.missing(); name != "" {
		return &stateView{weightWarn, "missing: " + name}
	}
	if _, ok := ceiling.Disputes[p.pin.ID]; ok {
		return &stateView{weightWarn, "two places: choose"}
	}
	for _, f := range ceiling.Findings {
		if f.Pin == p.pin.ID && f.Severity != survey.SeverityNote {
			return &stateView{weightWarn, "not in the plan yet"}
		}
	}
	if p.pin.Kind == survey.PinConcern {
		return &stateView{weightWarn, "to settle"}
	}
	return hangingState(ceiling, p.pin.Number)
}

// missing names the first needed field that has no value; empty when all have one.
func (p pinText) missing() string {
	for _, f := range p.fields {
		if f.Required && p.pin.Values[f.Key] == "" {
			return lowerFirst(f.Label)
		}
	}
	return ""
}
