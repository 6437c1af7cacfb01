package cutting

// Jobs beyond these sizes are packed without a search: different lengths, and lengths times pieces.
const (
	mostTypes = 300
	mostDense = 4_000_000
)

func (p *problem) huge() bool { return len(p.size) > mostTypes || len(p.size)*p.pieces > mostDense }

// pack plans a job far beyond the trade's sizes by best fit, once with every stock length as the one to open, and keeps the
// cheapest plan. The bound is that of the material.
func (p *problem) pack(plan *Plan, priced bool) {
	cost := int64(-1)
	for open := range p.cap {
		if sticks, c := p.bestFit(open); cost < 0 || c < cost {
			plan.Sticks, cost = sticks, c
		}
	}
	bound := min(cost, p.roundUp(p.material()))
	plan.Optimal = bound == cost && p.countsSticks()
	p.sum(plan, cost, bound, priced)
}

// bestFit cuts longest pieces first, each from the stick that it leaves the least of; in the end each stick is exchanged for the
// shortest that holds its cuts.
func (p *problem) bestFit(open int) (sticks []Stick, cost int64) {
	longest := p.cap[len(p.cap)-1]
	waiting := make([][]int32, longest+1) // sticks by what is left of them
	var left []int
	for i, size := range p.size {
		rest := size
		for range p.need[i] {
			for rest <= longest && len(waiting[rest]) == 0 {
				rest++
			}
			var at int32
			if rest > longest {
				at = int32(len(sticks)) // #nosec G115 -- one stick a piece at most
				sticks = append(sticks, Stick{})
				left = append(left, p.cap[max(open, p.smallest(size))])
			} else {
				last := len(waiting[rest]) - 1
				at, waiting[rest] = waiting[rest][last], waiting[rest][:last]
			}
			sticks[at].Cuts = append(sticks[at].Cuts, size-p.kerf)
			left[at] -= size
			waiting[left[at]] = append(waiting[left[at]], at)
			rest = max(size, min(rest, left[at]))
		}
	}
	for i := range sticks {
		size := 0
		for _, c := range sticks[i].Cuts {
			size += c + p.kerf
		}
		s := p.smallest(size)
		sticks[i].Length = p.cap[s] - p.kerf
		cost += p.cost[s]
	}
	return sticks, cost
}
