package survey

import (
	"encoding/json"
	"strings"
	"time"
)

// EventKind is what an event of a survey's history is about.
type EventKind string

// The kinds of event. The first four are rows with a history of their own, each change with the row after it; the others are records that are made once and never changed.
const (
	EventSurvey   EventKind = "survey"
	EventPhoto    EventKind = "photo"
	EventPin      EventKind = "pin"
	EventFact     EventKind = "fact"
	EventRevision EventKind = "revision"
	EventLink     EventKind = "link"
	EventInquiry  EventKind = "question"
	EventDecision EventKind = "decision"
	EventReview   EventKind = "review"
	EventRemark   EventKind = "remark"
	EventVerified EventKind = "verified"
	EventFinish   EventKind = "finish"
	EventFiling   EventKind = "filing"
)

// Event is one thing that somebody did to a survey. Record is the id of what it was done to, of a fact its key; What is what was done in a word of the kind's own. Row is
// what the record said afterwards, as JSON, and Was what it said before, nil when it was new. By is empty where nobody is named.
type Event struct {
	Kind   EventKind
	Record string
	What   string
	By     string
	At     time.Time
	Row    json.RawMessage
	Was    json.RawMessage
}

// EventFilter chooses among a survey's events. An empty Kinds, Record or By chooses all. On is the id of a photo: its own events and those of the pins on it. Page counts from 0.
type EventFilter struct {
	Kinds  []EventKind
	Record string // of the one kind in Kinds
	On     PhotoID
	By     string
	Page   int
}

// EventPage is the most events of one page, and EventPages the last page that is given.
const (
	EventPage  = 100
	EventPages = 1000
)

// Events is one page of a survey's events, the newest first. More tells whether older ones follow. People are all that any event of the survey names, sorted; Photos are the
// numbers of all photos of the survey, those that were removed too.
type Events struct {
	List   []Event
	More   bool
	People []string
	Photos map[PhotoID]int
}

// SettledKey is the fact about which another fact says which of its sources stands; false when key is of no such fact.
func SettledKey(key string) (string, bool) { return strings.CutPrefix(key, settlePrefix) }
