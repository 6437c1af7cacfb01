package cutting

import "slices"

// firstFit cuts longest pieces first, each from the first stick that still holds it, once with every stock length as the one to
// open, and keeps the cheapest; each stick is then exchanged for the shortest that holds its pieces.
func (p *problem) firstFit() []pick {
	var best []pick
	var least int64
	for open := range p.cap {
		picks := p.trim(p.firstFitFrom(open))
		if cost, _ := p.total(picks); best == nil || cost < least {
			best, least = picks, cost
		}
	}
	return best
}

func (p *problem) firstFitFrom(open int) []pick {
	var picks []pick
	var left []int
	for i, size := range p.size {
		at := 0
		for range p.need[i] {
			for at < len(left) && left[at] < size {
				at++
			}
			if at == len(left) {
				s := max(open, p.smallest(size))
				picks = append(picks, pick{s, make([]int, len(p.size)), 1})
				left = append(left, p.cap[s])
			}
			picks[at].take[i]++
			left[at] -= size
		}
	}
	return picks
}

// fullest fills one stick after the other around the longest piece left, each time the stock and the filling that cost least for
// the size they cut.
func (p *problem) fullest() []pick {
	left := slices.Clone(p.need)
	var picks []pick
	f := newFiller(p)
	for first := 0; first < len(left); {
		if left[first] == 0 {
			first++
			continue
		}
		k := f.fill(first, left)
		for i, n := range k.take {
			left[i] -= n
		}
		picks = append(picks, k)
	}
	return picks
}

// filler finds which sums the pieces left can make.
type filler struct {
	p    *problem
	by   []int32 // by[c] is one more than the type last added to make sum c; 0: c cannot be made
	used []int32 // pieces of the type at hand in sum c
}

func newFiller(p *problem) *filler {
	n := p.cap[len(p.cap)-1] + 1
	return &filler{p, make([]int32, n), make([]int32, n)}
}

// fill is the best stick that holds a piece of the first type.
func (f *filler) fill(first int, left []int) pick {
	p, size := f.p, f.p.size[first]
	clear(f.by)
	longest := p.cap[len(p.cap)-1] - size
	f.by[0] = int32(len(p.size)) + 1 // #nosec G115 -- a problem has thousands of sizes at most
	for i := first; i < len(p.size); i++ {
		n := left[i]
		if i == first {
			n--
		}
		f.add(i, n, longest)
	}
	stock, filled := -1, 0
	for s, c := range p.cap {
		sum := c - size
		for sum > 0 && f.by[sum] == 0 {
			sum--
		}
		if c >= size && (stock < 0 || p.cost[s]*int64(filled) < p.cost[stock]*int64(sum+size)) {
			stock, filled = s, sum+size
		}
	}
	best := pick{stock, make([]int, len(p.size)), 1}
	best.take[first]++
	for sum := filled - size; sum > 0; {
		i := f.by[sum] - 1
		best.take[i]++
		sum -= p.size[i]
	}
	return best
}

// add extends the sums by up to n pieces of type i. A sum that could be made before keeps its way.
func (f *filler) add(i, n, most int) {
	size := f.p.size[i]
	clear(f.used[:most+1])
	for c := size; c <= most; c++ {
		if f.by[c] == 0 && f.by[c-size] != 0 && int(f.used[c-size]) < n {
			f.by[c], f.used[c] = int32(i)+1, f.used[c-size]+1 // #nosec G115 -- a problem has thousands of sizes at most
		}
	}
}
