package calc

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// find is the caution of a rule; false when there is none.
func find(list []Caution, rule string) (Caution, bool) {
	i := slices.IndexFunc(list, func(c Caution) bool { return c.Rule == rule })
	if i < 0 {
		return Caution{}, false
	}
	return list[i], true
}

// everything is a deck that touches nearly every rule.
func everything() (Input, *Plan) {
	in, p := sampleInput(), samplePlan()
	in.Before1978, in.Conditions, in.Joists.SpecificGravity, in.Temperature.Install = true, conditions(), 0.55, 35
	for i, s := range surfaces() {
		in.Edges = append(in.Edges, Edge{Kind: EdgeWall, Surface: s})
		p.Zones[0].Channel = append(p.Zones[0].Channel, Run{Edge: "high", Surface: s, P1: Point{lengthOf(float64(i)), 0}})
	}
	for _, f := range fixtureSorts() {
		in.Obstructions = append(in.Obstructions, Obstruction{ID: "p-" + f.name, Kind: KindFixture, Sort: f.name, X: 100, Y: 80, WX: 4, WY: 4})
	}
	p.Plane.C = 0.01
	high := 130.0
	p.Access.Platform = &high
	return in, p
}

// TestEveryCautionIsSourced: each has a trigger, a source, a first sentence that is complete by itself, and ends by deferring.
func TestEveryCautionIsSourced(t *testing.T) {
	in, p := everything()
	seen := map[string]bool{}
	for _, means := range []string{"", meansLadder, meansScaffold, meansLift} {
		in.Means = means
		once := map[string]bool{}
		for _, c := range cautions(in, vinyl12(), p) {
			sourced(t, c.Rule, c.Source)
			head, rest, ok := strings.Cut(c.Text, ". ")
			if !ok || len(head) < 12 || len(head) > 140 || rest == "" {
				t.Errorf("%s: first sentence %q", c.Rule, head)
			}
			if !strings.HasSuffix(c.Text, " Local code and licensed practice come first.") {
				t.Errorf("%s does not defer: %q", c.Rule, c.Text)
			}
			if c.Trigger == "" || once[c.Rule] {
				t.Errorf("%s: trigger %q, twice %v", c.Rule, c.Trigger, once[c.Rule])
			}
			seen[c.Rule], once[c.Rule] = true, true
		}
	}
	p.Access.Platform = nil
	for _, c := range cautions(in, vinyl12(), p) {
		seen[c.Rule] = true
	}
	for _, group := range [][]careRule{accessRules(), dustRules(), serviceRules(), heatRules(), frameRules(), waterRules()} {
		for _, r := range group {
			if !seen[r.name] {
				t.Errorf("rule %s was never touched", r.name)
			}
		}
	}
	for _, f := range fixtureSorts() {
		if !seen["fixture-"+f.name] {
			t.Errorf("sort %s has no caution", f.name)
		}
	}
}

// TestHeightRules: 29 CFR 1926.501(b)(1) says "6 feet (1.8 m) or more above a lower level", 1926.451(g)(1) "more than 10 feet (3.1 m)"; ladders
// whatever the height.
func TestHeightRules(t *testing.T) {
	tests := []struct {
		platform               float64
		means                  string
		fall, scaffold, ladder bool
	}{
		{0, "", false, false, true},
		{71.9, "", false, false, true},
		{72, "", true, false, true},
		{72, meansLadder, true, false, true},
		{119.9, "", true, false, true},
		{120, "", true, false, true},
		{120.1, "", true, true, true},
		{120.1, meansLadder, true, false, true},
		{60, meansScaffold, false, true, true},
		{120.1, meansScaffold, false, true, true},
	}
	for _, tt := range tests {
		in, p := sampleInput(), samplePlan()
		in.Means, p.Access.Platform = tt.means, &tt.platform
		list := cautions(in, vinyl12(), p)
		fall, gotFall := find(list, "fall-protection")
		scaffold, gotScaffold := find(list, "scaffold")
		_, gotLadder := find(list, "ladder")
		if gotFall != tt.fall || gotScaffold != tt.scaffold || gotLadder != tt.ladder {
			t.Errorf("platform %g, %q: fall protection %v, scaffold %v, ladder %v; want %v, %v, %v", tt.platform, tt.means, gotFall, gotScaffold, gotLadder,
				tt.fall, tt.scaffold, tt.ladder)
		}
		if gotFall && (!strings.Contains(fall.Text, "6 ft or more above a lower level") || !strings.Contains(fall.Source, "1926.501(b)(1)")) {
			t.Errorf("fall protection: %q, %q", fall.Text, fall.Source)
		}
		if gotScaffold && (!strings.Contains(scaffold.Text, "more than 10 ft above a lower level") || !strings.Contains(scaffold.Source, "1926.451(g)(1)")) {
			t.Errorf("scaffold: %q, %q", scaffold.Text, scaffold.Source)
		}
	}
	in, p := sampleInput(), samplePlan()
	p.Access.Platform = nil
	if _, ok := find(cautions(in, vinyl12(), p), "height-unknown"); !ok {
		t.Error("nothing measured: no caution says so")
	}
}

