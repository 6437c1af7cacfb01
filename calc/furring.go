package calc

import (
	"math"
	"slices"
)

const (
	rowMargin = 12      // a row keeps this far, in inches, from the high end above it and the panels' end below it
	leastPly  = 1.0 / 8 // a thinner row is no strip
	edgeMost  = 1.5     // the first joist inside a row's end stands at least this far from it to take a screw of its own
	longSpan  = 24      // longer stretches of row without a joist need blocking
)

// The places of a furring row and what it is fastened to.
const (
	placeRow    = "row"
	placeLast   = "last"
	fastenStrip = "strip"
	fastenJoist = "joist"
	stateExpect = "expected"
	stateOnSite = "check on site"
	kindFixture = "fixture"
	kindThrough = "through"
	severeBlock = "blocking"
	severeWarn  = "warning"
)

// rowLine is one furring row, or the part of one that a stretch of zone takes.
type rowLine struct {
	y, x0, x1 float64
	last      bool
	Row
}

// strip tells whether the row is furring with plies and screws of its own.
func (r rowLine) strip() bool { return r.Fasten == fastenStrip && !r.Dropped }

// rows lays out the furring of a zone, in order of y, then x0.
func (j *job) rows(b *bay) {
	b.rows = nil
	for _, y := range j.rowPlaces(b) {
		for _, s := range b.reach(y, float64(j.sys.GutterGap)) {
			b.rows = append(b.rows, rowLine{y: y, x0: s.x0, x1: s.x1})
		}
	}
	for _, e := range b.borders {
		if e.class == classLow {
			b.rows = append(b.rows, j.lastRows(b, e)...)
		}
	}
	slices.SortStableFunc(b.rows, func(p, q rowLine) int {
		if p.y < q.y || p.y == q.y && p.x0 < q.x0 {
			return -1
		}
		return 1
	})
	for i := range b.rows {
		j.build(b, &b.rows[i])
	}
}

// rowPlaces are the places of the rows down the fall: every spacing from the high edge to 12 in before the panels' end. Along
// joists each moves to the nearest joist line in that range, the upslope one of two equally near; rows on one line are one.
func (j *job) rowPlaces(b *bay) []float64 {
	var out []float64
	limit := b.yLow - rowMargin
	for k := 1; ; k++ {
		y := b.box.y0 + float64(k)*float64(j.sys.FurringSpacing)
		if y > limit+tol {
			return out
		}
		if !j.lines.across {
			y = j.nearestJoist(y, b.box.y0, limit)
		}
		if n := len(out); n == 0 || y > out[n-1]+tol {
			out = append(out, y)
		}
	}
}

// nearestJoist is the joist line nearest to y with high < line <= limit; y itself when there is none.
func (j *job) nearestJoist(y, high, limit float64) float64 {
	best, found := y, math.Inf(1)
	start, _ := slices.BinarySearch(j.lines.at, y)
	for _, i := range []int{start - 2, start - 1, start, start + 1} {
		if i < 0 || i >= len(j.lines.at) {
			continue
		}
		at := j.lines.at[i]
		if at > high+tol && at <= limit+tol && math.Abs(at-y) < found-tol {
			best, found = at, math.Abs(at-y)
		}
	}
	return best
}

// reach is where across the fall a row at y has its margin to the local high end and to the local end of the panels.
func (b *bay) reach(y, gap float64) []span {
	var spans []span
	for _, c := range b.region.cells {
		s, ok := span{c.x0, c.x1}.below(c.h0+rowMargin, c.h1+rowMargin, y)
		if !ok {
			continue
		}
		d := c.clip(s.x0, s.x1)
		s, ok = s.below(gap+rowMargin-d.l0, gap+rowMargin-d.l1, -y)
		if ok && s.x1-s.x0 > tol {
			spans = append(spans, s)
		}
	}
	return merge(spans)
}

// lastRows is the last row of one low edge: over the edge's length, half a strip above the panels' end. Where the edge runs
// aslant the row keeps to its upper end, so that it lies above every panel end there.
func (j *job) lastRows(b *bay, e border) []rowLine {
	x0, x1 := min(e.a.x, e.b.x), max(e.a.x, e.b.x)
	y := min(e.a.y, e.b.y) - float64(j.sys.GutterGap) - float64(j.sys.FurringWidth)/2
	var spans []span
	for _, c := range b.region.cells {
		if min(c.x1, x1)-max(c.x0, x0) <= tol {
			continue
		}
		d := c.clip(x0, x1)
		mid := (d.x0 + d.x1) / 2
		onEdge := e.a.y + (e.b.y-e.a.y)*(mid-e.a.x)/(e.b.x-e.a.x)
		if math.Abs(d.low(mid)-onEdge) > tol {
			continue
		}
		if s, ok := (span{d.x0, d.x1}).below(d.h0, d.h1, y-2*tol); ok && s.x1-s.x0 > tol {
			spans = append(spans, s)
		}
	}
	var out []rowLine
	for _, s := range merge(spans) {
		out = append(out, rowLine{y: y, x0: s.x0, x1: s.x1, last: true})
	}
	return out
}

