package survey

import (
	"math"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

// place is a pin's plan position, with standard deviations per axis and where it came from.
type place struct {
	x, y, sx, sy length.Inches
	source       Source
}

// Dispute is a pin whose typed place and whose place through its photo are further apart than both their uncertainties allow: until a
// person settles it, the pin has no place. Apart is in inches.
type Dispute struct {
	TypedX, TypedY, TypedPM float64
	Located                 Located
	Apart                   float64
}

// place decides where on the plan a pin is. A typed place stands unless the photo contradicts it; without one the photo's plane gives it,
// drop inches below the joists' bottoms. A pin without a place is left out of the calculation, and a finding says why.
func (a *Assembly) place(r Record, p pinReader, drop length.Inches) (place, bool) {
	info, _ := KindInfo(p.pin.Kind)
	located, problem := a.fromPhotos(r, p.pin, float64(drop))
	if problem == "" {
		a.Located[p.pin.ID] = located
	}
	x, typedX := p.value("x")
	y, typedY := p.value("y")
	pm, _ := p.value("pm")
	typed := place{x.Inches(), y.Inches(), deviation(pm.Number), deviation(pm.Number), r.sourceOf(p.pin, "x", SourceTyped)}
	switch {
	case typedX && typedY && problem == "" && p.choice("typed_stands") != "yes" && a.disputed(p, typed, pm.Number, located):
		return place{}, false
	case typedX && typedY:
		return typed, true
	case problem == "":
		return place{length.Inches(located.X), length.Inches(located.Y), length.Inches(located.SX), length.Inches(located.SY), pinSource(r, p.pin, SourceLocated)}, true
	}
	a.find(SeverityCheck, words.Say("%s %d is left out of the calculation: it has no place on the plan. %s", words.Say(info.Label), p.pin.Number, words.Say(problem)), words.Say("Open the pin and type its place."), "", p.pin.ID)
	return place{}, false
}

// Differs compares the photo's word with a typed place, inches, known to ± pm (95 %): how far they are apart, and whether that is more than both
// uncertainties allow and more than the half inch under which a tape stands anyway.
func (l Located) Differs(x, y, pm float64) (apart float64, differs bool) {
	apart = math.Hypot(x-l.X, y-l.Y)
	return apart, apart > math.Max(mustSettle, math.Hypot(pm, l.PM()))
}

// disputed compares a typed place with the photo's word. They disagree when they are further apart than the root of the sum of the squares
// of both their 95 % bounds, and more than half an inch.
func (a *Assembly) disputed(p pinReader, typed place, pm float64, located Located) bool {
	apart, differs := located.Differs(float64(typed.x), float64(typed.y), pm)
	if !differs {
		return false
	}
	a.Disputes[p.pin.ID] = Dispute{float64(typed.x), float64(typed.y), pm, located, apart}
	info, _ := KindInfo(p.pin.Kind)
	a.find(SeverityMissing, words.Say("%s %d: the typed place and the photo's are %s apart; the photo is good to ± %s.", words.Say(info.Label), p.pin.Number,
		length.Inches(apart).Typeset(), length.Inches(located.PM()).Typeset()), words.Say("Say that the typed place stands, or clear it to use the photo's."), "", p.pin.ID)
	return true
}
