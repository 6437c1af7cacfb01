package plane

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// unknowns are the parameters of one photo: the homography, then λ of the lens, df/f, and the principal point's offset from the middle of
// the picture in half diagonals. A model uses the first 8, 9 or 12 of them.
type unknowns [12]float64

const (
	atLambda = 8
	atFocal  = 9
	atCentre = 10
)

func (t *unknowns) homography() *homography {
	h := homography(t[:8])
	return &h
}

// count is the number of unknowns, priors the number of rows that prior knowledge adds.
func (m Model) count() int {
	switch m {
	case ModelHDK:
		return 12
	case ModelHD:
		return 9
	}
	return 8
}

func (m Model) priors() int {
	switch m {
	case ModelHDK:
		return 6
	case ModelHD:
		return 1
	}
	return 0
}

// observation is one reference: pixels and inches as given, sigmas per axis.
type observation struct {
	pixel, plan vec2
	sp, sx, sy  float64
}

// problem is one photo's fit: what is given, in the units it came in, and the normalisation.
type problem struct {
	obs      []observation
	px, plan similarity
	model    Model
	image    Image
	focal    float64 // pixels, 0 when unknown
	opt      Options

	hypothesis bool // a supposed error is being tried
}

// residual is one reference at some value of the unknowns, in normalised units: observed minus projected; its derivatives by the plan
// point; b = d(projected - undistorted)/d unknowns; its covariance and that one's Cholesky factor.
type residual struct {
	r, x vec2
	jx   mat2
	b    [2][12]float64
	s, l mat2
}

// state is the problem linearised at th; cost is the sum of squares of the whitened residuals with the priors.
type state struct {
	th    unknowns
	res   []residual
	prior []priorRow
	cost  float64
}

// evaluate linearises the problem; false where a reference lies behind the camera or the lens folds over.
func (p *problem) evaluate(th unknowns) (state, bool) {
	st := state{th: th, res: make([]residual, len(p.obs)), prior: p.priorRows(&th)}
	tilt, withZ := p.outOfPlane(&th)
	for i, o := range p.obs {
		res, ok := p.linearise(o, &th)
		if !ok {
			return st, false
		}
		res.s = p.weigh(o, res, tilt, withZ)
		if res.l, ok = res.s.cholesky(); !ok {
			return st, false
		}
		e := lowerSolve(res.l, res.r)
		st.cost += e.dot(e)
		st.res[i] = res
	}
	for _, row := range st.prior {
		st.cost += row.value * row.value
	}
	return st, finite(st.cost)
}

// linearise gives the residual of one reference and its derivatives.
func (p *problem) linearise(o observation, th *unknowns) (residual, bool) {
	h := th.homography()
	x := p.plan.in(o.plan)
	if !(h.depth(x) > least) {
		return residual{}, false
	}
	u := h.project(x)
	ideal, slope, ok := p.ideal(o.pixel, th)
	if !ok {
		return residual{}, false
	}
	res := residual{r: ideal.sub(u), x: x, jx: h.jacobian(x, u)}
	res.b = p.parameterRows(h, x, u, slope)
	return res, true
}

// ideal is the normalised place of a pixel without the lens's distortion, and its derivative by λ.
func (p *problem) ideal(pixel vec2, th *unknowns) (u, slope vec2, ok bool) {
	if p.model == ModelH {
		return p.px.in(pixel), vec2{}, true
	}
	ideal, slope, ok := p.image.undistort(pixel, th[atLambda])
	return p.px.in(ideal), slope.scale(1 / p.px.scale), ok
}

// parameterRows are d(projected - undistorted)/d unknowns at a plan point that projects to u.
func (p *problem) parameterRows(h *homography, x, u, slope vec2) [2][12]float64 {
	var b [2][12]float64
	du, dv := h.derivatives(x, u)
	copy(b[0][:], du[:])
	copy(b[1][:], dv[:])
	b[0][atLambda], b[1][atLambda] = -slope[0], -slope[1]
	return b
}

// weigh is the covariance of a residual: the tap's noise, the tape's carried through the projection at the measured place, and the
// joists' unevenness, which shifts a point away from the camera.
func (p *problem) weigh(o observation, res residual, tilt lean, withZ bool) mat2 {
	s := identity2(square(o.sp / p.px.scale))
	tape := mat2{{square(o.sx / p.plan.scale), 0}, {0, square(o.sy / p.plan.scale)}}
	s = s.add(res.jx.sandwich(tape))
	if withZ {
		s = s.add(res.jx.apply(tilt.at(o.plan).scale(1 / p.plan.scale)).outer())
	}
	return s
}

// lean tells how far a point that hangs off the plane by one SigmaZ seems to lie from its true place.
type lean struct {
	camera vec2    // plan place of the camera, inches
	ratio  float64 // SigmaZ / the camera's distance below the plane
}

func (l lean) at(plan vec2) vec2 { return plan.sub(l.camera).scale(l.ratio) }

// outOfPlane is the lean at some unknowns; false when SigmaZ is 0 or the camera's place cannot be told.
func (p *problem) outOfPlane(th *unknowns) (lean, bool) {
	if p.opt.SigmaZ == 0 || p.focal == 0 {
		return lean{}, false
	}
	view, ok := p.view(th, p.intrinsics(th))
	if !ok {
		return lean{}, false
	}
	return lean{view.centre, p.opt.SigmaZ / view.below}, true
}

