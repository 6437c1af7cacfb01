package cutting

import "math"

// column is one activity of the linear program: a way of filling a stick, or (stock < 0) a slack of one row.
type column struct {
	stock int
	take  []int // of a filling
	row   int   // of a slack
	sign  float64
}

// master is the linear program over fillings, solved by the revised simplex method with an explicit inverse:
//
//	minimise  sum cost*x,  each piece cut as often as needed,  x >= 0
//
// and, once limit was called, the number of sticks instead of the cost, under sum cost*x <= a limit (the last row).
type master struct {
	p       *problem
	rows    int
	inverse []float64 // rows x rows
	basis   []column
	x       []float64
	limited bool
	knap    *knapsack
	scratch []float64
	stock   int // that priced in last
	steps   int // work left
}

// masterWork is how many steps (cells of the inverse, fillings looked at) the linear program of one job may take.
const masterWork = 200_000_000

// newMaster starts from the plan that cuts each type from sticks of its own.
func newMaster(p *problem) *master {
	m := &master{p: p, rows: len(p.size), knap: newKnapsack(p), steps: masterWork}
	m.inverse = make([]float64, m.rows*m.rows)
	for i, size := range p.size {
		s := p.cheapest(size, p.need[i])
		take := make([]int, m.rows)
		take[i] = min(p.need[i], p.cap[s]/size)
		m.basis = append(m.basis, column{stock: s, take: take})
		m.inverse[i*m.rows+i] = 1 / float64(take[i])
		m.x = append(m.x, float64(p.need[i])/float64(take[i]))
	}
	m.scratch = make([]float64, 3*(m.rows+1))
	return m
}

// cheapest is the stock that cuts pieces of one size at least cost a piece.
func (p *problem) cheapest(size, need int) int {
	best := p.smallest(size)
	for s := best + 1; s < len(p.cap); s++ {
		here, there := int64(min(need, p.cap[s]/size)), int64(min(need, p.cap[best]/size))
		if p.cost[s]*there < p.cost[best]*here {
			best = s
		}
	}
	return best
}

// limit adds the row that holds the cost to at most most, and makes the number of sticks the objective. The basis must satisfy it.
func (m *master) limit(most int64) {
	n := m.rows
	wide := make([]float64, (n+1)*(n+1))
	for r := range n {
		copy(wide[r*(n+1):], m.inverse[r*n:(r+1)*n])
	}
	slack := float64(most)
	for r, b := range m.basis {
		c := m.costOf(b)
		slack -= c * m.x[r]
		for k := range n {
			wide[n*(n+1)+k] -= c * m.inverse[r*n+k]
		}
	}
	wide[n*(n+1)+n] = 1
	m.inverse, m.rows, m.limited = wide, n+1, true
	m.basis = append(m.basis, column{stock: -1, row: n, sign: 1})
	m.x = append(m.x, max(0, slack))
}

// costOf is what a column adds to the cost; objective is what it adds to the objective.
func (m *master) costOf(c column) float64 {
	if c.stock < 0 {
		return 0
	}
	return float64(m.p.cost[c.stock])
}

func (m *master) objective(c column) float64 {
	if m.limited && c.stock >= 0 {
		return 1
	}
	return m.costOf(c)
}

// solve runs the simplex method until no filling prices in, or the work is spent. It returns the duals of the pieces and, when
// limited, what one more unit of cost is worth in sticks (>= 0).
func (m *master) solve() (duals []float64, worth float64) {
	for {
		m.steps -= 2 * m.rows * m.rows
		duals = m.duals()
		worth = 0
		if m.limited {
			worth = max(0, -duals[m.rows-1])
		}
		c, ok := m.enter(duals, worth)
		if !ok || m.steps < 0 || !m.pivot(c) {
			return duals[:len(m.p.size)], worth
		}
	}
}

func (m *master) duals() []float64 {
	d := m.scratch[:m.rows]
	clear(d)
	for r, b := range m.basis {
		if c := m.objective(b); c != 0 {
			for k := range d {
				d[k] += c * m.inverse[r*m.rows+k]
			}
		}
	}
	return d
}

// tiny is the reduced cost, as a part of the cost itself, that counts as none. It only ends the simplex method: no bound rests on it.
const tiny = 1e-9

// enter finds a column that gains: the best slack, or the best filling of the first stock that has one.
func (m *master) enter(duals []float64, worth float64) (best column, ok bool) {
	values := make([]int64, len(m.p.size))
	scale := m.p.scale()
	gain := tiny * float64(m.p.cost[0])
	if m.limited {
		gain = tiny
	}
	for i := range values {
		if -duals[i] > gain { // cutting one piece more than needed
			best, ok, gain = column{stock: -1, row: i, sign: -1}, true, -duals[i]
		}
		values[i] = int64(max(0, duals[i]) * scale)
	}
	if m.limited && duals[m.rows-1] > gain {
		best, ok, gain = column{stock: -1, row: m.rows - 1, sign: 1}, true, duals[m.rows-1]
	}
	m.knap.price(values)
	for range m.p.cap {
		price := float64(m.p.cost[m.stock])
		if m.limited {
			price = 1 + worth*price
		}
		v, take, found := m.knap.above(m.p.cap[m.stock], int64((price+gain)*scale))
		m.steps -= m.knap.spent
		if found && float64(v)/scale-price > gain {
			return column{stock: m.stock, take: append([]int(nil), take...)}, true
		}
		m.stock = (m.stock + 1) % len(m.p.cap)
	}
	return best, ok
}

// pivot brings a column into the basis. False when it cannot (numerically singular).
func (m *master) pivot(c column) bool {
	n := m.rows
	step := m.scratch[n : 2*n]
	for r := range n {
		step[r] = m.along(c, r)
	}
	out, least := -1, math.Inf(1)
	for r, s := range step {
		if s < 1e-9 {
			continue
		}
		if q := max(0, m.x[r]) / s; q < least-1e-12 || q < least+1e-12 && s > step[out] {
			out, least = r, q
		}
	}
	if out < 0 {
		return false
	}
	row := m.inverse[out*n : (out+1)*n]
	for k := range row {
		row[k] /= step[out]
	}
	for r, s := range step {
		if r == out || s == 0 {
			continue
		}
		for k := range row {
			m.inverse[r*n+k] -= s * row[k]
		}
		m.x[r] -= s * least
	}
	m.x[out], m.basis[out] = least, c
	return true
}

// along is row r of the inverse times a column.
func (m *master) along(c column, r int) float64 {
	row := m.inverse[r*m.rows : (r+1)*m.rows]
	if c.stock < 0 {
		return row[c.row] * c.sign
	}
	sum := 0.0
	for i, n := range c.take {
		sum += row[i] * float64(n)
	}
	if m.limited {
		sum += row[m.rows-1] * float64(m.p.cost[c.stock])
	}
	return sum
}
