package cutting

// SolveByTable and SolveByColumns force one of the two methods; the first is false when the job is too large for it.
func SolveByTable(j Job) (Plan, bool) {
	p, unplanned := newProblem(j)
	a, ok := p.tabulate()
	plan := Plan{Unplanned: unplanned}
	if ok {
		p.fill(&plan, a, j.Price != nil)
	}
	return plan, ok
}

func SolveByColumns(j Job) Plan {
	p, unplanned := newProblem(j)
	plan := Plan{Unplanned: unplanned}
	p.fill(&plan, p.generate(), j.Price != nil)
	return plan
}

// KnapsackBothWays fills a stick by branch and bound and by the table.
func KnapsackBothWays(size, need []int, value []int64, capacity int) (branch, table int64) {
	k := newKnapsack(&problem{size: size, need: need, cap: []int{capacity}})
	k.price(value)
	branch, _, _ = k.above(capacity, 0)
	k.most = 0
	k.table(capacity)
	return branch, k.most
}
