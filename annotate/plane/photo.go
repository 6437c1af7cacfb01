package plane

import (
	"fmt"
	"math"
)

// Photo is one fitted photo; read its fields, do not change them. With exactly two references it is in scale-only mode: then ScaleOnly is
// true, InchPerPixel is set, and of the other figures only Warnings has a meaning.
type Photo struct {
	Model        Model         // as fitted, never ModelAuto
	H            [3][3]float64 // plan inches to pixels (without the lens), Frobenius norm 1, w > 0 at the references' middle
	Omega        float64       // sum of squares of the whitened residuals, priors included
	DOF          int           // degrees of freedom
	Iterations   int           // of Gauss-Newton, 50 at most
	CovScale     float64       // max(1, Omega/DOF) from 4 degrees of freedom on: already in every covariance of a pin
	Conditioning float64       // least over greatest singular value of the linear start
	Handedness   Handedness    // found
	RefsRelW     float64       // the greatest rel_w of a reference
	Lambda       float64       // of the lens, 0 in model H
	LambdaSigma  float64       // its standard deviation
	Focal        *Focal        // nil when the picture's size is not known
	Pose         *Pose         // nil when the focal length is not known
	References   []ReferenceTest
	Blunder      *Blunder // nil when there was no reason to search
	Warnings     []Warning
	ScaleOnly    bool
	InchPerPixel float64 // scale-only mode

	fit    *estimate
	scale  *scaleFit
	hull   []vec2
	radius float64 // rms of the references, inches
}

// The limits of the fit's own checks, set by simulating what coverage of the 95 % ellipses they leave.
const (
	degenerateUnder = 0.002
	weakLayoutUnder = 0.01
	weakFitOver     = 0.01
	scaleFromDOF    = 4
)

// Fit finds the geometry of one photo from 2 or at least 4 references. Errors are *Error with CodeBadInput, CodeTooFew, CodeDegenerate or
// CodeOrder. The order of the references does not matter to the result.
func Fit(refs []Reference, image Image, opt Options) (*Photo, error) {
	if err := check(refs, image, opt); err != nil {
		return nil, err
	}
	switch len(refs) {
	case 2:
		return fitScale(refs, image, opt)
	case 0, 1, 3:
		return nil, faultf(CodeTooFew, "%d reference points; %s", len(refs), CodeTooFew.Advice())
	}
	p := newProblem(refs, image, opt)
	if p.px.scale == 0 || p.plan.scale == 0 {
		return nil, faultf(CodeDegenerate, "the reference points coincide")
	}
	find := search{p, ids(refs), opt.Handedness}
	e, err := p.fit(find)
	if err != nil {
		return nil, err
	}
	if opt.Model == ModelAuto && e.model == ModelHDK {
		if photo := e.withoutExif(find); photo != nil {
			return photo, nil
		}
	}
	return e.report(find), nil
}

func ids(refs []Reference) []string {
	list := make([]string, len(refs))
	for i, r := range refs {
		list[i] = r.ID
	}
	return list
}

// withoutExif fits again with the focal length that the references tell instead of Exif's, when they contradict it. It is nil when they do not, or
// when the references still contradict each other then: it is one of them that is wrong and not Exif.
func (e *estimate) withoutExif(find search) *Photo {
	f := e.focalOf()
	if !f.contradicts(e.opt.SigmaF) {
		return nil
	}
	q := *e.problem
	q.model, q.focal = ModelHD, f.FromH
	q.opt.SigmaF = f.Sigma / f.FromH
	find.problem = &q
	free, err := q.fit(find)
	if err != nil || misfit(free.cost, free.dof()) {
		return nil
	}
	photo := free.report(find)
	photo.Focal = f
	photo.Warnings = append(photo.Warnings, focalWarning(f))
	return photo
}

func newProblem(refs []Reference, image Image, opt Options) *problem {
	opt.SigmaF = opt.focalSigma(image)
	p := &problem{model: opt.Model, image: image, focal: image.Focal(), opt: opt}
	if p.model == ModelAuto {
		p.model = ModelH
		if image.known() {
			p.model = ModelHD
		}
		if p.focal > 0 {
			p.model = ModelHDK
		}
	}
	var px, plan []vec2
	for _, r := range refs {
		o := observation{vec2{r.Pixel.U, r.Pixel.V}, vec2{r.Plan.X, r.Plan.Y}, r.SigmaPx, r.SigmaIn, r.SigmaIn}
		p.obs, px, plan = append(p.obs, o), append(px, o.pixel), append(plan, o.plan)
	}
	p.px, p.plan = normalise(px), normalise(plan)
	return p
}

// fit is the linear start and Gauss-Newton; find explains a fit that fails.
func (p *problem) fit(find search) (*estimate, *Error) {
	th, conditioning := p.start(nil)
	if conditioning < degenerateUnder {
		return nil, faultf(CodeDegenerate, "the reference points are on one line, or nearly (conditioning %.2g)", conditioning)
	}
	e, err := p.solve(th)
	if err != nil {
		if err.Code == CodeOrder {
			err = find.order(err)
		}
		return nil, err
	}
	e.conditioning = conditioning
	return e, nil
}

// order explains a fit that put a reference behind the camera.
func (s search) order(err *Error) *Error {
	dof := s.dof()
	b := judge(s.swaps(), dof)
	if b.Best == nil {
		b = judge(s.typings(), dof)
	}
	err.Blunder = b
	err.Message = "two references seem swapped, or one is wrong by far" + b.list()
	return err
}

