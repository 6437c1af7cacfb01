package plane

import "math"

// Fused is one position out of several independent ones; Chi2 tells how well they agree, with DOF degrees of freedom.
type Fused struct {
	Position
	Chi2 float64
	DOF  int
}

// Agrees says whether the positions agree: chi-square within its 99 % quantile.
func (f Fused) Agrees() bool { return f.DOF == 0 || f.Chi2 <= chi2Quantile(f.DOF, z99) }

// Fuse is the weighted mean of independent positions of one point: (Σ P)⁻¹ Σ P X with P the inverse covariances (Foerstner & Wrobel 4.1). Only
// for photos that share no reference: with common references it claims too much, and FitBundle is right. Errors: CodeTooFew without a
// position, CodeBadInput for a covariance that has no inverse.
func Fuse(positions []Position) (Fused, error) {
	if len(positions) == 0 {
		return Fused{}, faultf(CodeTooFew, "no position to average")
	}
	var sum mat2
	var right vec2
	weights := make([]mat2, len(positions))
	for i, p := range positions {
		w, ok := mat2(p.Cov).inverse()
		if !ok || !(p.Cov[0][0] > 0) || !(mat2(p.Cov).det() > 0) {
			return Fused{}, faultf(CodeBadInput, "a position without a usable covariance")
		}
		weights[i] = w
		sum = sum.add(w)
		right = right.add(w.apply(vec2{p.X, p.Y}))
	}
	cov, ok := sum.inverse()
	if !ok {
		return Fused{}, faultf(CodeBadInput, "a position without a usable covariance")
	}
	x := cov.apply(right)
	f := Fused{Position: Position{Point: Point{x[0], x[1]}, Cov: Cov(cov)}, DOF: 2 * (len(positions) - 1)}
	for i, p := range positions {
		f.Chi2 += weights[i].quadratic(vec2{p.X, p.Y}.sub(x))
	}
	f.Chi2 = math.Max(0, f.Chi2)
	return f, nil
}