// TestPublishedFigures: the figures that cautions quote, each with the paragraph it is from.
func TestPublishedFigures(t *testing.T) {
	in, p := everything()
	list := cautions(in, vinyl12(), p)
	for _, tt := range []struct{ rule, paragraph, text string }{
		{"ladder", "1926.1053", "4 to 1"},                             // (b)(5)(i): base out 1/4 of the working length
		{"ladder", "(b)(13)", "top step of a stepladder"},             // not used as a step
		{"ladder", "(b)(1)", "3 ft above a landing"},                  // side rails 3 ft above the upper landing
		{"silica-drilling", "1926.1153(d)(1)", "50 micrograms"},       // permissible exposure limit, 8 h
		{"silica-drilling", "Table 1 (vii)", "action level 25"},       // micrograms per cubic meter
		{"silica-sawing", "Table 1 (iii)", "outdoors only"},           // blade of 8 in or less
		{"silica-sawing", "Table 1 (iii)", "8 in or less"},            //
		{"silica-masonry-cutting", "(ii)", "up to 4 hours"},           // water, outdoors: none; over 4 h factor 10
		{"lead", "40 CFR 745.83", "more than 20 ft2"},                 // minor work: 20 ft2 or less outdoors, in all
		{"lead", "40 CFR 745.83", "6 ft2 a room"},                     // or 6 ft2 or less a room indoors
		{"asbestos", "1926.1101", "Nothing about siding is presumed"}, // the presumption is for insulation and surfacing
		{"screw-screening", "NDS 2018 12.2.2.1", "withdrawal alone"},
		{"heat-below", "from memory", "160 F"},
	} {
		c, ok := find(list, tt.rule)
		if !ok || !strings.Contains(c.Source, tt.paragraph) || !strings.Contains(c.Text, tt.text) {
			t.Errorf("%s: want %q from %q; got %q from %q", tt.rule, tt.text, tt.paragraph, c.Text, c.Source)
		}
	}
}

// TestQuietDeck: what is not there calls for no caution.
func TestQuietDeck(t *testing.T) {
	list := cautions(sampleInput(), vinyl12(), samplePlan())
	for _, rule := range []string{"fall-protection", "scaffold", "lift", "lead", "asbestos", "electrical", "carbon-monoxide", "heat-below", "cold-cutting", "pre-drill",
		"drains-to-house", "weep-holes", "no-hole", "surface-unknown", "height-unknown", "edge-above"} {
		if c, ok := find(list, rule); ok {
			t.Errorf("%s: %q", rule, c.Trigger)
		}
	}
	for _, rule := range []string{"ladder", "structure", "screw-screening", "covered", "silica-drilling", "silica-sawing", "rain", "what-it-catches", "air", "treated-wood"} {
		if _, ok := find(list, rule); !ok {
			t.Errorf("%s is missing", rule)
		}
	}
}

// TestLeadHoles: NDS 2018 12.1.5.2 (from memory: none to G 0.5, about 70 % of the root to 0.6, about 90 % above); roots of table L3. The
// products are arithmetic.
func TestLeadHoles(t *testing.T) {
	for _, tt := range []struct{ gravity, diameter, want float64 }{
		{0.42, 0.164, 0}, {0.50, 0.190, 0}, {0.55, 0.164, 0.092}, {0.55, 0.190, 0.106}, {0.67, 0.164, 0.118}, {0.67, 0.190, 0.137},
	} {
		if got := leadShare(tt.gravity) * rootDiameter(tt.diameter); math.Abs(got-tt.want) > 0.0005 {
			t.Errorf("G %g, D %g: got %.4f, want %.3f", tt.gravity, tt.diameter, got, tt.want)
		}
	}
	in, p := everything()
	c, _ := find(cautions(in, vinyl12(), p), "pre-drill")
	if !strings.Contains(c.Text, "0.106 in, the nearest bit 7/64 in") || !strings.Contains(c.Trigger, "0.55") {
		t.Errorf("southern pine, no. 10: got %q, %q", c.Text, c.Trigger)
	}
}

// TestScrewRoots: NDS 2018 table L3 follows D = 0.060 + 0.013 N; other diameters take two thirds (FPL-GTR-190, p. 8-10).
func TestScrewRoots(t *testing.T) {
	for n, root := range map[int]float64{6: 0.113, 7: 0.122, 8: 0.131, 9: 0.142, 10: 0.152, 12: 0.171, 14: 0.196} {
		if got := rootDiameter(0.060 + 0.013*float64(n)); got != root {
			t.Errorf("no. %d: got %g, want %g", n, got, root)
		}
	}
	if got := rootDiameter(0.3); math.Abs(got-0.2) > 1e-9 {
		t.Errorf("D 0.3: got %g, want 0.2", got)
	}
}

func TestFrameTowardHouse(t *testing.T) {
	in, p := sampleInput(), samplePlan()
	p.Plane.C = 1.0 / 16 / 12
	if c, ok := find(cautions(in, vinyl12(), p), "drains-to-house"); !ok || !strings.Contains(c.Trigger, `1/16" per foot toward the house`) {
		t.Errorf("rising 1/16 in per ft outward: got %v, %q", ok, c.Trigger)
	}
	p.Plane.C = -1.0 / 16 / 12
	if _, ok := find(cautions(in, vinyl12(), p), "drains-to-house"); ok {
		t.Error("falling outward: want no caution")
	}
}

// TestColdCutting: below the profile's temperature only; at it there is none.
func TestColdCutting(t *testing.T) {
	for install, want := range map[float64]bool{49.9: true, 50: false, 80: false} {
		in := sampleInput()
		in.Temperature.Install = install
		if _, ok := find(cautions(in, vinyl12(), samplePlan()), "cold-cutting"); ok != want {
			t.Errorf("%g F: %v, want %v", install, ok, want)
		}
	}
}
