package calc

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
)

func sheetOf(t *testing.T, in Input) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteSheet(&b, in, plan(t, in)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The demonstration deck's sheet has every section, each with the source of its figures.
func TestSheet(t *testing.T) {
	f, err := os.Open("../testdata/calc-cases/demo.in.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in, err := Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	text := sheetOf(t, in)
	for _, want := range []string{
		"FINDINGS", "BEAMS", "ZONE Z1", "Z1: FURRING ROWS", "Z1: PANELS", "Z1: NOTCHES AND CUT-OUTS", "Z1: CHANNEL", "Z1: WATER", "Z1: CHECKS", "ZONE Z2",
		"CUTTING PLAN", "TAKEOFF", "FIXINGS BY WALL SURFACE", "CAUTIONS", "CREW NOTES",
		"29 panels: first 6\", last 8 1/16\"", "clip 8 carriers 3/16\" deep", "mark on site, then cut", "never a joist",
		"check: seam 7 is 6' 6 1/2\" from the left side edge", "ceiling-light  fixture", "rip to 1 5/16\"", "proven least",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	sections := regexp.MustCompile(`\n[A-Z0-9:\- ]+\n-+\n(.)`).FindAllStringSubmatch(text, -1)
	for _, s := range sections {
		if s[1] != "(" && !strings.HasPrefix(s[0], "\nZONE") {
			t.Errorf("section %q does not say where its figures come from", s[0])
		}
	}
	if len(sections) < 15 {
		t.Errorf("got %d sections", len(sections))
	}
}

// A tapered row is given at every joist.
func TestSheetTaper(t *testing.T) {
	in := rectangle(64, 60)
	in.Heights = heights(0, 0, 110, 64, 0, 110.5, 0, 60, 110, 64, 60, 110.5)
	text := strings.Join(strings.Fields(sheetOf(t, in)), " ")
	if want := `row at 4' 9 1/4" is tapered: x 0": 5/8"; x 1' 4": 3/4"; x 2' 8": 7/8"; x 4' 0": 1"; x 5' 4": 1 1/8";`; !strings.Contains(text, want) {
		t.Errorf("the sheet lacks %s in %s", want, text)
	}
}

type brokenWriter struct{}

var errBroken = errors.New("broken")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestSheetReportsTheWritersError(t *testing.T) {
	in := rectangle(64, 60)
	if err := WriteSheet(brokenWriter{}, in, plan(t, in)); !errors.Is(err, errBroken) {
		t.Errorf("got %v", err)
	}
}

// A deck of 20 by 14 ft, level, its house wall of brick.
func ExampleCompute() {
	in := defaultInput()
	in.Outline = []Point{{0, 0}, {240, 0}, {240, 168}, {0, 168}}
	in.Edges = []Edge{{Kind: EdgeWall, Surface: SurfaceBrick}, {Kind: EdgeOpen}, {Kind: EdgeOpen}, {Kind: EdgeOpen}}
	in.Joists.Direction, in.Joists.Spacing = "y", 16
	in.Heights = []Height{{X: 0, Y: 0, Height: 110}}
	plan, err := Compute(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	z := plan.Zones[0]
	fmt.Println(z.Panels.Count, "panels, the first", z.Panels.First, "in wide")
	for _, r := range z.Furring {
		fmt.Printf("row at %g in: %s\n", r.Y, r.BuildText)
	}
	// Output:
	// 20 panels, the first 11.25 in wide
	// row at 48 in: 1/2"
	// row at 96 in: 1"
	// row at 144 in: 1 1/2"
	// row at 165.25 in: 1 3/4"
}
