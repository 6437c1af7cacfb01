package calc

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"undercroft/calc/length"
)

// drawWildDeck draws what drawDeck leaves out: U and T shapes, slanted sides, openings in the deck, several beams of every
// treatment, gaps in the joists, odd profiles.
func drawWildDeck(t *rapid.T) Input {
	in := drawDeck(t)
	w, d := sixteenthsBetween(40, 500).Draw(t, "w"), sixteenthsBetween(40, 400).Draw(t, "d")
	at := func(n, of int, l length.Inches) length.Inches {
		return (l * length.Inches(n) / length.Inches(of)).Nearest16()
	}
	a, b, c := at(3, 10, w), at(6, 10, w), at(4, 10, d)
	lean := length.Inches(rapid.IntRange(-8, 8).Draw(t, "lean"))
	corners := [][]Point{
		{{0, 0}, {w, 0}, {w, d}, {b, d}, {b, c}, {a, c}, {a, d}, {0, d}},
		{{0, 0}, {w, 0}, {w, c}, {b, c}, {b, d}, {a, d}, {a, c}, {0, c}},
		{{a, 0}, {b, 0}, {b, c}, {w, c}, {w, d}, {0, d}, {0, c}, {a, c}},
		{{0, 0}, {w, 0}, {w + lean, d}, {lean, d}},
		{{a, 0}, {b, 0}, {w, c}, {b, d}, {a, d}, {0, c}},
	}
	next := deck(rapid.SampledFrom(corners).Draw(t, "shape")...)
	in.Outline, in.Edges, in.Beams = next.Outline, next.Edges, nil
	if rapid.Bool().Draw(t, "hole") {
		x, y := (a+b)/2, c/2
		in.Holes = [][]Point{{{x - w/20, y - d/20}, {x + w/20, y - d/20}, {x + w/20, y + d/20}, {x - w/20, y + d/20}}}
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "beams") {
		x, y := sixteenthsBetween(-20, 300).Draw(t, "bx"), sixteenthsBetween(-20, 300).Draw(t, "by")
		long, wide := sixteenthsBetween(1, 400).Draw(t, "long"), sixteenthsBetween(1, 6).Draw(t, "wide")
		if rapid.Bool().Draw(t, "along") {
			long, wide = wide, long
		}
		in.Beams = append(in.Beams, Beam{ID: fmt.Sprintf("beam%d", i), Box: Box{x, x + long, y, y + wide}, Drop: sixteenthsBetween(0, 10).Draw(t, "bd"),
			Treatment: rapid.SampledFrom([]Treatment{TreatAuto, TreatAuto, TreatSplit, TreatUnder, TreatStop}).Draw(t, "treatment")})
	}
	in.Joists.Gaps = []Box{{w / 4, w / 2, d / 5, d / 3}}
	in.Openings = []Opening{{ID: "door", X0: w / 3, X1: w / 2, Head: sixteenthsBetween(80, 112).Draw(t, "head")}}
	in.System = profile(fmt.Sprintf(`{"panel_cover": %d, "panel_min_end": %d, "side_clearance": %g, "gutter_gap": %d, "furring_spacing": %d, "carrier_max_notch": %g}`,
		rapid.SampledFrom([]int{4, 6, 12, 24, 60}).Draw(t, "cover"), rapid.IntRange(0, 5).Draw(t, "min end"), rapid.SampledFrom([]float64{0, 0.125, 3}).Draw(t, "clearance"),
		rapid.IntRange(0, 6).Draw(t, "gap"), rapid.SampledFrom([]int{12, 16, 24, 48}).Draw(t, "rows"), rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "notch")))
	return in
}

// Whatever the deck, the plan holds together: pieces within their zone and clear of each other, zones within the outline, every
// figure finite, the sheet written.
func TestWildDecks(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := drawWildDeck(rt)
		if Check(in) != nil {
			rt.Skip("a hole or a lean left the outline")
		}
		p := mustPlan(rt, in)
		consistent(t, in, p)
		zones := 0.0
		for _, z := range p.Zones {
			zones += z.AreaFt2 * 144
			noOverlap(rt, z.Panels.Pieces)
			for _, c := range z.Carriers {
				if !(c.Length > 0) || math.IsInf(c.Length, 0) {
					rt.Fatalf("carrier %+v", c)
				}
			}
		}
		if whole := math.Abs(area2(ringOf(in.Outline))) / 2; zones > whole+1e-3 {
			rt.Fatalf("zones of %v in2 on a deck of %v", zones, whole)
		}
		var sheet bytes.Buffer
		if err := WriteSheet(&sheet, in, p); err != nil || bytes.Contains(sheet.Bytes(), []byte("NaN")) || bytes.Contains(sheet.Bytes(), []byte("%!")) {
			rt.Fatalf("%v: %s", err, sheet.String())
		}
	})
}

func noOverlap(t *rapid.T, pieces []Piece) {
	for i, p := range pieces {
		for _, q := range pieces[:i] {
			if p.N == q.N && p.Shape == "rectangle" && q.Shape == "rectangle" && min(p.Y1, q.Y1)-max(p.Y0, q.Y0) > 1e-5 && min(p.X1, q.X1)-max(p.X0, q.X0) > 1e-5 {
				t.Fatalf("panels %+v and %+v overlap", p, q)
			}
			if p.N != q.N && min(p.X1, q.X1)-max(p.X0, q.X0) > 1e-5 {
				t.Fatalf("panels %+v and %+v share a column", p, q)
			}
		}
	}
}
