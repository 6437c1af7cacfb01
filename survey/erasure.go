package survey

import (
	"encoding/json"
	"fmt"
	"time"
)

// ErasureReason is why a survey was erased. It is one of a few, and never a text: nothing of the homeowner can stand in it.
type ErasureReason string

// The reasons: the homeowner asked for it, it was kept as long as the company keeps such surveys, or it was deleted and nobody took it back in time.
const (
	ErasedAsked   ErasureReason = "asked"
	ErasedKept    ErasureReason = "kept long enough"
	ErasedDeleted ErasureReason = "deleted"
)

// Totals is what stays of an erased survey: counts, sums and dates. There is no name, address, text or picture in it. Figures that were not known are 0, dates empty.
type Totals struct {
	Photos     int     `json:"photos"`
	Pins       int     `json:"pins"`
	Panels     int     `json:"panels"`
	AreaSqFt   float64 `json:"area_sqft"`
	PriceCents int64   `json:"price_cents"` // what the scope asks for all of it
	Revisions  int     `json:"revisions"`
	Decisions  int     `json:"decisions"`
	Visit      string  `json:"visit"`    // "2006-01-02", as typed
	Issued     string  `json:"issued"`   // day of the newest revision, UTC
	Approved   string  `json:"approved"` // day of the newest approval, UTC
	Finished   string  `json:"finished"` // day on which the work was finished, UTC
}

// Erasure says that everything of a survey was erased but its totals. By is empty when nobody was signed in. Nothing of an erasure ever changes.
type Erasure struct {
	Survey SurveyID
	Reason ErasureReason
	By     string
	At     time.Time
	Totals Totals
}

// Validate checks the reason. By and the times are given by who erases.
func (e Erasure) Validate() error {
	switch e.Reason {
	case ErasedAsked, ErasedKept, ErasedDeleted:
		return nil
	}
	return Errorf(Invalid, "Choose why the survey is erased.")
}

// EncodeTotals writes totals as they are stored.
func EncodeTotals(t Totals) (string, error) {
	text, err := json.Marshal(t)
	if err != nil {
		return "", fmt.Errorf("write totals: %w", err)
	}
	return string(text), nil
}

// DecodeTotals reads stored totals.
func DecodeTotals(text string) (Totals, error) {
	var t Totals
	if err := json.Unmarshal([]byte(text), &t); err != nil {
		return Totals{}, fmt.Errorf("read totals: %w", err)
	}
	return t, nil
}
