package report

import (
	"cmp"
	"fmt"
	"slices"

	"undercroft/survey"
)

// placeLine is a pin with its place on the plan, or the word that it has none yet.
type placeLine struct {
	Number int
	Kind   survey.PinKind
	Label  string
	Place  string // "14′ 2″ along, 5′ out"; empty when nobody said
	PM     string // "± 3/8″", empty when not said
	Source Source
}

// edgeLine is one side of the deck.
type edgeLine struct {
	Label   string
	Kind    string // "Wall" or "Open", empty when nobody said
	Surface string
	Details []string // where the wall ends, how the ledger sits
	Sources []Source
}

// placesOf lists the pins that have, or should have, a place on the plan, by number; references come last.
func placesOf(r survey.Record, a survey.Assembly, l Links) []placeLine {
	var rows []placeLine
	for _, pin := range r.Pins {
		line := l.pinLine(r, pin)
		line.locate(l.voice, r, a, pin)
		asked := false
		for _, f := range survey.PinFields(r, pin.Kind) {
			asked = asked || f.Key == "x" || f.Key == "x0"
		}
		if !asked {
			continue
		}
		photo, _ := r.Photo(pin.Photo)
		kind := survey.SourceTyped
		if line.From != "" {
			kind = survey.SourceLocated
		}
		rows = append(rows, placeLine{Number: pin.Number, Kind: pin.Kind, Label: line.Label, Place: line.Position, PM: line.PM,
			Source: l.source(survey.Source{Kind: kind, Pin: pin.ID, PinNumber: pin.Number, Photo: pin.Photo, PhotoNumber: photo.Number})})
	}
	slices.SortStableFunc(rows, func(a, b placeLine) int { return cmp.Compare(isReference(a), isReference(b)) })
	return rows
}

func isReference(p placeLine) int {
	if p.Kind == survey.PinReference {
		return 1
	}
	return 0
}

// edgesOf lists the sides of the deck by the facts about each.
func edgesOf(r survey.Record, a survey.Assembly, l Links) []edgeLine {
	var rows []edgeLine
	for i, side := range survey.SideOptions(r) {
		row := edgeLine{Label: side.Label}
		fact := func(name string) survey.Resolved { return a.Facts.Get(fmt.Sprintf("edge.%d.%s", i, name)) }
		kind, surface, end, drop := fact("kind"), fact("surface"), fact("wall_end"), fact("member_drop")
		var used []survey.Source
		use := func(f survey.Resolved, show bool) bool {
			if f.Known() && show {
				used = append(used, f.Source)
			}
			return f.Known() && show
		}
		if use(kind, true) {
			row.Kind = kind.Value.Read
		}
		if use(surface, kind.Value.Choice == "wall") {
			row.Surface = surface.Value.Read
		}
		if use(end, kind.Value.Choice == "wall") {
			row.Details = append(row.Details, "wall ends after "+end.Value.Read)
		}
		if use(drop, drop.Value.Number != 0) {
			row.Details = append(row.Details, memberText(drop.Value))
		}
		row.Sources = l.sources(used...)
		rows = append(rows, row)
	}
	return rows
}

// memberText says how the ledger, rim or header sits against the joists.
func memberText(v survey.Value) string {
	if v.Number < 0 {
		return "ledger or rim ends " + (-v.Inches()).Typeset() + " above the joists’ bottom"
	}
	return "ledger or rim hangs " + v.Read + " below the joists"
}