// dof is the number of rows beyond the unknowns: 2n-8 in models H and HD, 2n-6 in HDK.
func (p *problem) dof() int { return 2*len(p.obs) + p.model.priors() - p.model.count() }

func (e *estimate) handedness() Handedness {
	h := e.th.homography()
	if h.jacobian(vec2{}, h.project(vec2{})).det() > 0 {
		return Same
	}
	return Mirrored
}

// inches is a pin's covariance on the plan, scaled.
func (e *estimate) inches(l located, scale float64) mat2 {
	return l.cov(1, square(e.plan.scale)).scale(scale)
}

// project is where a plan point appears on the photo, lens included; false behind the horizon.
func (e *estimate) project(plan vec2) (Pixel, bool) {
	h := e.th.homography()
	x := e.plan.in(plan)
	if !(h.depth(x) > least) {
		return Pixel{}, false
	}
	at := e.px.out(h.project(x))
	if e.model != ModelH {
		var ok bool
		if at, ok = e.image.distort(at, e.th[atLambda]); !ok {
			return Pixel{}, false
		}
	}
	return Pixel{at[0], at[1]}, finite(at[0], at[1])
}

// report fills the Photo.
func (e *estimate) report(find search) *Photo {
	p := &Photo{
		Model: e.model, Omega: e.cost, DOF: e.dof(), Iterations: e.iterations, CovScale: 1, Conditioning: e.conditioning,
		Handedness: e.handedness(), H: denormalise(e.th.homography(), e.px, e.plan), fit: e,
	}
	if p.DOF >= scaleFromDOF {
		p.CovScale = math.Max(1, p.Omega/float64(p.DOF))
	}
	if e.model != ModelH {
		p.Lambda, p.LambdaSigma = e.th[atLambda], math.Sqrt(e.sigma.At(atLambda, atLambda))
	}
	var plan []vec2
	for _, o := range e.obs {
		plan = append(plan, o.plan)
		if l, err := e.locate(o.pixel, o.sp); err == nil {
			p.RefsRelW = math.Max(p.RefsRelW, l.relW)
		} else {
			p.RefsRelW = math.Inf(1)
		}
	}
	p.hull, p.radius = hull(plan), rmsRadius(plan)
	p.References = e.referenceTests(find.ids)
	p.Focal, p.Pose = e.focalOf(), e.pose()
	e.doubts(p, find)
	return p
}

// focalOf compares focal lengths, from a fit without K; nil when the picture's size is not known.
func (e *estimate) focalOf() *Focal {
	if !e.image.known() {
		return nil
	}
	free := e
	if e.model == ModelHDK {
		q := *e.problem
		q.model = ModelHD
		th, _ := q.start(nil)
		var err *Error
		if free, err = q.solve(th); err != nil {
			return &Focal{Exif: e.focal}
		}
	}
	f := free.focalCheck()
	return &f
}

// doubts adds the warnings about the whole photo, and searches for a wrong reference where there is reason to.
func (e *estimate) doubts(p *Photo, find search) {
	say := func(w Warning) { p.Warnings = append(p.Warnings, w) }
	if e.opt.Handedness != AnyHandedness && p.Handedness != e.opt.Handedness {
		p.Blunder = judge(find.swaps(), p.DOF)
		say(Warning{Code: CodeMirrored, Message: "the plan is seen mirrored: two references seem swapped, or the photo is not from below" + p.Blunder.list(), Refs: p.Blunder.Refs})
	}
	if misfit(p.Omega, p.DOF) {
		if p.Blunder == nil {
			p.Blunder = judge(append(find.typings(), find.swaps()...), p.DOF)
		}
		say(Warning{Code: CodeMisfit, Message: "references disagree with each other: " + p.Blunder.Verdict, Refs: p.Blunder.Refs})
	}
	if p.DOF < 2 {
		say(Warning{Code: codeNoCheck, Message: "exactly determined: a wrong reference cannot be noticed; add one more reference"})
	}
	if p.Conditioning < weakLayoutUnder {
		say(Warning{Code: codeWeakLayout, Message: "the references are nearly on one line", Value: p.Conditioning})
	}
	if p.RefsRelW > weakFitOver {
		say(Warning{Code: codeWeakFit, Message: "some reference is too far away / too near the horizon for honest ellipses", Value: p.RefsRelW})
	}
	if p.Focal != nil && p.Focal.contradicts(e.opt.SigmaF) {
		say(focalWarning(p.Focal))
	}
}

// misfit says whether observations disagree: omega beyond its 99.9 % quantile.
func misfit(omega float64, dof int) bool { return dof > 0 && omega > chi2Quantile(dof, z999) }

func focalWarning(f *Focal) Warning {
	return Warning{
		Code: CodeFocal, Value: f.FromH / f.Exif,
		Message: fmt.Sprintf("the references tell a focal length of %.0f ± %.0f px, Exif %.0f px: cropped, zoomed, or a reference is wrong", f.FromH, f.Sigma, f.Exif),
	}
}

// list names the suspects in brackets, empty without any.
func (b *Blunder) list() string {
	if b == nil || len(b.Refs) == 0 {
		return ""
	}
	text := " ("
	for i, id := range b.Refs {
		if i > 0 {
			text += ", "
		}
		text += id
	}
	return text + ")"
}
