package plane

import "math"

// Focal compares two focal lengths in pixels: Exif's, 0 when unknown, and that of the homography alone with its standard deviation, both 0
// when the references do not tell it, as in a view from straight below.
type Focal struct{ Exif, FromH, Sigma float64 }

// focalFromH solves for the focal length from the homography alone: with square pixels and principal point c, the two conditions of
// Hartley & Zisserman 8.5.2 are linear in 1/f². Their least-squares solution is 1/f² = -(a.c)/(a.a). False when it is not positive.
func (e *estimate) focalFromH(h *homography, principal vec2) (float64, bool) {
	m := e.px.middle.sub(principal)
	column := func(x, y, z float64) [3]float64 { return [3]float64{e.px.scale*x + m[0]*z, e.px.scale*y + m[1]*z, z} }
	p, q := column(h[0], h[3], h[6]), column(h[1], h[4], h[7])
	a := vec2{p[0]*q[0] + p[1]*q[1], (p[0]*p[0] + p[1]*p[1] - q[0]*q[0] - q[1]*q[1]) / 2}
	c := vec2{p[2] * q[2], (p[2]*p[2] - q[2]*q[2]) / 2}
	inverse := -a.dot(c) / a.dot(a)
	if !(inverse > 0) {
		return 0, false
	}
	f := 1 / math.Sqrt(inverse)
	return f, finite(f)
}

// focalCheck is the focal length of a fit made without K, its sigma by central differences over the homography and the principal point.
func (e *estimate) focalCheck() Focal {
	out := Focal{Exif: e.focal}
	f, ok := e.focalFromH(e.th.homography(), e.image.centre())
	if !ok {
		return out
	}
	var slopes [8]float64
	for k := range slopes {
		up, down := *e.th.homography(), *e.th.homography()
		up[k] += differenceStep
		down[k] -= differenceStep
		d, ok := e.focalDifference(&up, &down, e.image.centre(), e.image.centre())
		if !ok {
			return out
		}
		slopes[k] = d / (2 * differenceStep)
	}
	var variance float64
	for i, a := range slopes {
		for j, b := range slopes {
			variance += a * e.sigma.At(i, j) * b
		}
	}
	step := differenceStep * e.image.halfDiagonal()
	for _, axis := range []vec2{{step, 0}, {0, step}} {
		d, ok := e.focalDifference(e.th.homography(), e.th.homography(), e.image.centre().add(axis), e.image.centre().sub(axis))
		if !ok {
			return out
		}
		variance += square(d / (2 * step) * e.opt.SigmaPP * e.image.Width)
	}
	out.FromH, out.Sigma = f, math.Sqrt(variance)
	return out
}

func (e *estimate) focalDifference(h1, h2 *homography, c1, c2 vec2) (float64, bool) {
	a, ok1 := e.focalFromH(h1, c1)
	b, ok2 := e.focalFromH(h2, c2)
	return a - b, ok1 && ok2
}

// contradicts says whether the two differ beyond doubt: the references tell f to better than 15 %, and the logarithm of the ratio is over 3
// sigmas of the difference.
func (f *Focal) contradicts(sigmaF float64) bool {
	if f.Exif == 0 || f.FromH == 0 {
		return false
	}
	relative := f.Sigma / f.FromH
	return relative < 0.15 && math.Abs(math.Log(f.FromH/f.Exif)) > 3*math.Hypot(relative, sigmaF)
}
