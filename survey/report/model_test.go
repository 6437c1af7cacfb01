package report

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/calc"
	"undercroft/survey"
)

// TestDemoFigures checks the demo's model against what a hand gets from its deck: 28' 4" by 14', beam from 10' 9" to 11', fall 1/8" a
// foot, panel cover 12" with a gain of 1/16". The rules behind the figures are common practice, no source.
func TestDemoFigures(t *testing.T) {
	m := demoModel(t)
	if got, want := m.Site.Size, "28′\u00a04″ × 14′\u00a00″"; got != want {
		t.Errorf("size: got %q, want %q", got, want)
	}
	builds := ""
	for _, r := range m.Furring.Rows {
		builds += fmt.Sprintf("%s·%s %s %s; ", r.Zone, r.Row, r.Distance.Typeset(), r.Build.Typeset())
	}
	// 48" and 96" at 1/8" a foot are 1/2" and 1"; the last row stands 3/4" before 10' 7" (10' 9" less the gutter gap of 2") and 2' 10".
	want := "1·1 4′\u00a00″ 1/2″; 1·2 8′\u00a00″ 1″; 1·last 10′\u00a06\u00a01/4″ 1\u00a05/16″; 2·last 2′\u00a09\u00a01/4″ 3/8″; "
	if builds != want {
		t.Errorf("rows:\ngot  %s\nwant %s", builds, want)
	}
	for i, want := range []string{"10′\u00a06\u00a03/4″", "2′\u00a09\u00a07/8″"} {
		c := m.Panels.Columns[i]
		if c.Count != 29 || len(c.Cuts) != 1 || c.Cuts[0].Count != 29 || c.Cuts[0].Text != want {
			t.Errorf("zone %s: got %d panels, cuts %v, want 29 of %s", c.Zone, c.Count, c.Cuts, want)
		}
		// first + 27 whole ones at 12 1/16" + last fill 28' 4" less two clearances of 1/8"
		if sum := float64(c.First) + 27*12.0625 + float64(c.Last); sum != 340-0.25 {
			t.Errorf("zone %s: widths add up to %v, want 339.75", c.Zone, sum)
		}
	}
	if len(m.Notches.Rows) != m.Notches.Expected+m.Notches.Check || m.Notches.Expected == 0 {
		t.Errorf("notches: %d rows, %d expected, %d to check", len(m.Notches.Rows), m.Notches.Expected, m.Notches.Check)
	}
}

// TestNotchLeadsToItsPin follows each notch of the demo back to the pin and photo it came from.
func TestNotchLeadsToItsPin(t *testing.T) {
	r := demoRecord(t)
	m := Build(r, survey.Compute(r), WithinReport(), made())
	for _, n := range m.Notches.Rows {
		number, ok := survey.PinNumber(n.Thing.ID)
		if !ok || n.Thing.Source.PinNumber != number || n.Thing.Source.Href != fmt.Sprintf("#pin-%d", number) {
			t.Errorf("notch at %s: source %+v", n.Thing.ID, n.Thing.Source)
		}
		pin := r.Pins[number-1]
		photo, _ := r.Photo(pin.Photo)
		if !strings.Contains(n.Thing.Source.Words, fmt.Sprintf("pin\u00a0%d, photo\u00a0%d", number, photo.Number)) {
			t.Errorf("notch at %s: %q does not name pin %d on photo %d", n.Thing.ID, n.Thing.Source.Words, number, photo.Number)
		}
	}
}

// TestUncertainFiguresCarryTheirPM: the demo's hangers are known ± 0.784", printed up to the next sixteenth.
func TestUncertainFiguresCarryTheirPM(t *testing.T) {
	m := demoModel(t)
	seen := 0
	for _, v := range m.Verify {
		if !strings.HasPrefix(v.What, "Hanger") {
			continue
		}
		seen++
		if v.PM == 0 || len(v.Sources) == 0 || !strings.Contains(v.Sources[0].Words, "±\u00a013/16″") {
			t.Errorf("%s: ± %v, sources %v", v.What, v.PM, v.Sources)
		}
	}
	if seen == 0 {
		t.Error("no hanger is to be verified")
	}
	if m.Notches.PM.Typeset() != "13/16″" {
		t.Errorf("notches: ± %s, want 13/16″", m.Notches.PM.Typeset())
	}
}

func TestAssumedFactsSaySo(t *testing.T) {
	m := demoModel(t)
	for _, f := range m.Assumed {
		if f.State != survey.FactAssumed || len(f.Sources) != 1 || f.Sources[0].Kind != survey.SourceAssumed {
			t.Errorf("%s is listed as assumed with %v", f.Label, f.Sources)
		}
	}
	for _, f := range m.Profile {
		if f.Sources[0].Words != "assumed · profile vinyl-12" {
			t.Errorf("%s of the profile comes from %q", f.Label, f.Sources[0].Words)
		}
	}
}

