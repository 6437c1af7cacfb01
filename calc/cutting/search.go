package cutting

import (
	"cmp"
	"math/bits"
	"slices"
)

// meter limits a search: the sticks chosen may lose slack in all, where a stick loses what its filling is worth less than its
// limit, and a piece cut beyond the need loses its value (it is not counted as taken).
type meter struct {
	rates
	slack int64
}

// search looks for sticks that cut all that is wanted without any meter running out. The next stick always holds the longest
// piece still wanted and is full, so that the search is complete: when it ends without an answer and without running out of
// steps, there is none.
type search struct {
	p      *problem
	meters []meter
	steps  int // work left
	want   []int
	take   []int
	dense  [][]float64 // for each meter and type: the greatest value for its size of this and all shorter types
	found  []move      // candidates of all open levels
	takes  []int       // their takes, one after the other
	failed map[state][2]int64
	radix  []state
	picks  []pick
}

// move is a candidate for the next stick.
type move struct {
	stock int
	take  int // offset in takes
	loss  [2]int64
}

// state is what is still wanted, in mixed radix: exact, so that no two states are mistaken for each other.
type state struct{ high, low uint64 }

// find searches for an answer that cuts want, at most steps of work. left is the work
// that was not needed; below 0, the search was not complete.
func (p *problem) find(want []int, meters []meter, steps int) (picks []pick, ok bool, left int) {
	s := &search{p: p, meters: meters, steps: steps, want: slices.Clone(want), take: make([]int, len(want))}
	s.failed = map[state][2]int64{}
	s.radix = radixes(want)
	for _, m := range meters {
		d := make([]float64, len(want)+1)
		for i := len(want) - 1; i >= 0; i-- {
			d[i] = max(d[i+1], float64(m.value[i])/float64(p.size[i]))
		}
		s.dense = append(s.dense, d)
	}
	var slack [2]int64
	for i, m := range meters {
		if m.slack < 0 {
			return nil, false, steps
		}
		slack[i] = m.slack
	}
	ok = s.next(0, slack)
	return s.picks, ok, s.steps
}

// radixes gives the weight of each type in a state; nil when the states do not fit into 128 bits.
func radixes(want []int) []state {
	r := make([]state, len(want))
	all := state{0, 1}
	for i, n := range want {
		r[i] = all
		h1, l := bits.Mul64(all.low, uint64(n+1))  // #nosec G115 -- n counts pieces
		h2, h := bits.Mul64(all.high, uint64(n+1)) // #nosec G115 -- n counts pieces
		sum, carry := bits.Add64(h1, h, 0)
		if h2 != 0 || carry != 0 {
			return nil
		}
		all = state{sum, l}
	}
	return r
}

func (s *search) state() state {
	var k state
	for i, n := range s.want {
		h, l := bits.Mul64(s.radix[i].low, uint64(n)) // #nosec G115 -- n counts pieces
		var c uint64
		k.low, c = bits.Add64(k.low, l, 0)
		k.high += h + s.radix[i].high*uint64(n) + c // #nosec G115 -- n counts pieces
	}
	return k
}

// next chooses one more stick; first is a type before which nothing is wanted.
func (s *search) next(first int, slack [2]int64) bool {
	for first < len(s.want) && s.want[first] == 0 {
		first++
	}
	if first == len(s.want) {
		return true
	}
	var key state
	if s.radix != nil {
		key = s.state()
		if f, seen := s.failed[key]; seen && slack[0] <= f[0] && slack[1] <= f[1] {
			return false
		}
	}
	from, takes := len(s.found), len(s.takes)
	clear(s.take)
	s.fill(first, first, 0, [2]int64{}, slack)
	moves := s.found[from:]
	slices.SortStableFunc(moves, func(a, b move) int {
		return cmp.Or(cmp.Compare(a.loss[0], b.loss[0]), cmp.Compare(a.loss[1], b.loss[1]))
	})
	for i := from; i < len(s.found) && s.steps >= 0; i++ {
		m := s.found[i]
		if s.try(m, first, slack) {
			return true
		}
	}
	s.found, s.takes = s.found[:from], s.takes[:takes]
	if s.radix != nil && s.steps >= 0 {
		s.failed[key] = slack
	}
	return false
}

// try cuts one stick and goes on; it restores want when that leads nowhere.
func (s *search) try(m move, first int, slack [2]int64) bool {
	n := len(s.want)
	for i, t := range s.takes[m.take : m.take+n] {
		s.want[i] -= t
	}
	if s.next(first, [2]int64{slack[0] - m.loss[0], slack[1] - m.loss[1]}) {
		s.picks = append(s.picks, pick{m.stock, slices.Clone(s.takes[m.take : m.take+n]), 1})
		return true
	}
	for i, t := range s.takes[m.take : m.take+n] {
		s.want[i] += t
	}
	return false
}

// fill lists the fillings from type i on that hold the first type and lose no more than the slack.
func (s *search) fill(first, i, size int, value, slack [2]int64) {
	if s.steps--; s.steps < 0 || !s.promising(i, size, value, slack) {
		return
	}
	if i == len(s.want) {
		s.candidate(size, value, slack)
		return
	}
	longest := s.p.cap[len(s.p.cap)-1]
	least := 0
	if i == first {
		least = 1
	}
	for n := min(s.want[i], (longest-size)/s.p.size[i]); n >= least; n-- {
		s.take[i] = n
		v := value
		for k, m := range s.meters {
			v[k] += int64(n) * m.value[i]
		}
		s.fill(first, i+1, size+n*s.p.size[i], v, slack)
	}
	s.take[i] = 0
}

// promising tells whether some stock can still be filled without losing more than the slack. The margin covers the rounding of
// the densities.
func (s *search) promising(i, size int, value, slack [2]int64) bool {
	for stock := s.p.smallest(size); stock < len(s.p.cap); stock++ {
		good := true
		for k, m := range s.meters {
			most := float64(value[k]) + float64(s.p.cap[stock]-size)*s.dense[k][i]*(1+1e-9)
			if limit := float64(m.limit(s.p, stock)); limit-most > float64(slack[k])+limit*1e-9 {
				good = false
			}
		}
		if good {
			return true
		}
	}
	return false
}

// candidate keeps a filling that is full for the shortest stock that holds it.
func (s *search) candidate(size int, value, slack [2]int64) {
	stock := s.p.smallest(size)
	m := move{stock: stock, take: len(s.takes)}
	for k, r := range s.meters {
		if m.loss[k] = r.limit(s.p, stock) - value[k]; m.loss[k] > slack[k] {
			return
		}
	}
	if s.p.full(s.take, s.want, s.p.cap[stock]-size) {
		s.takes = append(s.takes, s.take...)
		s.found = append(s.found, m)
	}
}
