package plane

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// The unknowns of a network stand in one vector: 8 for each photo, 2 for each point, then the lens of each camera.

func (n *network) pointAt(i int) int { return 8*len(n.photos) + 2*i }

func (n *network) cameraAt(c int) int {
	return 8*len(n.photos) + 2*len(n.ids) + c*(n.model.count()-8)
}

func (n *network) size() int { return n.cameraAt(len(n.cameras)) }

// unknowns are those of one photo.
func (n *network) unknowns(x []float64, k int) unknowns {
	var th unknowns
	copy(th[:8], x[8*k:])
	at := n.cameraAt(n.camera[k])
	copy(th[8:n.model.count()], x[at:])
	return th
}

// place is a point's place in inches.
func (n *network) place(x []float64, i int) vec2 {
	at := n.pointAt(i)
	return n.frame.out(vec2{x[at], x[at+1]})
}

// normal gathers the normal equations N dx = g row by row, the sum of squares and the number of rows, and the Cholesky factor of each tap's
// covariance in order. The covariance depends on the unknowns when joists are uneven; steps are judged with it held, or near the solution the
// cost would rise on the way to it.
type normal struct {
	n       *mat.SymDense
	g       *mat.VecDense
	cost    float64
	rows    int
	weights []mat2
	held    bool
}

// entry is one coefficient of a row.
type entry struct {
	at    int
	value float64
}

// add takes a row: value is what should be 0, in sigmas, row its derivatives.
func (m *normal) add(value float64, row []entry) {
	m.cost += value * value
	m.rows++
	for i, a := range row {
		m.g.SetVec(a.at, m.g.AtVec(a.at)-a.value*value)
		for _, b := range row[i:] {
			m.n.SetSym(a.at, b.at, m.n.At(a.at, b.at)+a.value*b.value)
		}
	}
}

// build linearises the whole network, with the weights of another linearisation unless held is nil; false where a point lies behind a photo.
func (n *network) build(x []float64, held *normal) (*normal, bool) {
	m := &normal{n: mat.NewSymDense(len(x), nil), g: mat.NewVecDense(len(x), nil)}
	if held != nil {
		m.weights, m.held = held.weights, true
	}
	tap := 0
	for k := range n.photos {
		if !n.addTaps(m, x, k, tap) {
			return nil, false
		}
		tap += len(n.taps[k])
		n.addSquare(m, x, k)
	}
	for c := range n.cameras {
		n.addLens(m, x, c)
	}
	for i, id := range n.ids {
		k, measured := n.known[id]
		if !measured {
			continue
		}
		at, p := n.pointAt(i), n.place(x, i)
		m.add((p[0]-k.Plan.X)/k.SigmaIn, []entry{{at, n.frame.scale / k.SigmaIn}})
		m.add((p[1]-k.Plan.Y)/k.SigmaIn, []entry{{at + 1, n.frame.scale / k.SigmaIn}})
	}
	n.addTies(m, x)
	return m, finite(m.cost)
}

// addTaps adds the pixel residuals of one photo, whose first tap has the number first.
func (n *network) addTaps(m *normal, x []float64, k, first int) bool {
	p, th := n.photos[k], n.unknowns(x, k)
	tilt, withZ := p.outOfPlane(&th)
	for i, t := range n.taps[k] {
		o := observation{pixel: t.pixel, plan: n.place(x, t.point), sp: t.sp}
		res, ok := p.linearise(o, &th)
		if !ok {
			return false
		}
		if !m.held {
			l, ok := p.weigh(o, res, tilt, withZ).cholesky()
			if !ok {
				return false
			}
			m.weights = append(m.weights, l)
		}
		l := m.weights[first+i]
		e := lowerSolve(l, res.r)
		rows := [2][]entry{}
		put := func(at int, d vec2) {
			w := lowerSolve(l, d)
			for i := range rows {
				rows[i] = append(rows[i], entry{at, -w[i]})
			}
		}
		for j := range n.model.count() {
			put(n.unknownAt(k, j), vec2{res.b[0][j], res.b[1][j]})
		}
		for j := range 2 {
			put(n.pointAt(t.point)+j, res.jx.column(j).scale(n.frame.scale/p.plan.scale))
		}
		m.add(e[0], rows[0])
		m.add(e[1], rows[1])
	}
	return true
}

// unknownAt is the index of photo k's unknown j in the vector.
func (n *network) unknownAt(k, j int) int {
	if j < 8 {
		return 8*k + j
	}
	return n.cameraAt(n.camera[k]) + j - 8
}

// addSquare adds the conditions of square pixels of one photo.
func (n *network) addSquare(m *normal, x []float64, k int) {
	if n.model != ModelHDK {
		return
	}
	p, th := n.photos[k], n.unknowns(x, k)
	for _, c := range p.squareRows(&th, p.intrinsics(&th)) {
		var row []entry
		for j, d := range c.slope {
			row = append(row, entry{n.unknownAt(k, j), d / n.squareTo})
		}
		m.add(c.value/n.squareTo, row)
	}
}

