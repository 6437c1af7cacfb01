// Package cutting plans which stock lengths to buy and how to cut them, so that the least length (or, where prices are given,
// the least money) is bought and, at that, the fewest sticks.
//
// Everything is in whole sixteenths of an inch. A stick of length L holds k pieces when their sum + (k-1)*kerf <= L: no kerf is
// lost after a last piece that ends with the stick. Adding the kerf to every piece and to every stick turns this into the
// cutting stock problem without kerf.
//
// Small jobs are solved by dynamic programming over what is still to cut. Larger ones by column generation (Gilmore and
// Gomory, "A linear programming approach to the cutting-stock problem", Operations Research 9, 1961): the linear program gives
// a lower bound and a fractional plan, which is rounded; a search over sticks, limited by that bound, closes what is left. The
// linear program runs in floating point, but no bound is taken from it: its duals are turned into integers and each stock
// length's best filling is recomputed exactly, so that every reported bound is proven. Work is limited by counting steps, never
// by time, so that a job always has the same answer; when the limit is met the gap is reported.
package cutting

// Job is one material to cut. All lengths are whole sixteenths of an inch. Stock lengths and pieces that are not positive
// cannot be used: such stock is passed over, such pieces are Unplanned. A negative kerf counts as none. Prices are whole cents
// from 0 to 2^31; a negative one counts as 0.
type Job struct {
	Stock  []int   // lengths on sale, any order, each in any number
	Pieces []int   // one entry for each piece to cut
	Kerf   int     // what one cut takes
	Price  []int64 // what a stick of each stock length costs, beside Stock; nil: the least length is bought
}

// Stick is one bought length with its cuts, longest first. Offcut is what is left after the last cut, its kerf taken off: 0
// when the last piece ends with the stick.
type Stick struct {
	Length int
	Cuts   []int
	Offcut int
}

// Plan is what to buy and cut, longest sticks first. Without prices Bound is the proven least length that any plan buys; with
// prices CostBound is the proven least cost, and Bound is only the pieces' own length rounded up to whole stock. Optimal means
// that the bound equals what was bought (or paid) and that no plan at that length (or cost) has fewer sticks.
type Plan struct {
	Sticks    []Stick
	Bought    int   // sum of the sticks' lengths
	Used      int   // sum of the planned pieces
	Bound     int   // never over Bought
	Cost      int64 // sum of prices; 0 without prices
	CostBound int64 // never over Cost; 0 without prices
	Optimal   bool
	Unplanned []int // pieces longer than all stock, longest first
}

// Solve plans a job. It never fails: what cannot be cut is Unplanned, and a job too hard for the work limit is answered with
// the best plan found and Optimal false. The same job, in whatever order its pieces and stock are listed, has the same plan.
func Solve(j Job) Plan {
	p, unplanned := newProblem(j)
	plan := Plan{Unplanned: unplanned}
	if len(p.size) == 0 {
		plan.Optimal = true
		return plan
	}
	if p.huge() {
		p.pack(&plan, j.Price != nil)
		return plan
	}
	a, ok := p.tabulate()
	if !ok {
		a = p.generate()
	}
	p.fill(&plan, a, j.Price != nil)
	return plan
}

// answer is a set of sticks with what is proven of it: bound is a lower bound of the cost of any answer, fewest tells that no
// answer of this cost has fewer sticks.
type answer struct {
	picks  []pick
	bound  int64
	fewest bool
}

// pick is one way of filling a stick, times over: take[i] pieces of type i from one stock length.
type pick struct {
	stock int
	take  []int
	times int
}
