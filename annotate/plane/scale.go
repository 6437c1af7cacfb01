package plane

import (
	"math"
	"math/cmplx"
)

// scaleFit is scale-only mode: two references under a camera that looks straight up, so that the photo is the plan up to a similarity,
// written with complex numbers: X = X1 + A (z - z1). Pixels are relative to the middle of the picture and conjugated for a mirrored plan.
// The uncertainty of a camera that was not quite straight is our own worked derivation: a tilt by a radians about an axis moves a pixel by
// a z Re z/f or a z Im z/f, to first order.
type scaleFit struct {
	image    Image
	mirrored bool
	z, plan  [2]complex128
	sp, tape [2]float64
	a        complex128 // inches per pixel, turned
	tilt     float64    // radians, one sigma per axis; 0 without a focal length
}

// coincide is how near two references of a scale are one place, in pixels and in inches: under anything that is measured, and far enough above what is lost in
// rounding that no square of a scale grows out of bounds.
const coincide = 1e-6

func fitScale(refs []Reference, image Image, opt Options) (*Photo, error) {
	s := &scaleFit{image: image, mirrored: opt.Handedness == Mirrored}
	if image.Focal() > 0 {
		s.tilt = opt.TiltDegrees * math.Pi / 180
	}
	for i, r := range refs {
		s.z[i], s.plan[i] = s.place(r.Pixel), complex(r.Plan.X, r.Plan.Y)
		s.sp[i], s.tape[i] = r.SigmaPx, r.SigmaIn
	}
	if cmplx.Abs(s.z[1]-s.z[0]) < coincide || cmplx.Abs(s.plan[1]-s.plan[0]) < coincide {
		return nil, faultf(CodeDegenerate, "the two reference points coincide")
	}
	s.a = (s.plan[1] - s.plan[0]) / (s.z[1] - s.z[0])
	warning := Warning{Code: codeScaleOnly, Message: "two references: assumes the camera faces the plane squarely"}
	return &Photo{ScaleOnly: true, InchPerPixel: cmplx.Abs(s.a), CovScale: 1, Warnings: []Warning{warning}, scale: s}, nil
}

// place is a pixel relative to the middle of the picture; without a known size the place of the middle does not matter.
func (s *scaleFit) place(p Pixel) complex128 {
	c := s.image.centre()
	z := complex(p.U-c[0], p.V-c[1])
	if s.mirrored {
		return cmplx.Conj(z)
	}
	return z
}

// share is how a pin's position is made of the two references': X = (1-t) X1 + t X2.
func (s *scaleFit) share(z complex128) complex128 { return (z - s.z[0]) / (s.z[1] - s.z[0]) }

// tilts are the shifts on the plan by one radian of tilt about each axis.
func (s *scaleFit) tilts(z, t complex128) [2]vec2 {
	if s.tilt == 0 {
		return [2]vec2{}
	}
	f := complex(s.image.Focal(), 0)
	shift := func(part func(complex128) float64) vec2 {
		q := func(z complex128) complex128 { return z * complex(part(z), 0) / f }
		v := s.a * (q(z) - (1-t)*q(s.z[0]) - t*q(s.z[1]))
		return vec2{real(v), imag(v)}
	}
	return [2]vec2{shift(func(z complex128) float64 { return real(z) }), shift(func(z complex128) float64 { return imag(z) })}
}

// variance is that of a reference in square inches, its tap included.
func (s *scaleFit) variance(j int) float64 {
	return square(s.tape[j]) + square(cmplx.Abs(s.a)*s.sp[j])
}

func (s *scaleFit) locate(t Tap) Position {
	z := s.place(t.Pixel)
	share := s.share(z)
	x := s.plan[0] + s.a*(z-s.z[0])
	round := square(cmplx.Abs(1-share))*s.variance(0) + square(cmplx.Abs(share))*s.variance(1) + square(cmplx.Abs(s.a)*t.SigmaPx)
	cov := identity2(round)
	for _, v := range s.tilts(z, share) {
		cov = cov.add(v.outer().scale(square(s.tilt)))
	}
	p := Position{Point: Point{real(x), imag(x)}, Cov: Cov(cov)}
	a, b := vec2{real(s.plan[0]), imag(s.plan[0])}, vec2{real(s.plan[1]), imag(s.plan[1])}
	if d := toSegment(a, b, vec2{p.X, p.Y}); d > b.sub(a).norm() {
		p.Warnings = append(p.Warnings, Warning{Code: codeFarFromRefs, Message: "further from the references than they are from each other", Pin: t.ID, Value: d})
	}
	return p
}

// cross is the covariance between two pins: what they share of the references and of the tilt. With X = (1-t) X1 + t X2 and isotropic X1, X2,
// multiplying by a complex number turns and stretches.
func (s *scaleFit) cross(a, b Tap) mat2 {
	za, zb := s.place(a.Pixel), s.place(b.Pixel)
	ta, tb := s.share(za), s.share(zb)
	c := (1-ta)*cmplx.Conj(1-tb)*complex(s.variance(0), 0) + ta*cmplx.Conj(tb)*complex(s.variance(1), 0)
	out := mat2{{real(c), -imag(c)}, {imag(c), real(c)}}
	va, vb := s.tilts(za, ta), s.tilts(zb, tb)
	for k := range va {
		for i := range 2 {
			for j := range 2 {
				out[i][j] += va[k][i] * vb[k][j] * square(s.tilt)
			}
		}
	}
	return out
}

func (s *scaleFit) project(at Point) Pixel {
	z := s.z[0] + (complex(at.X, at.Y)-s.plan[0])/s.a
	if s.mirrored {
		z = cmplx.Conj(z)
	}
	c := s.image.centre()
	return Pixel{real(z) + c[0], imag(z) + c[1]}
}
