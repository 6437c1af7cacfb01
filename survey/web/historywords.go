package web

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"undercroft/survey"
	"undercroft/survey/report"
)

// historyWords say what was done to a survey in the words of the trade.
type historyWords struct {
	record survey.Record
	photos map[survey.PhotoID]int // numbers, those of removed photos too
	facts  map[string]factName
	home   string
}

func newHistoryWords(r survey.Record, photos map[survey.PhotoID]int) historyWords {
	h := historyWords{record: r, photos: photos, home: surveyPath(r.Survey.ID)}
	h.facts = h.factNames()
	return h
}

// eventRow is what the records say that are made once.
type eventRow struct {
	Number  int               `json:"number"`
	Text    string            `json:"text"`
	About   string            `json:"about"`
	With    string            `json:"with"`
	Expires int64             `json:"expires"`
	SHA256  string            `json:"sha256"`
	Why     string            `json:"although"`
	Pin     survey.PinID      `json:"pin"`
	Set     map[string]string `json:"set"`
	Was     map[string]string `json:"was"`
	Before  string            `json:"before"`
}

// line says one event. A row that cannot be read is named and nothing else is said of it.
func (h historyWords) line(e survey.Event) historyLine {
	switch e.Kind {
	case survey.EventSurvey:
		return h.site(e)
	case survey.EventPhoto:
		return h.photo(e)
	case survey.EventPin:
		return h.pin(e)
	case survey.EventFact:
		return h.fact(e)
	}
	var row eventRow
	if err := json.Unmarshal(e.Row, &row); err != nil {
		return historyLine{About: string(e.Kind), Done: e.What}
	}
	if e.Kind == survey.EventVerified {
		return h.verified(e, row)
	}
	return h.office(e, row)
}

// changeWords are what a row's change is called when it is no update.
func changeWords(what, created string) string {
	return map[string]string{"create": created, "update": "changed", "delete": "removed", "restore": "brought back"}[what]
}

// siteTexts are the texts of a survey's site in the order of its form.
func siteTexts(row json.RawMessage) ([][2]string, bool) {
	var s struct {
		Title, Address, Client, Contact, Surveyor, Access, Notes string
		VisitDate                                                string `json:"visit_date"`
	}
	if len(row) > 0 && json.Unmarshal(row, &s) != nil {
		return nil, false
	}
	return [][2]string{{"House", s.Title}, {"Address", s.Address}, {"Client", s.Client}, {"Contact", s.Contact}, {"Surveyed by", s.Surveyor}, {"Visited", s.VisitDate}, {"Access", s.Access}, {"Notes", s.Notes}}, true
}

func (h historyWords) site(e survey.Event) historyLine {
	l := historyLine{About: "Site", Href: h.home, Done: changeWords(e.What, "survey begun"), OneHref: historyPath(h.record.Survey.ID, "site", "")}
	now, ok := siteTexts(e.Row)
	was, before := siteTexts(e.Was)
	if ok && before {
		for i := range now {
			l.differs(now[i][0], was[i][1], now[i][1])
		}
	}
	return l
}

// differs notes a difference, if it is one.
func (l *historyLine) differs(what, was, now string) {
	if was != now {
		l.Changes = append(l.Changes, report.Difference{What: what, Was: was, Now: now})
	}
}

func (h historyWords) photo(e survey.Event) historyLine {
	type row struct {
		Number        int
		Name, Caption string
		Screen        string
	}
	var now, was row
	if json.Unmarshal(e.Row, &now) != nil || len(e.Was) > 0 && json.Unmarshal(e.Was, &was) != nil {
		return historyLine{About: "Photo", Done: e.What}
	}
	l := historyLine{About: fmt.Sprintf("Photo %d", now.Number), Done: changeWords(e.What, "sent")}
	if p, ok := h.record.Photo(survey.PhotoID(e.Record)); ok {
		l.Href = photoPath(p)
	}
	l.OneHref = h.home + "/history" + historyChoice{on: e.Record}.query(1)
	switch {
	case len(e.Was) == 0:
		l.Said = joinWords(now.Name, now.Caption)
	case was.Screen == "" && now.Screen != "":
		l.Done = "can be shown now"
	}
	if len(e.Was) > 0 {
		l.differs("Caption", was.Caption, now.Caption)
	}
	return l
}

