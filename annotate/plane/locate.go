package plane

import "math"

// Position is a plan position with its uncertainty. Cov is what to use; the other figures say where it comes from and are zero in scale-only
// mode and after Fuse or Triangulate.
type Position struct {
	Point
	Cov         Cov
	WRatio      float64 // distance along the view axis at the references' middle over that at the pin: small near the horizon
	RelW        float64 // sigma of that distance relative to it: the test whether first-order propagation is honest
	SigmaTap    float64 // inches: root of the trace of the tap's part, before CovScale
	SigmaRefs   float64 // inches: the same of the references' part
	OutsideHull float64 // inches to the hull of the references, 0 inside
	Warnings    []Warning
}

// Ellipse95 is the 95 % region of the position.
func (p Position) Ellipse95() Ellipse { return p.Cov.Ellipse95() }

// The limits of a pin's checks, set by simulating what coverage of the 95 % ellipses they leave.
const (
	nearHorizonOver = 0.05
	noPositionOver  = 0.3
	outsideOver     = 0.5 // of the references' rms radius
	dominateOver    = 2.0 // times the tap's part
)

// Locate is the plan position of a pin on the plane of the joists' bottoms. The error is an *Error with CodeHorizon, CodeNearHorizon or
// CodeBadInput. The position's warnings name the pin.
func (p *Photo) Locate(t Tap) (Position, error) {
	if err := checkTap(t); err != nil {
		return Position{}, err
	}
	if p.ScaleOnly {
		return p.scale.locate(t), nil
	}
	l, err := p.usable(t)
	if err != nil {
		return Position{}, err
	}
	return p.position(t, l), nil
}

// usable is a located pin that first-order propagation may be trusted with.
func (p *Photo) usable(t Tap) (located, error) {
	l, err := p.fit.locate(vec2{t.Pixel.U, t.Pixel.V}, t.SigmaPx)
	if err != nil {
		return l, err
	}
	if l.relW > noPositionOver {
		return l, faultf(CodeNearHorizon, "seen too flat for a position (rel_w %.2g)", l.relW)
	}
	return l, nil
}

func (p *Photo) position(t Tap, l located) Position {
	cov := p.fit.inches(l, p.CovScale)
	out := Position{
		Point: Point{l.at[0], l.at[1]}, Cov: Cov(cov), WRatio: 1 / l.depth, RelW: l.relW,
		SigmaTap:    p.fit.plan.scale * math.Sqrt(l.tap.trace()),
		SigmaRefs:   p.fit.plan.scale * math.Sqrt(math.Max(0, l.refs.trace())),
		OutsideHull: outside(p.hull, l.at),
	}
	say := func(code Code, message string, value float64) {
		out.Warnings = append(out.Warnings, Warning{Code: code, Message: message, Pin: t.ID, Value: value})
	}
	if out.RelW > nearHorizonOver {
		say(CodeNearHorizon, "seen too flat: the true error may be larger", out.RelW)
	}
	if out.OutsideHull > outsideOver*p.radius {
		say(codeExtrapolated, "far outside the references", out.OutsideHull)
	}
	if out.SigmaRefs > dominateOver*out.SigmaTap {
		say(codeRefsDominate, "most of the uncertainty comes from the references", out.SigmaRefs/out.SigmaTap)
	}
	return out
}

// Distance is the length in inches between two pins of the photo on the plan, and its standard deviation, which is less than that of two
// independent positions where they share the references' errors: the cross-covariance of pins a and b is M_a Σ M_bᵀ. Errors as of Locate.
// The sigma is first order: where the length is not well above it, it says little.
func (p *Photo) Distance(a, b Tap) (inches, sigma float64, err error) {
	pa, err := p.Locate(a)
	if err != nil {
		return 0, 0, err
	}
	pb, err := p.Locate(b)
	if err != nil {
		return 0, 0, err
	}
	cross, err := p.crossCov(a, b)
	if err != nil {
		return 0, 0, err
	}
	difference := mat2(pa.Cov).add(mat2(pb.Cov)).add(cross.add(cross.transpose()).scale(-1))
	way := vec2{pb.X - pa.X, pb.Y - pa.Y}
	inches = way.norm()
	if inches == 0 {
		return 0, math.Sqrt(math.Max(0, difference.trace())), nil
	}
	return inches, math.Sqrt(math.Max(0, difference.quadratic(way.scale(1/inches)))), nil
}

// crossCov is the covariance between the positions of two pins in square inches.
func (p *Photo) crossCov(a, b Tap) (mat2, error) {
	if p.ScaleOnly {
		return p.scale.cross(a, b), nil
	}
	la, err := p.usable(a)
	if err != nil {
		return mat2{}, err
	}
	lb, err := p.usable(b)
	if err != nil {
		return mat2{}, err
	}
	return spread(la.m, p.fit.sigma, lb.m).scale(square(p.fit.plan.scale) * p.CovScale), nil
}
