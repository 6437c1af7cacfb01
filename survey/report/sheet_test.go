package report

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// checkDrawing holds a drawing to the rules of the office: no text on another, all ink inside, no text under 7 pt, the same
// bytes each time.
func checkDrawing(t *testing.T, name string, d *draw.Drawing) {
	t.Helper()
	texts := d.Texts()
	for i, a := range texts {
		if a.Size < draw.MinText {
			t.Errorf("%s: %q is %.1f pt high, under 7", name, a.S, a.Size)
		}
		for _, b := range texts[i+1:] {
			if a.Box().Overlaps(b.Box(), -.2) {
				t.Errorf("%s: %q at %.0f,%.0f lies on %q at %.0f,%.0f", name, a.S, a.At.X, a.At.Y, b.S, b.At.X, b.At.Y)
			}
		}
	}
	if e := d.Extent(); !e.Within(d.View.Grow(.1)) {
		t.Errorf("%s: ink at %.1f %.1f %.1f %.1f is outside the frame %v", name, e.X0, e.Y0, e.X1, e.Y1, d.View)
	}
	svg := svgOf(t, d)
	if svgOf(t, d) != svg {
		t.Errorf("%s: two paintings differ", name)
	}
	for _, bad := range []string{"style=", "<style", "NaN", "Inf"} {
		if strings.Contains(svg, bad) {
			t.Errorf("%s: the SVG has %s", name, bad)
		}
	}
}

// hasText tells whether a drawing says a text, alone or at the beginning of a longer one.
func hasText(list []*draw.Drawing, want string) bool {
	for _, d := range list {
		for _, t := range d.Texts() {
			if t.S == want || strings.HasPrefix(t.S, want+" ") || strings.HasPrefix(t.S, want+"\u00a0") {
				return true
			}
		}
	}
	return false
}

// TestSheets draws every sample deck and holds each sheet to the rules.
func TestSheets(t *testing.T) {
	for _, s := range samples(t) {
		t.Run(s.name, func(t *testing.T) {
			sheets, err := sheetSet(s.job, s.in, s.plan)
			if err != nil {
				t.Fatal(err)
			}
			for i, d := range sheets {
				name := s.name + "-" + strconv.Itoa(i+1)
				checkDrawing(t, name, d)
				keepDrawing(t, name, d)
			}
			named(t, s, sheets)
		})
	}
}

// named checks that every notch, row and cut-out has its name on a sheet.
func named(t *testing.T, s sample, sheets []*draw.Drawing) {
	t.Helper()
	notches := 0
	for _, z := range s.plan.Zones {
		notches += len(z.Notches)
		for i := range z.Furring {
			if name := "R" + strconv.Itoa(i+1); !hasText(sheets, name) {
				t.Errorf("no sheet names row %s of zone %s", name, z.ID)
			}
		}
	}
	for n := 1; n <= notches; n++ {
		if !hasText(sheets, strconv.Itoa(n)) {
			t.Errorf("no sheet names notch %d", n)
		}
	}
	cut, count := map[string]bool{}, map[string]int{}
	for _, z := range s.plan.Zones {
		for _, c := range z.CutOuts {
			cut[c.Obstruction] = true
		}
	}
	for _, o := range s.in.Obstructions {
		if !cut[o.ID] {
			continue
		}
		letter := "F"
		if o.Through {
			letter = "T"
		}
		count[letter]++
		if name := letter + strconv.Itoa(count[letter]); !hasText(sheets, name) {
			t.Errorf("no sheet names the cut-out %s of %s", name, o.ID)
		}
	}
}

// TestMargins: the frame leaves 3/8 in (27 pt) or more on US Letter and ISO 216 A4.
func TestMargins(t *testing.T) {
	const mm = 72 / 25.4
	for name, page := range map[string][2]float64{"Letter": {11 * 72, 8.5 * 72}, "A4": {297 * mm, 210 * mm}} {
		if x, y := (page[0]-frameW)/2, (page[1]-frameH)/2; x < 27-1e-9 || y < 27-1e-9 {
			t.Errorf("margins %.2f and %.2f pt on %s, want 27 or more", x, y, name)
		}
	}
}

// TestTrueScale: 340 in at 1/4 in to the foot are 340/12/4 in = 510.00 pt (72 points to the inch).
func TestTrueScale(t *testing.T) {
	s := samples(t)[0]
	d, err := newDeck(s.job, s.in, s.plan)
	if err != nil {
		t.Fatal(err)
	}
	k := 0.0
	for _, sc := range scales() {
		if sc.name == "1/4" {
			k = sc.k
		}
	}
	p := newPlanner(d, k, pt(3, 4), onPaper)
	if got := p.p(planPt{340, 0}).X - p.p(planPt{0, 0}).X; math.Abs(got-510) > 1e-9 {
		t.Errorf("340 in are drawn %.4f pt long, want 510.00", got)
	}
	sheet, err := d.planSheet()
	if err != nil || sheet.scale != "Scale 1/4″\u00a0=\u00a01′-0″" {
		t.Errorf("the demo's plan is at %q (%v), want 1/4 in to the foot", sheet.scale, err)
	}
}

