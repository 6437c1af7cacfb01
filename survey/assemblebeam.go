package survey

import (
	"math"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// addBeam adds a dropped beam, and the joists that stop at a beam as a gap.
func (a *Assembly) addBeam(r Record, p pinReader) {
	if !a.complete(p, "set") {
		return
	}
	box, source, ok := a.beamBox(r, p)
	if !ok {
		return
	}
	if to, ok := p.value("gap_to"); ok {
		gap := box
		gap.Y0, gap.Y1 = min(box.Y0, to.Inches()), max(box.Y1, to.Inches())
		a.Input.Joists.Gaps = append(a.Input.Joists.Gaps, gap)
	}
	if p.choice("set") != "dropped" || !a.complete(p, "drop") {
		return
	}
	id := InputID(p.pin.Number)
	a.Input.Beams = append(a.Input.Beams, calc.Beam{ID: id, Box: box, Drop: p.inches("drop"), Treatment: calc.Treatment(p.choice("treatment"))})
	a.Sources[id] = source
}

// beamBox is where a beam lies. Its ends are the deck's unless they were typed; its near face is the typed one, else where the photo's plane
// has the pin, which stands on the edge where the near face meets the joists; its far face is the typed one, else the width further out.
func (a *Assembly) beamBox(r Record, p pinReader) (box calc.Box, source Source, ok bool) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range a.Input.Outline {
		low, high = min(low, float64(c.X)), max(high, float64(c.X))
	}
	box, source = calc.Box{X0: length.Inches(low), X1: length.Inches(high)}, r.sourceOf(p.pin, "y0", SourceTyped)
	if x, typed := p.value("x0"); typed {
		box.X0 = x.Inches()
	}
	if x, typed := p.value("x1"); typed {
		box.X1 = x.Inches()
	}
	if y, typed := p.value("y0"); typed {
		box.Y0 = y.Inches()
	} else {
		at, located := a.place(r, p, 0)
		if !located {
			return box, source, false
		}
		box.Y0, source = at.y, at.source
	}
	switch y, typed := p.value("y1"); {
	case typed:
		box.Y1 = y.Inches()
	case !a.complete(p, "thick"):
		return box, source, false
	default:
		box.Y1 = box.Y0 + p.inches("thick")
	}
	if len(a.Input.Outline) == 0 || box.X1 <= box.X0 || box.Y1 <= box.Y0 {
		a.find(SeverityCheck, words.Say("Beam or header %s is left out of the calculation: it has no length or no width.", p.number()), words.Say("Open the pin and type its ends and faces."), "", p.pin.ID)
		return box, source, false
	}
	return box, source, true
}
