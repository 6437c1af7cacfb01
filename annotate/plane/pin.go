package plane

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// located is a pin in normalised units, before any scaling of its covariance.
type located struct {
	x, at     vec2 // normalised plan, inches
	depth     float64
	m         [2][12]float64 // -d x / d unknowns
	tap, refs mat2           // normalised plan units squared
	uneven    vec2           // inches: one SigmaZ out of plane
	relW      float64
}

// locate carries a tap to the plan: x = H⁻¹p, and by the implicit function theorem dx = J⁻¹(dp - B dθ), so that the covariance is the tap's
// through J⁻¹ and the fit's through M = J⁻¹B (Foerstner & Wrobel 2.7, propagation through implicit functions).
func (e *estimate) locate(pixel vec2, sp float64) (located, *Error) {
	h := e.th.homography()
	ideal, slope, ok := e.ideal(pixel, &e.th)
	if !ok {
		return located{}, faultf(CodeHorizon, "pin is beyond what the lens model holds")
	}
	x, ok := h.backProject(ideal)
	if !ok {
		return located{}, faultf(CodeHorizon, "pin is beyond the horizon of the plane")
	}
	inverse, ok := h.jacobian(x, ideal).inverse()
	if !ok {
		return located{}, faultf(CodeHorizon, "pin is beyond the horizon of the plane")
	}
	b := e.parameterRows(h, x, ideal, slope)
	l := located{x: x, at: e.plan.out(x), depth: h.depth(x)}
	for k := range b[0] {
		c := inverse.apply(vec2{b[0][k], b[1][k]})
		l.m[0][k], l.m[1][k] = c[0], c[1]
	}
	l.tap = inverse.sandwich(identity2(square(sp / e.px.scale)))
	l.refs = spread(l.m, e.sigma, l.m)
	if tilt, with := e.outOfPlane(&e.th); with {
		l.uneven = tilt.at(l.at)
	}
	g := vec2{h[6], h[7]}.scale(1 / l.depth)
	l.relW = math.Sqrt(math.Max(0, l.cov(1/square(e.plan.scale), 1).quadratic(g)))
	if !finite(l.at[0], l.at[1], l.relW) {
		return located{}, faultf(CodeHorizon, "pin is beyond the horizon of the plane")
	}
	return l, nil
}

// cov is the covariance: uneven is the factor from inches² to the units wanted, fit that from normalised units.
func (l located) cov(uneven, fit float64) mat2 {
	return l.tap.add(l.refs).scale(fit).add(l.uneven.outer().scale(uneven))
}

// spread is a Σ bᵀ for two rows each.
func spread(a [2][12]float64, sigma *mat.SymDense, b [2][12]float64) mat2 {
	var out mat2
	n := sigma.SymmetricDim()
	for i := range 2 {
		for j := range 2 {
			for k := range n {
				for l := range n {
					out[i][j] += a[i][k] * sigma.At(k, l) * b[j][l]
				}
			}
		}
	}
	return out
}
