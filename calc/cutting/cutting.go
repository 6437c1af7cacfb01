// Package cutting plans which stock lengths to buy and how to cut them.
package cutting

// Job is one material to cut. All lengths are whole sixteenths of an inch.
type Job struct {
	Stock  []int   // lengths on sale, any order, each in any number
	Pieces []int   // one entry for each piece to cut
	Kerf   int     // what one cut takes
	Price  []int64 // what a stick of each stock length costs, beside Stock; nil: the least length is bought
}

// Stick is one bought length with its cuts in order.
type Stick struct {
	Length int
	Cuts   []int
	Offcut int
}

// Plan is what to buy and cut.
type Plan struct {
	Sticks    []Stick
	Bought    int   // sum of the sticks' lengths
	Used      int   // sum of the planned pieces
	Bound     int   // proven least length to buy, rounded up to a reachable length
	Cost      int64 // sum of prices; 0 without prices
	CostBound int64 // proven least cost; 0 without prices
	Optimal   bool  // nothing cheaper exists, and no fewer sticks at that
	Unplanned []int // pieces longer than all stock
}

// Solve plans a job.
func Solve(j Job) Plan { return Plan{Unplanned: append([]int(nil), j.Pieces...)} }
