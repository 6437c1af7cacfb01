package cutting

import (
	"cmp"
	"math/bits"
	"slices"
)

// knapsackSteps limits the branch and bound of one knapsack; beyond it the table of states is used.
const knapsackSteps = 5000

// knapsack finds the filling of a stick with the greatest value, no type beyond its need. All arithmetic is in integers.
type knapsack struct {
	p     *problem
	value []int64 // of one piece of each type, >= 0
	order []int   // types by falling value for their size
	take  []int
	best  []int
	most  int64
	steps int
	spent int // work of the last call
}

func newKnapsack(p *problem) *knapsack {
	n := len(p.size)
	return &knapsack{p: p, order: make([]int, n), take: make([]int, n), best: make([]int, n)}
}

// price sets the values of the pieces.
func (k *knapsack) price(value []int64) {
	k.value = value
	for i := range k.order {
		k.order[i] = i
	}
	slices.SortFunc(k.order, func(a, b int) int {
		return cmp.Or(cmp.Compare(value[b]*int64(k.p.size[a]), value[a]*int64(k.p.size[b])), a-b)
	})
}

// above looks for the filling of greatest value over floor within a capacity. The filling is the knapsack's own until the next
// call. False when there is none, which is then proven.
func (k *knapsack) above(capacity int, floor int64) (value int64, take []int, ok bool) {
	k.most, k.steps = floor, knapsackSteps
	clear(k.take)
	k.branch(0, capacity, 0)
	k.spent = knapsackSteps - k.steps
	if k.steps < 0 {
		k.most = floor
		k.table(capacity)
	}
	return k.most, k.best, k.most > floor
}

func (k *knapsack) branch(at, left int, value int64) {
	if k.steps--; k.steps < 0 {
		return
	}
	if value > k.most {
		k.most = value
		copy(k.best, k.take)
	}
	for ; at < len(k.order); at++ {
		i := k.order[at]
		size := k.p.size[i]
		if k.value[i] == 0 || !beats(k.value[i], int64(left), int64(size), k.most-value) {
			return
		}
		if size <= left && k.p.need[i] > 0 {
			break
		}
	}
	if at == len(k.order) {
		return
	}
	i := k.order[at]
	for n := min(k.p.need[i], left/k.p.size[i]); n >= 0; n-- {
		k.take[i] = n
		k.branch(at+1, left-n*k.p.size[i], value+int64(n)*k.value[i])
	}
	k.take[i] = 0
}

// beats tells whether value*left/size > over, exactly.
func beats(value, left, size, over int64) bool {
	if over < 0 {
		return true
	}
	h1, l1 := bits.Mul64(uint64(value), uint64(left)) // #nosec G115 -- no value and no length is negative
	h2, l2 := bits.Mul64(uint64(over), uint64(size))  // #nosec G115 -- over is not negative here
	return h1 > h2 || h1 == h2 && l1 > l2
}

// table is the same by dynamic programming over the capacity, for jobs of many small pieces. Each need is split into 1, 2, 4, …
// pieces, so that every number up to it can be put together.
func (k *knapsack) table(capacity int) {
	type lot struct{ kind, n int }
	var lots []lot
	for _, i := range k.order {
		for n, left := 1, min(k.p.need[i], capacity/k.p.size[i]); left > 0; n *= 2 {
			n = min(n, left)
			left -= n
			lots = append(lots, lot{i, n})
		}
	}
	k.spent += len(lots) * capacity
	most := make([]int64, capacity+1)
	words := capacity/64 + 1
	taken := make([]uint64, words*len(lots))
	for l, o := range lots {
		size, value := o.n*k.p.size[o.kind], int64(o.n)*k.value[o.kind]
		for c := capacity; c >= size; c-- {
			if v := most[c-size] + value; v > most[c] {
				most[c] = v
				taken[l*words+c/64] |= 1 << (c % 64)
			}
		}
	}
	if most[capacity] <= k.most {
		return
	}
	k.most = most[capacity]
	clear(k.best)
	c := capacity
	for l := len(lots) - 1; l >= 0; l-- {
		if taken[l*words+c/64]>>(c%64)&1 == 1 {
			k.best[lots[l].kind] += lots[l].n
			c -= lots[l].n * k.p.size[lots[l].kind]
		}
	}
}
