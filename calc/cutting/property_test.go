package cutting_test

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"undercroft/calc/cutting"
)

// anyJob draws jobs of the trade's size and odd ones: pieces longer than all stock, no stock, nothing to cut.
func anyJob(t *rapid.T) cutting.Job {
	kinds := rapid.SampledFrom([]int{1, 2, 3, 5, 8, 20}).Draw(t, "kinds")
	lengths := rapid.SliceOfN(rapid.IntRange(1, 4200), kinds, kinds).Draw(t, "lengths")
	count := rapid.SampledFrom([]int{0, 1, 5, 20, 40, 60}).Draw(t, "count")
	shops := rapid.SampledFrom([]int{0, 1, 1, 3, 6}).Draw(t, "stocks")
	j := cutting.Job{
		Stock:  rapid.SliceOfN(rapid.IntRange(1, 3840), shops, shops).Draw(t, "stock"),
		Pieces: rapid.SliceOfN(rapid.SampledFrom(lengths), count, count).Draw(t, "pieces"),
		Kerf:   rapid.IntRange(0, 40).Draw(t, "kerf"),
	}
	if rapid.Bool().Draw(t, "priced") {
		for range j.Stock {
			j.Price = append(j.Price, rapid.Int64Range(0, 5000).Draw(t, "price"))
		}
	}
	return j
}

// TestPlanProperties: every piece is planned once or unplanned, every stick fits by the definition, cuts, kerfs and offcut fill the
// stock, and no bound is over what was bought.
func TestPlanProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := anyJob(t)
		p := cutting.Solve(j)
		planned, bought, used, cost := slices.Clone(p.Unplanned), 0, 0, int64(0)
		for _, s := range p.Sticks {
			checkStick(t, j, s)
			planned = append(planned, s.Cuts...)
			bought += s.Length
			if j.Price != nil {
				cost += cheapest(j, s.Length)
			}
			for _, c := range s.Cuts {
				used += c
			}
		}
		want := slices.Sorted(slices.Values(j.Pieces))
		if d := cmp.Diff(want, slices.Sorted(slices.Values(planned))); d != "" {
			t.Fatalf("pieces (-asked +planned):\n%s", d)
		}
		for _, l := range p.Unplanned {
			if len(j.Stock) > 0 && l <= slices.Max(j.Stock) {
				t.Fatalf("%d is unplanned, but fits", l)
			}
		}
		if bought != p.Bought || used != p.Used || cost != p.Cost {
			t.Fatalf("got bought %d, used %d, cost %d; the sticks sum to %d, %d, %d", p.Bought, p.Used, p.Cost, bought, used, cost)
		}
		if p.Used > p.Bound || p.Bound > p.Bought || p.CostBound > p.Cost {
			t.Fatalf("want used %d <= bound %d <= bought %d and cost bound %d <= cost %d", p.Used, p.Bound, p.Bought, p.CostBound, p.Cost)
		}
		if p.Optimal && j.Price == nil && p.Bound != p.Bought {
			t.Fatalf("optimal with a gap: bound %d, bought %d", p.Bound, p.Bought)
		}
	})
}

func checkStick(t *rapid.T, j cutting.Job, s cutting.Stick) {
	if !slices.Contains(j.Stock, s.Length) {
		t.Fatalf("no stock of %d", s.Length)
	}
	if len(s.Cuts) == 0 || !slices.IsSortedFunc(s.Cuts, func(a, b int) int { return b - a }) {
		t.Fatalf("cuts %v: want some, longest first", s.Cuts)
	}
	sum := 0
	for _, c := range s.Cuts {
		sum += c
	}
	if sum+(len(s.Cuts)-1)*j.Kerf > s.Length {
		t.Fatalf("cuts %v with kerf %d do not fit %d", s.Cuts, j.Kerf, s.Length)
	}
	if want := max(0, s.Length-sum-len(s.Cuts)*j.Kerf); s.Offcut != want {
		t.Fatalf("offcut %d of %d %v, want %d", s.Offcut, s.Length, s.Cuts, want)
	}
}

func cheapest(j cutting.Job, length int) int64 {
	least := int64(-1)
	for i, l := range j.Stock {
		if l == length && (least < 0 || j.Price[i] < least) {
			least = j.Price[i]
		}
	}
	return least
}

// TestOrderDoesNotMatter: the same job listed in another order has the same plan, and solving again changes nothing.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := anyJob(t)
		shuffled := cutting.Job{Stock: slices.Clone(j.Stock), Pieces: slices.Clone(j.Pieces), Kerf: j.Kerf, Price: slices.Clone(j.Price)}
		r := rand.New(rand.NewSource(7))
		r.Shuffle(len(shuffled.Pieces), func(a, b int) {
			shuffled.Pieces[a], shuffled.Pieces[b] = shuffled.Pieces[b], shuffled.Pieces[a]
		})
		r.Shuffle(len(shuffled.Stock), func(a, b int) {
			shuffled.Stock[a], shuffled.Stock[b] = shuffled.Stock[b], shuffled.Stock[a]
			if j.Price != nil {
				shuffled.Price[a], shuffled.Price[b] = shuffled.Price[b], shuffled.Price[a]
			}
		})
		if d := cmp.Diff(cutting.Solve(j), cutting.Solve(shuffled)); d != "" {
			t.Fatalf("plans differ (-listed +shuffled):\n%s", d)
		}
	})
}

// TestScaleDoesNotMatter: the same job in other units has the same plan.
func TestScaleDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := anyJob(t)
		double := cutting.Job{Kerf: 2 * j.Kerf, Price: j.Price}
		for _, l := range j.Stock {
			double.Stock = append(double.Stock, 2*l)
		}
		for _, l := range j.Pieces {
			double.Pieces = append(double.Pieces, 2*l)
		}
		a, b := cutting.Solve(j), cutting.Solve(double)
		if a.Optimal && b.Optimal && (2*a.Bought != b.Bought && j.Price == nil || a.Cost != b.Cost || len(a.Sticks) != len(b.Sticks)) {
			t.Fatalf("got %d in %d sticks, doubled %d in %d", a.Bought, len(a.Sticks), b.Bought, len(b.Sticks))
		}
	})
}
