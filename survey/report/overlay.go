package report

import (
	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/templates"
)

// CeilingShapes is the computed ceiling as it lies over a photo, ready for templates.LayCeiling, its labels in a language; the problem says in
// English why there is none.
func CeilingShapes(c survey.Ceiling, photo survey.Photo, lang words.Lang) (shapes []templates.CeilingShape, problem string) {
	over, problem := survey.Overlay(c, photo, lang)
	for _, s := range over {
		shapes = append(shapes, templates.CeilingShape{Kind: string(s.Kind), Points: s.Points, Closed: s.Closed, Label: s.Label, Check: s.Check})
	}
	return shapes, problem
}
