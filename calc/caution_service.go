package calc

import (
	"undercroft/calc/words"
)

func serviceRules() []careRule {
	return []careRule{
		always("hidden-services", noSource, words.Say("drilling into walls and joists"), words.Say("Cables and pipes may run where you drill. Look, use a detector, switch the circuit off, and stop at the first hollow or "+
			"bright metal.")),
		{"electrical", sourceGFCI + "; " + sourceDamp + "; ladders 29 CFR 1926.1053(b)(12) (from memory)", func(s *site) (words.Phrase, words.Phrase) {
			if ids := s.fixturesOf(electric); len(ids) > 0 {
				return words.Say("electrical fittings %s", some(ids)), words.Say("Everything electric is switched off, locked off and tested dead before work near it. No metal ladder near live parts. A licensed electrician adds, " +
					"moves and connects; outdoor receptacles are protected by a ground-fault breaker and a cover.")
			}
			return words.Phrase{}, words.Phrase{}
		}},
		{"carbon-monoxide", sourceMono, func(s *site) (words.Phrase, words.Phrase) {
			if ids := s.fixturesOf(burns); len(ids) > 0 {
				return words.Say("what may burn fuel: %s", some(ids)), words.Say("Carbon monoxide kills without a smell. Nothing that burns fuel may end or leak above or below a ceiling that keeps its air in; have a licensed trade check " +
					"flue, clearances and openings, and put an alarm in the house.")
			}
			return words.Phrase{}, words.Phrase{}
		}},
	}
}

// heatRules: that rigid PVC softens near 160 F is from memory.
func heatRules() []careRule {
	const soft = "maker's clearances; softening near 160 F from memory"
	return []careRule{
		onCondition("heat-below", soft, conditionHeat, words.Say("a grill, fire pit or heater below"),
			words.Say("Plastic softens near 160 F. Keep a grill, fire pit or heater out from under the ceiling, or as far below as both makers ask; say so to the owner in writing.")),
		onCondition("hot-tub", noSource, conditionHotTub, words.Say("a hot tub below"),
			words.Say("A hot tub's steam meets the ceiling and drips. Keep the underside open to air at two sides or more, and use fastenings that stand chlorine.")),
		onCondition("condenser-below", sourceMono, conditionCondenser, words.Say("a condenser below"),
			words.Say("A condenser blows its heat upward. Keep the free height its maker asks for, or have a licensed trade move it.")),
		{"cold-cutting", "our own assumption; " + noSource, func(s *site) (words.Phrase, words.Phrase) {
			if s.in.Temperature.Install >= s.sys.ColdCutBelow-tol {
				return words.Phrase{}, words.Phrase{}
			}
			return words.Say("installation at %g F, below %g F", s.in.Temperature.Install, s.sys.ColdCutBelow),
				words.Say("Cold plastic cracks when it is cut or driven. Keep it warm until it is cut, use a fine blade with the profile supported, drill its holes, and wear eye protection.")
		}},
	}
}
