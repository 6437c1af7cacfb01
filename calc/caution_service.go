package calc

import "fmt"

func serviceRules() []careRule {
	return []careRule{
		always("hidden-services", noSource, "drilling into walls and joists", "Cables and pipes may run where you drill. Look, use a detector, switch the circuit off, and stop at the first hollow or "+
			"bright metal."),
		{"electrical", sourceGFCI + "; " + sourceDamp + "; ladders 29 CFR 1926.1053(b)(12) (from memory)", func(s *site) (string, string) {
			if ids := s.fixturesOf(electric); len(ids) > 0 {
				return "electrical fittings " + some(ids), "Everything electric is switched off, locked off and tested dead before work near it. No metal ladder near live parts. A licensed electrician adds, " +
					"moves and connects; outdoor receptacles are protected by a ground-fault breaker and a cover."
			}
			return "", ""
		}},
		{"carbon-monoxide", sourceMono, func(s *site) (string, string) {
			if ids := s.fixturesOf(burns); len(ids) > 0 {
				return "what may burn fuel: " + some(ids), "Carbon monoxide kills without a smell. Nothing that burns fuel may end or leak above or below a ceiling that keeps its air in; have a licensed trade check " +
					"flue, clearances and openings, and put an alarm in the house."
			}
			return "", ""
		}},
	}
}

// heatRules: that rigid PVC softens near 160 F is from memory.
func heatRules() []careRule {
	const soft = "maker's clearances; softening near 160 F from memory"
	return []careRule{
		onCondition("heat-below", soft, conditionHeat, "a grill, fire pit or heater below",
			"Plastic softens near 160 F. Keep a grill, fire pit or heater out from under the ceiling, or as far below as both makers ask; say so to the owner in writing."),
		onCondition("hot-tub", noSource, conditionHotTub, "a hot tub below",
			"A hot tub's steam meets the ceiling and drips. Keep the underside open to air at two sides or more, and use fastenings that stand chlorine."),
		onCondition("condenser-below", sourceMono, conditionCondenser, "a condenser below",
			"A condenser blows its heat upward. Keep the free height its maker asks for, or have a licensed trade move it."),
		{"cold-cutting", "our own assumption; " + noSource, func(s *site) (string, string) {
			if s.in.Temperature.Install >= s.sys.ColdCutBelow-tol {
				return "", ""
			}
			return fmt.Sprintf("installation at %g F, below %g F", s.in.Temperature.Install, s.sys.ColdCutBelow),
				"Cold plastic cracks when it is cut or driven. Keep it warm until it is cut, use a fine blade with the profile supported, drill its holes, and wear eye protection."
		}},
	}
}
