package survey

import (
	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// addOpenings adds the doors and windows. It runs after the levels are known, because an opening that is located through its photo hangs as far
// below the joists as its head lies under their level.
func (a *Assembly) addOpenings(r Record) {
	for _, pin := range r.Pins {
		if pin.Kind == PinOpening {
			a.addOpening(r, pinReader{pin, PinFields(r, pin.Kind)})
		}
	}
}

// addOpening adds an opening with its typed sides, or with those that its two upper corners have on the photo.
func (a *Assembly) addOpening(r Record, p pinReader) {
	if !a.complete(p, "head") {
		return
	}
	id := InputID(p.pin.Number)
	opening := calc.Opening{ID: id, Head: p.inches("head")}
	left, typedLeft := p.value("x0")
	right, typedRight := p.value("x1")
	source := r.sourceOf(p.pin, "x0", SourceTyped)
	if typedLeft && typedRight {
		opening.X0, opening.X1 = left.Inches(), right.Inches()
	} else {
		x0, x1, ok := a.corners(r, p, opening.Head)
		if !ok {
			return
		}
		opening.X0, opening.X1, source = x0, x1, pinSource(r, p.pin, SourceLocated)
	}
	a.Input.Openings = append(a.Input.Openings, opening)
	a.Sources[id] = source
}

// corners locates an opening's two upper corners along the house. They lie in the wall, as far below the joists' plane as the head is below
// the mean of the measured levels.
func (a *Assembly) corners(r Record, p pinReader, head length.Inches) (x0, x1 length.Inches, ok bool) {
	say := func(why words.Phrase) {
		a.find(SeverityCheck, words.Say("Door or window %s is left out of the calculation: it has no place on the plan. %s", p.number(), why), words.Say("Open the pin and type its sides."), "", p.pin.ID)
	}
	if len(a.Input.Heights) == 0 {
		say(words.Say("Nobody has pinned a level, so how far it hangs below the joists is not known."))
		return 0, 0, false
	}
	var sum length.Inches
	for _, h := range a.Input.Heights {
		sum += h.Height
	}
	drop := float64(sum/length.Inches(len(a.Input.Heights)) - head)
	photo, _ := r.Photo(p.pin.Photo)
	other := p.pin
	if p.pin.X2 != nil && p.pin.Y2 != nil {
		other.X, other.Y = *p.pin.X2, *p.pin.Y2
	}
	first, problem := a.Geometry.Locate(photo, p.pin, drop)
	second, problem2 := a.Geometry.Locate(photo, other, drop)
	if problem != "" || problem2 != "" {
		say(words.Join("", words.Say(problem), words.Say(problem2)))
		return 0, 0, false
	}
	if first.X == second.X {
		say(words.Say("Its two ends are at one place."))
		return 0, 0, false
	}
	return length.Inches(min(first.X, second.X)), length.Inches(max(first.X, second.X)), true
}