// addLens adds the prior knowledge of one camera.
func (n *network) addLens(m *normal, x []float64, c int) {
	if n.model == ModelH {
		return
	}
	sigmas := []float64{n.opt.SigmaLambda}
	if n.model == ModelHDK {
		centre := n.opt.SigmaPP * n.cameras[c].Width / n.cameras[c].halfDiagonal()
		sigmas = append(sigmas, n.opt.focalSigma(n.cameras[c]), centre, centre)
	}
	for j, sigma := range sigmas {
		at := n.cameraAt(c) + j
		m.add(x[at]/sigma, []entry{{at, 1 / sigma}})
	}
}

// addTies adds what is known of pairs of points.
func (n *network) addTies(m *normal, x []float64) {
	way := func(t Tie) vec2 { return n.place(x, n.index[t.B]).sub(n.place(x, n.index[t.A])) }
	for _, t := range n.in.SameX {
		n.addTie(m, t, vec2{1, 0}, way(t)[0])
	}
	for _, t := range n.in.SameY {
		n.addTie(m, t, vec2{0, 1}, way(t)[1])
	}
	for _, t := range n.in.Dist {
		w := way(t)
		if length := w.norm(); length > 0 {
			n.addTie(m, t, w.scale(1/length), length-t.Inches)
		}
	}
}

// addTie adds one: value should be 0 and grows along unit as B moves away from A.
func (n *network) addTie(m *normal, t Tie, unit vec2, value float64) {
	a, b, s := n.pointAt(n.index[t.A]), n.pointAt(n.index[t.B]), n.frame.scale/t.SigmaIn
	m.add(value/t.SigmaIn, []entry{{a, -unit[0] * s}, {a + 1, -unit[1] * s}, {b, unit[0] * s}, {b + 1, unit[1] * s}})
}

// solution is an adjusted network.
type solution struct {
	x          []float64
	cov        *mat.SymDense
	cost       float64
	rows       int
	iterations int
}

const (
	bundleIterations = 60
	bundleSettled    = 1e-9
	stageIterations  = 12
	firstDamping     = 1e-6
)

// stages are the tolerances of the conditions of square pixels, loose at first: the linear starts do not meet them.
func (n *network) stages() []float64 {
	if n.model != ModelHDK {
		return []float64{squareTolerance}
	}
	return []float64{0.3, 0.03, 0.005, squareTolerance}
}

// adjust minimises by damped Gauss-Newton (Levenberg and Marquardt; Bjorck 9.2.2).
func (n *network) adjust(x []float64) (*solution, *Error) {
	s := &solution{x: x}
	stages := n.stages()
	for i, tolerance := range stages {
		n.squareTo = tolerance
		limit := bundleIterations
		if i < len(stages)-1 {
			limit = s.iterations + stageIterations
		}
		done, err := n.descend(s, limit)
		if err != nil {
			return nil, err
		}
		if !done && i == len(stages)-1 {
			return nil, faultf(CodeWeakNetwork, "the photos do not settle to one plan: check the points they share, and the references")
		}
	}
	m, ok := n.build(s.x, nil)
	var chol mat.Cholesky
	s.cov = new(mat.SymDense)
	if !ok || !chol.Factorize(m.n) || chol.InverseTo(s.cov) != nil {
		return nil, faultf(CodeWeakNetwork, "the photos do not hold together")
	}
	s.cost, s.rows = m.cost, m.rows
	return s, nil
}

// descend improves s until it settles, or s.iterations reaches limit.
func (n *network) descend(s *solution, limit int) (settled bool, err *Error) {
	m, ok := n.build(s.x, nil)
	if !ok {
		return false, faultf(CodeOrder, "a point would lie behind the horizon on a photo: two points seem swapped")
	}
	damping := firstDamping
	for s.iterations < limit {
		s.iterations++
		step, ok := m.solve(damping)
		if !ok {
			damping = math.Max(damping*100, 1e-9)
			continue
		}
		next := make([]float64, len(s.x))
		for i := range next {
			next[i] = s.x[i] + step[i]
		}
		better, ok := n.build(next, m)
		if !ok || better.cost > m.cost*(1+1e-9)+1e-9 {
			damping *= 100
			continue
		}
		s.x = next
		if m, ok = n.build(next, nil); !ok {
			return false, faultf(CodeWeakNetwork, "the photos do not hold together")
		}
		if largest(step) < bundleSettled && damping < 1 {
			return true, nil
		}
		damping /= 10
	}
	return false, nil
}

// solve is the damped step, its diagonal scaled as Marquardt proposed.
func (m *normal) solve(damping float64) ([]float64, bool) {
	size := m.n.SymmetricDim()
	a := mat.NewSymDense(size, nil)
	a.CopySym(m.n)
	for i := range size {
		d := m.n.At(i, i)
		if !(d > 0) {
			return nil, false
		}
		a.SetSym(i, i, d*(1+damping))
	}
	var chol mat.Cholesky
	if !chol.Factorize(a) {
		return nil, false
	}
	var step mat.VecDense
	if err := chol.SolveVecTo(&step, m.g); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			return nil, false
		}
	}
	values := step.RawVector().Data
	return values, finite(values...)
}
