package report

import (
	"encoding/json"
	"os"
	"testing"
	"time"

	"undercroft/survey"
)

// made is the day of every report in the tests.
func made() time.Time { return time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC) }

// demoRecord is the demo survey as a record, without a store: the file that the demo command is built from.
func demoRecord(t testing.TB) survey.Record {
	t.Helper()
	data, err := os.ReadFile("../../cmd/undercroft/demo/survey.json")
	if err != nil {
		t.Fatal(err)
	}
	var demo struct {
		Survey struct {
			Title, Address, Client, Contact, Surveyor, Access, Notes string
			VisitDate                                                string `json:"visit_date"`
		}
		Facts  map[string]string
		Photos []struct{ File, Caption string }
		Pins   []struct {
			Photo  int
			Kind   survey.PinKind
			X, Y   float64
			X2, Y2 *float64
			Values map[string]string
			Note   string
		}
	}
	if err := json.Unmarshal(data, &demo); err != nil {
		t.Fatal(err)
	}
	id := survey.SurveyID(survey.NewID())
	v := demo.Survey
	r := survey.Record{Survey: survey.Survey{ID: id, Title: v.Title, Address: v.Address, Client: v.Client, Contact: v.Contact, Surveyor: v.Surveyor,
		VisitDate: v.VisitDate, Access: v.Access, Notes: v.Notes}, Facts: map[string]survey.Fact{}}
	for key, text := range demo.Facts {
		r.Facts[key] = survey.Fact{Survey: id, Key: key, Text: text, Version: 1}
	}
	for i, p := range demo.Photos {
		r.Photos = append(r.Photos, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: id, Number: i + 1, Name: p.File, Caption: p.Caption,
			Screen: shaOf(i), Width: 4032, Height: 3024})
	}
	for i, p := range demo.Pins {
		r.Pins = append(r.Pins, survey.Pin{ID: survey.PinID(survey.NewID()), Survey: id, Photo: r.Photos[p.Photo-1].ID, Kind: p.Kind, Number: i + 1,
			X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2, Values: p.Values, Note: p.Note, Version: 1})
	}
	return r
}

// shaOf is an invented address of picture i.
func shaOf(i int) string {
	const digits = "0123456789abcdef"
	sha := make([]byte, 64)
	for j := range sha {
		sha[j] = digits[i%16]
	}
	return string(sha)
}

// demoModel is the model of the demo survey, computed.
func demoModel(t *testing.T) Model {
	t.Helper()
	r := demoRecord(t)
	c := survey.Compute(r)
	if c.Plan == nil {
		t.Fatalf("the demo has no plan: %v %s", c.Findings, c.Refusal)
	}
	return Build(r, c, WithinReport(), made())
}

// bare is a survey of which little more than a name and one photo is known.
func bare() survey.Record {
	id := survey.SurveyID(survey.NewID())
	photo := survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: id, Number: 1, Caption: "Underside", Screen: shaOf(1), Width: 400, Height: 300}
	return survey.Record{Survey: survey.Survey{ID: id, Title: "Bare house"}, Photos: []survey.Photo{photo},
		Pins:  []survey.Pin{{ID: survey.PinID(survey.NewID()), Survey: id, Photo: photo.ID, Kind: survey.PinConcern, Number: 1, X: .5, Y: .5, Values: map[string]string{"what": "rot"}, Note: "soft at the ledger"}},
		Facts: map[string]survey.Fact{"width": {Survey: id, Key: "width", Text: "28' 4", Version: 1}}}
}
