package survey

import "time"

// Survey is one visit to one house. Text fields are as typed, trimmed. VisitDate is "2006-01-02" or empty. Version counts the
// changes; a change names the version it was made from.
type Survey struct {
	ID        SurveyID
	Title     string // what the office calls the house
	Address   string
	Client    string
	Contact   string // telephone or mail of the client
	Surveyor  string
	VisitDate string
	Access    string // how one gets there: gate, dog, parking, power
	Notes     string // internal, never shown to the homeowner
	Version   int
	CreatedAt time.Time
	UpdatedAt time.Time
}

// Summary is a survey in the list, with what is recorded of it.
type Summary struct {
	Survey
	Photos, Pins int
	ChangedAt    time.Time // newest change of the survey or anything in it
}

// Validate checks the fields a person types: a title is needed, texts have a length limit, the date is a date.
func (s Survey) Validate() error {
	fields := map[string]string{}
	if s.Title == "" {
		fields["title"] = "Give the house a name, so that others find the survey."
	}
	for key, text := range map[string]string{"title": s.Title, "address": s.Address, "client": s.Client, "contact": s.Contact, "surveyor": s.Surveyor} {
		if len(text) > 200 {
			fields[key] = "Keep this under 200 characters."
		}
	}
	for key, text := range map[string]string{"access": s.Access, "notes": s.Notes} {
		if len(text) > 4000 {
			fields[key] = "Keep this under 4,000 characters."
		}
	}
	if s.VisitDate != "" {
		if _, err := time.Parse(time.DateOnly, s.VisitDate); err != nil {
			fields["visit_date"] = "Write the date as 2026-05-31."
		}
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "Some of the site's fields need another look.", Fields: fields}
	}
	return nil
}
