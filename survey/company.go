package survey

import (
	"strings"
	"time"
)

// Company is the contractor: what the scope prints as the contractor's own words. Texts are as typed, trimmed; an empty one is not printed.
// ValidDays is how many days a price holds from the day of issue, 0 for no such promise. KeepYears is how many years a finished or declined survey is kept before the office
// is asked whether it may go, 0 for ever; it is the office's own and no part of what a revision freezes. Version counts the changes, 0 while nothing was ever
// saved; a change names the version it was made from.
type Company struct {
	Name         string
	Address      string
	Phone        string
	License      string // number and who gave it
	Terms        string
	Cancellation string // how the homeowner may cancel, where local law asks for it
	Care         string // how to look after the finished ceiling
	ValidDays    int
	KeepYears    int `json:"-"`
	Version      int
	UpdatedAt    time.Time
}

// The longest promise about a price, and the longest time that surveys are kept.
const (
	maxValidDays = 366
	maxKeepYears = 50
)

// Validate checks the limits of the texts and the days. An Invalid error names the fields: name, address, phone, license, terms, cancellation,
// care, valid_days, keep_years.
func (c Company) Validate() error {
	fields := map[string]string{}
	for key, text := range map[string]string{"name": c.Name, "phone": c.Phone, "license": c.License} {
		if len(text) > 200 {
			fields[key] = "Keep this under 200 characters."
		}
		if strings.Contains(text, "\n") {
			fields[key] = "Keep this on one line."
		}
	}
	if len(c.Address) > 400 {
		fields["address"] = "Keep this under 400 characters."
	}
	for key, text := range map[string]string{"terms": c.Terms, "cancellation": c.Cancellation, "care": c.Care} {
		if len(text) > 20000 {
			fields[key] = "Keep this under 20,000 characters."
		}
	}
	if c.ValidDays < 0 || c.ValidDays > maxValidDays {
		fields["valid_days"] = "Write whole days from 1 to 366, or leave it empty."
	}
	if c.KeepYears < 0 || c.KeepYears > maxKeepYears {
		fields["keep_years"] = "Write whole years from 1 to 50, or leave it empty."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "Some of the company’s fields need another look.", Fields: fields}
	}
	return nil
}
