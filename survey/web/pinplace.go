package web

import (
	"fmt"

	"undercroft/survey"
)

// whereView is where on the plan a pin is, by its photo and by what was typed.
type whereView struct {
	Rows    []whereRow
	Words   string // what else there is to know
	Doubts  []string
	Dispute *disputeView
}

// whereRow is one coordinate with its ± and source.
type whereRow struct {
	Label, Value, PM string
	Source           sourceView
}

// disputeView is a typed place and the photo's, of which a person chooses one.
type disputeView struct {
	Head           string
	Typed, Located disputeSide
}

// disputeSide is one of two places that disagree; Choice is what its button sends.
type disputeSide struct {
	Letter, Read, PM, Choice string
	Source                   sourceView
}

// The choices between two places: the typed one stands, or it is cleared and the photo's is used.
const (
	settleTyped   = "typed"
	settleLocated = "located"
)

// keyStands is the field in which a person says that the typed place stands.
const keyStands = "typed_stands"

// pinPlace is what is known of the place of one pin.
type pinPlace struct {
	text     pinText
	photo    survey.Photo
	located  survey.Located
	here     bool // whether the photo locates it
	x, y, pm float64
	typed    bool
	dispute  *survey.Dispute
	verified *survey.Verification // of the typed place, when it was measured on site
	inRow    string               // of a row from joist to joist: how many, and how many of them the photo shows
}

// placeOf gathers the words about a pin's place.
func placeOf(r survey.Record, ceiling survey.Ceiling, photo survey.Photo, p survey.Pin) pinPlace {
	at := pinPlace{text: pinText{pin: p, fields: survey.PinFields(r, p.Kind)}, photo: photo}
	if at.located, at.here = ceiling.Located[p.ID]; at.here {
		at.text.located = planPlace(at.located.X, at.located.Y)
	}
	if d, ok := ceiling.Disputes[p.ID]; ok {
		at.dispute = &d
	}
	x, okX := at.text.number("x")
	y, okY := at.text.number("y")
	at.x, at.y, at.typed = x, y, okX && okY
	at.pm, _ = at.text.number("pm")
	if v, ok := r.VerifiedValue(p.ID, "x"); ok {
		at.verified = &v
	}
	if row, ok := p.Row(); ok {
		at.inRow = fmt.Sprintf("One pin, %d of them: %s.", p.Count(), row)
		if dots := survey.RowDots(ceiling, survey.StructureOf(r), photo, p); len(dots) > 0 {
			at.inRow += fmt.Sprintf(" %d show on this photo.", len(dots))
		}
	}
	return at
}

// locatedSource is the badge of a photo's word: "located · photo 4".
func (p pinPlace) locatedSource() sourceView {
	return sourceView{Kind: string(survey.SourceLocated), Words: fmt.Sprintf("located · photo\u00a0%d", p.photo.Number)}
}

// where says in a pin's form where it is; nil when the typed fields say all that there is.
func (p pinPlace) where() *whereView {
	if p.inRow != "" {
		return &whereView{Words: p.inRow}
	}
	if !p.here {
		return nil
	}
	pm := pmText(p.located.PM())
	v := &whereView{Doubts: p.located.Doubts}
	switch {
	case p.dispute != nil:
		v.Dispute = p.disputed()
	case !p.typed:
		x, y := lengthText(p.located.X), lengthText(p.located.Y)
		v.Rows = []whereRow{{"Along the house, x", x, pm, p.locatedSource()}, {"Out from the house, y", y, pm, p.locatedSource()}}
	case p.verified != nil:
		v.Words = fmt.Sprintf("Located by photo %d at %s %s; verified at %s by %s, %s.", p.photo.Number, planPlace(p.located.X, p.located.Y), pm, planPlace(p.x, p.y), p.verified.By, p.verified.At.Format("2 Jan 2006"))
	default:
		v.Words = fmt.Sprintf("Photo %d says %s %s: ", p.photo.Number, planPlace(p.located.X, p.located.Y), pm)
		if apart, differs := p.located.Differs(p.x, p.y, p.pm); differs {
			v.Words += lengthText(apart) + " away. The typed place stands."
		} else {
			v.Words += "it agrees with what was typed."
		}
	}
	return v
}

func (p pinPlace) disputed() *disputeView {
	typed := sourceView{Kind: string(survey.SourceTyped), Words: string(survey.SourceTyped)}
	return &disputeView{
		Head:    fmt.Sprintf("The typed place and the photo’s are %s apart. Until you choose, this pin is not in the plan.", lengthText(p.dispute.Apart)),
		Typed:   disputeSide{"A", planPlace(p.dispute.TypedX, p.dispute.TypedY), pmText(p.dispute.TypedPM), settleTyped, typed},
		Located: disputeSide{"B", planPlace(p.located.X, p.located.Y), pmText(p.located.PM()), settleLocated, p.locatedSource()},
	}
}

// row fills in what the list says of the source of a pin's place, and the photo's word beside a typed one where they differ.
func (p pinPlace) row(row *pinRow) {
	if !p.here {
		return
	}
	pm := pmText(p.located.PM())
	if p.verified != nil {
		row.Source = sourceView{Kind: string(survey.SourceVerified), Words: "verified by " + p.verified.By}
	}
	switch _, differs := p.located.Differs(p.x, p.y, p.pm); {
	case !p.typed:
		row.Source = sourceView{Kind: string(survey.SourceLocated), Words: "located " + pm}
	case differs:
		row.Says = fmt.Sprintf("photo: %s %s", planPlace(p.located.X, p.located.Y), pm)
	}
}

// settle writes into a pin which of two places stands. Any other choice changes nothing.
func settle(p *survey.Pin, choice string) {
	info, _ := survey.KindInfo(p.Kind)
	asks := false
	for _, f := range info.Fields {
		asks = asks || f.Key == keyStands
	}
	switch {
	case !asks:
	case choice == settleTyped:
		p.Values[keyStands] = "yes"
	case choice == settleLocated:
		delete(p.Values, "x")
		delete(p.Values, "y")
		delete(p.Values, keyStands)
	}
}
