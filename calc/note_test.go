package calc

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	places  = regexp.MustCompile(`\{[a-z0-9A-Z]+\}`)
	figures = regexp.MustCompile(`[0-9]+`)
)

// TestCataloguesMatch: Spanish has every text of English with the same figures in it, and no other.
func TestCataloguesMatch(t *testing.T) {
	en, es := english(), spanish()
	for key, text := range en {
		other, ok := es[key]
		if !ok || other == "" && key != "" {
			t.Errorf("%s is missing in Spanish", key)
		}
		a, b := places.FindAllString(text, -1), places.FindAllString(other, -1)
		slices.Sort(a)
		slices.Sort(b)
		if !slices.Equal(slices.Compact(a), slices.Compact(b)) {
			t.Errorf("%s: English has %v, Spanish %v", key, a, b)
		}
		a, b = figures.FindAllString(text, -1), figures.FindAllString(other, -1)
		slices.Sort(a)
		slices.Sort(b)
		if !slices.Equal(a, b) {
			t.Errorf("%s: English has figures %v, Spanish %v", key, a, b)
		}
	}
	other := regexp.MustCompile(`(?i)\b(canal[oó]n(es)?|colgador(es)?|viga de pared|tiras?|plafón|soleras?|elevador)\b`) // names that the glossary in words/es.go has not
	for key, text := range es {
		if m := other.FindString(text); m != "" {
			t.Errorf("%s: %q has another name in the catalogue of reports", key, m)
		}
	}
	if len(es) != len(en) {
		t.Errorf("Spanish has %d texts, English %d", len(es), len(en))
	}
}

// TestEveryChoiceHasItsText: the keys that are put together at run time.
func TestEveryChoiceHasItsText(t *testing.T) {
	words := english()
	var keys []string
	for _, s := range surfaces() {
		keys = append(keys, "channel."+string(s), "surface."+string(s))
	}
	for _, f := range fixtureSorts() {
		keys = append(keys, "sort."+f.name)
	}
	for _, m := range []string{"", meansLadder, meansScaffold, meansLift} {
		keys = append(keys, "means."+m)
	}
	for _, k := range keys {
		if words[k] == "" {
			t.Errorf("%q has no text", k)
		}
	}
}

func notchOf(over string, carrier int, from, to, depth, p float64, state string) Notch {
	return Notch{Obstruction: over, Carrier: carrier, From: from, To: to, Depth: depth, Probability: p, State: state}
}

// noteCases are decks that write every kind of line.
func noteCases() map[string]func() (Input, *Plan) {
	return map[string]func() (Input, *Plan){
		"plain":      func() (Input, *Plan) { return sampleInput(), samplePlan() },
		"everything": everything,
		"two zones": func() (Input, *Plan) {
			in, p := sampleInput(), samplePlan()
			second := samplePlan().Zones[0]
			second.ID, second.Furring = "z2", slices.Clone(second.Furring)
			second.Furring[0].Dropped, second.Furring[1].Fasten, second.Furring[2].Left = true, "joist", 1
			second.Notches = []Notch{
				notchOf("p1", 1, 0.2196, 2.9696, 0.4375, 0.9, "expected"), notchOf("p2", 2, 0.2196, 2.9696, 0.4375, 0.8, "expected"), notchOf("p3", 3, 0.2196, 2.9696, 0.4375, 0.8, "expected"),
				notchOf("p4", 9, 100.03, 102.03, 0.6875, 1, "expected"), notchOf("p5", 12, 50, 53, 0.5, 0.1, "check on site"),
			}
			second.CutOuts = []CutOut{{Obstruction: "p6", Kind: "through"}}
			p.Zones = append(p.Zones, second)
			p.Issues = []Issue{{Rule: "row-unsupported"}}
			in.LowEdge, in.Joists.Direction, in.Edges[0].Asbestos = LowEdgeDripChannel, "x", true
			in.Clearances = []Clearance{{0, 0, 106}}
			p.Access.Platform = nil
			return in, p
		},
		"nothing": func() (Input, *Plan) { return sampleInput(), &Plan{System: vinyl12()} },
	}
}

// TestNotesAreWhole: eight groups in both languages, line by line the same figures, and no place left unfilled.
func TestNotesAreWhole(t *testing.T) {
	for name, deck := range noteCases() {
		in, p := deck()
		en, es := CrewNotes(in, p, "en"), CrewNotes(in, p, "es")
		if len(en) != 8 || len(es) != 8 {
			t.Fatalf("%s: %d and %d groups, want 8", name, len(en), len(es))
		}
		for g := range en {
			if en[g].Group == "" || len(en[g].Lines) != len(es[g].Lines) {
				t.Errorf("%s: group %q has %d lines, %q %d", name, en[g].Group, len(en[g].Lines), es[g].Group, len(es[g].Lines))
				continue
			}
			for i, line := range en[g].Lines {
				if line == "" || strings.ContainsAny(line+es[g].Lines[i], "{}") {
					t.Errorf("%s, %s: %q, %q", name, en[g].Group, line, es[g].Lines[i])
				}
				a, b := figures.FindAllString(line, -1), figures.FindAllString(es[g].Lines[i], -1)
				slices.Sort(a)
				slices.Sort(b)
				if !slices.Equal(a, b) {
					t.Errorf("%s, %s: figures differ:\n%s\n%s", name, en[g].Group, line, es[g].Lines[i])
				}
			}
		}
	}
}

