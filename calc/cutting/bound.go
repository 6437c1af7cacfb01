package cutting

import "math/bits"

// rates are proven duals, scaled to integers: no filling of stock s is worth more than stick + cost*(cost of s), where a piece
// of type i is worth value[i]. So pieces that are worth v in all need sticks and cost with stick*sticks + cost*cost >= v.
type rates struct {
	value []int64
	stick int64
	cost  int64
}

// scale is how many integer units make one unit of cost (or one stick): as fine as keeps every sum within an int64.
func (p *problem) scale() float64 {
	scale := int64(1) << 24
	most := p.cost[len(p.cost)-1] + 1
	for scale > 1 && most > (1<<60)/scale/int64(p.pieces+1) {
		scale /= 2
	}
	return float64(scale)
}

// prove turns duals of the linear program into rates that hold exactly: the best filling of every stock length is found in
// integers, and where it is worth more than allowed all values are scaled down.
func (p *problem) prove(k *knapsack, duals []float64, stick, cost int64) rates {
	r := rates{value: make([]int64, len(duals)), stick: stick, cost: cost}
	scale := p.scale()
	for i, d := range duals {
		r.value[i] = int64(max(0, d) * scale)
	}
	k.price(r.value)
	allowed, found := int64(1), int64(1)
	for s, c := range p.cap {
		limit := r.limit(p, s)
		if v, _, over := k.above(c, limit); over && larger(v, allowed, found, limit) {
			allowed, found = limit, v
		}
	}
	if allowed < found {
		for i, v := range r.value {
			hi, lo := bits.Mul64(uint64(v), uint64(allowed)) // #nosec G115 -- values and limits are never negative
			q, _ := bits.Div64(hi, lo, uint64(found))        // no overflow: allowed < found
			r.value[i] = int64(q)                            // #nosec G115 -- q is at most v
		}
	}
	return r
}

// larger tells whether a*b > c*d; none is negative.
func larger(a, b, c, d int64) bool {
	h1, l1 := bits.Mul64(uint64(a), uint64(b)) // #nosec G115 -- none is negative, see above
	h2, l2 := bits.Mul64(uint64(c), uint64(d)) // #nosec G115 -- none is negative, see above
	return h1 > h2 || h1 == h2 && l1 > l2
}

// limit is the most that a filling of stock s is worth.
func (r rates) limit(p *problem, s int) int64 { return r.stick + r.cost*p.cost[s] }

// worth is the value of pieces.
func (r rates) worth(pieces []int) int64 {
	sum := int64(0)
	for i, n := range pieces {
		sum += r.value[i] * int64(n)
	}
	return sum
}

// ceilDiv is a/b rounded up, b > 0.
func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}

// material is the bound that needs no linear program: every unit cut costs at least what it costs in the stock that is cheapest
// for its length, and so does every unit with the kerf for its capacity.
func (p *problem) material() int64 {
	size := 0
	for i, n := range p.need {
		size += n * p.size[i]
	}
	return max(p.spread(size, 0), p.spread(size-p.pieces*p.kerf, p.kerf))
}

// spread is the least cost of so much material, where less is what a stick's capacity is over what counts of it.
func (p *problem) spread(size, less int) int64 {
	best := 0
	for s := range p.cap {
		if larger(p.cost[best], int64(p.cap[s]-less), p.cost[s], int64(p.cap[best]-less)) {
			best = s
		}
	}
	hi, lo := bits.Mul64(uint64(size), uint64(p.cost[best])) // #nosec G115 -- sizes and costs are never negative
	q, rem := bits.Div64(hi, lo, uint64(p.cap[best]-less))   // #nosec G115 -- a stick holds more than its kerf
	if rem > 0 {
		q++
	}
	return int64(q) // #nosec G115 -- less than a stick for every piece costs
}
