package calc

import (
	"fmt"
	"slices"
	"strings"
)

// deferral ends every caution.
const deferral = "Local code and licensed practice come first."

// careRule is one rule of safety or care. find tells whether this deck touches it: the trigger reads after "because of" and is
// empty when it does not; the text's first sentence is complete by itself.
type careRule struct {
	name   string
	source string
	find   func(*site) (trigger, text string)
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
		if trigger, text := r.find(s); trigger != "" {
			list = append(list, Caution{Rule: r.name, Text: text + " " + deferral, Trigger: trigger, Source: r.source})
		}
	}
	return list
}

// always is a rule that every such ceiling touches.
func always(name, source, trigger, text string) careRule {
	return careRule{name, source, func(*site) (string, string) { return trigger, text }}
}

// onCondition is a rule that an answer of the survey touches.
func onCondition(name, source, condition, trigger, text string) careRule {
	return careRule{name, source, func(s *site) (string, string) {
		if slices.Contains(s.in.Conditions, condition) {
			return trigger, text
		}
		return "", ""
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
			list = append(list, Caution{"fixture-" + f.name, f.text + " " + deferral, f.label + " " + some(ids[f.name]), f.source})
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

// met lists those of some surfaces that the channel meets, in words; empty when it meets none of them.
func (s *site) met(surfaces ...Surface) string {
	var names []string
	for _, m := range surfaces {
		if slices.Contains(s.surfaces, m) {
			names = append(names, string(m))
		}
	}
	return strings.Join(names, ", ")
}

// wall is met as a trigger.
func (s *site) wall(surfaces ...Surface) string {
	if names := s.met(surfaces...); names != "" {
		return "a wall of " + names
	}
	return ""
}

// some lists the first few of many ids.
func some(ids []string) string {
	const most = 8
	if len(ids) <= most {
		return strings.Join(ids, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(ids[:most], ", "), len(ids)-most)
}