// pinName is what a pin is called: "Hanger 7 on photo 2".
func (h historyWords) pinName(p survey.Pin) string {
	info, _ := survey.KindInfo(p.Kind)
	name := fmt.Sprintf("%s %d", info.Label, p.Number)
	if n := h.photos[p.Photo]; n > 0 {
		name += fmt.Sprintf(" on photo %d", n)
	}
	return name
}

// pinHref is where a pin is shown; empty when it was removed.
func (h historyWords) pinHref(id survey.PinID) string {
	p, ok := h.record.Pin(id)
	if !ok {
		return ""
	}
	return fmt.Sprintf("%s?pin=%s#pin", photoPathOf(p.Survey, p.Photo), p.ID)
}

func (h historyWords) pin(e survey.Event) historyLine {
	var now, was survey.Pin
	if json.Unmarshal(e.Row, &now) != nil || len(e.Was) > 0 && json.Unmarshal(e.Was, &was) != nil {
		return historyLine{About: "Pin", Done: e.What}
	}
	fields := survey.PinFields(h.record, now.Kind)
	l := historyLine{About: h.pinName(now), Href: h.pinHref(now.ID), Done: changeWords(e.What, "placed"), OneHref: historyPath(h.record.Survey.ID, "pin", e.Record)}
	if len(e.Was) == 0 || e.What == "delete" {
		l.Said = pinText{pin: now, fields: fields}.words()
		return l
	}
	if was.Kind != now.Kind {
		info, _ := survey.KindInfo(was.Kind)
		l.differs("Kind", info.Label, strings.SplitN(l.About, " "+fmt.Sprint(now.Number), 2)[0])
	}
	for _, f := range fields {
		l.differs(f.Label, label(f, was.Values[f.Key]), label(f, now.Values[f.Key]))
	}
	l.differs("Note", was.Note, now.Note)
	if !samePlace(was, now) {
		l.Said = "moved on its photo"
	}
	return l
}

// samePlace tells whether two states of a pin lie on the same spot of the photo.
func samePlace(a, b survey.Pin) bool {
	same := func(a, b *float64) bool { return (a == nil) == (b == nil) && (a == nil || *a == *b) }
	return a.X == b.X && a.Y == b.Y && same(a.X2, b.X2) && same(a.Y2, b.Y2)
}

// verified says values that somebody measured on site.
func (h historyWords) verified(e survey.Event, row eventRow) historyLine {
	l := historyLine{About: "Deck", Href: h.home, Done: "measured on site"}
	if e.What == "withdrawn" {
		l.Done = "the value measured on site taken back"
	}
	fieldOf := func(key string) (survey.Field, bool) {
		f, ok := h.facts[key]
		return f.field, ok
	}
	if row.Pin != "" {
		l.About, l.Href = "Pin", h.pinHref(row.Pin)
		if p, ok := h.record.Pin(row.Pin); ok {
			l.About = h.pinName(p)
			fields := survey.PinFields(h.record, p.Kind)
			fieldOf = func(key string) (survey.Field, bool) {
				for _, f := range fields {
					if f.Key == key {
						return f, true
					}
				}
				return survey.Field{}, false
			}
		}
	}
	for _, key := range sortedKeys(row.Set, row.Was) {
		f, ok := fieldOf(key)
		if !ok {
			f = survey.Field{Key: key, Label: key, Type: survey.TypeText}
		}
		l.differs(f.Label, label(f, row.Was[key]), label(f, row.Set[key]))
	}
	l.Said = row.Before
	return l
}

// untilDay is a time of a stored number as a day.
func untilDay(ms int64) string { return time.UnixMilli(ms).UTC().Format("2 January 2006") }
