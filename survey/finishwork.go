package survey

import (
	"strings"

	"undercroft/calc/words"
)

// maxAlthough is the longest reason why something is done although it is not as it should be, in bytes.
const maxAlthough = 1000

// Built is one line of what was built otherwise than approved: what it is about, what was approved, what is there now, and why.
type Built struct {
	What string `json:"what"`
	Was  string `json:"was"`
	Now  string `json:"now"`
	Why  string `json:"why"`
}

// TestResult is how a hose test came out.
type TestResult string

// The results. Only the first two let the work be finished without a reason.
const (
	TestNone     TestResult = "none"     // no drip was seen
	TestRepaired TestResult = "repaired" // it dripped, was repaired and tested again: no drip was seen
	TestDrips    TestResult = "drips"    // it still drips
	TestNotMade  TestResult = "not-made"
)

// HoseTest is water run over the deck from above while somebody watches below. At is the time by the clock on site, "2026-06-04 14:10", empty where no test was made; Where
// says where it dripped and what was done.
type HoseTest struct {
	Result  TestResult `json:"result"`
	At      string     `json:"at"`
	Minutes int        `json:"minutes"`
	Where   string     `json:"where"`
	Photos  []int      `json:"photos"` // their numbers
}

// LeftItem is one thing that is looked at before the crew leaves, and what was answered: yes, no, or that there is none here.
type LeftItem struct {
	Key    string `json:"key"`
	Answer string `json:"answer"`
}

// The answers to what is looked at before the crew leaves.
const (
	LeftYes  = "yes"
	LeftNo   = "no"
	LeftNone = "none"
)

// The keys of the open points of a finishing; one of the check list is openLeft with its key.
const (
	openNoApproval = "no-approval"
	openSuperseded = "superseded"
	openDrips      = "drips"
	openUntested   = "untested"
	openLeft       = "left."
)

// Work is what a finishing says: which approved revision the work was held against, what was built otherwise, how the hose test came out, and in what state the place was left.
// Approved is 0 when no revision was approved. Open are the keys of what is not as it should be, Although why it was finished all the same.
type Work struct {
	Approved int        `json:"approved"`
	Open     []string   `json:"open"`
	Although string     `json:"although"`
	Built    []Built    `json:"built"`
	Notes    string     `json:"notes"`
	Test     HoseTest   `json:"test"`
	Left     []LeftItem `json:"left"`
	By       string     `json:"by"`
}

// leftQuestion is a line of the check list. none tells whether a house may have nothing of the kind.
type leftQuestion struct {
	key, label, hint string
	none             bool
}

// leftQuestions are the check list of what a crew leaves behind (common practice, no source).
func leftQuestions() []leftQuestion {
	return []leftQuestion{
		{"panels", "Client was shown which panels come down for service", "and in what order", true},
		{"downspouts", "Downspouts end where the plan says, and water was seen to run out", "", true},
		{"gutter", "Gutter is rinsed, free of chips and sealant", "", true},
		{"debris", "Offcuts, screws and dust are gone", "on the deck, below it, in beds and on paths", false},
		{"photos", "Photos were taken of the finished ceiling, the gutter and each downspout end", "", false},
		{"care", "Client was given the care sheet", "on paper or as a file", false},
	}
}

// LeftLabel is what a line of the check list asks; empty for a key that it has not.
func LeftLabel(key string) string {
	for _, q := range leftQuestions() {
		if q.key == key {
			return q.label
		}
	}
	return ""
}

// OpenText is an open point of a finishing in words.
func OpenText(key string) words.Phrase {
	switch key {
	case openNoApproval:
		return words.Say("No revision was approved by the client.")
	case openSuperseded:
		return words.Say("A later revision was issued and is not approved.")
	case openDrips:
		return words.Say("It still drips in the hose test.")
	case openUntested:
		return words.Say("No hose test was made.")
	}
	return words.Say("Not done: %s.", words.Say(LeftLabel(strings.TrimPrefix(key, openLeft))))
}

// ResultText is a test's result in words. None of them says that a ceiling lets no water through.
func ResultText(r TestResult) words.Phrase {
	switch r {
	case TestNone:
		return words.Say("No drip was seen.")
	case TestRepaired:
		return words.Say("It dripped, was repaired and tested again: no drip was seen.")
	case TestDrips:
		return words.Say("It still drips.")
	}
	return words.Say("No test was made.")
}

// OpenPoints are the keys of what is not as it should be, in the order in which they are told. issued and made are the survey's revisions and decisions.
func (w Work) OpenPoints(issued []Revision, made []Approval) []string {
	open := []string{}
	if a, ok := NewestApproved(made); !ok {
		open = append(open, openNoApproval)
	} else if a.Number < len(issued) {
		open = append(open, openSuperseded)
	}
	switch w.Test.Result {
	case TestDrips:
		open = append(open, openDrips)
	case TestNotMade:
		open = append(open, openUntested)
	}
	for _, item := range w.Left {
		if item.Answer == LeftNo {
			open = append(open, openLeft+item.Key)
		}
	}
	return open
}
