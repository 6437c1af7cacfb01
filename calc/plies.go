package calc

import (
	"math"
	"slices"

	"undercroft/calc/length"
)

// stack is a choice of plies, thick first, and its thickness.
type stack struct {
	sum  float64
	list []float64
}

// maxStacks bounds the sums that are followed; stock thicknesses in common fractions stay far below it.
const maxStacks = 4096

// plies chooses stock thicknesses for a row to build: of the sums within 1/16 of it the one of fewest plies, then the nearest,
// then the thicker sum, then thicker plies. Empty when there is none: the strip is ripped to its thickness.
func plies(build float64, stock []length.Inches) []float64 {
	const within = 1.0/16 + tol
	level := []stack{{}}
	for len(level) > 0 {
		var next []stack
		for _, s := range level {
			for _, ply := range stock {
				p := float64(ply)
				if s.sum+p <= build+within && (len(s.list) == 0 || p <= s.list[len(s.list)-1]) {
					next = append(next, stack{s.sum + p, append(slices.Clone(s.list), p)})
				}
			}
		}
		slices.SortFunc(next, compareStacks)
		next = slices.CompactFunc(next, func(a, b stack) bool { return slices.Equal(a.list, b.list) })
		if best, ok := nearest(next, build, within); ok {
			return best.list
		}
		level = next[:min(len(next), maxStacks)]
	}
	return []float64{}
}

// compareStacks puts thicker sums first, then thicker plies.
func compareStacks(a, b stack) int {
	switch {
	case a.sum > b.sum+tol:
		return -1
	case a.sum < b.sum-tol:
		return 1
	}
	return slices.Compare(b.list, a.list)
}

// nearest is the stack nearest to build within a distance; of equally near ones the first.
func nearest(stacks []stack, build, within float64) (stack, bool) {
	best, found := stack{}, false
	off := math.Inf(1)
	for _, s := range stacks {
		if d := math.Abs(s.sum - build); d <= within && d < off-tol {
			best, found, off = s, true, d
		}
	}
	return best, found
}