// lines is one group of the English notes.
func lines(t *testing.T, in Input, p *Plan, group string) string {
	t.Helper()
	for _, g := range crewNotes(in, p.System, p) {
		if g.Group == group {
			return strings.Join(g.Lines, "\n")
		}
	}
	t.Fatalf("no group %q", group)
	return ""
}

// TestNotesOfThePlainDeck: figures of the worked example: 1/8 in per ft is 1/2 in thicker every 4 ft; deepest furring about 1 3/4 takes 3 in screws
// (common practice, no source). The finished height is 106 - t - 1 1/2.
func TestNotesOfThePlainDeck(t *testing.T) {
	in, p := sampleInput(), samplePlan()
	for group, want := range map[string][]string{
		"Layout": {`The ceiling is 28' 4" across.`, `Row 1: snap a line 4' 0" from the high edge. Write on it: strip 1/2" (1/2").`,
			`Row 3: snap a line 12' 0" from the high edge. Write on it: strip 1 1/2" (1" + 1/2").`, `Row 4: snap a line 13' 9 1/4" from the high edge. Write on it: strip ripped to 1 3/4".`,
			`Left side: mark the underside of the channel 1 1/2" below the joists at its high end, 3 1/4" at its low end.`,
			`Left side: the same marks are 8' 8 1/2" and 8' 6 3/4" above the ground.`, `first seam: 7 1/8" from the left side`, `Check: seam 7 is 6' 7 1/2" from the left side.`},
		"Framing": {`Furring screws: 3" long, one at each joist crossing, 92 in all.`, `Left side: open. Rip a backer 13' 10" long from nothing to 1 3/4". 15 screws.`},
		"Channel": {"Fiber-cement: drill with a carbide bit", "Wood: screw into rim", `Channel screws 1' 0" apart and one at each end: 60 in all.`},
		"Field": {`First panel 7" wide, at the left. Last panel 7 1/16", at the right. 29 panels across.`, `Panels cut to 13' 9 5/8": 29.`, `Leave 3/8" between`,
			`Call out 7 panels when the seam is 6' 7 1/2" from the left side.`},
		"Cold and heat": {`1/2" at 30 F, 3/8" at 50 F, 1/4" at 70 F, 3/16" at 90 F`, "If it is below 50 F that day"},
		"Water":         {`Gutter 5 in half-round, 28' 4" long, low end 1 3/4" lower. Downspouts: 1, leader 3 in.`, "Hose the deck from above"},
		"Bring":         {`Screws: furring 92 of 3", carriers 112, channel 60.`, "blade 8\" or less", `Platform 2' 4" above the ground. Choose ladder, scaffold or lift.`},
		"Later":         {"Start where no sealant holds the panels."},
	} {
		got := lines(t, in, p, group)
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: %q is missing in\n%s", group, w, got)
			}
		}
	}
}

func TestClippedCarriers(t *testing.T) {
	in, p := noteCases()["two zones"]()
	got := lines(t, in, p, "Field")
	for _, w := range []string{`Clip 3 carriers at the high end, 7/16" deep and back to 3": numbers 1–3.`, `Carrier 9: notch 11/16" deep from 8' 4" to 8' 6 1/16" from its high end, over p4.`,
		`Carrier 12: check p5 on site.`, "Zone 1:", "Zone 2:", "Never cut a joist"} {
		if !strings.Contains(got, w) {
			t.Errorf("%q is missing in\n%s", w, got)
		}
	}
	for i := range p.Zones[1].Carriers[3:] {
		p.Zones[1].Notches = append(p.Zones[1].Notches, notchOf("p1", i+4, 0.2196, 2.9696, 0.4375, 0.9, "expected"))
	}
	if got := lines(t, in, p, "Field"); !strings.Contains(got, "Clip all 28 carriers") {
		t.Errorf("all carriers clipped: got\n%s", got)
	}
}

// TestLater: the panels under a fixture, found in the fall frame, also when the fall runs along the house.
func TestLater(t *testing.T) {
	in, p := sampleInput(), samplePlan()
	in.Obstructions = []Obstruction{{ID: "p5", Kind: KindFixture, Sort: "box", X: 25, Y: 80, WX: 4, WY: 4}, {ID: "p6", Kind: KindHanger, X: 60, Y: 80}}
	got := lines(t, in, p, "Later")
	if !strings.Contains(got, "To reach the junction box p5: zone 1, take down panel 3, then carriers 2, 3.") || strings.Contains(got, "p6") {
		t.Errorf("got\n%s", got)
	}
	in.Fall.Direction = FallRight // u = ymax - y, v = x: u 25 is y 143
	in.Obstructions[0].X, in.Obstructions[0].Y = 80, 143
	if got := lines(t, in, p, "Later"); !strings.Contains(got, "take down panel 3, then") {
		t.Errorf("fall to the right: got\n%s", got)
	}
}

