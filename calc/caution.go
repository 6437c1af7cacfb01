package calc

import (
	"slices"
	"strings"

	"undercroft/calc/words"
)

// deferral ends every caution.
func deferral() words.Phrase { return words.Say("Local code and licensed practice come first.") }

// careRule is one rule of safety or care. find tells whether this deck touches it: the trigger reads after "because of" and is
// empty when it does not; the text's first sentence is complete by itself.
type careRule struct {
	name   string
	source string
	find   func(*site) (trigger, text words.Phrase)
}

// site is what the rules look at.
type site struct {
	in       Input
	sys      System
	plan     *Plan
	surfaces []Surface // that the channel meets
}

// cautions lists the safety and care rules that this deck touches, each with what triggered it and its source: people at height
// first, then dust and poison, electricity and gas, heat and cold, the frame, the water. Each ends by deferring to local code and
// licensed practice.
func cautions(in Input, sys System, p *Plan) []Caution {
	s := &site{in, sys, p, metSurfaces(in, p)}
	list := []Caution{}
	for _, group := range [][]careRule{accessRules(), dustRules(), serviceRules()} {
		list = append(list, s.apply(group)...)
	}
	list = append(list, s.fixtureCautions()...)
	for _, group := range [][]careRule{heatRules(), frameRules(), waterRules()} {
		list = append(list, s.apply(group)...)
	}
	return list
}

func (s *site) apply(rules []careRule) []Caution {
	var list []Caution
	for _, r := range rules {
		if trigger, text := r.find(s); trigger.Format != "" {
			list = append(list, newCaution(r.name, r.source, trigger, text))
		}
	}
	return list
}

// newCaution is a caution as it is in every language: its text, that defers to code and practice at its end, and what triggered it.
func newCaution(rule, source string, trigger, text words.Phrase) Caution {
	said := words.Join(" ", text, deferral())
	return Caution{Rule: rule, Text: said.String(), Trigger: trigger.String(), Source: source, Said: said, Because: trigger}
}

// always is a rule that every such ceiling touches.
func always(name, source string, trigger, text words.Phrase) careRule {
	return careRule{name, source, func(*site) (words.Phrase, words.Phrase) { return trigger, text }}
}

// onCondition is a rule that an answer of the survey touches.
func onCondition(name, source, condition string, trigger, text words.Phrase) careRule {
	return careRule{name, source, func(s *site) (words.Phrase, words.Phrase) {
		if slices.Contains(s.in.Conditions, condition) {
			return trigger, text
		}
		return words.Phrase{}, words.Phrase{}
	}}
}

// fixtureCautions are one caution for each sort of fixture that is there, in the order of the sorts.
func (s *site) fixtureCautions() []Caution {
	ids := map[string][]string{}
	for i := range s.in.Obstructions {
		o := &s.in.Obstructions[i]
		if sort := sortOf(o); sort != "" {
			ids[sort] = append(ids[sort], o.ID)
		}
	}
	var list []Caution
	for _, f := range fixtureSorts() {
		if len(ids[f.name]) > 0 {
			list = append(list, newCaution("fixture-"+f.name, f.source, words.Join(" ", words.Say(f.label), some(ids[f.name])), words.Say(f.text)))
		}
	}
	return list
}

// fixturesOf lists the ids of the fixtures whose sort satisfies a test.
func (s *site) fixturesOf(test func(sort string) bool) []string {
	var ids []string
	for i := range s.in.Obstructions {
		if o := &s.in.Obstructions[i]; test(sortOf(o)) {
			ids = append(ids, o.ID)
		}
	}
	return ids
}

// meets tells whether the channel meets one of some surfaces.
func (s *site) meets(surfaces ...Surface) bool {
	return slices.ContainsFunc(surfaces, func(m Surface) bool { return slices.Contains(s.surfaces, m) })
}

// met lists those of some surfaces that the channel meets, in words; empty when it meets none of them.
func (s *site) met(surfaces ...Surface) words.Phrase {
	var names []words.Phrase
	for _, m := range surfaces {
		if slices.Contains(s.surfaces, m) {
			names = append(names, words.Say(string(m)))
		}
	}
	return words.Join(", ", names...)
}

// wall is met as a trigger.
func (s *site) wall(surfaces ...Surface) words.Phrase {
	if s.meets(surfaces...) {
		return words.Say("a wall of %s", s.met(surfaces...))
	}
	return words.Phrase{}
}

// some lists the first few of many ids.
func some(ids []string) words.Phrase {
	const most = 8
	if len(ids) <= most {
		return words.Say("%s", strings.Join(ids, ", "))
	}
	return words.Say("%s and %d more", strings.Join(ids[:most], ", "), len(ids)-most)
}
