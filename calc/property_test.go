package calc

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/calc/length"
)

// sixteenthsBetween draws a length in whole sixteenths.
func sixteenthsBetween(lo, hi float64) *rapid.Generator[length.Inches] {
	return rapid.Map(rapid.IntRange(int(lo*16), int(hi*16)), func(n int) length.Inches { return length.Inches(n) / 16 })
}

// drawDeck draws a rectangle, an L, or one with a clipped corner, framed level or tilted, with obstructions, beams and any fall.
func drawDeck(t *rapid.T) Input {
	w, d := sixteenthsBetween(60, 400).Draw(t, "width"), sixteenthsBetween(60, 300).Draw(t, "depth")
	x, y := w*length.Inches(rapid.IntRange(3, 7).Draw(t, "step across"))/10, d*length.Inches(rapid.IntRange(3, 7).Draw(t, "step out"))/10
	x, y = x.Nearest16(), y.Nearest16()
	corners := [][]Point{
		{{0, 0}, {w, 0}, {w, d}, {0, d}},
		{{0, 0}, {w, 0}, {w, y}, {x, y}, {x, d}, {0, d}},
		{{0, 0}, {w, 0}, {w, d}, {x, d}, {x, y}, {0, y}},
		{{0, 0}, {x, 0}, {x, y}, {w, y}, {w, d}, {0, d}},
		{{0, 0}, {w, 0}, {w, y}, {x, d}, {0, d}},
	}
	in := deck(rapid.SampledFrom(corners).Draw(t, "outline")...)
	in.Fall.Direction = rapid.SampledFrom([]Direction{FallOut, FallRight, FallLeft}).Draw(t, "direction")
	in.Joists.Direction = rapid.SampledFrom([]string{"x", "y"}).Draw(t, "joists")
	in.Joists.Spacing = rapid.SampledFrom([]length.Inches{12, 16, 19.2, 24}).Draw(t, "spacing")
	in.System.Name = rapid.SampledFrom([]string{"vinyl-12", "metal-16"}).Draw(t, "system")
	in.Base = rapid.SampledFrom([]length.Inches{0, 0.5, 1}).Draw(t, "base")
	if rapid.Bool().Draw(t, "tilted") {
		tilt := func(name string) length.Inches { return 110 + sixteenthsBetween(-1, 1).Draw(t, name) }
		in.Heights = []Height{{0, 0, tilt("h1")}, {w, 0, tilt("h2")}, {0, d, tilt("h3")}, {w, d, tilt("h4")}}
	}
	if rapid.Bool().Draw(t, "beam") {
		in.Beams = []Beam{{ID: "beam", Box: Box{0, w, y, y + 3}, Drop: rapid.SampledFrom([]length.Inches{0.5, 2, 9.25}).Draw(t, "beam's drop"), Treatment: TreatAuto}}
	}
	for i := range rapid.IntRange(0, 12).Draw(t, "obstructions") {
		in.Obstructions = append(in.Obstructions, drawObstruction(t, fmt.Sprint(i), w, d))
	}
	return in
}

func drawObstruction(t *rapid.T, id string, w, d length.Inches) Obstruction {
	return Obstruction{ID: id, Kind: rapid.SampledFrom([]ObstructionKind{KindHanger, KindHanger, KindPipe, KindFixture}).Draw(t, "kind"),
		X: sixteenthsBetween(0, float64(w)).Draw(t, "x"), Y: sixteenthsBetween(0, float64(d)).Draw(t, "y"),
		WX: sixteenthsBetween(0, 30).Draw(t, "wx"), WY: sixteenthsBetween(0, 8).Draw(t, "wy"), Drop: sixteenthsBetween(0, 4).Draw(t, "drop"),
		SX: rapid.SampledFrom([]length.Inches{0, 0.25, 1}).Draw(t, "sx"), SY: rapid.SampledFrom([]length.Inches{0, 0.5}).Draw(t, "sy"),
		Through: rapid.IntRange(0, 5).Draw(t, "through") == 0}
}

