package survey

import (
	"time"

	"undercroft/calc/words"
)

// SourceKind is how a value was got.
type SourceKind string

// The kinds of source.
const (
	SourceTaped   SourceKind = "taped"   // a length measured and pinned on a photo
	SourceTyped   SourceKind = "typed"   // entered in a form
	SourceLocated SourceKind = "located" // a position through the plane of its photo
	SourceAssumed SourceKind = "assumed" // a default or the profile's value

	SourceVerified SourceKind = "verified" // measured on site in place of what stood there
)

// Source is where a value came from. Pin, PinNumber, Photo and PhotoNumber are set when it came from a pin; Field when it was typed
// in the deck form or assumed. By and At say who verified it when; they are zero for every other kind.
type Source struct {
	Kind        SourceKind
	Field       string
	Pin         PinID
	PinNumber   int
	Photo       PhotoID
	PhotoNumber int
	By          string
	At          time.Time
}

// String says the source in words: "taped, pin 14 on photo 4".
func (s Source) String() string { return s.said().String() }

// said says the source in any language.
func (s Source) said() words.Phrase {
	kind := words.Say(string(s.Kind))
	if s.Kind == SourceVerified {
		kind = words.Say("verified by %s", s.By)
	}
	if s.PinNumber > 0 {
		return words.Say("%s, pin %d on photo %d", kind, s.PinNumber, s.PhotoNumber)
	}
	return kind
}

// pinSource is the source of a value that pin p gave.
func pinSource(r Record, p Pin, kind SourceKind) Source {
	photo, _ := r.Photo(p.Photo)
	return Source{Kind: kind, Pin: p.ID, PinNumber: p.Number, Photo: p.Photo, PhotoNumber: photo.Number}
}
