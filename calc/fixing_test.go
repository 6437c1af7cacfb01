package calc

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

// published tells that a source names a standard, a code, a manual or a handbook.
var published = regexp.MustCompile(`CFR|NDS|NEC|IRC|IPC|ANSI|Institute|trade rules|maker's|fuel gas code`)

// sourced fails for a text without a source: a published one, "from memory", or the plain word that there is none.
func sourced(t *testing.T, what, source string) {
	t.Helper()
	if !published.MatchString(source) && !strings.Contains(source, "from memory") && !strings.Contains(source, noSource) {
		t.Errorf("%s: source %q names neither a publication nor says there is none", what, source)
	}
}

func TestEverySurfaceHasAFixing(t *testing.T) {
	table := surfaceFixings()
	if len(table) != 12 {
		t.Errorf("got %d entries, want 12", len(table))
	}
	for _, s := range surfaces() {
		n := 0
		for _, f := range table {
			if f.Surface == s {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%s: %d entries, want 1", s, n)
		}
	}
	for _, f := range table {
		what := string(f.Surface)
		sourced(t, what, f.Source)
		if f.Sealing == "" {
			t.Errorf("%s: no sealing note", what)
		}
		if f.Surface == SurfaceUnknown {
			continue
		}
		if f.UpIntoWood == "" || f.Protection == "" || f.Lead == "" {
			t.Errorf("%s: up into framing %q, protection %q, lead %q; none may be empty", what, f.UpIntoWood, f.Protection, f.Lead)
		}
		if (f.IntoWall == "") != (f.Fastener == "") || f.PreDrill && f.Bit == "" || !strings.Contains(f.Protection, "eye") {
			t.Errorf("%s: into wall %q, fastener %q, pre-drill %v, bit %q, protection %q", what, f.IntoWall, f.Fastener, f.PreDrill, f.Bit, f.Protection)
		}
	}
}

// TestUnknownSurfaceIsNotGuessed: nothing is fastened to what nobody has looked at.
func TestUnknownSurfaceIsNotGuessed(t *testing.T) {
	f := fixingOf(SurfaceUnknown)
	if f.PreDrill || f.Bit+f.Fastener+f.IntoWall+f.UpIntoWood != "" {
		t.Errorf("got %+v, want no bit, fastener or place", f)
	}
	if got := fixingOf("glass"); got.Surface != SurfaceUnknown {
		t.Errorf("a surface not in the table: got %q, want unknown", got.Surface)
	}
}

func TestInsulationFinishTakesNoHole(t *testing.T) {
	f := fixingOf(SurfaceEIFS)
	if f.PreDrill || f.IntoWall != "" || !strings.Contains(f.UpIntoWood, "only choice") {
		t.Errorf("got %+v, want framing only", f)
	}
}

// TestSilicaRows: 29 CFR 1926.1153 Table 1: (vii) drills with shroud and dust collection; (iii) fiber-cement, blade of 8 in or less,
// outdoors only, filter 99 % or better. The row that asks for no respirator must not be promised beyond that.
func TestSilicaRows(t *testing.T) {
	dusty := []Surface{SurfaceFiberCement, SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStone, SurfaceStucco}
	for _, f := range surfaceFixings() {
		if got, want := strings.Contains(f.Silica, "(vii)"), slices.Contains(dusty, f.Surface); got != want {
			t.Errorf("%s: names the drill row: %v, want %v", f.Surface, got, want)
		}
		if strings.Contains(f.Silica, "no respirator") && !strings.Contains(f.Silica, "shroud") {
			t.Errorf("%s: promises no respirator without the shroud: %q", f.Surface, f.Silica)
		}
	}
	saw := fixingOf(SurfaceFiberCement).Silica
	for _, want := range []string{"(iii)", "8 in or less", "outdoors only", "99 %", "a larger blade or an enclosed place is not this row"} {
		if !strings.Contains(saw, want) {
			t.Errorf("fiber-cement: %q is missing in %q", want, saw)
		}
	}
}

// TestAnchors: trade rules for concrete anchors: 3/16 in screw in a 5/32 in hole, 1 in embedded, hole 1/2 in deeper, edge 5 D, spacing 10 D.
func TestAnchors(t *testing.T) {
	for _, s := range []Surface{SurfaceBrick, SurfaceBlock, SurfaceConcrete} {
		f := fixingOf(s)
		all := f.Bit + f.Fastener + f.IntoWall
		for _, want := range []string{"5/32 in", "3/16 in", "1/2 in deeper", "at least 1 in", "5 diameters", "10 diameters"} {
			if !strings.Contains(all, want) {
				t.Errorf("%s: %q is missing in %q", s, want, all)
			}
		}
	}
}

func TestMasonryKeepsWeepHoles(t *testing.T) {
	for _, s := range []Surface{SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStone, SurfaceStucco} {
		if f := fixingOf(s); !strings.Contains(f.Sealing, "weep") {
			t.Errorf("%s: %q says nothing of weep holes", s, f.Sealing)
		}
	}
}

func TestFixingsOfAPlan(t *testing.T) {
	in, p := sampleInput(), samplePlan()
	got := fixings(in, p)
	if len(got) != 2 || got[0].Surface != SurfaceWood || got[1].Surface != SurfaceFiberCement {
		t.Fatalf("got %d fixings, want wood and fiber-cement: %+v", len(got), got)
	}
	if got[1].Lead != "" {
		t.Errorf("a house from 1978 on: lead %q, want none", got[1].Lead)
	}
	in.Before1978 = true
	if got := fixings(in, p); !strings.Contains(got[1].Lead, "20 ft2") { // 40 CFR 745.83
		t.Errorf("a house before 1978: lead %q", got[1].Lead)
	}
	if got := fixings(in, &Plan{}); len(got) != 1 || got[0].Surface != SurfaceFiberCement {
		t.Errorf("without channel: got %+v, want the wall's surface", got)
	}
}

// TestSuspectedAsbestosIsNotDrilled: framing is the only choice until the siding is tested.
func TestSuspectedAsbestosIsNotDrilled(t *testing.T) {
	in := sampleInput()
	in.Edges[0].Asbestos = true
	f := fixings(in, samplePlan())[1]
	if f.PreDrill || f.Bit+f.Fastener+f.IntoWall+f.Silica != "" || !strings.Contains(f.UpIntoWood, "only choice") || !strings.Contains(f.Protection, "tested first") {
		t.Errorf("got %+v", f)
	}
}