func mustPlan(t *rapid.T, in Input) Plan {
	p, err := Compute(in)
	if err != nil {
		t.Fatalf("Compute: %v", err)
	}
	return p
}

// Lengths written as texts plan the same: all are whole sixteenths.
func TestUnitsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawDeck(t)
		in.Joists.Spacing = 16
		data, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		var tree any
		if err := json.Unmarshal(data, &tree); err != nil {
			t.Fatal(err)
		}
		texts, err := json.Marshal(asTexts(tree, ""))
		if err != nil {
			t.Fatal(err)
		}
		a, err := decode(string(data))
		if err != nil {
			t.Fatal(err)
		}
		b, err := decode(string(texts))
		if err != nil {
			t.Fatalf("%v in %s", err, texts)
		}
		p, _ := json.Marshal(mustPlan(t, a))
		q, _ := json.Marshal(mustPlan(t, b))
		if string(p) != string(q) {
			t.Fatalf("%s plans otherwise than %s", texts, data)
		}
	})
}

// asTexts writes every length of a document as a length text.
func asTexts(v any, key string) any {
	switch v := v.(type) {
	case map[string]any:
		for k := range v {
			if k != "specific_gravity" && k != "rain" && k != "temperature" {
				v[k] = asTexts(v[k], k)
			}
		}
	case []any:
		for i := range v {
			v[i] = asTexts(v[i], key)
		}
	case float64:
		return length.Inches(v).Typeset()
	}
	return v
}

// One obstruction more never lowers the least cost of a zone, and the zones stay as they are.
func TestObstructionsNeverHelp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawDeck(t)
		w, d := in.Outline[1].X, length.Inches(0)
		for _, p := range in.Outline {
			d = max(d, p.Y)
		}
		before := mustPlan(t, in)
		in.Obstructions = append(slices.Clone(in.Obstructions), drawObstruction(t, "more", w, d))
		after := mustPlan(t, in)
		for i, z := range before.Zones {
			if after.Zones[i].Panels.Cost.Total < z.Panels.Cost.Total-1e-9 {
				t.Fatalf("zone %s: %v before, %v after", z.ID, z.Panels.Cost, after.Zones[i].Panels.Cost)
			}
		}
	})
}

// A deck turned together with its fall has the same zones in the fall frame.
func TestTurningTheFallTurnsThePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawDeck(t)
		in.Fall.Direction, in.Joists.Spacing = FallOut, evenJoists(in)
		want := mustPlan(t, in)
		for _, dir := range []Direction{FallRight, FallLeft} {
			got := mustPlan(t, turned(in, dir))
			if len(got.Zones) != len(want.Zones) {
				t.Fatalf("%s: %d zones, want %d", dir, len(got.Zones), len(want.Zones))
			}
			for i := range want.Zones {
				if a, b := inFallFrame(got.Zones[i]), inFallFrame(want.Zones[i]); a != b {
					t.Fatalf("%s: got %s\nwant %s", dir, a, b)
				}
			}
			if a, b := strings.Join(rules(got), "; "), strings.Join(rules(want), "; "); a != b {
				t.Fatalf("%s: got %s\nwant %s", dir, a, b)
			}
		}
	})
}

// turned turns the plan so that its fall frame stays as it is: the frame's own way back.
func turned(in Input, dir Direction) Input {
	b := bounds(ringOf(in.Outline))
	f := frame{dir, b.y1 - b.y0, b.x1 - b.x0} // the turned outline's greatest x and y
	at := func(x, y length.Inches) Point { return f.point(vec{float64(x), float64(y)}) }
	box := func(r Box) Box {
		p, q := at(r.X0, r.Y0), at(r.X1, r.Y1)
		return Box{min(p.X, q.X), max(p.X, q.X), min(p.Y, q.Y), max(p.Y, q.Y)}
	}
	out := in
	out.Fall.Direction = dir
	out.Outline, out.Heights, out.Obstructions, out.Beams = nil, nil, nil, nil
	for _, p := range in.Outline {
		out.Outline = append(out.Outline, at(p.X, p.Y))
	}
	for _, h := range in.Heights {
		p := at(h.X, h.Y)
		out.Heights = append(out.Heights, Height{p.X, p.Y, h.Height})
	}
	for _, o := range in.Obstructions {
		p := at(o.X, o.Y)
		o.X, o.Y, o.WX, o.WY, o.SX, o.SY = p.X, p.Y, o.WY, o.WX, o.SY, o.SX
		out.Obstructions = append(out.Obstructions, o)
	}
	for _, m := range in.Beams {
		m.Box = box(m.Box)
		out.Beams = append(out.Beams, m)
	}
	out.Joists.Direction = map[string]string{"x": "y", "y": "x"}[in.Joists.Direction]
	return out
}

