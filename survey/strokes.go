package survey

import (
	"encoding/json"
	"errors"
)

// The field that a signature is drawn in, in points of the drawing, and the most points that are kept of it.
const (
	StrokesWide = 600
	StrokesHigh = 200
	maxStrokes  = 4000
)

// Strokes is a drawn signature: lines without lifting the pen, each a list of points x, y within StrokesWide and StrokesHigh, y downwards.
type Strokes [][][2]int

// errStrokes is why a text is no signature.
var errStrokes = errors.New("this is no drawn signature")

// ReadStrokes reads a signature from its JSON, "[[[12,80],[14,77]]]". An empty text and an empty list are no signature, nil and no error.
func ReadStrokes(text string) (Strokes, error) {
	if text == "" {
		return nil, nil
	}
	var list Strokes
	if err := json.Unmarshal([]byte(text), &list); err != nil {
		return nil, errStrokes
	}
	points := 0
	for _, stroke := range list {
		if points += len(stroke); len(stroke) == 0 || points > maxStrokes {
			return nil, errStrokes
		}
		for _, p := range stroke {
			if p[0] < 0 || p[0] > StrokesWide || p[1] < 0 || p[1] > StrokesHigh {
				return nil, errStrokes
			}
		}
	}
	return list, nil
}
