package survey

import (
	"time"

	"undercroft/annotate"
)

// The limits on photos: the bytes of one, how many a survey may have, and the bytes of all of a survey's together.
const (
	MaxPhotoBytes  = 40 << 20
	MaxPhotos      = 300
	MaxSurveyBytes = 5 << 30
)

// Photo is one photo of a survey. The original is kept byte for byte under its SHA-256; Screen and Thumb are the SHA-256 of the
// upright derivatives, empty when the picture cannot be shown, and then Meta.Problem says why. Width and Height are of the
// upright picture at full size, 0 when unknown.
type Photo struct {
	ID       PhotoID
	Survey   SurveyID
	Number   int // 1, 2, … within the survey in the order of arrival; given by the store
	Name     string
	Caption  string
	SHA256   string
	Bytes    int64
	Width    int
	Height   int
	Screen   string
	Thumb    string
	Meta     annotate.Meta
	Version  int
	AddedAt  time.Time
	Sequence int64 // order of arrival over the whole store
}

// Shown tells whether there is a picture to look at.
func (p Photo) Shown() bool { return p.Screen != "" }