// TestFigures draws the figures for screens.
func TestFigures(t *testing.T) {
	for _, s := range samples(t) {
		for size, name := range map[figureSize]string{desk: "desk", phone: "phone"} {
			plan, err := planFigure(s.job, s.in, s.plan, size)
			if err != nil {
				t.Fatalf("%s %s: %v", s.name, name, err)
			}
			section, err := sectionFigure(s.job, s.in, s.plan, size)
			if err != nil {
				t.Fatalf("%s %s: %v", s.name, name, err)
			}
			for kind, d := range map[string]*draw.Drawing{"plan": plan, "section": section} {
				full := s.name + "-figure-" + kind + "-" + name
				checkDrawing(t, full, d)
				keepDrawing(t, full, d)
				if limit := map[figureSize]float64{desk: 675, phone: 255}[size]; d.View.W() > limit+.01 {
					t.Errorf("%s is %.0f pt wide, over %.0f", full, d.View.W(), limit)
				}
			}
		}
	}
}

// TestTurnsAreNoMirrors: whatever the fall, going to the fall frame and back is nothing, and a triangle keeps its sense of rotation.
func TestTurnsAreNoMirrors(t *testing.T) {
	for _, dir := range []calc.Direction{calc.FallOut, calc.FallRight, calc.FallLeft} {
		d := &deck{max: planPt{340, 168}, input: calc.Input{Fall: calc.Fall{Direction: dir}}}
		a, b, c := fallPt{10, 20}, fallPt{110, 20}, fallPt{10, 70}
		for _, p := range []fallPt{a, b, c} {
			if q := d.toFall(d.toPlan(p)); q != p {
				t.Errorf("%s: %v comes back as %v", dir, p, q)
			}
		}
		pa, pb, pc := d.toPlan(a), d.toPlan(b), d.toPlan(c)
		if cross := (pb.x-pa.x)*(pc.y-pa.y) - (pb.y-pa.y)*(pc.x-pa.x); cross != 100*50 {
			t.Errorf("%s: twice the area became %.0f, want 5000", dir, cross)
		}
	}
}

// TestFacingEachSide: facing the right side one has its high end at the left hand, facing the left side at the right hand; facing out,
// left and right are exchanged.
func TestFacingEachSide(t *testing.T) {
	s := sampleOf(t, "facing", decoded(t, box4(240, 120, levelHeights)))
	d, err := newDeck(s.job, s.in, s.plan)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, e := range d.elevations() {
		seen[e.class] = true
		ok := map[string]bool{edgeHigh: e.p.u < e.q.u, edgeLow: e.p.u > e.q.u, edgeRight: e.p.v < e.q.v && e.dropP < e.dropQ, edgeLeft: e.p.v > e.q.v && e.dropP > e.dropQ}[e.class]
		if !ok {
			t.Errorf("the %s side runs from %v to %v, drops %.3f to %.3f", e.class, e.p, e.q, e.dropP, e.dropQ)
		}
	}
	if len(seen) != 4 {
		t.Errorf("drew the sides %v, want all four", seen)
	}
}

// TestRowsOnSheets: on a level deck that falls 1/8 in to the foot, rows 4 ft and 8 ft from the high edge are 1/2 in and 1 in thick
// (common practice of the trade, no source): the plan and the snap lines must say so.
func TestRowsOnSheets(t *testing.T) {
	s := sampleOf(t, "rows", decoded(t, box4(240, 120, levelHeights)))
	d, err := newDeck(s.job, s.in, s.plan)
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := d.planSheet()
	if err != nil {
		t.Fatal(err)
	}
	plan, furring := []*draw.Drawing{sheet.Drawing}, d.numbered(d.furringSheets())
	for _, c := range []struct {
		sheets []*draw.Drawing
		want   string
	}{{plan, "R1\u00a0\u00a01/2″"}, {plan, "R2\u00a0\u00a01″"}, {furring, "R1\u00a0\u00a01/2″"}, {furring, "8′"}} {
		if !hasText(c.sheets, c.want) {
			t.Errorf("no sheet says %q", c.want)
		}
	}
}

// TestNothingToDraw: input without an outline and a plan without zones are errors, not drawings.
func TestNothingToDraw(t *testing.T) {
	s := samples(t)[0]
	for name, c := range map[string]struct {
		in   calc.Input
		plan calc.Plan
	}{"no outline": {calc.Input{}, s.plan}, "no zones": {s.in, calc.Plan{}}} {
		if _, err := sheetSet(s.job, c.in, c.plan); err == nil {
			t.Errorf("%s: no error", name)
		}
		if _, err := planFigure(s.job, c.in, c.plan, phone); err == nil {
			t.Errorf("%s: no error from the figure", name)
		}
	}
}
