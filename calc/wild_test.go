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

// Carriers, rows and panels against the zone's rings cut by a line at many places, without the cells that the planner uses.
func TestGeometryAgainstSampling(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := drawWildDeck(rt)
		if Check(in) != nil {
			rt.Skip("a hole or a lean left the outline")
		}
		sys, err := Resolve(in.System)
		if err != nil {
			rt.Fatal(err)
		}
		j := newJob(withDefaults(in), sys)
		bays, err := j.zones()
		if err != nil {
			rt.Fatal(err)
		}
		for _, b := range bays {
			j.zone(b)
			if b.out.Panels.Count > 0 {
				sampleCarriers(rt, j, b)
				sampleRows(rt, j, b)
				samplePanels(rt, j, b)
			}
		}
	})
}

func sampleCarriers(t *rapid.T, j *job, b *bay) {
	var want [][2]float64
	for _, x := range b.seams {
		for _, at := range lineThrough(b.shape.rings, x) {
			if y0, y1 := at[0]+b.endGap, at[1]-float64(j.sys.GutterGap); y1-y0 > 1e-4 {
				want = append(want, [2]float64{y0, y1})
			}
		}
	}
	var got [][2]float64
	for _, c := range b.out.Carriers {
		if c.Length > 1e-4 {
			got = append(got, [2]float64{c.Y0, c.Y1})
		}
	}
	if len(got) != len(want) {
		t.Fatalf("%s: got %d carriers, want %d", b.out.ID, len(got), len(want))
	}
	for i := range want {
		if math.Abs(got[i][0]-want[i][0]) > 1e-4 || math.Abs(got[i][1]-want[i][1]) > 1e-4 {
			t.Fatalf("%s: got carrier %v, want %v", b.out.ID, got[i], want[i])
		}
	}
}

func sampleRows(t *rapid.T, j *job, b *bay) {
	for _, y := range j.rowPlaces(b) {
		for i := range 97 {
			x := b.box.x0 + (b.box.x1-b.box.x0)*(float64(i)+0.5)/97
			want, unsure := false, false
			for _, at := range lineThrough(b.shape.rings, x) {
				room := min(y-12-at[0], at[1]-float64(j.sys.GutterGap)-12-y)
				want, unsure = want || room >= 0, unsure || math.Abs(room) < 1e-3
			}
			got := false
			for _, r := range b.rows {
				got = got || !r.last && r.y == y && r.x0 <= x && r.x1 >= x
				unsure = unsure || math.Abs(r.x0-x) < 1e-3 || math.Abs(r.x1-x) < 1e-3
			}
			if got != want && !unsure {
				t.Fatalf("%s: row at %v, x %v: got %v, want %v", b.out.ID, y, x, got, want)
			}
		}
	}
}

func samplePanels(t *rapid.T, j *job, b *bay) {
	edges := append(append([]float64{b.box.x0 + float64(j.sys.SideClearance)}, b.seams...), b.box.x1-float64(j.sys.SideClearance))
	for n := range len(edges) - 1 {
		for i := range 11 {
			x := edges[n] + (edges[n+1]-edges[n])*(float64(i)+0.5)/11
			for _, at := range lineThrough(b.shape.rings, x) {
				y0, y1 := at[0]+b.endGap, at[1]-float64(j.sys.GutterGap)
				if y1-y0 < 1e-3 {
					continue
				}
				covered := false
				for _, p := range b.out.Panels.Pieces {
					inside := p.N == n+1 && p.X0 <= x+1e-6 && p.X1 >= x-1e-6 && p.Y0 <= y0+1e-4 && p.Y1 >= y1-1e-4
					covered = covered || inside && (p.Shape != "rectangle" || math.Abs(p.Y0-y0) < 1e-4 && math.Abs(p.Y1-y1) < 1e-4)
				}
				if !covered {
					t.Fatalf("%s: strip %d at %v from %v to %v has no panel in %+v", b.out.ID, n+1, x, y0, y1, b.out.Panels.Pieces)
				}
			}
		}
	}
}
