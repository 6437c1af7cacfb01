package plane

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// scene is a simulated photo from below: the camera, and a lens that may differ from what Exif says. Nothing of the package's geometry is
// used to make its pixels but Image.distort, which TestLensInverse checks.
type scene struct {
	image                    Image
	x, y, below              float64 // inches
	heading, elevation       float64 // radians
	focal, lambda            float64 // the true ones
	principalU, principalV   float64 // pixels off the middle
	mirrored                 bool    // the plan is drawn x right, y down
	tap, tape, uneven, scale float64 // noise; scale multiplies the taps' beyond what is stated
}

// see is the exact pixel of a plan point that hangs drop inches below the plane; false behind the camera or outside the picture.
func (s scene) see(at Point, drop float64) (Pixel, bool) {
	p := [3]float64{at.X - s.x, at.Y - s.y, s.below - drop}
	if s.mirrored {
		p[1] = -p[1]
	}
	ce, se, ch, sh := math.Cos(s.elevation), math.Sin(s.elevation), math.Cos(s.heading), math.Sin(s.heading)
	axis, right := [3]float64{ce * ch, ce * sh, se}, [3]float64{sh, -ch, 0}
	down := cross3(axis, right)
	depth := dot3(p, axis)
	if depth <= 1 {
		return Pixel{}, false
	}
	c := s.image.centre()
	ideal := vec2{c[0] + s.principalU + s.focal*dot3(p, right)/depth, c[1] + s.principalV + s.focal*dot3(p, down)/depth}
	px, ok := s.image.distort(ideal, s.lambda)
	return Pixel{px[0], px[1]}, ok && px[0] >= 0 && px[1] >= 0 && px[0] <= s.image.Width && px[1] <= s.image.Height
}

// tapped is a noisy tap on a plan point, whose joist may be out of plane.
func (s scene) tapped(r *rand.Rand, at Point, drop float64) (Pixel, bool) {
	px, ok := s.see(at, drop-s.uneven*r.NormFloat64())
	noise := s.tap * math.Max(1, s.scale)
	return Pixel{px.U + noise*r.NormFloat64(), px.V + noise*r.NormFloat64()}, ok
}

// reference is a noisy tap with a noisy measurement.
func (s scene) reference(r *rand.Rand, id string, at Point) (Reference, bool) {
	px, ok := s.tapped(r, at, 0)
	plan := Point{at.X + s.tape*r.NormFloat64(), at.Y + s.tape*r.NormFloat64()}
	return Reference{id, px, plan, s.tap, s.tape}, ok
}

// random is a camera as people hold it: 36 to 84 in below the joists, 30 to 60 degrees up; with Exif's focal length, the principal point and
// the lens off by the priors when free is true.
func random(r *rand.Rand, free bool) scene {
	s := scene{image: Image{4000, 3000, 26}, x: 200, y: 200, below: 36 + 48*r.Float64(), heading: 2 * math.Pi * r.Float64(), elevation: (30 + 30*r.Float64()) * math.Pi / 180, tap: 4, tape: 0.125}
	s.focal = s.image.Focal()
	if free {
		s.focal *= 1 + 0.03*r.NormFloat64()
		s.principalU, s.principalV = 40*r.NormFloat64(), 40*r.NormFloat64()
		s.lambda = 0.01 * r.NormFloat64()
	}
	return s
}

// area is a random visible plan point not further than reach times the camera's distance below the plane.
func (s scene) area(r *rand.Rand, reach float64) Point {
	for {
		at := Point{s.x + (2*r.Float64()-1)*reach*s.below, s.y + (2*r.Float64()-1)*reach*s.below}
		if _, ok := s.see(at, 0); ok && math.Hypot(at.X-s.x, at.Y-s.y) <= reach*s.below {
			return at
		}
	}
}

// spread is n visible plan points, far apart: the best of many draws by the least distance among them.
func (s scene) spread(r *rand.Rand, n int) []Point {
	var best []Point
	most := 0.0
	for range 30 {
		var list []Point
		least := math.Inf(1)
		for range n {
			p := s.area(r, 2.2)
			for _, q := range list {
				least = math.Min(least, math.Hypot(p.X-q.X, p.Y-q.Y))
			}
			list = append(list, p)
		}
		if least > most {
			best, most = list, least
		}
	}
	return best
}

// references are noisy references on plan points; false when one fell out of the picture.
func (s scene) references(r *rand.Rand, at []Point) ([]Reference, bool) {
	var refs []Reference
	for i, p := range at {
		ref, ok := s.reference(r, fmt.Sprintf("R%d", i+1), p)
		if !ok {
			return nil, false
		}
		refs = append(refs, ref)
	}
	return refs, true
}

// mahalanobis is the squared distance of a position from the truth in units of its covariance: chi-square with 2 degrees of freedom.
func mahalanobis(p Position, truth Point) float64 {
	inverse, _ := mat2(p.Cov).inverse()
	return inverse.quadratic(vec2{p.X - truth.X, p.Y - truth.Y})
}

const chi95 = 5.991464547107979 // 95 % quantile of chi-square, 2 degrees of freedom: -2 ln 0.05
