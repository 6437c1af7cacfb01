package plane

import "math"

// Standard normal quantiles.
const (
	z99  = 2.3263 // 99 %
	z999 = 3.0902 // 99.9 %
)

// chi2Quantile is the quantile of chi-square with k > 0 degrees of freedom for the standard normal quantile z, by the cube root
// approximation (Wilson & Hilferty, Proc. Natl. Acad. Sci. 17, 1931): k (1 - 2/9k + z sqrt(2/9k))³.
func chi2Quantile(k int, z float64) float64 {
	c := 2 / (9 * float64(k))
	t := 1 - c + z*math.Sqrt(c)
	return float64(k) * t * t * t
}
