package calc

import (
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// Heights of the working platform from which rules apply, in inches. The fall-protection rule of construction work says "6 feet (1.8 m)
// or more above a lower level", so exactly 72 in is in; the scaffold rule says "more than 10 feet (3.1 m)", so exactly 120 in is not.
const (
	fallProtectionFrom = 72
	scaffoldRuleAbove  = 120
)

func accessRules() []careRule {
	return []careRule{
		{"height-unknown", sourceAsked, func(s *site) (words.Phrase, words.Phrase) {
			if s.plan.Access.Platform != nil {
				return words.Phrase{}, words.Phrase{}
			}
			return words.Say("no measured height"), words.Say("Nobody has measured how high the work is. Measure from the lowest ground under it before ladders, scaffold or lift are chosen.")
		}},
		{"fall-protection", "29 CFR 1926.501(b)(1), training 1926.503(a)(1)", (*site).fallProtection},
		{"scaffold", "29 CFR 1926.451(g)(1)", (*site).scaffold},
		{"lift", "29 CFR 1926.453(b)(2)(v) (from memory)", func(s *site) (words.Phrase, words.Phrase) {
			if s.in.Means != meansLift {
				return words.Phrase{}, words.Phrase{}
			}
			return words.Say("the lift chosen"), words.Say("In a boom lift everyone is tied to the boom or basket. A scissor lift needs its rails closed; on either, the maker's manual rules, on firm level " +
				"ground, with a trained driver.")
		}},
		always("ladder", "29 CFR 1926.1053(b)(1), (b)(5)(i), (b)(13); duty ratings ANSI A14", words.Say("work from ladders, at any height"),
			words.Say("Most falls are from low ladders. Set a leaning ladder 4 to 1: its base out a quarter of its working length. Rails go 3 ft above a landing that it leads to. Never stand "+
				"on the top or top step of a stepladder. Load no ladder beyond its duty rating. Panels take two people: carry them up from a platform, not one-handed on a ladder.")),
		onCondition("edge-above", "29 CFR 1926.501(b)(1)", conditionEdgeAbove, words.Say("an open deck edge above the work"),
			words.Say("Someone on the deck above works at an open edge. Its guard stays on, or that edge gets its own fall protection; nobody loosens guard posts from below.")),
		onCondition("drop-beside", "29 CFR 1926.501(b)(1)", conditionDrop, words.Say("a retaining wall or stairwell beside the work"),
			words.Say("A drop beside the work counts as height. Measure from the lowest ground a person could fall to, and guard that edge or cover the opening.")),
	}
}

// fallProtection applies from 6 ft on. Scaffolds and lifts have rules of their own, which are quoted in its place.
func (s *site) fallProtection() (trigger, text words.Phrase) {
	p := s.plan.Access.Platform
	if p == nil || *p < fallProtectionFrom-tol || s.in.Means == meansScaffold || s.in.Means == meansLift {
		return words.Phrase{}, words.Phrase{}
	}
	trigger = words.Say("a working platform %s above the ground", length.Inches(*p))
	text = words.Say("The work is 6 ft or more above a lower level: the fall-protection rule of construction work applies. Whoever is exposed needs a guardrail, a net or fall arrest, and " +
		"training first. The platform is the underside's height less 6' 6\", from the ground measured; lower ground beside it counts.")
	if s.in.Means == meansLadder {
		text = words.Join(" ", text, words.Say("Ladders have rules of their own; a scaffold or a lift is the better way to this height."))
	}
	return trigger, text
}

// scaffold applies above 10 ft, and whatever the height when a scaffold was chosen.
func (s *site) scaffold() (trigger, text words.Phrase) {
	p := s.plan.Access.Platform
	high := p != nil && *p > scaffoldRuleAbove+tol
	switch {
	case high && (s.in.Means == "" || s.in.Means == meansScaffold):
		return words.Say("a working platform %s above the ground", length.Inches(*p)), words.Say("A scaffold more than 10 ft above a lower level needs guardrails or fall arrest for everyone on it. Planks " +
			"full width, firm footing, a ladder to get up, and a competent person's look at it every day.")
	case s.in.Means == meansScaffold:
		return words.Say("the scaffold chosen"), words.Say("A scaffold needs firm footing, full planks and a way up, whatever its height. Guardrails or fall arrest are the rule when it is more than 10 ft above a " +
			"lower level; rails below that are good practice.")
	}
	return words.Phrase{}, words.Phrase{}
}
