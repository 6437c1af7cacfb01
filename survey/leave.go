package survey

import (
	"cmp"
	"slices"
	"strings"
)

// LeaveItem is something to settle, to check or to know before leaving the house. Where it is settled is the Finding's Fact or Pin, else Photo,
// else the Screen of that name ("photos", "deck", "cover", "ceiling", "questions").
type LeaveItem struct {
	Finding
	Rule   string
	Photo  PhotoID
	Screen string
}

// LeaveCheck is what all rules say of a survey: Items, those of SeverityMissing first, and a sentence for each rule that found nothing.
type LeaveCheck struct {
	Items []LeaveItem
	Fine  []string
}

// Count is how many items have a severity.
func (l LeaveCheck) Count(severity Severity) int {
	n := 0
	for _, item := range l.Items {
		if item.Severity == severity {
			n++
		}
	}
	return n
}

// Leave holds a survey and its ceiling to every rule.
func Leave(r Record, c Ceiling) LeaveCheck {
	v := visit{Record: r, Ceiling: c, covered: Covered(r, c), doubts: PhotoDoubts(r)}
	var check LeaveCheck
	for _, rule := range leaveRules() {
		spots := rule.find(v)
		for _, s := range spots {
			text := strings.ReplaceAll(rule.text, "%s", s.word)
			item := LeaveItem{Finding{Severity: rule.severity, Text: text, Do: cmp.Or(s.do, rule.do), Fact: s.fact, Pin: s.pin}, rule.name, s.photo, rule.screen}
			check.Items = append(check.Items, item)
		}
		if len(spots) == 0 && rule.fine != "" && (rule.applies == nil || rule.applies(v)) {
			check.Fine = append(check.Fine, rule.fine)
		}
	}
	slices.SortStableFunc(check.Items, func(a, b LeaveItem) int {
		return cmp.Compare(severityOrder(a.Severity), severityOrder(b.Severity))
	})
	return check
}

func severityOrder(s Severity) int {
	return slices.Index([]Severity{SeverityMissing, SeverityCheck, SeverityNote}, s)
}

// visit is what the rules look at.
type visit struct {
	Record
	Ceiling
	covered []CoverState
	doubts  map[PhotoID][]string
}

// spot is one place where a rule is not met: the word that stands for %s in the rule's text, what to do there when that differs from place to
// place, and where it is settled.
type spot struct {
	word, do string
	fact     string
	pin      PinID
	photo    PhotoID
}

// leaveRule is one rule: find lists where it is not met; text says what is wrong there, do how it is settled, screen where when a spot names no
// place; fine is what to say when it is met, empty to say nothing. applies tells whether there is anything to hold to the rule, so that nothing
// is called in order that is not there; nil for always.
type leaveRule struct {
	name     string
	severity Severity
	text, do string
	screen   string
	fine     string
	find     func(visit) []spot
	applies  func(visit) bool
}

// once is the spot of a rule that is met or not as a whole.
func once(broken bool) []spot {
	if broken {
		return []spot{{}}
	}
	return nil
}

// leaveRules are the rules in the order in which they are shown within their severity.
func leaveRules() []leaveRule {
	rules := deckRules()
	rules = append(rules, photoRules()...)
	rules = append(rules, pinRules()...)
	return append(rules, coverRules()...)
}

