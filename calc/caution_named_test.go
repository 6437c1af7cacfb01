package calc

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A caution that is asked for by its name is the one that a plan with that condition carries.
func TestCautionAboutIsTheOneOfThePlan(t *testing.T) {
	for _, name := range conditions() {
		got, ok := CautionAbout(name)
		in := sampleInput()
		in.Conditions = []string{name}
		p, err := Compute(in)
		if err != nil {
			t.Fatal(err)
		}
		if !ok || !slices.ContainsFunc(p.Cautions, func(c Caution) bool { return cmp.Equal(c, got) }) {
			t.Errorf("%s: got %+v, %v, which is no caution of a plan with that condition", name, got, ok)
		}
	}
	for _, f := range fixtureSorts() {
		if got, ok := CautionAbout(f.name); !ok || got.Rule != "fixture-"+f.name || !strings.HasSuffix(got.Text, deferral().String()) {
			t.Errorf("%s: got %+v, %v", f.name, got, ok)
		}
	}
	if got, ok := CautionAbout("fog"); ok {
		t.Errorf("fog: got %+v", got)
	}
}
