package plane

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Pose is where the camera stood and looked: X, Y on the plan and Below the joist plane in inches; Heading of the view axis in degrees
// from plan x towards plan y; Elevation of the axis above the horizontal in degrees. Cov is their covariance in this order, with the two
// angles in radians: inches², inch radians, radians².
type Pose struct {
	X, Y, Below        float64
	Heading, Elevation float64
	Cov                [5][5]float64
}

// view is a pose in the units of the fit: centre in inches on the plan, below in inches, the view axis in plan directions.
type view struct {
	centre vec2
	below  float64
	axis   [3]float64
}

// view takes the homography apart. With B = [b1 b2] and A = BᵀB, the nearest matrix with orthonormal columns is B A^(-1/2), and the square
// root of a 2x2 matrix is (A + sqrt(det A) I)/sqrt(tr A + 2 sqrt(det A)) by Cayley-Hamilton (polar decomposition: Higham, Functions of
// Matrices, 2008, ch. 8; decomposition of a plane's homography: Hartley & Zisserman 8.1.1). False when the columns are dependent.
func (p *problem) view(th *unknowns, k intrinsics) (view, bool) {
	b1, b2, b3 := p.rays(th.homography(), k)
	a := mat2{{dot3(b1, b1), dot3(b1, b2)}, {dot3(b1, b2), dot3(b2, b2)}}
	d := math.Sqrt(math.Max(a.det(), 0))
	tau := math.Sqrt(a.trace() + 2*d)
	root, ok := a.add(identity2(d)).scale(1 / tau).inverse()
	if !ok || d == 0 {
		return view{}, false
	}
	r1 := add3(b1, root[0][0], b2, root[1][0])
	r2 := add3(b1, root[0][1], b2, root[1][1])
	r3 := cross3(r1, r2)
	mu := tau / 2
	t := add3(b3, 1/mu, b3, 0)
	c := [3]float64{-dot3(r1, t), -dot3(r2, t), -dot3(r3, t)}
	v := view{
		centre: p.plan.out(vec2{c[0], c[1]}),
		below:  p.plan.scale * math.Abs(c[2]),
		axis:   [3]float64{r1[2], r2[2], r3[2]},
	}
	return v, v.below > 0 && finite(v.centre[0], v.centre[1], v.below)
}

// values are the pose's five figures, angles in radians.
func (v view) values() [5]float64 {
	return [5]float64{v.centre[0], v.centre[1], v.below, math.Atan2(v.axis[1], v.axis[0]), math.Asin(math.Min(1, math.Abs(v.axis[2])))}
}

// differenceStep is the step of central differences in normalised unknowns.
const differenceStep = 1e-6

// poseSlopes are d pose / d unknowns by central differences: the model's unknowns first, and, when the model has no K, also df/f and the
// principal point, whose variances are then the priors' (see inputCovariance).
func (e *estimate) poseSlopes() ([][5]float64, bool) {
	slopes := make([][5]float64, 12)
	for k := range slopes {
		up, ok1 := e.shiftedView(k, differenceStep)
		down, ok2 := e.shiftedView(k, -differenceStep)
		if !ok1 || !ok2 {
			return nil, false
		}
		a, b := up.values(), down.values()
		for i := range a {
			d := a[i] - b[i]
			if i == 3 {
				d = math.Remainder(d, 2*math.Pi)
			}
			slopes[k][i] = d / (2 * differenceStep)
		}
	}
	return slopes, true
}

// shiftedView is the view with one unknown moved, whether the model has it or not.
func (e *estimate) shiftedView(k int, by float64) (view, bool) {
	th := e.th
	if e.model != ModelHDK {
		th[atFocal], th[atCentre], th[atCentre+1] = 0, 0, 0
	}
	th[k] += by
	with := *e.problem
	with.model = ModelHDK // so that the intrinsics follow the unknowns
	return with.view(&th, with.intrinsics(&th))
}

// inputCovariance is the covariance of all 12 unknowns: the fit's for those of the model, and the priors' for K where the model has none.
func (e *estimate) inputCovariance() *mat.SymDense {
	full := mat.NewSymDense(12, nil)
	n := e.model.count()
	for i := range n {
		for j := i; j < n; j++ {
			full.SetSym(i, j, e.sigma.At(i, j))
		}
	}
	if e.model != ModelHDK {
		centre := e.opt.SigmaPP * e.image.Width / e.image.halfDiagonal()
		full.SetSym(atFocal, atFocal, square(e.opt.SigmaF))
		full.SetSym(atCentre, atCentre, square(centre))
		full.SetSym(atCentre+1, atCentre+1, square(centre))
	}
	return full
}

// pose is the camera's place with covariance; nil when the focal length is not known.
func (e *estimate) pose() *Pose {
	if e.focal == 0 {
		return nil
	}
	v, ok := e.view(&e.th, e.intrinsics(&e.th))
	if !ok {
		return nil
	}
	slopes, ok := e.poseSlopes()
	if !ok {
		return nil
	}
	x := v.values()
	p := &Pose{X: x[0], Y: x[1], Below: x[2], Heading: x[3] * 180 / math.Pi, Elevation: x[4] * 180 / math.Pi}
	sigma := e.inputCovariance()
	for i := range 5 {
		for j := range 5 {
			for a := range 12 {
				for b := range 12 {
					p.Cov[i][j] += slopes[a][i] * sigma.At(a, b) * slopes[b][j]
				}
			}
		}
	}
	return p
}

// Ellipse95 is the 95 % region of where the camera stood on the plan.
func (p Pose) Ellipse95() Ellipse {
	return Cov{{p.Cov[0][0], p.Cov[0][1]}, {p.Cov[1][0], p.Cov[1][1]}}.Ellipse95()
}
