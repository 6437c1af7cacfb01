package survey

import "github.com/google/uuid"

// SurveyID, PhotoID and PinID are UUIDs in their canonical lower-case text. The client makes them (version 7, so that they sort
// by time), which makes repeating a request harmless.
type (
	SurveyID string
	PhotoID  string
	PinID    string
)

// NewID makes a version 7 UUID as canonical text.
func NewID() string { return uuid.Must(uuid.NewV7()).String() }

// ParseID accepts the canonical text of a UUID of any version but nil; anything else is an Invalid error.
func ParseID(text string) (string, error) {
	id, err := uuid.Parse(text)
	if err != nil || id.String() != text || id == uuid.Nil {
		return "", Errorf(Invalid, "%q is not an id", text)
	}
	return text, nil
}
