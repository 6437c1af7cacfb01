package calc

import (
	"slices"

	"undercroft/calc/words"
)

// CautionAbout is the caution that one thing calls for, before anything is computed: a condition of Input.Conditions ("heat-below") or a sort
// of Obstruction.Sort ("flue"). ok is false when there is no such condition or sort. Its Trigger is the thing in words, its Text ends by
// deferring to local code and licensed practice.
func CautionAbout(name string) (c Caution, ok bool) {
	if slices.Contains(conditions(), name) {
		s := &site{in: Input{Conditions: []string{name}}}
		for _, group := range [][]careRule{accessRules(), heatRules(), frameRules()} {
			i := slices.IndexFunc(group, func(r careRule) bool { return r.name == name })
			if i >= 0 {
				return s.apply(group[i : i+1])[0], true
			}
		}
	}
	for _, f := range fixtureSorts() {
		if f.name == name {
			return newCaution("fixture-"+f.name, f.source, words.Say(f.label), words.Say(f.text)), true
		}
	}
	return Caution{}, false
}
