package survey

import "time"

// Record is a whole survey as it stands: photos by number, pins by number, facts by key. ChangedAt is when the survey or anything in it changed
// last, removals too.
type Record struct {
	Survey Survey
	Photos []Photo
	Pins   []Pin
	Facts  map[string]Fact
	Ended  FinishState // how the work ended, all zero while it has not
	Filed  Filing      // where the survey is kept: the newest act, zero when it was never put away

	Remarks  []Remark       // between staff, the first first
	Reviews  []Review       // before arriving, the first first
	Verified []Verification // values measured on site, the first first

	ChangedAt time.Time
}

// Photo finds a photo by its id.
func (r Record) Photo(id PhotoID) (Photo, bool) {
	for _, p := range r.Photos {
		if p.ID == id {
			return p, true
		}
	}
	return Photo{}, false
}

// Pin finds a pin by its id.
func (r Record) Pin(id PinID) (Pin, bool) {
	for _, p := range r.Pins {
		if p.ID == id {
			return p, true
		}
	}
	return Pin{}, false
}

// PinsOn lists the pins of one photo by number.
func (r Record) PinsOn(id PhotoID) []Pin {
	var pins []Pin
	for _, p := range r.Pins {
		if p.Photo == id {
			pins = append(pins, p)
		}
	}
	return pins
}
