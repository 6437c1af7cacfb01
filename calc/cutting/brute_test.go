package cutting_test

import (
	"math/rand"
	"testing"

	"undercroft/calc/cutting"
)

// bruteForce tries every partition of the pieces into sticks, each on the cheapest stock that holds it by the definition: sum +
// (k-1)*kerf <= L. It returns the least cost and at that the fewest sticks.
func bruteForce(j cutting.Job) (cost int64, sticks int) {
	price := func(sum, n int) (int64, bool) {
		best, ok := int64(0), false
		for i, l := range j.Stock {
			c := int64(l)
			if j.Price != nil {
				c = j.Price[i]
			}
			if sum+(n-1)*j.Kerf <= l && (!ok || c < best) {
				best, ok = c, true
			}
		}
		return best, ok
	}
	cost = -1
	var sums, counts []int
	var place func(i int)
	place = func(i int) {
		if i == len(j.Pieces) {
			total := int64(0)
			for k := range sums {
				c, ok := price(sums[k], counts[k])
				if !ok {
					return
				}
				total += c
			}
			if cost < 0 || total < cost || total == cost && len(sums) < sticks {
				cost, sticks = total, len(sums)
			}
			return
		}
		for k := range sums {
			sums[k], counts[k] = sums[k]+j.Pieces[i], counts[k]+1
			place(i + 1)
			sums[k], counts[k] = sums[k]-j.Pieces[i], counts[k]-1
		}
		sums, counts = append(sums, j.Pieces[i]), append(counts, 1)
		place(i + 1)
		sums, counts = sums[:len(sums)-1], counts[:len(counts)-1]
	}
	place(0)
	return cost, sticks
}

// randomJob has at most most pieces of few or many lengths and 1 to 4 stock lengths, with or without kerf and prices.
func randomJob(r *rand.Rand, most int) cutting.Job {
	j := cutting.Job{Kerf: r.Intn(4)}
	for range 1 + r.Intn(4) {
		j.Stock = append(j.Stock, 20+r.Intn(40))
	}
	if r.Intn(3) == 0 {
		for range j.Stock {
			j.Price = append(j.Price, int64(r.Intn(30)))
		}
	}
	longest := 0
	for _, l := range j.Stock {
		longest = max(longest, l)
	}
	for range 1 + r.Intn(most) {
		if n := len(j.Pieces); n > 0 && r.Intn(2) == 0 {
			j.Pieces = append(j.Pieces, j.Pieces[r.Intn(n)])
			continue
		}
		j.Pieces = append(j.Pieces, 1+r.Intn(longest))
	}
	return j
}

// costOf is what a plan is judged by: its price where there are prices, else the length bought.
func costOf(j cutting.Job, p cutting.Plan) int64 {
	if j.Price != nil {
		return p.Cost
	}
	return int64(p.Bought)
}

// TestAgainstBruteForce solves tiny jobs by both methods and compares cost and number of sticks with every partition tried.
func TestAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for n := range 1500 {
		j := randomJob(r, 8)
		cost, sticks := bruteForce(j)
		table, ok := cutting.SolveByTable(j)
		if !ok {
			t.Fatalf("job %d: %+v: too large for the table", n, j)
		}
		for name, got := range map[string]cutting.Plan{"table": table, "columns": cutting.SolveByColumns(j)} {
			if costOf(j, got) != cost || len(got.Sticks) != sticks || !got.Optimal {
				t.Fatalf("job %d by %s: %+v\ngot cost %d, %d sticks, optimal %v; want %d, %d", n, name, j, costOf(j, got), len(got.Sticks), got.Optimal, cost, sticks)
			}
		}
	}
}

// TestMethodsAgree compares both methods on jobs of up to 60 pieces, too large to try every partition.
func TestMethodsAgree(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	compared := 0
	for range 400 {
		j := randomJob(r, 60)
		table, ok := cutting.SolveByTable(j)
		if !ok {
			continue
		}
		compared++
		columns := cutting.SolveByColumns(j)
		if costOf(j, columns) != costOf(j, table) || columns.Optimal && len(columns.Sticks) != len(table.Sticks) {
			t.Errorf("%+v\nby columns %d, %d sticks, optimal %v; by table %d, %d sticks", j, costOf(j, columns), len(columns.Sticks), columns.Optimal,
				costOf(j, table), len(table.Sticks))
		}
	}
	if compared < 50 {
		t.Errorf("only %d jobs compared", compared)
	}
}

// TestKnapsackBothWays compares the two ways of filling a stick.
func TestKnapsackBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 2000 {
		var size, need []int
		var value []int64
		for range 1 + r.Intn(6) {
			size, need, value = append(size, 1+r.Intn(30)), append(need, 1+r.Intn(7)), append(value, r.Int63n(1000))
		}
		capacity := 10 + r.Intn(90)
		if b, table := cutting.KnapsackBothWays(size, need, value, capacity); b != table {
			t.Fatalf("size %v need %v value %v capacity %d: branch and bound %d, table %d", size, need, value, capacity, b, table)
		}
	}
}
