package bundle

import (
	"testing"

	"undercroft/survey"
)

// FuzzDocument: whatever stands in a bundle's survey.json, with sums that fit, the bundle is refused in words that can be shown, or it can be imported: nothing that
// was let through is refused by the store, and its texts print.
func FuzzDocument(f *testing.F) {
	s, _ := newStore(f)
	packed := export(f, s, house(f, s))
	whole, err := open(packed)
	if err != nil {
		f.Fatal(err)
	}
	document, err := whole.read(surveyName, maxJSON)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(document)
	for old, by := range map[string]string{`"schema": 1`: `"schema": 1, "schema": 1`, `"x": 0.25`: `"x": -0.0`, `"kind": "note"`: `"kind": "beam"`, "Larkmoor": "Lark\u202emoor", `"number": 1`: `"number": 9223372036854775807`} {
		f.Add(replaced(old, by)(document))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		b, err := open(summed(t, packed, surveyName, func([]byte) []byte { return text }))
		if err != nil {
			if survey.KindOf(err) != survey.Invalid {
				t.Errorf("refused with an error that nobody is shown: %v", err)
			}
			return
		}
		to, _ := newStore(t)
		if err := b.Import(t.Context(), to); err != nil && survey.KindOf(err) == survey.Internal {
			t.Errorf("let through and then: %v", err)
		}
	})
}