func square(x float64) float64 { return x * x }

// estimate is a fitted photo.
type estimate struct {
	*problem
	state
	sigma        *mat.SymDense // covariance of the unknowns, normalised units
	conditioning float64
	iterations   int
}

const (
	maxIterations = 50
	patience      = 12  // iterations that a hypothesis has
	hopelessCost  = 1e3 // over which it is given up then: no number of references on a photo allows that much
	settled       = 1e-12
	shortestStep  = 1e-9 // as a part of a Gauss-Newton step
	rankTolerance = 1e-11
)

// start is the direct linear transformation of some of the references (nil: all), with the other unknowns at 0.
func (p *problem) start(use []int) (unknowns, float64) {
	var plan, picture []vec2
	for i, o := range p.obs {
		if use == nil || slices.Contains(use, i) {
			plan, picture = append(plan, p.plan.in(o.plan)), append(picture, p.px.in(o.pixel))
		}
	}
	h, conditioning := directLinear(plan, picture)
	var th unknowns
	copy(th[:], h[:])
	return th, conditioning
}

// solve runs Gauss-Newton from th (Bjorck, Numerical Methods for Least Squares Problems, 1996, 9.2): the weights follow the unknowns, so
// its fixed point is, to first order, the fit with errors in both photo and plan. A fit to references that contradict each other may not
// settle within maxIterations; it is returned as it stands, and its Omega tells.
func (p *problem) solve(th unknowns) (*estimate, *Error) {
	st, ok := p.evaluate(th)
	if !ok {
		return nil, faultf(CodeOrder, "a reference lies behind the horizon of the plane")
	}
	e := &estimate{problem: p}
	for e.iterations < maxIterations {
		e.iterations++
		step, _, ok := p.step(&st)
		if !ok {
			return nil, faultf(CodeDegenerate, "the references do not determine the photo's plane")
		}
		var moved bool
		if st, moved = p.advance(st, step); !moved || largest(step) < settled || p.hopeless(e.iterations, st.cost) {
			break
		}
	}
	_, r, ok := p.step(&st)
	if !ok {
		return nil, faultf(CodeDegenerate, "the references do not determine the photo's plane")
	}
	e.state, e.sigma = st, inverseGram(r, p.model.count())
	return e, nil
}

// hopeless cuts short the fit of a wrong hypothesis: a right one settles in a few steps.
func (p *problem) hopeless(iterations int, cost float64) bool {
	return p.hypothesis && iterations >= patience && cost > hopelessCost
}

// advance takes the step, halved while a point would fall behind the camera or the cost would jump.
func (p *problem) advance(st state, step []float64) (state, bool) {
	for part := 1.0; part > shortestStep; part /= 2 {
		th := st.th
		for k, d := range step {
			th[k] += part * d
		}
		next, ok := p.evaluate(th)
		if ok && next.cost <= 1.5*st.cost+10 {
			return next, true
		}
	}
	return st, false
}

// step solves the linearised problem by QR and gives the triangular factor with it; false when it is singular.
func (p *problem) step(st *state) ([]float64, *mat.Dense, bool) {
	n := p.model.count()
	a, b := p.system(st)
	var qr mat.QR
	qr.Factorize(a)
	r := new(mat.Dense)
	qr.RTo(r)
	low, high := math.Inf(1), 0.0
	for k := range n {
		d := math.Abs(r.At(k, k))
		low, high = math.Min(low, d), math.Max(high, d)
	}
	if !(low >= rankTolerance*high) || high == 0 {
		return nil, nil, false
	}
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			return nil, nil, false
		}
	}
	return x.RawVector().Data, r, true
}

// inverseGram is R⁻¹R⁻ᵀ of an upper triangular R of n columns: the covariance of the unknowns.
func inverseGram(r mat.Matrix, n int) *mat.SymDense {
	inverse := mat.NewDense(n, n, nil)
	for j := range n {
		inverse.Set(j, j, 1/r.At(j, j))
		for i := j - 1; i >= 0; i-- {
			var sum float64
			for k := i + 1; k <= j; k++ {
				sum += r.At(i, k) * inverse.At(k, j)
			}
			inverse.Set(i, j, -sum/r.At(i, i))
		}
	}
	sigma := mat.NewSymDense(n, nil)
	sigma.SymOuterK(1, inverse)
	return sigma
}

// system stacks the whitened rows: references, then priors.
func (p *problem) system(st *state) (*mat.Dense, *mat.VecDense) {
	n := p.model.count()
	rows := 2*len(st.res) + len(st.prior)
	a, b := mat.NewDense(rows, n, nil), mat.NewVecDense(rows, nil)
	for i, res := range st.res {
		e := lowerSolve(res.l, res.r)
		b.SetVec(2*i, e[0])
		b.SetVec(2*i+1, e[1])
		for k := range n {
			c := lowerSolve(res.l, vec2{res.b[0][k], res.b[1][k]})
			a.Set(2*i, k, c[0])
			a.Set(2*i+1, k, c[1])
		}
	}
	for i, row := range st.prior {
		at := 2*len(st.res) + i
		b.SetVec(at, -row.value)
		for k := range n {
			a.Set(at, k, row.slope[k])
		}
	}
	return a, b
}

func largest(values []float64) float64 {
	var most float64
	for _, v := range values {
		most = math.Max(most, math.Abs(v))
	}
	return most
}
