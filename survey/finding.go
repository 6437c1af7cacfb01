package survey

import "fmt"

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
}

// factFindings tells which facts are missing, must be settled or stand with a doubt.
func factFindings(set FactSet) []Finding {
	var list []Finding
	rectangle := set.Get("outline").State == FactMissing
	for _, f := range set.All() {
		name := f.Field.Label
		size := f.Field.Key == "width" || f.Field.Key == "projection"
		switch {
		case f.State == FactMissing && f.Field.Required && (!size || rectangle):
			list = append(list, Finding{SeverityMissing, name + " is not known.", howToAnswer(f.Field), f.Field.Key, ""})
		case f.State == FactConflict:
			list = append(list, Finding{SeverityMissing, fmt.Sprintf("%s: two sources disagree, %s.", name, disagreement(f)), "Choose the one that is right.", f.Field.Key, ""})
		case f.State == FactDiffers:
			list = append(list, Finding{SeverityCheck, fmt.Sprintf("%s: two sources differ, %s. The taped one stands.", name, disagreement(f)), "Tape it again to be sure.", f.Field.Key, ""})
		}
	}
	return list
}

// howToAnswer is one sentence of how a fact that is missing gets into the survey.
func howToAnswer(f Field) string {
	if f.Type == TypeLength {
		return "Type it, or pin the taped length on a photo."
	}
	return "Answer it under Site and deck."
}

// disagreement says the candidates' values and sources in one phrase.
func disagreement(f Resolved) string {
	text := ""
	for i, c := range f.Candidates {
		if i > 0 {
			text += " against "
		}
		text += fmt.Sprintf("%s (%s)", c.Value.Read, c.Source)
	}
	return text
}
