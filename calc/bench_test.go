package calc

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"undercroft/calc/length"
)

// crowded is a level deck, wide across by 240 in out, with n hangers and pipes strewn over it.
func crowded(wide float64, n int) Input {
	r := rand.New(rand.NewPCG(1, 2))
	in := rectangle(wide, 240)
	for i := range n {
		in.Obstructions = append(in.Obstructions, Obstruction{ID: fmt.Sprintf("o%d", i), Kind: KindHanger,
			X: length.Inches(1 + (wide-2)*r.Float64()), Y: length.Inches(2 + 230*r.Float64()), WX: 1.9, WY: 2.5,
			Drop: length.Inches(0.2 + r.Float64()), SX: 0.4, SY: 0.4})
	}
	return in
}

// rectangle is a level deck with a wall at the house and nothing in the way.
func rectangle(wide, deep float64) Input {
	in := defaultInput()
	w, d := length.Inches(wide), length.Inches(deep)
	in.Outline = []Point{{0, 0}, {w, 0}, {w, d}, {0, d}}
	in.Edges = []Edge{{Kind: EdgeWall, Surface: SurfaceBrick}, {Kind: EdgeOpen}, {Kind: EdgeOpen}, {Kind: EdgeOpen}}
	in.Joists = Joists{Direction: "y", Spacing: 16, Depth: 9.25, SpecificGravity: 0.42, Gaps: []Box{}}
	in.Heights = []Height{{0, 0, 110}}
	return in
}

// BenchmarkDeck plans a deck of 40 by 20 ft with 200 obstructions. It is to take at most 5 ms and 2 MB.
func BenchmarkDeck(b *testing.B) {
	in := crowded(480, 200)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Compute(in); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkDeckDocument is the reference that the others are compared with: the standard library reads the same deck's JSON document into plain
// values, the least that any program does with it.
func BenchmarkDeckDocument(b *testing.B) {
	document, err := json.Marshal(crowded(480, 200))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		var v any
		if err := json.Unmarshal(document, &v); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkGrowth plans the same deck with up to 10,000 obstructions and reports the exponent of the time's growth from 1,000 on.
func BenchmarkGrowth(b *testing.B) {
	small, large := crowded(480, 1000), crowded(480, 10000)
	for b.Loop() {
		from, to := timed(b, small), timed(b, large)
		b.ReportMetric(math.Log10(to.Seconds()/from.Seconds()), "exponent")
	}
}

func timed(b *testing.B, in Input) time.Duration {
	b.Helper()
	start := time.Now()
	if _, err := Compute(in); err != nil {
		b.Fatal(err)
	}
	return time.Since(start)
}

// A deck of 40 by 20 ft with 200 obstructions takes less than 2 MB, all told.
func TestDeckMemory(t *testing.T) {
	in := crowded(480, 200)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	plan(t, in)
	runtime.ReadMemStats(&after)
	if used := after.TotalAlloc - before.TotalAlloc; used > 2<<20 {
		t.Errorf("planning took %d bytes", used)
	}
}
