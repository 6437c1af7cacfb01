package draw

// Spread gives each item a position as near as can be to the one it wants (ascending) so that items of these sizes do not
// overlap: neighbours that would touch form a group centred on the mean of its members, and groups merge until none touch.
func Spread(want, sizes []float64) []float64 {
	type group struct {
		mid, size float64
		n         int
	}
	var groups []group
	for i, w := range want {
		groups = append(groups, group{w, sizes[i], 1})
		for k := len(groups); k > 1; k = len(groups) {
			a, b := groups[k-2], groups[k-1]
			if a.mid+a.size/2 <= b.mid-b.size/2 {
				break
			}
			mid := (a.mid*float64(a.n) + b.mid*float64(b.n)) / float64(a.n+b.n)
			groups = append(groups[:k-2], group{mid, a.size + b.size, a.n + b.n})
		}
	}
	out := make([]float64, 0, len(want))
	for _, g := range groups {
		p := g.mid - g.size/2
		for range g.n {
			size := sizes[len(out)]
			out = append(out, p+size/2)
			p += size
		}
	}
	return out
}

// placePad keeps labels that much apart, in points.
const placePad = 0.8

// Placer places labels greedily: the first candidate that is free and in bounds wins, and what is taken stays taken. The order of
// the calls is the order of importance.
type Placer struct {
	Bounds Box
	taken  []Box
}

// Free tells whether a box lies in bounds and meets nothing that is taken.
func (p *Placer) Free(b Box) bool {
	if !b.Within(p.Bounds) {
		return false
	}
	for _, t := range p.taken {
		if b.Overlaps(t, placePad) {
			return false
		}
	}
	return true
}

// Take marks a box as taken, free or not.
func (p *Placer) Take(b Box) { p.taken = append(p.taken, b) }

// Put takes the first free w by h box among those about the candidate centres, and returns its centre; false when none is free.
func (p *Placer) Put(w, h float64, centers []Point) (Point, bool) {
	for _, c := range centers {
		if b := Centered(c, w, h); p.Free(b) {
			p.Take(b)
			return c, true
		}
	}
	return Point{}, false
}
