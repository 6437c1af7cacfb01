package plane

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// exactly gives references without noise but with its usual sigmas.
func exactly(t testing.TB, s scene, at []Point) []Reference {
	t.Helper()
	quiet := s
	quiet.tap, quiet.tape, quiet.uneven = 1e-9, 1e-9, 0
	refs, ok := quiet.references(rand.New(rand.NewPCG(1, 1)), at)
	if !ok {
		t.Fatal("a reference is out of the picture")
	}
	for i := range refs {
		refs[i].SigmaPx, refs[i].SigmaIn = 4, 0.125
	}
	return refs
}

func codeOf(err error) Code {
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// TestRefusals: each error of a fit has its code.
func TestRefusals(t *testing.T) {
	s, at := desk()
	good := exactly(t, s, at)
	spoilt := func(spoil func(r []Reference)) []Reference {
		r := slices.Clone(good)
		spoil(r)
		return r
	}
	line := exactly(t, s, []Point{{170, 70}, {210, 70}, {250, 70}, {290, 70}, {190, 70}})
	for name, c := range map[string]struct {
		refs  []Reference
		image Image
		opt   func(o *Options)
		want  Code
	}{
		"none":              {nil, s.image, nil, CodeTooFew},
		"one":               {good[:1], s.image, nil, CodeTooFew},
		"three":             {good[:3], s.image, nil, CodeTooFew},
		"not a number":      {spoilt(func(r []Reference) { r[1].Plan.X = math.NaN() }), s.image, nil, CodeBadInput},
		"infinite":          {spoilt(func(r []Reference) { r[1].Pixel.V = math.Inf(1) }), s.image, nil, CodeBadInput},
		"far beyond a deck": {spoilt(func(r []Reference) { r[1].Plan.X = 1e9 }), s.image, nil, CodeBadInput},
		"sigma zero":        {spoilt(func(r []Reference) { r[1].SigmaIn = 0 }), s.image, nil, CodeBadInput},
		"sigma negative":    {spoilt(func(r []Reference) { r[1].SigmaPx = -4 }), s.image, nil, CodeBadInput},
		"the same name":     {spoilt(func(r []Reference) { r[1].ID = r[0].ID }), s.image, nil, CodeBadInput},
		"no such model":     {good, s.image, func(o *Options) { o.Model = "K" }, CodeBadInput},
		"HD without a size": {good, Image{}, func(o *Options) { o.Model = ModelHD }, CodeBadInput},
		"HDK without Exif":  {good, Image{4000, 3000, 0}, func(o *Options) { o.Model = ModelHDK }, CodeBadInput},
		"half a picture":    {good, Image{4000, 0, 26}, nil, CodeBadInput},
		"left-handed":       {good, s.image, func(o *Options) { o.Handedness = "left" }, CodeBadInput},
		"one line":          {line, s.image, nil, CodeDegenerate},
		"one place":         {spoilt(func(r []Reference) { onePlace(r) }), s.image, nil, CodeDegenerate},
		"two at one place":  {spoilt(func(r []Reference) { onePlace(r) })[:2], s.image, nil, CodeDegenerate},
		"too many":          {make([]Reference, maxReferences+1), s.image, nil, CodeBadInput},
	} {
		opt := DefaultOptions()
		if c.opt != nil {
			c.opt(&opt)
		}
		if p, err := Fit(c.refs, c.image, opt); codeOf(err) != c.want || p != nil {
			t.Errorf("%s: got %v, want %s", name, err, c.want)
		}
	}
}

func onePlace(r []Reference) {
	for i := range r {
		r[i].Plan = Point{5, 5}
	}
}

// TestWarnings: each doubt about a photo has its rule.
func TestWarnings(t *testing.T) {
	s, at := desk()
	fit := func(refs []Reference, change func(o *Options)) *Photo {
		t.Helper()
		opt := DefaultOptions()
		opt.Handedness = Same
		if change != nil {
			change(&opt)
		}
		p, err := Fit(refs, s.image, opt)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	if p := fit(exactly(t, s, at), nil); len(p.Warnings) != 0 || p.Handedness != Same || p.CovScale != 1 {
		t.Errorf("good references: %+v", p.Warnings)
	}
	if p := fit(exactly(t, s, at[:4]), func(o *Options) { o.Model = ModelHD }); found(p.Warnings, codeNoCheck) == nil || p.DOF != 0 {
		t.Errorf("4 references, HD: %d degrees of freedom, %+v", p.DOF, p.Warnings)
	}
	if p := fit(exactly(t, s, at[:4]), nil); found(p.Warnings, codeNoCheck) != nil || p.DOF != 2 {
		t.Errorf("4 references, HDK: %d degrees of freedom, %+v", p.DOF, p.Warnings)
	}
	narrow := exactly(t, s, []Point{{200, 79}, {240, 80}, {280, 79}, {220, 80}, {260, 79}})
	if p := fit(narrow, nil); found(p.Warnings, codeWeakLayout) == nil || p.Conditioning >= weakLayoutUnder {
		t.Errorf("a narrow layout: conditioning %v, %+v", p.Conditioning, p.Warnings)
	}
	if p := fit(exactly(t, s, at), func(o *Options) { o.Handedness = Mirrored }); found(p.Warnings, CodeMirrored) == nil || p.Blunder == nil {
		t.Errorf("the wrong handedness: %+v", p.Warnings)
	}
	flat := s
	flat.elevation = 0.4
	far := exactly(t, flat, []Point{{235, 115}, {270, 110}, {200, -3000}, {180, -2950}, {250, 90}})
	if p := fit(far, func(o *Options) { o.Model = ModelH }); found(p.Warnings, codeWeakFit) == nil {
		t.Errorf("references 90 ft away: rel_w %v, %+v", p.RefsRelW, p.Warnings)
	}
	cropped := s
	cropped.focal *= 1.4
	refs := exactly(t, cropped, []Point{{220, 115}, {275, 120}, {205, 80}, {275, 75}, {235, 70}, {250, 135}})
	p := fit(refs, nil)
	if w := found(p.Warnings, CodeFocal); w == nil || p.Model != ModelHD || math.Abs(p.Focal.FromH-cropped.focal) > 0.01*cropped.focal {
		t.Errorf("a zoomed photo: model %s, focal %+v, %+v", p.Model, p.Focal, p.Warnings)
	}
	if math.Abs(p.Pose.Below-s.below) > 0.5 {
		t.Errorf("a zoomed photo: camera %.1f below, want 60 by the focal length of the references", p.Pose.Below)
	}
	if p := fit(refs, func(o *Options) { o.Model = ModelHDK }); found(p.Warnings, CodeFocal) == nil || p.Model != ModelHDK {
		t.Errorf("a zoomed photo, HDK asked for: %s, %+v", p.Model, p.Warnings)
	}
}

// TestPinWarnings: each doubt about a pin has its rule.
func TestPinWarnings(t *testing.T) {
	s, at := desk()
	opt := DefaultOptions()
	opt.Model = ModelH
	p, err := Fit(exactly(t, s, at), s.image, opt)
	if err != nil {
		t.Fatal(err)
	}
	locate := func(q *Photo, at Point) (Position, error) {
		px, _ := s.see(at, 0)
		return q.Locate(Tap{"P", px, 4})
	}
	pos, err := locate(p, Point{240, 90})
	if err != nil || len(pos.Warnings) != 0 || pos.OutsideHull != 0 {
		t.Errorf("in the middle: %+v, %v", pos, err)
	}
	near(t, "x", pos.X, 240, 1e-5)
	near(t, "y", pos.Y, 90, 1e-5)
	if pos, err = locate(p, Point{240, -40}); err != nil || found(pos.Warnings, codeExtrapolated) == nil || found(pos.Warnings, codeExtrapolated).Pin != "P" {
		t.Errorf("60 in outside: %+v, %v", pos, err)
	}
	if pos, err = locate(p, Point{240, -2500}); codeOf(err) == CodeHorizon || err == nil && found(pos.Warnings, CodeNearHorizon) == nil {
		t.Errorf("200 ft away: %+v, %v", pos, err)
	}
	if _, err = locate(p, Point{240, -60000}); codeOf(err) != CodeNearHorizon {
		t.Errorf("a mile away: %v, want near_horizon", err)
	}
	if _, err = p.Locate(Tap{"P", Pixel{2000, 4800}, 4}); codeOf(err) != CodeHorizon {
		t.Errorf("below the horizon: %v, want horizon", err)
	}
	for _, bad := range []Tap{{"P", Pixel{math.NaN(), 3}, 4}, {"P", Pixel{3, 3}, 0}, {"P", Pixel{math.Inf(-1), 3}, 4}} {
		if _, err := p.Locate(bad); codeOf(err) != CodeBadInput {
			t.Errorf("%v: %v, want bad_input", bad, err)
		}
	}
	small, err := Fit(exactly(t, s, []Point{{235, 95}, {245, 95}, {235, 85}, {245, 85}}), s.image, opt)
	if err != nil {
		t.Fatal(err)
	}
	if pos, err = locate(small, Point{285, 60}); err == nil && found(pos.Warnings, codeRefsDominate) == nil {
		t.Errorf("far from a small square of references: %+v", pos)
	}
}

// TestDistance: two pins share the references' errors, so that their distance is surer than their places; by simulation its sigma is honest.
func TestDistance(t *testing.T) {
	s, at := desk()
	opt := DefaultOptions()
	opt.Model, opt.SigmaZ = ModelH, 0
	r := rand.New(rand.NewPCG(61, 1))
	a, b := Point{225, 25}, Point{236, 28}
	inside, less, all := 0, 0, 0
	for range 1500 {
		refs, ok := s.references(r, at[:4])
		if !ok {
			continue
		}
		p, err := Fit(refs, s.image, opt)
		if err != nil {
			t.Fatal(err)
		}
		pa, _ := s.tapped(r, a, 0)
		pb, _ := s.tapped(r, b, 0)
		ta, tb := Tap{"A", pa, 4}, Tap{"B", pb, 4}
		d, sigma, err := p.Distance(ta, tb)
		if err != nil {
			t.Fatal(err)
		}
		all++
		if math.Abs(d-math.Hypot(11, 3)) <= 1.96*sigma {
			inside++
		}
		qa, _ := p.Locate(ta)
		qb, _ := p.Locate(tb)
		way := vec2{qb.X - qa.X, qb.Y - qa.Y}
		if sigma < math.Sqrt(mat2(qa.Cov).add(mat2(qb.Cov)).quadratic(way.scale(1/d))) {
			less++
		}
	}
	rate := 100 * float64(inside) / float64(all)
	t.Logf("distance within 1.96 sigmas: %.1f %% of %d", rate, all)
	if rate < 93 || rate > 97 {
		t.Errorf("coverage %.1f %%, want 95", rate)
	}
	if less != all {
		t.Errorf("surer than two independent places only %d times of %d", less, all)
	}
}

// TestLensInverse: distort is the inverse of undistort, and the slope is the derivative.
func TestLensInverse(t *testing.T) {
	image := Image{Width: 4000, Height: 3000}
	for _, lambda := range []float64{-0.04, -0.01, 0, 0.005, 0.03} {
		for _, p := range []vec2{{2000, 1500}, {0, 0}, {4000, 3000}, {3100, 200}, {1999, 1501}} {
			ideal, slope, ok := image.undistort(p, lambda)
			if !ok {
				t.Fatalf("%v at %v: no ideal place", p, lambda)
			}
			back, ok := image.distort(ideal, lambda)
			if !ok || back.sub(p).norm() > 1e-9 {
				t.Errorf("λ %v: %v comes back as %v", lambda, p, back)
			}
			up, _, _ := image.undistort(p, lambda+1e-6)
			down, _, _ := image.undistort(p, lambda-1e-6)
			if numeric := up.sub(down).scale(1 / 2e-6); numeric.sub(slope).norm() > 1e-3 {
				t.Errorf("λ %v at %v: slope %v, by differences %v", lambda, p, slope, numeric)
			}
		}
	}
	if _, _, ok := image.undistort(vec2{0, 0}, -1.5); ok {
		t.Error("a lens that folds the picture over has no ideal place at its corner")
	}
}

// TestOverlay: plan points project to where the scene has them, segments stop at the horizon, and nothing behind the camera is drawn.
func TestOverlay(t *testing.T) {
	s, at := desk()
	s.lambda = 0.008
	p, err := Fit(exactly(t, s, at), s.image, DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []Point{{240, 90}, {200, 40}, {260, 130}} {
		want, _ := s.see(q, 0)
		got, ok := p.Project(q)
		if !ok || math.Hypot(got.U-want.U, got.V-want.V) > 3 {
			t.Errorf("%v projects to %v, want %v", q, got, want)
		}
		back, err := p.Locate(Tap{"P", got, 4})
		if err != nil || math.Hypot(back.X-q.X, back.Y-q.Y) > 1e-6 {
			t.Errorf("%v comes back as %v, %v", q, back.Point, err)
		}
	}
	behind := Point{260, 500}
	if _, ok := p.Project(behind); ok {
		t.Error("a point behind the camera projects")
	}
	from, to, ok := p.ProjectSegment(Point{240, 90}, behind)
	if !ok || !finite(from.U, from.V, to.U, to.V) {
		t.Fatalf("a joist over the camera: %v %v %v", from, to, ok)
	}
	start, _ := p.Project(Point{240, 90})
	if math.Hypot(from.U-start.U, from.V-start.V) > 1e-6 || to.V > 0 {
		t.Errorf("a joist over the camera runs from %v to %v, want from %v up out of the picture", from, to, start)
	}
	if math.Abs(to.U) > 4*s.image.Width || math.Abs(to.V) > 4*s.image.Width {
		t.Errorf("a joist over the camera runs away to %v", to)
	}
	if _, _, ok := p.ProjectSegment(Point{260, 500}, Point{300, 600}); ok {
		t.Error("a segment behind the camera is drawn")
	}
	if _, _, ok := p.ProjectSegment(Point{-9000, 90}, Point{-9000, 91}); ok {
		t.Error("a segment far beside the picture is drawn")
	}
}
