package cutting

// Limits of the table: states, and states times patterns.
const (
	tableStates = 1 << 15
	tableWork   = 1 << 21
)

// tabulate solves a job of few lengths exactly: least[s] is the least cost, and at that the fewest sticks, to cut what state s
// still asks for. A state is the number wanted of each type, in mixed radix. The next stick can always be taken to hold the
// longest piece still wanted, and to be so full that no other wanted piece fits, since pieces cut beyond the need cost nothing.
// False when the job is too large.
func (p *problem) tabulate() (answer, bool) {
	radix := make([]int, len(p.need))
	states := 1
	for i := len(p.need) - 1; i >= 0; i-- {
		radix[i] = states
		if states > tableStates/(p.need[i]+1) {
			return answer{}, false
		}
		states *= p.need[i] + 1
	}
	ways, ok := p.patterns(tableWork / states)
	if !ok {
		return answer{}, false
	}
	weight := int64(p.pieces) + 1 // sticks never outnumber pieces, so cost*weight + sticks orders by cost, then sticks
	least, choice := make([]int64, states), make([]uint16, states)
	want := make([]int, len(p.need))
	first := len(want) // the longest type still wanted
	for s := 1; s < states; s++ {
		first = min(first, count(want, p.need))
		least[s] = -1
		for k, w := range ways {
			if w.take[first] == 0 {
				continue
			}
			rest := s
			for i := first; i < len(want); i++ {
				rest -= min(want[i], w.take[i]) * radix[i]
			}
			if c := least[rest] + p.cost[w.stock]*weight + 1; least[s] < 0 || c < least[s] {
				least[s], choice[s] = c, uint16(k)
			}
		}
	}
	a := answer{bound: least[states-1] / weight, fewest: true}
	for s := states - 1; s > 0; {
		w := ways[choice[s]]
		a.picks = append(a.picks, w)
		for i, r := range radix {
			s -= min(s/r%(p.need[i]+1), w.take[i]) * r
		}
	}
	return a, true
}

// count adds one to a number in mixed radix, digit i running to top[i], and returns the place of the digit that rose.
func count(digits, top []int) int {
	for i := len(digits) - 1; ; i-- {
		if digits[i] < top[i] {
			digits[i]++
			return i
		}
		digits[i] = 0
	}
}

// patterns lists every filling of a stick that is worth cutting: on the shortest stock that holds it, and full. False when
// there are more than limit of them, or it takes long to list them.
func (p *problem) patterns(limit int) ([]pick, bool) {
	e := enumeration{p: p, limit: min(limit, 1<<16-1), steps: 64 * limit, take: make([]int, len(p.size))}
	e.from(0, 0)
	return e.found, !e.over
}

type enumeration struct {
	p     *problem
	found []pick
	take  []int
	limit int
	steps int
	over  bool
}

// from fills a stick further with pieces of type i and beyond; size is what is on it already.
func (e *enumeration) from(i, size int) {
	if e.steps--; e.steps < 0 || len(e.found) > e.limit {
		e.over = true
	}
	if e.over {
		return
	}
	p := e.p
	if i == len(p.size) {
		if s := p.smallest(size); size > 0 && p.full(e.take, p.need, p.cap[s]-size) {
			e.found = append(e.found, pick{s, append([]int(nil), e.take...), 1})
		}
		return
	}
	longest := p.cap[len(p.cap)-1]
	for n := min(p.need[i], (longest-size)/p.size[i]); n >= 0; n-- {
		e.take[i] = n
		e.from(i+1, size+n*p.size[i])
	}
	e.take[i] = 0
}

// full tells that no wanted piece fits into what is left of a stick.
func (p *problem) full(take, want []int, left int) bool {
	for i := len(take) - 1; i >= 0; i-- {
		if p.size[i] > left {
			return true
		}
		if take[i] < want[i] {
			return false
		}
	}
	return true
}
