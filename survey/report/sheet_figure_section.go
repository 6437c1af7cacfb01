package report

import (
	"fmt"
	"strings"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// sectionFigure draws the section along the fall for a screen: A in true proportions and B with the heights exaggerated, without the
// details of the ends. On a phone the stations' figures stand in a list under B.
func sectionFigure(job drawnJob, in calc.Input, p calc.Plan, size figureSize) (*draw.Drawing, error) {
	d, err := newDeck(job, in, p)
	if err != nil {
		return nil, err
	}
	w, h := deskW-2*figPad, 280.0
	if size == phone {
		w, h = phoneW-2*figPad, 220
	}
	for k := maxPlanK; k > 1e-3; k *= figStep {
		sec, ok := newSection(d)
		if !ok {
			return nil, fmt.Errorf("draw the section: no zone of the plan has a ceiling")
		}
		if sec.run()*k > w || sec.rise()*k > h {
			continue
		}
		sec.phone = size == phone
		dr := sec.figure(k, w)
		e := dr.Extent()
		if e.W() > w {
			continue
		}
		dr.View = e.Grow(figPad)
		if size == phone {
			mid := (e.X0 + e.X1) / 2
			dr.View.X0, dr.View.X1 = mid-phoneW/2, mid+phoneW/2
		}
		return dr, nil
	}
	return nil, fmt.Errorf("draw the section: the deck is too large for a figure")
}

// figure draws A and B under each other at k points per inch in a room w wide.
func (s *section) figure(k, w float64) *draw.Drawing {
	s.dr, s.k = &draw.Drawing{Title: s.d.in("Section along the fall"), Desc: s.desc()}, k
	s.x0 = max(w-s.run()*k, 0) / 2
	s.room = span{0, w}
	s.groundY = 24 + s.rise()*k
	s.trueSection()
	y := s.groundY + 25
	note := s.d.in("True proportions;") + " " + s.look() + s.headroom
	if s.phone && s.headroom != "" {
		note = strings.TrimPrefix(s.headroom, "; ")
	}
	drawingTitle(s.dr, pt(0, y), "A", s.place(), note)
	e := s.exaggerated(y, y+240)
	title := s.d.in("Fall")
	if e > 1 {
		title = s.d.say("Fall, heights drawn %.0f times", e)
	}
	below := s.dr.Extent().Y1 + 20
	if s.phone {
		below = s.titleY
	}
	drawingTitle(s.dr, pt(0, below), "B", title, draw.Fit(s.d.in("All figures are true")+s.leftNote(), w-28, draw.MinText, false))
	return s.dr
}