func TestMissingFactsAreSaid(t *testing.T) {
	r := bare()
	links := Links{Field: func(key string) string { return "/form#" + key }}
	m := Build(r, survey.Compute(r), links, made())
	if m.Plan != nil || len(m.Missing) == 0 {
		t.Fatalf("plan %v, missing %v", m.Plan, m.Missing)
	}
	text := ""
	for _, f := range m.Missing {
		text += f.Head + " "
		if f.Weight != WeightStop || len(f.Actions) == 0 || !strings.HasPrefix(f.Actions[0].Href, "/form#") {
			t.Errorf("%q: weight %s, actions %v", f.Head, f.Weight, f.Actions)
		}
	}
	for _, want := range []string{"Deck projection is not known", "Joist spacing is not known", "House built before 1978 is not known"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not among %q", want, text)
		}
	}
	if len(m.Photos) != 1 || len(m.Photos[0].Pins) != 1 || m.Photos[0].Pins[0].Note != "soft at the ledger" {
		t.Errorf("photos: %+v", m.Photos)
	}
}

// TestDisagreementIsShownWithBothSources: a typed and a taped width that differ by more than half an inch.
func TestDisagreementIsShownWithBothSources(t *testing.T) {
	r := demoRecord(t)
	r.Facts["width"] = survey.Fact{Survey: r.Survey.ID, Key: "width", Text: "28'", Version: 1}
	m := Build(r, survey.Compute(r), WithinReport(), made())
	for _, f := range m.Facts {
		if f.Label == "Deck width" {
			if f.State != survey.FactConflict || f.Value != "" || len(f.Others) != 2 || f.Others[0].Sources[0].Kind == f.Others[1].Sources[0].Kind {
				t.Errorf("width: %+v", f)
			}
			return
		}
	}
	t.Error("the width is not among the facts")
}

func TestStopsComeFirst(t *testing.T) {
	plan := calc.Plan{Zones: []calc.Zone{{ID: "z1"}}, Issues: []calc.Issue{
		{Rule: "headroom", Severity: "warning", Text: "6' 2\" is left", About: []string{"z1"}},
		{Rule: "low-wall", Severity: "blocking", Text: "the low edge stands against a wall", About: []string{"z1"}},
		{Rule: "not-known", Severity: "warning", Text: "something new about p3", About: []string{"z1", "p3"}},
	}}
	named := things{"p3": {ID: "p3", Label: "Hanger\u00a03", Source: Source{PinNumber: 3, Href: "#pin-3"}}}
	list := voice{}.issuesOf(plan, named)
	if len(list) != 3 || list[0].Weight != WeightStop || list[0].Word != "Stop." || list[0].Head != "Water would run against a wall." {
		t.Fatalf("got %+v", list)
	}
	if list[0].Rule != "rule low-wall · zone 1" || !strings.Contains(list[1].Body, "6′\u00a02″ is left.") {
		t.Errorf("got rule %q and body %q", list[0].Rule, list[1].Body)
	}
	if list[2].Head != "Something new about hanger\u00a03." || len(list[2].Actions) != 1 {
		t.Errorf("a rule without a text: %+v", list[2])
	}
}

// TestBarsAreToScale: the cuts of a stick and its offcut fill the bar, and a stick is as long as its share of the longest.
func TestBarsAreToScale(t *testing.T) {
	plan := calc.Plan{Cutting: []calc.CuttingPlan{{Material: "panel", Optimal: true, Stock: []calc.Stick{
		{Length: 168, Cuts: []float64{126.75, 33.875}, Offcut: 7.125}, {Length: 168, Cuts: []float64{126.75, 33.875}, Offcut: 7.125}, {Length: 84, Cuts: []float64{42, 42}, Offcut: 0}}}}}
	m := voice{}.cuttingOf(plan, nil).Materials[0]
	if len(m.Lines) != 2 || m.Lines[0].Count != 2 || m.Lines[1].Bar.Width != "50" || len(m.Bought) != 2 || m.Bought[0].Count != 2 {
		t.Fatalf("got %+v", m)
	}
	if got, want := m.Lines[0].Cuts, "10′\u00a06\u00a03/4″ + 2′\u00a09\u00a07/8″"; got != want {
		t.Errorf("cuts: got %q, want %q", got, want)
	}
	if got, want := m.Lines[1].Cuts, "2\u00a0×\u00a03′\u00a06″"; got != want {
		t.Errorf("cuts: got %q, want %q", got, want)
	}
	total := 0.0
	for _, s := range m.Lines[0].Bar.Segments {
		w := 0.0
		if _, err := fmt.Sscan(s.W, &w); err != nil {
			t.Fatal(err)
		}
		total += w
	}
	if total < 99.99 || total > 100.01 {
		t.Errorf("the bar is filled to %v %%", total)
	}
}

