package cutting

import (
	"cmp"
	"slices"
)

// problem is a job without kerf, equal pieces put together: need[i] pieces of size[i], sizes falling; stock of capacity cap[s]
// at cost[s], both rising. It is not changed once made.
type problem struct {
	size   []int
	need   []int
	cap    []int
	cost   []int64 // length without prices, else the price
	kerf   int
	pieces int   // sum of need
	grain  int64 // greatest common divisor of the costs: every plan's cost is a multiple of it (0: all is free)
}

// newProblem groups the pieces and drops stock that a longer length at no higher cost makes needless. The second result is the
// pieces that no stock holds, longest first.
func newProblem(j Job) (*problem, []int) {
	p := &problem{kerf: max(0, j.Kerf)}
	p.addStock(j)
	longest := 0
	if n := len(p.cap); n > 0 {
		longest = p.cap[n-1] - p.kerf
	}
	pieces := slices.Clone(j.Pieces)
	slices.SortFunc(pieces, func(a, b int) int { return b - a })
	var unplanned []int
	for _, l := range pieces {
		if l <= 0 || l > longest {
			unplanned = append(unplanned, l)
			continue
		}
		p.pieces++
		if n := len(p.size); n > 0 && p.size[n-1] == l+p.kerf {
			p.need[n-1]++
			continue
		}
		p.size = append(p.size, l+p.kerf)
		p.need = append(p.need, 1)
	}
	return p, unplanned
}

func (p *problem) addStock(j Job) {
	type offer struct {
		length int
		cost   int64
	}
	var offers []offer
	for i, l := range j.Stock {
		if l <= 0 {
			continue
		}
		o := offer{l, int64(l)}
		if j.Price != nil {
			o.cost = 0
			if i < len(j.Price) {
				o.cost = max(0, j.Price[i])
			}
		}
		offers = append(offers, o)
	}
	slices.SortFunc(offers, func(a, b offer) int { return cmp.Or(b.length-a.length, cmp.Compare(a.cost, b.cost)) })
	for _, o := range offers {
		if n := len(p.cost); n > 0 && o.cost >= p.cost[n-1] {
			continue
		}
		p.cap = append(p.cap, o.length+p.kerf)
		p.cost = append(p.cost, o.cost)
		p.grain = gcd(p.grain, o.cost)
	}
	slices.Reverse(p.cap)
	slices.Reverse(p.cost)
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// roundUp raises a lower bound to the next cost that sticks can have.
func (p *problem) roundUp(bound int64) int64 {
	if p.grain <= 1 {
		return max(0, bound)
	}
	return max(0, (bound+p.grain-1)/p.grain*p.grain)
}

// smallest is the shortest stock, and so the cheapest, that holds pieces of that total size; len(cap) when none does.
func (p *problem) smallest(size int) int {
	for s, c := range p.cap {
		if size <= c {
			return s
		}
	}
	return len(p.cap)
}

// total is the cost and the number of sticks of some picks.
func (p *problem) total(picks []pick) (cost int64, sticks int) {
	for _, k := range picks {
		cost += p.cost[k.stock] * int64(k.times)
		sticks += k.times
	}
	return cost, sticks
}

// trim turns picks that may cut more than is needed into picks that cut exactly that, each on the shortest stock that holds
// it. Neither the cost nor the number of sticks grows.
func (p *problem) trim(picks []pick) []pick {
	left := slices.Clone(p.need)
	var out []pick
	for _, k := range picks {
		for range k.times {
			take, size := make([]int, len(left)), 0
			for i := range left {
				take[i] = min(k.take[i], left[i])
				left[i] -= take[i]
				size += take[i] * p.size[i]
			}
			if size > 0 {
				out = append(out, pick{p.smallest(size), take, 1})
			}
		}
	}
	return out
}

// sticks cuts picks that cut exactly what is needed.
func (p *problem) sticks(picks []pick) []Stick {
	sticks := make([]Stick, 0, len(picks))
	cuts := make([]int, 0, p.pieces)
	for _, k := range picks {
		from := len(cuts)
		for i, n := range k.take {
			for range n {
				cuts = append(cuts, p.size[i]-p.kerf)
			}
		}
		sticks = append(sticks, Stick{Length: p.cap[k.stock] - p.kerf, Cuts: cuts[from:len(cuts):len(cuts)]})
	}
	return sticks
}

// fill writes an answer into a plan.
func (p *problem) fill(plan *Plan, a answer, priced bool) {
	picks := p.trim(a.picks)
	cost, _ := p.total(picks)
	plan.Sticks = p.sticks(picks)
	plan.Optimal = a.bound == cost && a.fewest
	p.sum(plan, cost, a.bound, priced)
}

// sum works out the totals of a plan from its sticks, and puts them in order.
func (p *problem) sum(plan *Plan, cost, bound int64, priced bool) {
	for i := range plan.Sticks {
		s := &plan.Sticks[i]
		rest := s.Length
		for _, c := range s.Cuts {
			plan.Used += c
			rest -= c + p.kerf
		}
		s.Offcut = max(0, rest)
		plan.Bought += s.Length
	}
	slices.SortStableFunc(plan.Sticks, func(a, b Stick) int { return cmp.Or(b.Length-a.Length, slices.Compare(b.Cuts, a.Cuts)) })
	if !priced {
		plan.Bound = int(bound)
		return
	}
	plan.Cost, plan.CostBound = cost, bound
	step := 0
	for _, c := range p.cap {
		step = int(gcd(int64(step), int64(c-p.kerf)))
	}
	plan.Bound = (plan.Used + step - 1) / step * step
}