// build fills in a row's thicknesses, what to build it from, and its ends in plan.
func (j *job) build(b *bay, r *rowLine) {
	at := func(x float64) float64 { return j.t(b, vec{x, r.y}) }
	mid := (r.x0 + r.x1) / 2
	r.Row = Row{Y: r.y, X0: r.x0, X1: r.x1, Left: at(r.x0), Middle: at(mid), Right: at(r.x1), Plies: []float64{}, Place: placeRow,
		Fasten: fastenJoist, P0: j.frame.point(vec{r.x0, r.y}), P1: j.frame.point(vec{r.x1, r.y})}
	if r.last {
		r.Place = placeLast
	}
	r.Build = near16(r.Middle)
	r.BuildText = text16(r.Build)
	if r.thickest() >= leastPly-tol {
		r.Fasten = fastenStrip
		r.Dropped = r.Build > float64(j.sys.MaxFurring)+tol
	}
	if r.strip() && r.Build >= leastPly-tol {
		r.Plies = plies(r.Build, j.sys.FurringPlies)
	}
	r.Tapered = math.Abs(r.Left-r.Right) > 1.0/16+tol
}

func (r rowLine) thickest() float64 { return max(r.Left, r.Middle, r.Right) }

// screwLengths are the lengths that furring screws come in, inches.
func screwLengths() []float64 {
	return []float64{1.25, 1.625, 2, 2.25, 2.5, 2.75, 3, 3.25, 3.5, 4, 4.5, 5, 6}
}

// screwFor is the shortest screw on sale that is at least that long; listed is false, and the length the need itself, beyond the
// longest.
func screwFor(need float64) (long float64, listed bool) {
	for _, l := range screwLengths() {
		if l >= need-tol {
			return l, true
		}
	}
	return need, false
}

// furringScrews gives the length of the zone's furring screws and their number; listed is false when none on sale is as long.
func (j *job) furringScrews(b *bay) (long float64, n int, listed bool) {
	thick := -1.0
	for _, r := range b.rows {
		if r.strip() {
			thick = max(thick, r.thickest())
			n += len(j.supports(r))
		}
	}
	if thick < 0 {
		return 0, 0, true
	}
	long, listed = screwFor(near16(thick) + float64(j.sys.FurringPenetration))
	return long, n, listed
}

// places are the places along a row where a joist takes a screw: its ends and the joists at least 1 1/2 in inside them, or, along
// a joist, every joist spacing and the end.
func (j *job) places(r rowLine) []float64 {
	out := []float64{r.x0}
	if j.lines.across {
		i, _ := slices.BinarySearch(j.lines.at, r.x0+edgeMost-tol)
		for ; i < len(j.lines.at) && j.lines.at[i] <= r.x1-edgeMost+tol; i++ {
			out = append(out, j.lines.at[i])
		}
		return append(out, r.x1)
	}
	for k := 1; k < count((r.x1-r.x0)/j.lines.spacing); k++ {
		out = append(out, r.x0+float64(k)*j.lines.spacing)
	}
	return append(out, r.x1)
}

// supports are the places of a row without those where a header stops the joists.
func (j *job) supports(r rowLine) []float64 {
	return slices.DeleteFunc(j.places(r), func(x float64) bool { return j.inGap(x, r.y) })
}

func (j *job) inGap(x, y float64) bool {
	return slices.ContainsFunc(j.gaps, func(g rect) bool { return g.inside(x, y) })
}

func (g rect) inside(x, y float64) bool {
	return x > g.x0+tol && x < g.x1-tol && y > g.y0+tol && y < g.y1-tol
}

// unsupported tells whether joists that stop leave a stretch of the row longer than 24 in without one: from the last joist before
// those that stop to the first one after them, or the row's end. Along a joist the gap itself is the stretch.
func (j *job) unsupported(r rowLine) bool {
	if !j.lines.across {
		return slices.ContainsFunc(j.bare(r), func(s span) bool { return s.x1-s.x0 > longSpan+tol })
	}
	from, lost := r.x0, false
	for _, x := range j.places(r) {
		if j.inGap(x, r.y) {
			lost = true
			continue
		}
		if lost && x-from > longSpan+tol {
			return true
		}
		from, lost = x, false
	}
	return lost && r.x1-from > longSpan+tol
}

// bare are the stretches of a row along a joist where that joist is missing.
func (j *job) bare(r rowLine) []span {
	var out []span
	for _, g := range j.gaps {
		s := span{max(g.x0, r.x0), min(g.x1, r.x1)}
		if r.y > g.y0+tol && r.y < g.y1-tol && s.x1-s.x0 > tol {
			out = append(out, s)
		}
	}
	return merge(out)
}

// greatestSpacing is the greatest distance down the fall from one line of fastenings to the next: the channel at the local high
// end, then each row.
func (j *job) greatestSpacing(b *bay) float64 {
	most := 0.0
	for _, c := range b.region.cells {
		xs := []float64{c.x0, c.x1}
		for _, r := range b.rows {
			for _, x := range []float64{r.x0, r.x1} {
				if x > c.x0+tol && x < c.x1-tol {
					xs = append(xs, x)
				}
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i++ {
			if xs[i+1]-xs[i] > tol {
				most = max(most, b.spacing(c.clip(xs[i], xs[i+1])))
			}
		}
	}
	return most
}

// spacing is the greatest distance between fastenings in a stretch that each row crosses whole or not at all.
func (b *bay) spacing(c cell) float64 {
	most, mid := 0.0, (c.x0+c.x1)/2
	prev := min(c.h0, c.h1)
	for _, r := range b.rows { // in order of y
		if r.x0 < mid && r.x1 > mid && r.y > c.high(mid) && r.y < c.low(mid) {
			most, prev = max(most, r.y-prev), r.y
		}
	}
	return most
}
