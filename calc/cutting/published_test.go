package cutting_test

import (
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
