package calc

import (
	"math"
	"slices"

	"undercroft/calc/length"
)

func text16(v float64) string { return length.Inches(v).String() }

// panels cuts the strips of a layout out of the zone: one piece for each connected part, its ends cut back by the end gap and the
// gutter gap.
func (j *job) panels(b *bay, l layout) []Piece {
	bounds := make([]float64, 0, l.n+1)
	bounds = append(bounds, b.box.x0+float64(j.sys.SideClearance))
	bounds = append(bounds, b.seams...)
	bounds = append(bounds, b.box.x1-float64(j.sys.SideClearance))
	out := make([]Piece, 0, l.n)
	for i := range l.n {
		for _, part := range b.parts(bounds[i], bounds[i+1], float64(j.sys.GutterGap)) {
			p := pieceOf(part)
			p.N = i + 1
			out = append(out, p)
		}
	}
	return out
}

// shortened are the cells between two columns with their ends cut back by the gaps, without what the gaps use up.
func (b *bay) shortened(x0, x1, gutterGap float64) []cell {
	var out []cell
	for i := b.region.slab(x0 + 2*tol); i+1 < len(b.region.xs) && b.region.xs[i] < x1-tol; i++ {
		for _, c := range b.region.cells[b.region.first[i]:b.region.first[i+1]] {
			if min(c.x1, x1)-max(c.x0, x0) <= tol {
				continue
			}
			c = c.clip(x0, x1)
			c.h0, c.h1, c.l0, c.l1 = c.h0+b.endGap, c.h1+b.endGap, c.l0-gutterGap, c.l1-gutterGap
			s, ok := span{c.x0, c.x1}.below(c.h0-c.l0, c.h1-c.l1, -2*tol)
			if ok && s.x1-s.x0 > tol {
				out = append(out, c.clip(s.x0, s.x1))
			}
		}
	}
	return out
}

// parts lists the connected parts of the zone between two columns, their ends cut back by the gaps, each as its cells from left to
// right, the highest part first. A neck that the gaps use up leaves two parts.
func (b *bay) parts(x0, x1, gutterGap float64) [][]cell {
	cells := b.shortened(x0, x1, gutterGap)
	group := connected(cells)
	var out [][]cell
	for i := range cells {
		if slices.Contains(group[:i], group[i]) {
			continue
		}
		var part []cell
		for k := range cells {
			if group[k] == group[i] {
				part = append(part, cells[k])
			}
		}
		out = append(out, part)
	}
	slices.SortStableFunc(out, func(a, b []cell) int {
		if y, z := highest(a), highest(b); y != z && y < z {
			return -1
		} else if y == z {
			return 0
		}
		return 1
	})
	return out
}

// connected gives each cell the number of its group: cells of neighbouring slabs that touch are of one, and so on from cell to cell.
func connected(cells []cell) []int {
	group := make([]int, len(cells))
	for i := range cells {
		group[i] = i
		for k := range i {
			if cells[k].slab+1 == cells[i].slab && touch(cells[k], cells[i]) {
				renumber(group[:i+1], group[i], group[k])
			}
		}
	}
	return group
}

// renumber gives all of one group the number of another.
func renumber(group []int, from, to int) {
	for i := range group {
		if group[i] == from {
			group[i] = to
		}
	}
}

func highest(part []cell) float64 {
	y := math.Inf(1)
	for _, c := range part {
		y = min(y, c.h0, c.h1)
	}
	return y
}

// touch tells whether a cell and the one in the next slab share more than a corner.
func touch(a, b cell) bool {
	return math.Abs(a.x1-b.x0) <= tol && min(a.l1, b.l0)-max(a.h1, b.h0) > tol
}

