package cutting_test

import (
	"testing"

	"undercroft/calc/cutting"
)

// tradeStock is lengths of 8 to 20 ft, in sixteenths.
var tradeStock = []int{96 * 16, 120 * 16, 144 * 16, 168 * 16, 192 * 16, 240 * 16}

// sixteenths turns inches into whole sixteenths, rounding down as cut lengths are.
func sixteenths(inches float64) int { return int(inches*16 + 1e-6) }

// TestTradeJobs compares jobs of the trade, kerf 1/8, with answers that another program computed for the same rules (common
// practice, no source).
func TestTradeJobs(t *testing.T) {
	long := []int{120 * 16, 168 * 16, 240 * 16, 300 * 16}
	tests := []struct {
		name   string
		stock  []int
		pieces []int
		sticks map[float64]int
	}{
		{"29 panels, one length", tradeStock, pieces(run{sixteenths(165.625), 29}), map[float64]int{168: 29}},
		{"58 panels, two lengths", tradeStock, pieces(run{sixteenths(126.6875), 29}, run{sixteenths(33.875), 29}), map[float64]int{168: 29}},
		{"panels of an L", tradeStock, pieces(run{118 * 16, 5}, run{sixteenths(191.5), 13}), map[float64]int{120: 1, 192: 13, 240: 2}},
		{"carriers of an L", tradeStock, pieces(run{118 * 16, 5}, run{sixteenths(191.5), 12}), map[float64]int{120: 1, 192: 12, 240: 2}},
		{"two panels a stick", long, pieces(run{sixteenths(129.3125), 30}), map[float64]int{300: 15}},
		{"rails of two lengths on sale", []int{144 * 16, 300 * 16}, pieces(run{sixteenths(154.625), 21}), map[float64]int{300: 21}},
		{"channel", []int{144 * 16}, pieces(run{22 * 16, 2}, run{52 * 16, 1}, run{144 * 16, 4}), map[float64]int{144: 5}},
		{"channel round a beam", []int{144 * 16}, pieces(run{34 * 16, 2}, run{52 * 16, 2}, run{127 * 16, 2}, run{144 * 16, 4}), map[float64]int{144: 8}},
		{"channel of an L", []int{144 * 16}, []int{sixteenths(47.75), sixteenths(71.5), sixteenths(118.25), 136 * 16, 144 * 16, 144 * 16}, map[float64]int{144: 5}},
		{"gutter", []int{120 * 16}, []int{100 * 16, 120 * 16, 120 * 16, 100 * 16, 120 * 16, 120 * 16}, map[float64]int{120: 6}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := cutting.Solve(cutting.Job{Stock: tt.stock, Pieces: tt.pieces, Kerf: 2})
			bought, sticks := 0, 0
			for length, n := range tt.sticks {
				bought, sticks = bought+sixteenths(length)*n, sticks+n
			}
			if got.Bought != bought || got.Bound != bought || len(got.Sticks) != sticks || !got.Optimal || len(got.Unplanned) > 0 {
				t.Errorf("got bought %d, bound %d, %d sticks, optimal %v; want %d in %d sticks, proven", got.Bought, got.Bound, len(got.Sticks), got.Optimal,
					bought, sticks)
			}
		})
	}
}

// TestLastPieceEndsTheStick: no kerf is lost where the last piece ends with the stick (common practice, no source).
func TestLastPieceEndsTheStick(t *testing.T) {
	j := cutting.Job{Stock: []int{100}, Pieces: []int{49, 49}, Kerf: 2}
	if p := cutting.Solve(j); len(p.Sticks) != 1 || p.Sticks[0].Offcut != 0 {
		t.Errorf("49 + 2 + 49 on 100: got %+v, want one stick without offcut", p.Sticks)
	}
	j.Kerf = 3
	if p := cutting.Solve(j); len(p.Sticks) != 2 || p.Sticks[0].Offcut != 48 {
		t.Errorf("49 + 3 + 49 on 100: got %+v, want two sticks with offcuts of 48", p.Sticks)
	}
}

// TestKerfAsLongerPieces: with kerf k, the job is the one without kerf on stock and pieces longer by k.
func TestKerfAsLongerPieces(t *testing.T) {
	with := cutting.Job{Stock: []int{5600}, Pieces: pieces(paperRolls...), Kerf: 40}
	without := cutting.Job{Stock: []int{5640}}
	for _, l := range with.Pieces {
		without.Pieces = append(without.Pieces, l+40)
	}
	a, b := cutting.Solve(with), cutting.Solve(without)
	if len(a.Sticks) != len(b.Sticks) || !a.Optimal || !b.Optimal {
		t.Errorf("got %d sticks with kerf, %d without, proven %v, %v; want the same, proven", len(a.Sticks), len(b.Sticks), a.Optimal, b.Optimal)
	}
}