// evenJoists spaces joists so that lines fall on both ends of the outline: a turn then leaves them where they are.
func evenJoists(in Input) length.Inches {
	b := bounds(ringOf(in.Outline))
	if in.Joists.Direction == "x" {
		return length.Inches((b.y1 - b.y0) / 8)
	}
	return length.Inches((b.x1 - b.x0) / 8)
}

// inFallFrame prints what of a zone is in the fall frame, to a millionth of an inch.
func inFallFrame(z Zone) string {
	s := fmt.Sprintf("%.6f %.6f %.6f %.6f base %.6f;", z.X0+0, z.X1, z.YHigh, z.YLow, z.Base)
	for _, p := range z.Panels.Pieces {
		s += fmt.Sprintf(" panel %d %.5f %.5f %.5f %.5f %s", p.N, p.X0, p.X1, p.Y0, p.Y1, p.Shape)
	}
	for _, n := range z.Notches {
		s += fmt.Sprintf(" notch %s %d %.5f %.5f %.4f", n.Obstruction, n.Carrier, n.From, n.To, n.Depth)
	}
	for _, r := range z.Channel {
		s += fmt.Sprintf(" %s %.5f %d", r.Edge, r.Length, r.Screws)
	}
	return s + fmt.Sprint(z.Gutter.Runs, z.CarrierScrews)
}

// panels and gaps add up to the width, strips lie in their zone, and the rest that holds of every plan.
func TestPlansAreConsistent(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := drawDeck(rt)
		p := mustPlan(rt, in)
		consistent(t, in, p)
		for _, z := range p.Zones {
			area := 0.0
			for _, q := range z.Panels.Pieces {
				if q.Shape == "rectangle" {
					area += q.Width * q.Length
				}
			}
			if area > z.AreaFt2*144+1e-6 {
				rt.Fatalf("zone %s of %v ft2 has panels of %v in2", z.ID, z.AreaFt2, area)
			}
		}
	})
}

// On a level frame the furring never gets thinner down the fall.
func TestFurringNeverGetsThinner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawDeck(t)
		in.Heights = in.Heights[:1]
		for _, z := range mustPlan(t, in).Zones {
			for i := 1; i < len(z.Furring); i++ {
				if z.Furring[i].Middle < z.Furring[i-1].Middle-1e-9 {
					t.Fatalf("row %d of %s is %v after %v", i, z.ID, z.Furring[i].Middle, z.Furring[i-1].Middle)
				}
			}
		}
	})
}

// The chooser finds what trying every count and every eighth finds, with each probability worked out afresh.
func TestChooserEqualsBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawDeck(t)
		sys, err := Resolve(in.System)
		if err != nil {
			t.Fatal(err)
		}
		j := newJob(withDefaults(in), sys)
		bays, err := j.zones()
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range bays {
			if b.short() || b.box.x1-b.box.x0 < 24 {
				continue
			}
			b.endGap = j.movement(b).Gap
			got, _, _, ok := j.choose(b)
			if !ok {
				t.Fatalf("nothing fits %v", b.box)
			}
			want, n, a := bruteForce(j, b)
			if math.Abs(got.cost.Total-want) > 1e-9 || got.n != n || math.Abs(got.a-a) > 1e-9 {
				t.Fatalf("got %d panels, first %v at %v; want %d, %v at %v", got.n, got.a, got.cost.Total, n, a, want)
			}
		}
	})
}

