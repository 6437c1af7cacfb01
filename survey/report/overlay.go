package report

import (
	"undercroft/survey"
	"undercroft/templates"
)

// CeilingShapes is the computed ceiling as it lies over a photo, ready for templates.LayCeiling; the problem says in words why there is none.
func CeilingShapes(c survey.Ceiling, photo survey.Photo) (shapes []templates.CeilingShape, problem string) {
	over, problem := survey.Overlay(c, photo)
	for _, s := range over {
		shapes = append(shapes, templates.CeilingShape{Kind: string(s.Kind), Points: s.Points, Closed: s.Closed, Label: s.Label, Check: s.Check})
	}
	return shapes, problem
}
