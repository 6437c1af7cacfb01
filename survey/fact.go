package survey

import "time"

// Fact is one typed statement about the deck: Key is one of FactFields or an edge's key, Text is what was typed, kept as it was.
type Fact struct {
	Survey    SurveyID
	Key       string
	Text      string
	Version   int
	UpdatedAt time.Time
}
