package cutting_test

import (
	"fmt"
	"testing"

	"undercroft/calc/cutting"
)

// run is a number of equal pieces.
type run struct{ length, count int }

func pieces(runs ...run) []int {
	var all []int
	for _, r := range runs {
		for range r.count {
			all = append(all, r.length)
		}
	}
	return all
}

// paperRolls is the worked example of Wikipedia, "Cutting stock problem": 73 rolls of 5600, waste 0.401 %.
var paperRolls = []run{{1380, 22}, {1520, 25}, {1560, 12}, {1710, 14}, {1820, 18}, {1880, 18}, {1930, 20}, {2000, 10}, {2050, 12},
	{2100, 14}, {2140, 16}, {2150, 18}, {2200, 20}}

// falkenauer is instance u120_00 of the OR-Library's binpack1 (Falkenauer): capacity 150, 120 items, best known 48, which is
// also ceil(7078/150). First fit decreasing needs 49.
var falkenauer = []int{42, 69, 67, 57, 93, 90, 38, 36, 45, 42, 33, 79, 27, 57, 44, 84, 86, 92, 46, 38, 85, 33, 82, 73, 49, 70, 59, 23, 57, 72,
	74, 69, 33, 42, 28, 46, 30, 64, 29, 74, 41, 49, 55, 98, 80, 32, 25, 38, 82, 30, 35, 39, 57, 84, 62, 50, 55, 27, 30, 36, 20, 78, 47, 26, 45,
	41, 58, 98, 91, 96, 73, 84, 37, 93, 91, 43, 73, 85, 81, 79, 71, 80, 76, 83, 41, 78, 70, 23, 42, 87, 43, 84, 60, 55, 49, 78, 73, 62, 36, 44,
	94, 69, 32, 96, 70, 84, 58, 78, 25, 80, 58, 66, 83, 24, 98, 60, 42, 43, 43, 39}

// TestPublished solves published instances, kerf 0, to their published (or, where only the data are published, independently
// proven) optimum.
func TestPublished(t *testing.T) {
	tests := []struct {
		name   string
		stock  int
		pieces []int
		sticks int
	}{
		// Wikipedia, "Cutting stock problem".
		{"paper rolls", 5600, pieces(paperRolls...), 73},
		// Fourer, Gay, Kernighan, AMPL, ch. 15 (cut.dat); optimum 47 from memory and by an independent integer program.
		{"AMPL book", 110, pieces(run{20, 48}, run{45, 35}, run{50, 24}, run{55, 10}, run{75, 8}), 47},
		// Chvátal, Linear Programming, 1983, p. 195; NEOS guide: linear program 452.25, integer 453.
		{"Chvatal", 100, pieces(run{45, 97}, run{36, 610}, run{31, 395}, run{14, 211}), 453},
		// Textbook exercises "Cash and Carry", "Bellows Lumber", "Milton Lumber": published data; optima 775, 2167, 54 proven by an
		// independent integer program over all patterns.
		{"lumber of 25 ft, A", 25, pieces(run{7, 700}, run{9, 1200}, run{10, 300}), 775},
		{"lumber of 25 ft, B", 25, pieces(run{7, 5000}, run{9, 1200}, run{11, 300}), 2167},
		{"lumber of 20 ft", 20, pieces(run{3, 50}, run{4, 25}, run{8, 15}, run{10, 70}), 54},
		// Mosel parallel example of a solver's manual: data from its usage table, 161 rolls printed; in tenths of an inch.
		{"rolls of 94", 940, pieces(run{170, 150}, run{210, 96}, run{225, 48}, run{240, 108}, run{295, 227}), 161},
		// OR-Library binpack1, u120_00.
		{"u120_00", 150, falkenauer, 48},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := cutting.Solve(cutting.Job{Stock: []int{tt.stock}, Pieces: tt.pieces})
			if len(got.Sticks) != tt.sticks || !got.Optimal || got.Bound != tt.sticks*tt.stock {
				t.Errorf("got %d sticks, bound %d, optimal %v; want %d sticks, proven", len(got.Sticks), got.Bound, got.Optimal, tt.sticks)
			}
		})
	}
}

// TestSeveralStockLengths is Kantor, CBE40455 05.07: pieces of 7, 6, 4 and 3 m fill stock of 15 and 10 m without a remainder.
// The published plan has five sticks, 2 of 15 and 3 of 10, since only three of each are there; bought freely, four of 15 do.
func TestSeveralStockLengths(t *testing.T) {
	got := cutting.Solve(cutting.Job{Stock: []int{15, 10}, Pieces: pieces(run{7, 3}, run{6, 2}, run{4, 6}, run{3, 1})})
	if got.Bought != 60 || got.Bound != 60 || len(got.Sticks) != 4 || !got.Optimal {
		t.Errorf("got bought %d, bound %d, %d sticks, optimal %v; want 60, 60, 4, proven", got.Bought, got.Bound, len(got.Sticks), got.Optimal)
	}
}

// TestColumnGenerationExample is the cutting stock example of JuMP's documentation, in tenths: it reports 299 rolls of 100 by
// integer program over the columns generated, possibly not optimal, and 306 by rounding up.
func TestColumnGenerationExample(t *testing.T) {
	got := cutting.Solve(cutting.Job{Stock: []int{1000}, Pieces: pieces(run{750, 38}, run{700, 41}, run{684, 34}, run{655, 23}, run{596, 18},
		run{538, 33}, run{530, 36}, run{510, 41}, run{502, 35}, run{322, 37}, run{308, 44}, run{298, 49}, run{201, 37}, run{162, 36}, run{145, 42},
		run{110, 33}, run{86, 47}, run{82, 35}, run{66, 49}, run{51, 42})})
	if n := len(got.Sticks); n > 299 || got.Bound > got.Bought {
		t.Errorf("got %d rolls, bound %d of %d bought; want at most 299", n, got.Bound, got.Bought)
	}
	t.Logf("%d rolls, bound %d, optimal %v", len(got.Sticks), got.Bound/1000, got.Optimal)
}

// ExampleSolve cuts two panels from each stick.
func ExampleSolve() {
	p := cutting.Solve(cutting.Job{Stock: []int{144 * 16, 240 * 16}, Pieces: []int{118 * 16, 118 * 16, 100 * 16}, Kerf: 2})
	for _, s := range p.Sticks {
		fmt.Println(s.Length/16, s.Cuts, s.Offcut)
	}
	fmt.Println(p.Bought/16, p.Bound/16, p.Optimal)
	// Output:
	// 240 [1888 1888] 60
	// 144 [1600] 702
	// 384 384 true
}
