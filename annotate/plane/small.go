package plane

import "math"

// vec2 is a pair of coordinates, mat2 a 2x2 matrix by rows; which units they have is said where they are used.
type (
	vec2 [2]float64
	mat2 [2][2]float64
)

func (a vec2) add(b vec2) vec2          { return vec2{a[0] + b[0], a[1] + b[1]} }
func (a vec2) sub(b vec2) vec2          { return vec2{a[0] - b[0], a[1] - b[1]} }
func (a vec2) scale(s float64) vec2     { return vec2{s * a[0], s * a[1]} }
func (a vec2) dot(b vec2) float64       { return a[0]*b[0] + a[1]*b[1] }
func (a vec2) cross(b vec2) float64     { return a[0]*b[1] - a[1]*b[0] }
func (a vec2) norm() float64            { return math.Hypot(a[0], a[1]) }
func (a vec2) outer() mat2              { return mat2{{a[0] * a[0], a[0] * a[1]}, {a[0] * a[1], a[1] * a[1]}} }
func (m mat2) add(n mat2) mat2          { return mat2{vec2(m[0]).add(n[0]), vec2(m[1]).add(n[1])} }
func (m mat2) scale(s float64) mat2     { return mat2{vec2(m[0]).scale(s), vec2(m[1]).scale(s)} }
func (m mat2) trace() float64           { return m[0][0] + m[1][1] }
func (m mat2) det() float64             { return m[0][0]*m[1][1] - m[0][1]*m[1][0] }
func (m mat2) transpose() mat2          { return mat2{{m[0][0], m[1][0]}, {m[0][1], m[1][1]}} }
func (m mat2) apply(v vec2) vec2        { return vec2{vec2(m[0]).dot(v), vec2(m[1]).dot(v)} }
func (m mat2) column(k int) vec2        { return vec2{m[0][k], m[1][k]} }
func (m mat2) quadratic(v vec2) float64 { return v.dot(m.apply(v)) }
func identity2(s float64) mat2          { return mat2{{s, 0}, {0, s}} }

func (m mat2) multiply(n mat2) mat2 {
	t := n.transpose()
	return mat2{{vec2(m[0]).dot(t[0]), vec2(m[0]).dot(t[1])}, {vec2(m[1]).dot(t[0]), vec2(m[1]).dot(t[1])}}
}

// inverse is false when the determinant is zero or not finite.
func (m mat2) inverse() (mat2, bool) {
	d := m.det()
	if d == 0 || math.IsNaN(d) || math.IsInf(d, 0) {
		return mat2{}, false
	}
	return mat2{{m[1][1] / d, -m[0][1] / d}, {-m[1][0] / d, m[0][0] / d}}, true
}

// sandwich is m s mᵀ.
func (m mat2) sandwich(s mat2) mat2 { return m.multiply(s).multiply(m.transpose()) }

// cholesky is the lower factor of a symmetric positive definite matrix; false when it is not.
func (m mat2) cholesky() (mat2, bool) {
	if !(m[0][0] > 0) {
		return mat2{}, false
	}
	a := math.Sqrt(m[0][0])
	b := m[1][0] / a
	c := m[1][1] - b*b
	if !(c > 0) || math.IsInf(m[0][0], 0) || math.IsInf(c, 0) {
		return mat2{}, false
	}
	return mat2{{a, 0}, {b, math.Sqrt(c)}}, true
}

// lowerSolve is l⁻¹v for a lower factor l.
func lowerSolve(l mat2, v vec2) vec2 {
	x := v[0] / l[0][0]
	return vec2{x, (v[1] - l[1][0]*x) / l[1][1]}
}

// eigen gives the eigenvalues of a symmetric matrix, the greater first, and the direction of the greater in radians, in [0, π).
func (m mat2) eigen() (greater, lesser, angle float64) {
	mean, half := m.trace()/2, (m[0][0]-m[1][1])/2
	r := math.Hypot(half, m[0][1])
	angle = math.Atan2(m[0][1], half) / 2
	if angle < 0 {
		angle += math.Pi
	}
	return mean + r, mean - r, angle
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
