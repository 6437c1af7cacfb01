package survey

import (
	"fmt"
	"math"
	"strings"
)

// FactState says how far a fact can be relied on.
type FactState string

// The states of a fact.
const (
	FactMissing  FactState = "missing"  // nobody said, and nothing may be assumed
	FactAssumed  FactState = "assumed"  // nobody said; the field's own assumption stands
	FactKnown    FactState = "known"    // said once, or several sources agree
	FactDiffers  FactState = "differs"  // two sources differ by less than half an inch: the taped one stands, marked
	FactConflict FactState = "conflict" // two sources differ by more: unset until a person settles it
)

// The tolerances of comparing two sources, in inches: tape readings within tapeAgrees are the same (common practice, no source); from
// mustSettle up a person decides.
const (
	tapeAgrees = 1.0 / 8
	mustSettle = 1.0 / 2
)

// settlePrefix starts the key of the fact that says which source a person chose: "typed", or the id of a pin.
const settlePrefix = "settle."

// Candidate is one source's word for a fact.
type Candidate struct {
	Text   string
	Value  Value
	Source Source
}

// Resolved is a fact of the deck with its value and where that came from. Value is the zero Value unless State is known, assumed or
// differs. Candidates are all that was said, the typed one first.
type Resolved struct {
	Field      Field
	State      FactState
	Text       string
	Value      Value
	Source     Source
	Candidates []Candidate
}

// Known tells whether the fact has a value.
func (f Resolved) Known() bool {
	return f.State == FactKnown || f.State == FactAssumed || f.State == FactDiffers
}

// FactSet is every fact of a survey, resolved.
type FactSet struct {
	all   []Resolved
	index map[string]int
}

// ResolveFacts weighs what was typed and what was pinned for every field of the survey's deck.
func ResolveFacts(r Record) FactSet {
	set := FactSet{index: map[string]int{}}
	for _, f := range FactFields(r) {
		set.index[f.Key] = len(set.all)
		set.all = append(set.all, resolve(r, f))
	}
	return set
}

// All lists the facts in the order of the form.
func (s FactSet) All() []Resolved { return s.all }

// Get finds a fact by its key; a key that is no field of the survey gives a missing fact.
func (s FactSet) Get(key string) Resolved {
	if i, ok := s.index[key]; ok {
		return s.all[i]
	}
	return Resolved{State: FactMissing}
}

// resolve weighs the sources of one field.
func resolve(r Record, f Field) Resolved {
	res := Resolved{Field: f, Candidates: candidates(r, f)}
	switch {
	case len(res.Candidates) > 0:
		return weigh(r, res)
	case f.Assumed != "":
		v, err := ReadValue(f, f.Assumed)
		if err != nil {
			return res
		}
		res.State, res.Text, res.Value, res.Source = FactAssumed, f.Assumed, v, Source{Kind: SourceAssumed, Field: f.Key}
	default:
		res.State = FactMissing
	}
	return res
}

// weigh settles several candidates: agreement, the tape's precedence, a person's choice, or a conflict.
func weigh(r Record, res Resolved) Resolved {
	take := func(c Candidate, state FactState) Resolved {
		res.State, res.Text, res.Value, res.Source = state, c.Text, c.Value, c.Source
		return res
	}
	if chosen, ok := settled(r, res); ok {
		return take(chosen, FactKnown)
	}
	best := res.Candidates[0]
	spread := 0.0
	for _, c := range res.Candidates[1:] {
		if best.Source.Kind == SourceTyped && c.Source.Kind == SourceTaped {
			best = c
		}
	}
	for _, c := range res.Candidates {
		spread = math.Max(spread, difference(res.Field, best.Value, c.Value))
	}
	switch {
	case spread <= tapeAgrees:
		return take(best, FactKnown)
	case spread < mustSettle:
		return take(best, FactDiffers)
	}
	res.State = FactConflict
	return res
}

// difference is how far two values of a field are apart in inches; words and numbers that differ are infinitely far apart.
func difference(f Field, a, b Value) float64 {
	if f.Type == TypeLength || f.Type == TypePosition {
		return math.Abs(a.Number - b.Number)
	}
	if a.Choice == b.Choice && a.Number == b.Number {
		return 0
	}
	return math.Inf(1)
}

// settled finds the candidate that a person chose for this fact.
func settled(r Record, res Resolved) (Candidate, bool) {
	choice := r.Facts[settlePrefix+res.Field.Key].Text
	for _, c := range res.Candidates {
		if choice != "" && choice == c.settleName() {
			return c, true
		}
	}
	return Candidate{}, false
}

// settleName is how a settlement names this candidate: "typed", or the pin's id.
func (c Candidate) settleName() string {
	if c.Source.Kind == SourceTyped || c.Source.Kind == SourceVerified && c.Source.Pin == "" {
		return string(SourceTyped)
	}
	return string(c.Source.Pin)
}

// SettleFact is the fact that records a person's choice among a fact's candidates.
func SettleFact(id SurveyID, key string, c Candidate, version int) Fact {
	return Fact{Survey: id, Key: settlePrefix + key, Text: c.settleName(), Version: version}
}

// candidates are what was typed for a field and what pins say of it. Text that cannot be read any more is left out.
func candidates(r Record, f Field) []Candidate {
	var list []Candidate
	if fact := r.Facts[f.Key]; fact.Text != "" {
		if v, err := ReadValue(f, fact.Text); err == nil {
			source := Source{Kind: SourceTyped, Field: f.Key}
			if verified, ok := r.VerifiedValue("", f.Key); ok {
				source.Kind, source.By, source.At = SourceVerified, verified.By, verified.At
			}
			list = append(list, Candidate{fact.Text, v, source})
		}
	}
	for _, p := range r.Pins {
		text := pinned(p, f.Key)
		if text == "" {
			continue
		}
		if v, err := ReadValue(f, text); err == nil {
			kind := SourceTaped
			if f.Type == TypeChoice || f.Type == TypeYesNo {
				kind = SourceTyped
			}
			list = append(list, Candidate{text, v, pinSource(r, p, kind)})
		}
	}
	return list
}

// pinned is what a pin says of the fact with this key, empty when nothing.
func pinned(p Pin, key string) string {
	switch p.Kind {
	case PinDimension:
		if p.Values["names"] == key {
			return p.Values["length"]
		}
	case PinWall:
		rest, ok := strings.CutPrefix(key, "edge."+p.Values["edge"]+".")
		if !ok || p.Values["edge"] == "" {
			return ""
		}
		if rest == "kind" {
			return "wall"
		}
		return p.Values[rest]
	case PinWater:
		if key == "rain.roof_ft2" {
			return p.Values["roof_ft2"]
		}
	}
	return ""
}

// ValidateFacts checks typed facts before they are kept: keys must be fields of the survey, texts readable. An empty text is allowed: it
// takes the value away. The error is of kind Invalid with one message a field.
func ValidateFacts(r Record, facts []Fact) error {
	fields := map[string]string{}
	for _, fact := range facts {
		key, settles := strings.CutPrefix(fact.Key, settlePrefix)
		f, ok := FactField(r, key)
		switch {
		case !ok:
			fields[fact.Key] = "There is no such field."
		case fact.Text == "" || settles:
		default:
			if _, err := ReadValue(f, fact.Text); err != nil {
				fields[fact.Key] = Message(err)
			}
		}
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "Some fields could not be read. Nothing was changed.", Fields: fields}
	}
	return nil
}

func edgeKey(i int, name string) string { return fmt.Sprintf("edge.%d.%s", i, name) }