func deckRules() []leaveRule {
	return []leaveRule{
		{"fact-missing", SeverityMissing, "%s is not known.", "Type it, or pin the taped length on a photo.", "deck", "Size and joists are known.", visit.missingFacts, nil},
		{"built-before-1978", SeverityMissing, "Nobody has said whether the house was built before 1978.", "Ask: paint from before 1978 may hold lead, and drilling into it has rules of its own.", "deck",
			"The house's age is known.", func(v visit) []spot { return v.unknown("built_before_1978") }, nil},
		{"dispute", SeverityMissing, "%s", "", "deck", "No two sources contradict each other.", visit.disputed, func(v visit) bool { return len(v.Record.Facts)+len(v.Pins) > 0 }},
		{"sources-differ", SeverityCheck, "%s", "", "deck", "", visit.differing, nil},
		{"wall-surface", SeverityMissing, "%s: what the wall is faced with is not known.", "Pin the wall surface on a photo, or choose it: pre-drilling and anchors depend on it.", "deck", "Every wall has its surface.", visit.bareWalls, nil},
		{"no-level", SeverityMissing, "No level was taken.", "Hold a laser, water level or string at one height and pin the joists' bottom at three corners or more: without it the fall is a guess.", "photos", "",
			func(v visit) []spot { return once(len(v.Input.Heights) == 0) }, nil},
		{"few-levels", SeverityCheck, "Only %s taken: three are needed to see how the frame lies.", "Pin the joists' bottom at more corners, against the same line.", "photos", "Levels at three places or more.", visit.fewLevels, func(v visit) bool { return len(v.Input.Heights) >= leastLevels }},
		{"no-clearance", SeverityCheck, "No clearance was taken.", "Pin the height from the joists' bottom to the ground: headroom, ladders and downspouts depend on it.", "photos", "The clearance to the ground is known.",
			func(v visit) []spot { return once(len(v.Input.Clearances) == 0) }, nil},
		{"profile-confirmed", SeverityCheck, "The supplier has not confirmed the profile's figures.", "Covers, depths and lengths of the profile are assumed until then. Ask the supplier, then answer yes.", "deck",
			"The supplier's figures are confirmed.", visit.unconfirmed, nil},
		{"ceiling-refused", SeverityMissing, "%s", "The calculation refused what it was given. Correct it under Site and deck, or on its pin.", "deck", "", visit.refused, nil},
		{"ceiling-blocked", SeverityMissing, "%s", "Change the ceiling, or what it is computed from.", "ceiling", "", visit.blocked, nil},
		{"question-open", SeverityCheck, "%s", "Answer it while you can look.", "questions", "Every question between surveyor and crew is answered.", visit.openQuestions, func(v visit) bool { return len(v.Remarks) > 0 }},
		{"no-downspout", SeverityMissing, "No pin shows where a downspout can go or the water can run off.", "Pin the free corner or the place of discharge on a photo, with the kind Water.", "photos",
			"The way of the water is pinned.", func(v visit) []spot { return once(!v.drained()) }, nil},
	}
}

func photoRules() []leaveRule {
	return []leaveRule{
		{"no-photo", SeverityMissing, "There is no photo.", "Photograph the underside, every wall, the ledger, a post and the gutter's corner.", "photos", "There are photos.",
			func(v visit) []spot { return once(len(v.Photos) == 0) }, nil},
		{"photo-unshown", SeverityCheck, "%s cannot be shown.", "Take it again while you are here, or send it as JPEG.", "photos", "", visit.unshown, nil},
		{"photo-doubtful", SeverityCheck, "%s is doubtful.", "", "photos", "No photo is blurred, dark, double, or from another day or place.", visit.doubtful, func(v visit) bool { return len(v.Photos) > 0 }},
		{"photo-without-pin", SeverityNote, "%s has no pin.", "Pin what it shows, or leave it as a view.", "photos", "", visit.unpinned, nil},
		{"references-contradict", SeverityCheck, "%s: its references contradict each other, nothing is located through it.", "", "photos", "", visit.contradicting, nil},
		{"references-no-check", SeverityCheck, "%s: its references fit, but none is spare.", "A wrong one would not show. Tape and pin one more mark.", "photos", "", visit.unchecked, nil},
		{"references-doubtful", SeverityCheck, "%s: its references are weak.", "", "photos", "", visit.weak, nil},
		{"references-few", SeverityNote, "%s: too few references.", "", "photos", "", visit.fewReferences, nil},
	}
}

func pinRules() []leaveRule {
	return []leaveRule{
		{"pin-left-out", SeverityCheck, "%s", "", "deck", "Every pin counts in the calculation.", visit.leftOut, func(v visit) bool { return len(v.Pins) > 0 }},
		{"seam-near", SeverityCheck, "%s", "Tape its distance from the left end and type it on the pin.", "ceiling", "No seam lies near anything that is known only roughly.", visit.nearSeams, func(v visit) bool { return v.Plan != nil }},
	}
}

func coverRules() []leaveRule {
	return []leaveRule{
		{"vent-above", SeverityMissing, "%s", "", "cover", "", func(v visit) []spot { return v.coverSpots(SeverityMissing, "") }, nil},
		{"cover-unanswered", SeverityMissing, "%s", "Look, and answer yes, no or not seen: only on site can anybody look.", "cover", "Every question about what will be covered is answered.", visit.unanswered, nil},
		{"cover-not-seen", SeverityCheck, "%s", "", "cover", "", func(v visit) []spot { return v.coverSpots(SeverityCheck, AnswerNotSeen) }, nil},
		{"cover-contradicted", SeverityCheck, "%s", "", "cover", "", func(v visit) []spot { return v.coverSpots(SeverityCheck, AnswerNo) }, nil},
		{"cover-yes", SeverityNote, "%s", "", "cover", "", visit.foundSomething, nil},
	}
}