func TestNumbers(t *testing.T) {
	for want, list := range map[string][]int{"": nil, "4": {4}, "1, 2": {2, 1}, "1–3": {3, 1, 2}, "1–4, 6, 8, 9": {1, 2, 3, 4, 6, 8, 9}} {
		if got := numbers(list); got != want {
			t.Errorf("%v: got %q, want %q", list, got, want)
		}
	}
}

// TestEndGap: movement = alpha * L * dT (3.0e-5 per F for rigid PVC, a pipe supplier's guide); at least the profile's 1/8.
func TestEndGap(t *testing.T) {
	in, p := sampleInput(), samplePlan()
	n := &noteWriter{site: &site{in: in, sys: p.System, plan: p}}
	for warmth, want := range map[float64]float64{50: 0.3486, 30: 0.4482, 90: 0.1494, 120: 0.125, 140: 0.125} {
		if got := n.endGapAt(&p.Zones[0], warmth); got < want-1e-9 || got > want+1e-9 {
			t.Errorf("%g F: got %g, want %g", warmth, got, want)
		}
	}
}

// TestOwnNotes: a profile's own words replace a text in their language only, with its figures.
func TestOwnNotes(t *testing.T) {
	in, p := sampleInput(), samplePlan()
	p.System.Notes = []noteText{{"water.hose", "", "Soak it."}, {"layout.seam", langSpanish, "Primera junta: {at}."}}
	if got := lines(t, in, p, "Water"); !strings.Contains(got, "Soak it.") || strings.Contains(got, "Hose the deck") {
		t.Errorf("got\n%s", got)
	}
	es := CrewNotes(in, p, "es")
	if !slices.Contains(es[0].Lines, `Primera junta: 7 1/8".`) || !slices.ContainsFunc(es[5].Lines, func(l string) bool { return strings.HasPrefix(l, "Moje") }) {
		t.Errorf("got %q, %q", es[0].Lines, es[5].Lines)
	}
}

func TestOwnNotesAreChecked(t *testing.T) {
	for text, place := range map[noteText]string{
		{"water.hose", "en", "Soak it."}:             "",
		{"layout.seam", "", "Seam at {at}."}:         "",
		{"layout.nothing", "", "Seam."}:              "system.notes[0].key",
		{"water.hose", "fr", "Arrosez."}:             "system.notes[0].lang",
		{"water.hose", "", ""}:                       "system.notes[0].text",
		{"water.hose", "", "Soak {row}."}:            "system.notes[0].text",
		{"water.hose", "", strings.Repeat("a", 1e4)}: "system.notes[0].text",
	} {
		sys := vinyl12()
		sys.Notes = []noteText{text}
		err := checkSystem(sys)
		var fault *InputError
		if place == "" && err != nil || place != "" && (!errors.As(err, &fault) || fault.Place != place) {
			t.Errorf("%.40v: got %v, want a fault at %q", text, err, place)
		}
	}
	in, err := Decode(strings.NewReader(`{"outline":[[0,0],[100,0],[100,90],[0,90]],"edges":[{"kind":"wall","surface":"brick"},{"kind":"open"},{"kind":"open"},{"kind":"open"}],
		"joists":{"direction":"y","spacing":16},"means":"lift","conditions":["hot-tub"],"system":{"notes":[{"key":"water.hose","text":"Soak it."}]}}`))
	if err != nil {
		t.Fatal(err)
	}
	p, err := Compute(in)
	if err != nil {
		t.Fatal(err)
	}
	if got := lines(t, in, &p, "Water"); !strings.Contains(got, "Soak it.") {
		t.Errorf("through the document: got\n%s", got)
	}
	for _, rule := range []string{"lift", "hot-tub", "weep-holes", "pre-drill-wall", "silica-drilling"} {
		if _, ok := find(p.Cautions, rule); !ok {
			t.Errorf("%s is missing", rule)
		}
	}
}

// TestManyThingsAreCounted: long lists end with how many more there are.
func TestManyThingsAreCounted(t *testing.T) {
	in, p := sampleInput(), samplePlan()
	for i := range 150 {
		in.Obstructions = append(in.Obstructions, Obstruction{ID: "p" + strconv.Itoa(i), Kind: KindWiring, X: 100, Y: 80})
		p.Zones[0].Notches = append(p.Zones[0].Notches, notchOf("p1", 3, 50, 53, 0.5, 1, "expected"))
	}
	for _, group := range []string{"Field", "Later"} {
		got := lines(t, in, p, group)
		if !strings.Contains(got, "And 50 more") || strings.Count(got, "\n") > 120 {
			t.Errorf("%s: %d lines", group, strings.Count(got, "\n"))
		}
	}
}