// pieceOf is the panel for one part: its box and shape. The side lengths of an angled piece run from end to end, over a notch in
// that side too.
func pieceOf(part []cell) Piece {
	p := Piece{X0: math.Inf(1), X1: math.Inf(-1), Y0: math.Inf(1), Y1: math.Inf(-1), Shape: "rectangle"}
	slanted, first := false, part[0]
	for _, c := range part {
		slanted = slanted || math.Abs(c.h1-c.h0) > tol && !c.highSide || math.Abs(c.l1-c.l0) > tol && !c.loSide
		if !same(first, c) || math.Abs(c.h1-c.h0) > tol || math.Abs(c.l1-c.l0) > tol {
			p.Shape = "notched"
		}
		p.X0, p.X1 = min(p.X0, c.x0), max(p.X1, c.x1)
		p.Y0, p.Y1 = min(p.Y0, c.h0, c.h1), max(p.Y1, c.l0, c.l1)
	}
	if slanted {
		left, right := sideLengths(part, p.X0, p.X1)
		p.Shape, p.LeftLength, p.RightLength = "angled", &left, &right
	}
	p.Width, p.Length = p.X1-p.X0, p.Y1-p.Y0
	p.LengthText = text16(down16(p.Length))
	return p
}

// sideLengths are the lengths of a part's sides at x0 and x1, each from its highest to its lowest point there.
func sideLengths(part []cell, x0, x1 float64) (left, right float64) {
	lh, rh := math.Inf(1), math.Inf(1)
	ll, rl := math.Inf(-1), math.Inf(-1)
	for _, c := range part {
		if c.x0 <= x0+tol {
			lh, ll = min(lh, c.h0), max(ll, c.l0)
		}
		if c.x1 >= x1-tol {
			rh, rl = min(rh, c.h1), max(rl, c.l1)
		}
	}
	return ll - lh, rl - rh
}

// same tells whether two level cells have the same ends.
func same(a, b cell) bool { return math.Abs(a.h1-b.h0) <= tol && math.Abs(a.l1-b.l0) <= tol }

// carriers lays one rail under each seam for each stretch of zone there, in order of x, then y.
func (j *job) carriers(b *bay) []Carrier {
	out := make([]Carrier, 0, len(b.seams))
	for i, x := range b.seams {
		for _, c := range b.region.column(x) {
			k := Carrier{N: len(out) + 1, Seam: i, X: x, Y0: c.high(x) + b.endGap, Y1: c.low(x) - float64(j.sys.GutterGap)}
			if k.Length = k.Y1 - k.Y0; k.Length > tol {
				k.LengthText = text16(down16(k.Length))
				out = append(out, k)
			}
		}
	}
	return out
}

// crossed tells whether a row reaches a carrier.
func (r rowLine) crosses(c Carrier) bool {
	return c.X >= r.x0-tol && c.X <= r.x1+tol && r.y > c.Y0 && r.y < c.Y1
}

// carrierScrews is one at each row that each carrier crosses; the high end rests in the channel.
func (b *bay) carrierScrews() int {
	n := 0
	for _, c := range b.out.Carriers {
		for _, r := range b.rows {
			if r.crosses(c) {
				n++
			}
		}
	}
	return n
}

// sliver tells whether a carrier runs beside an inner side edge, nearer to it than the narrowest panel.
func (j *job) sliver(b *bay) bool {
	near := float64(j.sys.PanelMinEnd)
	for _, e := range b.borders {
		outer := min(e.a.x, e.b.x) <= b.box.x0+tol || max(e.a.x, e.b.x) >= b.box.x1-tol
		if e.class != classLeft && e.class != classRight || outer {
			continue
		}
		for _, c := range b.out.Carriers {
			y0, y1 := max(c.Y0, min(e.a.y, e.b.y)), min(c.Y1, max(e.a.y, e.b.y))
			if y1-y0 <= tol {
				continue
			}
			x := func(y float64) float64 { return e.a.x + (e.b.x-e.a.x)*(y-e.a.y)/(e.b.y-e.a.y) }
			if min(math.Abs(c.X-x(y0)), math.Abs(c.X-x(y1))) < near-tol {
				return true
			}
		}
	}
	return false
}
