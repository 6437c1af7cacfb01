package plane

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// similarity is Hartley's normalisation (Hartley & Zisserman, Multiple View Geometry, 2nd ed., 4.4.4): middle to the origin, mean distance
// to sqrt 2.
type similarity struct {
	middle vec2
	scale  float64 // units of the outside per normalised unit
}

// normalise is the similarity of some points; scale is 0 when they coincide.
func normalise(points []vec2) similarity {
	var s similarity
	for _, p := range points {
		s.middle = s.middle.add(p)
	}
	s.middle = s.middle.scale(1 / float64(len(points)))
	for _, p := range points {
		s.scale += p.sub(s.middle).norm()
	}
	s.scale /= float64(len(points)) * math.Sqrt2
	return s
}

func (s similarity) in(p vec2) vec2  { return p.sub(s.middle).scale(1 / s.scale) }
func (s similarity) out(p vec2) vec2 { return p.scale(s.scale).add(s.middle) }

// homography maps normalised plan to normalised picture; the last element is fixed at 1, which is safe because the plan's origin is the
// middle of the references, where w is the mean of theirs.
type homography [8]float64

// least is the w at or under which a point counts as behind the camera.
const least = 1e-6

// depth is w at a plan point: its distance along the view axis as a part of that at the references' middle.
func (h *homography) depth(x vec2) float64 { return h[6]*x[0] + h[7]*x[1] + 1 }

func (h *homography) project(x vec2) vec2 {
	w := h.depth(x)
	return vec2{(h[0]*x[0] + h[1]*x[1] + h[2]) / w, (h[3]*x[0] + h[4]*x[1] + h[5]) / w}
}

// jacobian is d project / d plan, given the projected point.
func (h *homography) jacobian(x, u vec2) mat2 {
	w := h.depth(x)
	return mat2{{(h[0] - u[0]*h[6]) / w, (h[1] - u[0]*h[7]) / w}, {(h[3] - u[1]*h[6]) / w, (h[4] - u[1]*h[7]) / w}}
}

// derivatives are the two rows of d project / d h, given the projected point.
func (h *homography) derivatives(x, u vec2) (du, dv [8]float64) {
	w := h.depth(x)
	a, b, c := x[0]/w, x[1]/w, 1/w
	return [8]float64{a, b, c, 0, 0, 0, -u[0] * a, -u[0] * b}, [8]float64{0, 0, 0, a, b, c, -u[1] * a, -u[1] * b}
}

// matrix is the 3x3 form.
func (h *homography) matrix() matrix3 {
	return matrix3{{h[0], h[1], h[2]}, {h[3], h[4], h[5]}, {h[6], h[7], 1}}
}

// backProject is the plan point of a picture point; false at or beyond the horizon, where the third coordinate is 1e-9 or less.
func (h *homography) backProject(u vec2) (vec2, bool) {
	m := h.matrix()
	g := m.adjugate().apply(u)
	d := m.det()
	x, y, w := g[0]/d, g[1]/d, g[2]/d
	if !finite(x, y, w) || w <= 1e-9 {
		return vec2{}, false
	}
	return vec2{x / w, y / w}, true
}

// matrix3 is a 3x3 matrix by rows.
type matrix3 [3][3]float64

func (m matrix3) apply(p vec2) [3]float64 {
	var v [3]float64
	for i := range v {
		v[i] = m[i][0]*p[0] + m[i][1]*p[1] + m[i][2]
	}
	return v
}

func (m matrix3) multiply(n matrix3) matrix3 {
	var p matrix3
	for i := range 3 {
		for j := range 3 {
			p[i][j] = m[i][0]*n[0][j] + m[i][1]*n[1][j] + m[i][2]*n[2][j]
		}
	}
	return p
}

func (m matrix3) adjugate() matrix3 {
	var a matrix3
	for i := range 3 {
		for j := range 3 {
			i1, i2, j1, j2 := (j+1)%3, (j+2)%3, (i+1)%3, (i+2)%3
			a[i][j] = m[i1][j1]*m[i2][j2] - m[i1][j2]*m[i2][j1]
		}
	}
	return a
}

func (m matrix3) det() float64 {
	a := m.adjugate()
	return m[0][0]*a[0][0] + m[0][1]*a[1][0] + m[0][2]*a[2][0]
}

// unit has Frobenius norm 1; the sign is kept.
func (m matrix3) unit() matrix3 {
	var sum float64
	for _, row := range m {
		for _, v := range row {
			sum += v * v
		}
	}
	for i := range m {
		for j := range m[i] {
			m[i][j] /= math.Sqrt(sum)
		}
	}
	return m
}

// denormalise turns a normalised homography into plan inches to pixels; w stays positive at the references' middle.
func denormalise(h *homography, px, plan similarity) matrix3 {
	out := matrix3{{px.scale, 0, px.middle[0]}, {0, px.scale, px.middle[1]}, {0, 0, 1}}
	in := matrix3{{1 / plan.scale, 0, -plan.middle[0] / plan.scale}, {0, 1 / plan.scale, -plan.middle[1] / plan.scale}, {0, 0, 1}}
	return out.multiply(h.matrix()).multiply(in).unit()
}

// directLinear is the direct linear transformation with the last element fixed at 1 (Hartley & Zisserman 4.1.2, inhomogeneous form) of at
// least 4 normalised pairs. conditioning is the ratio of the least to the greatest singular value of its matrix, 0 when there is no
// solution.
func directLinear(plan, picture []vec2) (h homography, conditioning float64) {
	a, b := mat.NewDense(2*len(plan), 8, nil), mat.NewVecDense(2*len(plan), nil)
	for i, x := range plan {
		u := picture[i]
		a.SetRow(2*i, []float64{x[0], x[1], 1, 0, 0, 0, -u[0] * x[0], -u[0] * x[1]})
		a.SetRow(2*i+1, []float64{0, 0, 0, x[0], x[1], 1, -u[1] * x[0], -u[1] * x[1]})
		b.SetVec(2*i, u[0])
		b.SetVec(2*i+1, u[1])
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return h, 0
	}
	values := svd.Values(nil)
	if !(values[7] > 1e-14*values[0]) {
		return h, 0
	}
	var x mat.VecDense
	svd.SolveVecTo(&x, b, 8)
	copy(h[:], x.RawVector().Data)
	return h, values[7] / values[0]
}
