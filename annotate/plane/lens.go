package plane

import "math"

// undistort takes a pixel to where an ideal lens would have put it: p_u = c + d/(1 + λ q), d = p - c, q = |d|²/R², with R the half diagonal
// (the division model of Fitzgibbon, CVPR 2001). slope is d p_u / dλ in pixels. It is false where the model folds over.
func (i Image) undistort(p vec2, lambda float64) (ideal, slope vec2, ok bool) {
	d := p.sub(i.centre())
	r := i.halfDiagonal()
	q := d.dot(d) / (r * r)
	s := 1 + lambda*q
	if !(s > 0) {
		return vec2{}, vec2{}, false
	}
	return i.centre().add(d.scale(1 / s)), d.scale(-q / (s * s)), true
}

// distort is the inverse of undistort: the d with d/(1 + λ q(d)) = the ideal offset e. With ρ = |e|/R the factor k, d = k e, solves
// λρ² k² - k + 1 = 0; the root that is 1 without a lens is k = 2/(1 + sqrt(1 - 4λρ²)). False where no pixel has this ideal place.
func (i Image) distort(ideal vec2, lambda float64) (vec2, bool) {
	e := ideal.sub(i.centre())
	r := i.halfDiagonal()
	under := 1 - 4*lambda*e.dot(e)/(r*r)
	if !(under >= 0) {
		return vec2{}, false
	}
	return i.centre().add(e.scale(2 / (1 + math.Sqrt(under)))), true
}
