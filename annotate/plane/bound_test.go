package plane

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// cramerRao is the bound on the covariance of pins' plan positions by brute force: the Fisher information of every observation (pixels of
// references and pins, tape readings) about every unknown (the eight elements of a homography in raw units, the true places of references and
// pins), from central differences of the simulated camera's own projection matrix, inverted.
func cramerRao(s scene, refs, pins []Point) []mat2 {
	h := s.projection()
	unknowns := append([]float64{}, h[:8]...)
	for _, p := range append(append([]Point{}, refs...), pins...) {
		unknowns = append(unknowns, p.X, p.Y)
	}
	observe := func(u []float64) []float64 {
		var out []float64
		for i := 8; i < len(u); i += 2 {
			x, y := u[i], u[i+1]
			w := u[6]*x + u[7]*y + h[8]
			out = append(out, (u[0]*x+u[1]*y+u[2])/w/s.tap, (u[3]*x+u[4]*y+u[5])/w/s.tap)
		}
		for i := 8; i < 8+2*len(refs); i++ {
			out = append(out, u[i]/s.tape)
		}
		return out
	}
	j := mat.NewDense(len(observe(unknowns)), len(unknowns), nil)
	scale := make([]float64, len(unknowns)) // the unknowns differ by orders of magnitude
	for k, v := range unknowns {
		step := 1e-6 * math.Max(math.Abs(v), 1e-6)
		up, down := append([]float64{}, unknowns...), append([]float64{}, unknowns...)
		up[k] += step
		down[k] -= step
		a, b := observe(up), observe(down)
		scale[k] = step * 1e6
		for i := range a {
			j.Set(i, k, (a[i]-b[i])/(2*step)*scale[k])
		}
	}
	var fisher, bound mat.Dense
	fisher.Mul(j.T(), j)
	if err := bound.Inverse(&fisher); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			panic(err)
		}
	}
	var out []mat2
	for i := range pins {
		at := 8 + 2*(len(refs)+i)
		var c mat2
		for a := range 2 {
			for b := range 2 {
				c[a][b] = bound.At(at+a, at+b) * scale[at+a] * scale[at+b]
			}
		}
		out = append(out, c)
	}
	return out
}

// projection is the homography of the scene by its definition, K [r1 r2 -RC], about the middle of the references' area so that the last
// element is not near zero.
func (s scene) projection() [9]float64 {
	ce, se, ch, sh := math.Cos(s.elevation), math.Sin(s.elevation), math.Cos(s.heading), math.Sin(s.heading)
	axis, right := [3]float64{ce * ch, ce * sh, se}, [3]float64{sh, -ch, 0}
	down := cross3(axis, right)
	c := [3]float64{s.x, s.y, -s.below}
	row := func(v [3]float64) [3]float64 { return [3]float64{v[0], v[1], -dot3(v, c)} }
	z := row(axis)
	mid := s.image.centre()
	u, v := add3(row(right), s.focal, z, mid[0]), add3(row(down), s.focal, z, mid[1])
	return [9]float64{u[0], u[1], u[2], v[0], v[1], v[2], z[0], z[1], z[2]}
}

// TestCramerRaoBound: the covariances that Locate states are the bound, and the real errors of many noisy photos come within 5 % of it.
func TestCramerRaoBound(t *testing.T) {
	s := scene{image: Image{4000, 3000, 26}, x: 260, y: 190, below: 60, heading: -1.7, elevation: 0.75, tap: 4, tape: 0.125}
	s.focal = s.image.Focal()
	refs := []Point{{200, 120}, {290, 130}, {170, 70}, {300, 60}, {230, 20}, {250, 140}}
	pins := []Point{{240, 100}, {210, 60}, {280, 90}, {235, 130}}
	bounds := cramerRao(s, refs, pins)
	opt := DefaultOptions()
	opt.Model, opt.SigmaZ = ModelH, 0

	exact := s
	exact.tap, exact.tape = 1e-9, 1e-9
	quiet := rand.New(rand.NewPCG(1, 1))
	perfect, ok := exact.references(quiet, refs)
	if !ok {
		t.Fatal("a reference is out of the picture")
	}
	for i := range perfect {
		perfect[i].SigmaPx, perfect[i].SigmaIn = s.tap, s.tape
	}
	stated, err := Fit(perfect, s.image, opt)
	if err != nil {
		t.Fatal(err)
	}
	for i, at := range pins {
		px, _ := s.see(at, 0)
		pos, err := stated.Locate(Tap{"P", px, s.tap})
		if err != nil {
			t.Fatal(err)
		}
		for a := range 2 {
			for b := range 2 {
				if math.Abs(pos.Cov[a][b]-bounds[i][a][b]) > 2e-4*bounds[i].trace() {
					t.Errorf("pin %d: stated covariance %v, bound %v", i, pos.Cov, bounds[i])
				}
			}
		}
	}
	ratios := errorRatios(t, s, refs, pins, bounds, opt)
	t.Logf("root mean square error over the bound, by pin: %.3f", ratios)
	for i, ratio := range ratios {
		if ratio < 0.95 || ratio > 1.05 {
			t.Errorf("pin %d: root mean square error %.3f times the bound, want within 5 %%", i, ratio)
		}
	}
}

func errorRatios(t *testing.T, s scene, refs, pins []Point, bounds []mat2, opt Options) []float64 {
	t.Helper()
	r := rand.New(rand.NewPCG(21, 4))
	const rounds = 2500
	sums := make([]float64, len(pins))
	for range rounds {
		noisy, _ := s.references(r, refs)
		p, err := Fit(noisy, s.image, opt)
		if err != nil {
			t.Fatal(err)
		}
		for i, at := range pins {
			px, _ := s.tapped(r, at, 0)
			pos, err := p.Locate(Tap{"P", px, s.tap})
			if err != nil {
				t.Fatal(err)
			}
			sums[i] += square(pos.X-at.X) + square(pos.Y-at.Y)
		}
	}
	for i := range sums {
		sums[i] = math.Sqrt(sums[i] / rounds / bounds[i].trace())
	}
	return sums
}