// caseModel builds the model of one of the calculator's worked cases, as if its lengths had been typed.
func caseModel(t *testing.T, name string) (Model, calc.Plan) {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in, err := calc.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := calc.Compute(in)
	if err != nil {
		t.Fatal(err)
	}
	r := survey.Record{Survey: survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Case"}}
	typed := survey.Source{Kind: survey.SourceTyped}
	a := survey.Assembly{Input: in, Facts: survey.ResolveFacts(r), Sources: map[string]survey.Source{}}
	for range in.Heights {
		a.Levels = append(a.Levels, typed)
	}
	for range in.Clearances {
		a.Clearances, a.Ground = append(a.Clearances, typed), append(a.Ground, "")
	}
	return Build(r, survey.Ceiling{Assembly: a, Plan: &plan}, Links{}, made()), plan
}

// TestNothingOfThePlanIsLost: for decks of several shapes, every row, piece, stick, notch, hole, issue, caution and line of material is in
// the model, counted once.
func TestNothingOfThePlanIsLost(t *testing.T) {
	cases, err := filepath.Glob("../../testdata/calc-cases/*.in.json")
	if err != nil || len(cases) < 5 {
		t.Fatalf("found %d cases: %v", len(cases), err)
	}
	for _, name := range cases {
		t.Run(filepath.Base(name), func(t *testing.T) {
			m, plan := caseModel(t, name)
			var rows, pieces, notches, holes int
			for i, z := range plan.Zones {
				rows, notches, holes = rows+len(z.Furring), notches+len(z.Notches), holes+len(z.CutOuts)
				for _, c := range m.Panels.Columns[i].Cuts {
					pieces += c.Count
				}
				pieces -= len(z.Panels.Pieces)
			}
			if pieces != 0 || len(m.Furring.Rows) != rows || len(m.Notches.Rows) != notches || len(m.CutOuts.Rows) != holes {
				t.Errorf("pieces off by %d; %d of %d rows, %d of %d notches, %d of %d holes", pieces, len(m.Furring.Rows), rows, len(m.Notches.Rows), notches, len(m.CutOuts.Rows), holes)
			}
			for i, c := range plan.Cutting {
				sticks, lost := 0, len(c.Unplanned)
				for _, l := range m.Cutting.Materials[i].Lines {
					sticks += l.Count
				}
				for _, u := range m.Cutting.Materials[i].Unplanned {
					lost -= u.Count
				}
				if sticks != len(c.Stock) || lost != 0 {
					t.Errorf("%s: %d of %d sticks, %d unplanned pieces lost", c.Material, sticks, len(c.Stock), lost)
				}
			}
			if len(m.Issues) < len(plan.Issues) || len(m.Cautions) != len(plan.Cautions) || len(m.Takeoff.Rows) != len(plan.Takeoff) || len(m.Fixings) != len(plan.Fixings) {
				t.Errorf("%d issues, %d cautions, %d lines of material, %d fixings", len(m.Issues), len(m.Cautions), len(m.Takeoff.Rows), len(m.Fixings))
			}
			file(t, m)
		})
	}
}

// TestStopsAreSaidOnTheCover turns the demo's fall along the house: water would run against the brick wall, and no panel is that long.
func TestStopsAreSaidOnTheCover(t *testing.T) {
	r := demoRecord(t)
	r.Facts["fall.direction"] = survey.Fact{Survey: r.Survey.ID, Key: "fall.direction", Text: "+x", Version: 2}
	m := Build(r, survey.Compute(r), WithinReport(), made())
	if m.Stops() == 0 || !strings.HasPrefix(m.Counts(), fmt.Sprintf("%d to stop for", m.Stops())) {
		t.Fatalf("%d stops, counts %q", m.Stops(), m.Counts())
	}
	_, doc := file(t, m)
	if got := flat(doc.Find(".cover > .caut.stop").Text()); !strings.Contains(got, "Not to be built as it stands.") {
		t.Errorf("the cover says %q", got)
	}
	if got := flat(doc.Find("#cutting").Text()); !strings.Contains(got, "12 × 28′ 1 7/16″: longer than any stock") && !strings.Contains(got, "16 × 28′ 1 7/16″: longer than any stock") {
		t.Errorf("the cutting plan says %.200s", got)
	}
	first := doc.Find("#issues .caut").First()
	if !first.HasClass("stop") {
		t.Error("the first issue is no stop")
	}
}
