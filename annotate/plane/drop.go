package plane

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Pins on things that hang below the joists' bottoms seem to lie further from the camera than they are: a thing at X that hangs d below the
// plane appears at X + (X - C) d/(h - d), with the camera at C, h below the plane (similar triangles; our own worked derivation).

// Hanging is the true plan place of a thing that hangs drop inches below the plane and appears at a place on it: X_app - (X_app - C) d/h. The
// pose's X, Y and Below are used.
func Hanging(apparent Point, camera Pose, drop float64) Point {
	k := drop / camera.Below
	return Point{apparent.X - (apparent.X-camera.X)*k, apparent.Y - (apparent.Y-camera.Y)*k}
}

// Apparent is the inverse of Hanging: where a thing that hangs drop inches below the plane seems to lie on it. drop must be less than the
// camera's distance below the plane.
func Apparent(at Point, camera Pose, drop float64) Point {
	k := drop / (camera.Below - drop)
	return Point{at.X + (at.X-camera.X)*k, at.Y + (at.Y-camera.Y)*k}
}

// LocateHanging is Locate for a pin on something drop inches below the plane, known to sigmaDrop. The camera's uncertainty is added, with its
// correlation to the pin's. Errors as of Locate, codeNoPose when the camera's place is not known, CodeBadInput for a drop that does not lie
// between the plane and the camera.
func (p *Photo) LocateHanging(t Tap, drop, sigmaDrop float64) (Position, error) {
	apparent, err := p.Locate(t)
	if err != nil || drop == 0 && sigmaDrop == 0 {
		return apparent, err
	}
	if p.ScaleOnly || p.Pose == nil {
		return Position{}, faultf(codeNoPose, "%s", codeNoPose.Advice())
	}
	if !(drop > -p.Pose.Below && drop < p.Pose.Below) || !(sigmaDrop >= 0) || math.IsInf(sigmaDrop, 0) {
		return Position{}, faultf(CodeBadInput, "a drop of %g ± %g in does not fit a camera %.1f in below the joists", drop, sigmaDrop, p.Pose.Below)
	}
	l, err := p.usable(t)
	if err != nil {
		return Position{}, err
	}
	slopes, ok := p.fit.poseSlopes()
	if !ok {
		return Position{}, faultf(codeNoPose, "%s", codeNoPose.Advice())
	}
	out := apparent
	out.Point = Hanging(apparent.Point, *p.Pose, drop)
	out.Cov = Cov(p.hangingCov(l, slopes, drop, sigmaDrop))
	return out, nil
}

// hangingCov propagates through X = (1-k) X_app + k C, k = d/h: the tap and the joists by (1-k)², the unknowns through pin and camera at once.
func (p *Photo) hangingCov(l located, slopes [][5]float64, drop, sigmaDrop float64) mat2 {
	h := p.Pose.Below
	k := drop / h
	away := l.at.sub(vec2{p.Pose.X, p.Pose.Y})
	var m [2][12]float64
	for i := range m {
		for j := range m[i] {
			m[i][j] = -(1-k)*p.fit.plan.scale*l.m[i][j] + k*slopes[j][i] + away[i]*k/h*slopes[j][2]
		}
	}
	own := l.tap.scale(square(p.fit.plan.scale)).add(l.uneven.outer()).scale(square(1 - k))
	cov := own.add(spread(m, p.fit.inputCovariance(), m)).scale(p.CovScale)
	return cov.add(away.outer().scale(square(sigmaDrop / h)))
}

// Drop is how far below the plane a thing hangs whose plan place is known, in inches with its standard deviation; Sideways is how far its pin
// lies to the left of the line from the camera to that place, which must be about 0, or the pin is on another thing.
type Drop struct{ Inches, Sigma, Sideways, SidewaysSigma float64 }

// WrongThing says that the pin lies too far to the side for the thing it was taken for: over 3 sigmas.
func (d Drop) WrongThing() bool { return math.Abs(d.Sideways) > 3*d.SidewaysSigma }

