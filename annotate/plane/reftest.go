package plane

import "math"

// ReferenceTest is how one reference agrees with the others. ResPx is observed minus fitted in pixels (without the lens's distortion),
// ResIn the same on the plan in inches. T is the test of both coordinates, chi-square with 2 degrees of freedom when the reference is
// right; TX and TY test a typing error of plan x or y alone, standard normal. Redundancy is the part of its 2 coordinates that the others
// check. MDBX and MDBY are the least typing errors in inches that are noticed with 80 % at a significance of 0.1 % (Baarda, A Testing
// Procedure for Use in Geodetic Networks, 1968; Foerstner & Wrobel 4.6); +Inf when none is.
type ReferenceTest struct {
	ID         string
	ResPx      Pixel
	ResIn      Point
	T, TX, TY  float64
	Redundancy float64
	MDBX, MDBY float64
}

const (
	noncentrality = 4.13 // Baarda's shift for alpha 0.1 %, power 80 %
	unchecked     = 1e-9 // a share of a residual's variance below which nothing checks it
)

// referenceTests judges every reference. With P = S⁻¹ and Qv the residual's covariance, everything is computed in whitened residuals
// e = L⁻¹r, whose covariance W = L⁻¹QvL⁻ᵀ has eigenvalues in [0, 1].
func (e *estimate) referenceTests(ids []string) []ReferenceTest {
	tests := make([]ReferenceTest, len(e.res))
	for i, res := range e.res {
		t := ReferenceTest{ID: ids[i]}
		px := res.r.scale(e.px.scale)
		t.ResPx = Pixel{px[0], px[1]}
		if inverse, ok := res.jx.inverse(); ok {
			in := inverse.apply(res.r).scale(-e.plan.scale)
			t.ResIn = Point{in[0], in[1]}
		}
		e.judge(res, &t)
		tests[i] = t
	}
	return tests
}

func (e *estimate) judge(res residual, t *ReferenceTest) {
	q := spread(res.b, e.sigma, res.b)
	first := lowerSolve(res.l, q.column(0))
	second := lowerSolve(res.l, q.column(1))
	left := mat2{{first[0], second[0]}, {first[1], second[1]}} // L⁻¹ BΣBᵀ
	explained := mat2{lowerSolve(res.l, left[0]), lowerSolve(res.l, left[1])}
	w := identity2(1).add(explained.scale(-1))
	t.Redundancy = w.trace()
	white := lowerSolve(res.l, res.r)
	t.T = generalised(w, white)
	t.TX, t.MDBX = e.typing(res, w, white, 0)
	t.TY, t.MDBY = e.typing(res, w, white, 1)
}

// generalised is vᵀW⁺v of a symmetric W with eigenvalues in [0, 1], leaving out directions that nothing checks.
func generalised(w mat2, v vec2) float64 {
	greater, lesser, angle := w.eigen()
	axis := vec2{math.Cos(angle), math.Sin(angle)}
	var t float64
	if greater > unchecked {
		t += square(axis.dot(v)) / greater
	}
	if lesser > unchecked {
		t += square(axis.cross(v)) / lesser
	}
	return t
}

// typing tests an error of plan coordinate k: with c the whitened effect of one inch, t = -(c.e)/sqrt(cᵀWc).
func (e *estimate) typing(res residual, w mat2, white vec2, k int) (t, least float64) {
	c := lowerSolve(res.l, res.jx.column(k).scale(1/e.plan.scale))
	seen := w.quadratic(c)
	if !(seen > unchecked*c.dot(c)) {
		return 0, math.Inf(1)
	}
	return -c.dot(white) / math.Sqrt(seen), noncentrality / math.Sqrt(seen)
}
