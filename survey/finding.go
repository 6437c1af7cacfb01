package survey

import "undercroft/calc/words"

// Severity is how much a finding matters.
type Severity string

// The severities: nothing can be computed without it, something is left out or doubtful, worth knowing.
const (
	SeverityMissing Severity = "missing"
	SeverityCheck   Severity = "check"
	SeverityNote    Severity = "note"
)

// Finding is something the survey lacks or that must be settled, with the place where it is mended: the key of a fact, or a pin.
type Finding struct {
	Severity Severity
	Text     string // one sentence of what is wrong
	Do       string // one sentence of what to do
	Fact     string
	Pin      PinID

	Said words.Phrase `json:"-"` // Text, to be said in any language
	ToDo words.Phrase `json:"-"` // Do, likewise
}

// newFinding is a finding as it is in every language.
func newFinding(severity Severity, text, do words.Phrase, fact string, pin PinID) Finding {
	return Finding{severity, text.String(), do.String(), fact, pin, text, do}
}

// factFindings tells which facts are missing, must be settled or stand with a doubt.
func factFindings(set FactSet) []Finding {
	var list []Finding
	rectangle := set.Get("outline").State == FactMissing
	for _, f := range set.All() {
		name := words.Say(f.Field.Label)
		size := f.Field.Key == "width" || f.Field.Key == "projection"
		switch {
		case f.State == FactMissing && f.Field.Required && (!size || rectangle):
			list = append(list, newFinding(SeverityMissing, words.Say("%s is not known.", name), howToAnswer(f.Field), f.Field.Key, ""))
		case f.State == FactConflict:
			list = append(list, newFinding(SeverityMissing, words.Say("%s: two sources disagree, %s.", name, disagreement(f)), words.Say("Choose the one that is right."), f.Field.Key, ""))
		case f.State == FactDiffers:
			list = append(list, newFinding(SeverityCheck, words.Say("%s: two sources differ, %s. The taped one stands.", name, disagreement(f)), words.Say("Tape it again to be sure."), f.Field.Key, ""))
		}
	}
	return list
}

// howToAnswer is one sentence of how a fact that is missing gets into the survey.
func howToAnswer(f Field) words.Phrase {
	if f.Type == TypeLength {
		return words.Say("Type it, or pin the taped length on a photo.")
	}
	return words.Say("Answer it under Site and deck.")
}

// disagreement says the candidates' values and sources in one phrase.
func disagreement(f Resolved) words.Phrase {
	var said words.Phrase
	for i, c := range f.Candidates {
		one := words.Say("%s (%s)", words.Say(c.Value.Read), c.Source.said())
		if i > 0 {
			one = words.Say("%s against %s", said, one)
		}
		said = one
	}
	return said
}