// bruteForce tries every count and first width, without any of the chooser's shortcuts.
func bruteForce(j *job, b *bay) (least float64, n int, a float64) {
	s := j.sys
	c := float64(s.PanelCover + s.PanelGain)
	w := b.box.x1 - b.box.x0 - 2*float64(s.SideClearance)
	type candidate struct {
		n       int
		a, cost float64
		uneven  float64
	}
	var all []candidate
	for count := 2; count < 200; count++ {
		for k := 1; k < 200; k++ {
			first := float64(k) / 8
			last := w - float64(count-2)*c - first
			lo, hi := float64(s.PanelMinEnd)-1e-6, c-float64(s.PanelMinTrim)+1e-6
			if first < lo || first > hi || last < lo || last > hi {
				continue
			}
			all = append(all, candidate{count, first, bruteCost(j, b, count, first, last, c), math.Abs(first - last)})
		}
	}
	least = math.Inf(1)
	for _, l := range all {
		least = min(least, l.cost)
	}
	all = slices.DeleteFunc(all, func(l candidate) bool { return l.cost > least+1e-9 })
	even := math.Inf(1)
	for _, l := range all {
		even = min(even, l.uneven)
	}
	all = slices.DeleteFunc(all, func(l candidate) bool { return l.uneven > even+1e-6 })
	slices.SortFunc(all, func(p, q candidate) int {
		if p.a != q.a {
			return int(math.Copysign(1, p.a-q.a))
		}
		return p.n - q.n
	})
	return least, all[0].n, all[0].a
}

func bruteCost(j *job, b *bay, n int, first, last, c float64) float64 {
	s := j.sys
	cost := s.CostPanel*float64(n) + s.CostUneven*math.Abs(first-last)/c
	for _, end := range []float64{first, last} {
		if end < float64(s.PanelGoodEnd)-1e-6 {
			cost += s.CostNarrow
		}
	}
	for _, k := range b.things {
		o := j.things[k]
		sum, most := 0.0, 0.0
		for i := range n - 1 {
			x := b.box.x0 + float64(s.SideClearance) + first + float64(i)*c
			d := o.at.x - x
			m := o.wx/2 + float64(s.CarrierWidth)/2 + 0.125
			sd := math.Sqrt(o.sx*o.sx + math.Pow(float64(i)*float64(s.PanelGainSD), 2) + math.Pow(float64(s.PlaceSD), 2))
			phi := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
			p := phi((m-d)/sd) - phi((-m-d)/sd)
			for _, at := range lineThrough(b.shape.rings, x) {
				y0, y1 := at[0]+b.endGap, at[1]-float64(s.GutterGap)
				if p >= 0.05 && y1-y0 > 1e-6 && min(y1, o.at.y+o.wy/2+0.125)-max(y0, o.at.y-o.wy/2-0.125) > 1e-6 {
					sum, most = sum+p, max(most, p)
				}
			}
		}
		depth := o.drop - o.t + 0.125
		switch {
		case o.thru:
			if most < 0.5-1e-9 {
				cost += s.CostThrough
			}
		case o.fixture || depth > float64(s.CarrierMaxNotch)+1e-6:
			cost += s.CostBlocked * most
		case depth > 1e-6:
			cost += s.CostNotch * sum
		}
	}
	return cost
}

// lineThrough cuts rings with the line at x, just left of it, straight from the corners.
func lineThrough(rings [][]vec, x float64) [][2]float64 {
	x -= 1e-7
	var ys []float64
	for _, ring := range rings {
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			if (p.x < x) != (q.x < x) {
				ys = append(ys, p.y+(q.y-p.y)*(x-p.x)/(q.x-p.x))
			}
		}
	}
	slices.Sort(ys)
	var out [][2]float64
	for i := 0; i+1 < len(ys); i += 2 {
		out = append(out, [2]float64{ys[i], ys[i+1]})
	}
	return out
}