// TestPrices: two short sticks are cheaper than one long one, then the other way round.
func TestPrices(t *testing.T) {
	j := cutting.Job{Stock: []int{10, 20}, Pieces: []int{10, 10}, Price: []int64{3, 7}}
	if p := cutting.Solve(j); p.Cost != 6 || p.CostBound != 6 || len(p.Sticks) != 2 || !p.Optimal {
		t.Errorf("got %+v, want two sticks of 10 for 6", p)
	}
	if p := cutting.SolveByColumns(cutting.Job{Stock: []int{30}, Pieces: []int{10, 10, 20, 20}, Price: []int64{0}}); p.Cost != 0 || len(p.Sticks) != 2 || !p.Optimal {
		t.Errorf("free stock: got %+v, want two sticks, the fewest", p)
	}
	j.Price[1] = 6
	if p := cutting.Solve(j); p.Cost != 6 || len(p.Sticks) != 1 || !p.Optimal {
		t.Errorf("got %+v, want one stick of 20 for 6: as cheap, fewer sticks", p)
	}
}

// TestHardJobIsHonest: a job beyond the work limit is answered with its gap.
func TestHardJobIsHonest(t *testing.T) {
	j := cutting.Job{Stock: []int{1550, 1937, 2311, 3001}, Kerf: 2}
	for i := range 120 {
		j.Pieces = append(j.Pieces, 320+(i%6)*263+i%6*i%5)
	}
	p := cutting.Solve(j)
	if p.Optimal != (p.Bound == p.Bought) || p.Bound < p.Used || float64(p.Bought-p.Bound) > 0.01*float64(p.Bought) {
		t.Errorf("got bought %d, bound %d, optimal %v", p.Bought, p.Bound, p.Optimal)
	}
}

// TestAngledDeck: 29 panels that grow by 2 3/8 in each, all different, are still proven.
func TestAngledDeck(t *testing.T) {
	j := cutting.Job{Stock: tradeStock, Kerf: 2}
	for i := range 29 {
		j.Pieces = append(j.Pieces, 1600+38*i)
	}
	p := cutting.Solve(j)
	if !p.Optimal || p.Bound != p.Bought {
		t.Errorf("got bought %d, bound %d, optimal %v; want it proven", p.Bought, p.Bound, p.Optimal)
	}
}

// TestHugeJobs: jobs far beyond the trade are packed at once, every piece planned, with an honest bound.
func TestHugeJobs(t *testing.T) {
	for name, n := range map[string][2]int{"many lengths": {2000, 2000}, "many pieces of one length": {100000, 1}, "many of many": {30000, 1000}} {
		j := cutting.Job{Stock: tradeStock, Kerf: 2}
		want := 0
		for i := range n[0] {
			j.Pieces = append(j.Pieces, 700+(i*7919)%n[1])
			want += j.Pieces[i]
		}
		p := cutting.Solve(j)
		if p.Used != want || p.Bound > p.Bought || p.Bound < want || float64(p.Bought) > 1.2*float64(p.Bound) {
			t.Errorf("%s: got used %d of %d, bound %d, bought %d", name, p.Used, want, p.Bound, p.Bought)
		}
		cuts := 0
		for _, s := range p.Sticks {
			sum := 0
			for _, c := range s.Cuts {
				sum += c + j.Kerf
			}
			if cuts += len(s.Cuts); sum-j.Kerf > s.Length {
				t.Fatalf("%s: cuts %v do not fit %d", name, s.Cuts, s.Length)
			}
		}
		if cuts != n[0] {
			t.Errorf("%s: got %d cuts, want %d", name, cuts, n[0])
		}
	}
}

// BenchmarkPaperRolls is the published job of 219 rolls of 13 widths.
func BenchmarkPaperRolls(b *testing.B) {
	j := cutting.Job{Stock: []int{5600}, Pieces: pieces(paperRolls...)}
	b.ReportAllocs()
	for b.Loop() {
		cutting.Solve(j)
	}
}

// BenchmarkTradeJob is 58 panels of two lengths on six stock lengths.
func BenchmarkTradeJob(b *testing.B) {
	j := cutting.Job{Stock: tradeStock, Pieces: pieces(run{sixteenths(126.6875), 29}, run{sixteenths(33.875), 29}), Kerf: 2}
	b.ReportAllocs()
	for b.Loop() {
		cutting.Solve(j)
	}
}