// DropFromPlan finds the drop of a thing that appears at a pin's position and is known to be at a plan place: with e the direction from the
// camera to the apparent place and r their distance, d = h (1 - (X - C).e/r), sigma_d = (h/r) sqrt(e.(Σ_app + Σ_X)e). The error is codeNoPose
// when the thing appears straight above the camera.
func DropFromPlan(apparent Position, camera Pose, known Position) (Drop, error) {
	c := vec2{camera.X, camera.Y}
	way := vec2{apparent.X, apparent.Y}.sub(c)
	r := way.norm()
	if !(r > 0) || !(camera.Below > 0) {
		return Drop{}, faultf(codeNoPose, "the thing appears straight above the camera, where its drop cannot be seen")
	}
	e := way.scale(1 / r)
	left := vec2{-e[1], e[0]}
	x := vec2{known.X, known.Y}.sub(c)
	along := mat2(apparent.Cov).add(mat2(known.Cov))
	across := mat2(apparent.Cov).scale(square(x.norm() / r)).add(mat2(known.Cov))
	return Drop{
		Inches:        camera.Below * (1 - x.dot(e)/r),
		Sigma:         camera.Below / r * math.Sqrt(along.quadratic(e)),
		Sideways:      -e.cross(x),
		SidewaysSigma: math.Sqrt(across.quadratic(left)),
	}, nil
}

// Sight is one photo's view of a thing: where the camera was, and where the thing appears on the plane.
type Sight struct {
	Camera   Pose
	Apparent Position
}

// Triangulated is a thing seen from two or more places: its plan position, its drop in inches with sigma, and the misfit, chi-square with DOF
// degrees of freedom.
type Triangulated struct {
	Position
	Drop, SigmaDrop float64
	Chi2            float64
	DOF             int
}

// Triangulate finds plan position and drop of one thing seen in two or more photos: for each, X - d (C - X_app)/h = X_app, linear in X and d,
// weighted by the apparent positions' covariances. The cameras' own uncertainty is not in it. The error is CodeWeakNetwork when the photos
// were taken from about one place, CodeTooFew for fewer than 2.
func Triangulate(sights []Sight) (Triangulated, error) {
	if len(sights) < 2 {
		return Triangulated{}, faultf(CodeTooFew, "a drop needs two photos or more")
	}
	normal, right := mat.NewSymDense(3, nil), mat.NewVecDense(3, nil)
	for _, s := range sights {
		weight, rows, ok := s.equation()
		if !ok {
			return Triangulated{}, faultf(CodeBadInput, "a position without a usable covariance")
		}
		at := weight.apply(vec2{s.Apparent.X, s.Apparent.Y})
		for i := range 3 {
			right.SetVec(i, right.AtVec(i)+rows[i].dot(at))
			for j := i; j < 3; j++ {
				normal.SetSym(i, j, normal.At(i, j)+rows[i].dot(weight.apply(rows[j])))
			}
		}
	}
	var chol mat.Cholesky
	var x mat.VecDense
	if !chol.Factorize(normal) || chol.Cond() > 1e12 || chol.SolveVecTo(&x, right) != nil {
		return Triangulated{}, faultf(CodeWeakNetwork, "the photos were taken from about one place")
	}
	var cov mat.SymDense
	if err := chol.InverseTo(&cov); err != nil {
		return Triangulated{}, faultf(CodeWeakNetwork, "the photos were taken from about one place")
	}
	t := Triangulated{Drop: x.AtVec(2), SigmaDrop: math.Sqrt(cov.At(2, 2)), DOF: 2*len(sights) - 3}
	t.Point = Point{x.AtVec(0), x.AtVec(1)}
	t.Cov = Cov{{cov.At(0, 0), cov.At(0, 1)}, {cov.At(1, 0), cov.At(1, 1)}}
	for _, s := range sights {
		weight, rows, _ := s.equation()
		e := vec2{t.X, t.Y}.add(rows[2].scale(t.Drop)).sub(vec2{s.Apparent.X, s.Apparent.Y})
		t.Chi2 += weight.quadratic(e)
	}
	return t, nil
}

// equation is the weight of one sight and the columns of its two equations.
func (s Sight) equation() (weight mat2, columns [3]vec2, ok bool) {
	weight, ok = mat2(s.Apparent.Cov).inverse()
	away := vec2{s.Apparent.X - s.Camera.X, s.Apparent.Y - s.Camera.Y}.scale(1 / s.Camera.Below)
	return weight, [3]vec2{{1, 0}, {0, 1}, away}, ok && s.Camera.Below > 0 && finite(away[0], away[1])
}
