package plane

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: got %v, want %v ± %v", what, got, want, by)
	}
}

// TestHanging: a thing at (200, 100) that hangs 9 1/4 in, seen by a camera at (250, 190), 58 in below. By hand: k = 9.25/(58-9.25) = 0.189744,
// so x = 200 - 50 k = 190.512821 and y = 100 - 90 k = 82.923077.
func TestHanging(t *testing.T) {
	camera := Pose{X: 250, Y: 190, Below: 58}
	seen := Apparent(Point{200, 100}, camera, 9.25)
	near(t, "apparent x", seen.X, 190.51282051282053, 1e-9)
	near(t, "apparent y", seen.Y, 82.92307692307692, 1e-9)
	back := Hanging(seen, camera, 9.25)
	near(t, "x", back.X, 200, 1e-9)
	near(t, "y", back.Y, 100, 1e-9)
	d, err := DropFromPlan(Position{Point: seen, Cov: Cov{{0.04, 0}, {0, 0.04}}}, camera, Position{Point: Point{200, 100}, Cov: Cov{{0.0625, 0}, {0, 0.0625}}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "drop", d.Inches, 9.25, 1e-9)
	near(t, "sideways", d.Sideways, 0, 1e-9)
	near(t, "sigma of the drop", d.Sigma, 58/math.Hypot(59.4871795, 107.0769231)*math.Sqrt(0.1025), 1e-6)
	if d.WrongThing() {
		t.Error("the right thing is taken for a wrong one")
	}
	// Seen 5 in beside the line, it must be another thing.
	off := Position{Point: Point{seen.X + 5*0.874, seen.Y - 5*0.4857}, Cov: Cov{{0.04, 0}, {0, 0.04}}}
	if d, err = DropFromPlan(off, camera, Position{Point: Point{200, 100}, Cov: Cov{{0.0625, 0}, {0, 0.0625}}}); err != nil || !d.WrongThing() {
		t.Errorf("5 in to the side: %+v, %v", d, err)
	}
	if _, err = DropFromPlan(Position{Point: Point{250, 190}}, camera, Position{}); err == nil {
		t.Error("straight above the camera nothing can be said")
	}
}

// TestTriangulate: the same thing seen from a second camera at (150, 180), 60 in below. The standard deviations for apparent positions of 1/4 in
// are from an independent program in Python.
func TestTriangulate(t *testing.T) {
	quarter := Cov{{0.0625, 0}, {0, 0.0625}}
	one, two := Pose{X: 250, Y: 190, Below: 58}, Pose{X: 150, Y: 180, Below: 60}
	second := Apparent(Point{200, 100}, two, 9.25)
	near(t, "second apparent x", second.X, 209.11330049, 1e-8)
	near(t, "second apparent y", second.Y, 85.41871921, 1e-8)
	sights := []Sight{{one, Position{Point: Apparent(Point{200, 100}, one, 9.25), Cov: quarter}}, {two, Position{Point: second, Cov: quarter}}}
	got, err := Triangulate(sights)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "x", got.X, 200, 1e-8)
	near(t, "y", got.Y, 100, 1e-8)
	near(t, "drop", got.Drop, 9.25, 1e-8)
	near(t, "sigma x", math.Sqrt(got.Cov[0][0]), 0.17681177187371697, 1e-8)
	near(t, "sigma y", math.Sqrt(got.Cov[1][1]), 0.346663202054047, 1e-8)
	near(t, "sigma drop", got.SigmaDrop, 0.17426024135980103, 1e-8)
	near(t, "chi2", got.Chi2, 0, 1e-9)
	if got.DOF != 1 {
		t.Errorf("%d degrees of freedom, want 1", got.DOF)
	}
	var e *Error
	if _, err := Triangulate([]Sight{sights[0], sights[0]}); !errors.As(err, &e) || e.Code != CodeWeakNetwork {
		t.Errorf("twice from one place: %v, want weak_network", err)
	}
	if _, err := Triangulate(sights[:1]); !errors.As(err, &e) || e.Code != CodeTooFew {
		t.Errorf("one photo: %v, want too_few", err)
	}
}

// TestFuse: computed by hand from (P1 + P2)⁻¹(P1 X1 + P2 X2) in an independent program.
func TestFuse(t *testing.T) {
	f, err := Fuse([]Position{
		{Point: Point{100, 50}, Cov: Cov{{0.04, 0.01}, {0.01, 0.09}}},
		{Point: Point{100.6, 49.7}, Cov: Cov{{0.1, -0.02}, {-0.02, 0.05}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "x", f.X, 100.1476923076923, 1e-12)
	near(t, "y", f.Y, 49.87538461538462, 1e-12)
	near(t, "var x", f.Cov[0][0], 0.027384615384615386, 1e-12)
	near(t, "cov", f.Cov[0][1], -0.001230769230769231, 1e-12)
	near(t, "var y", f.Cov[1][1], 0.0302051282051282, 1e-12)
	near(t, "chi2", f.Chi2, 3.0461538461537883, 1e-9)
	if !f.Agrees() || f.DOF != 2 {
		t.Errorf("%+v should agree with 2 degrees of freedom", f)
	}
	far, err := Fuse([]Position{{Point: Point{100, 50}, Cov: Cov{{0.04, 0}, {0, 0.04}}}, {Point: Point{102, 50}, Cov: Cov{{0.04, 0}, {0, 0.04}}}})
	if err != nil || far.Agrees() {
		t.Errorf("2 in apart at sigma 0.2: %+v, %v", far, err)
	}
	if _, err := Fuse(nil); err == nil {
		t.Error("nothing to average: want an error")
	}
	if _, err := Fuse([]Position{{}}); err == nil {
		t.Error("no covariance: want an error")
	}
}

// TestHangingCoverage: things 9 1/4 in below the joists, located with their drop known, lie within their ellipse.
func TestHangingCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 1))
	opt := DefaultOptions()
	inside, wrong, all := 0, 0, 0
	for all < 1500 {
		s := random(r, true)
		s.uneven = 0.125
		refs, ok := s.references(r, s.spread(r, 6))
		if !ok {
			continue
		}
		p, err := Fit(refs, s.image, opt)
		if err != nil || p.Pose == nil {
			continue
		}
		for range 2 {
			at := s.area(r, 1.8)
			px, ok := s.tapped(r, at, 9.25)
			if !ok {
				continue
			}
			tap := Tap{"P", px, s.tap}
			pos, err := p.LocateHanging(tap, 9.25, 0)
			if err != nil {
				continue
			}
			all++
			if mahalanobis(pos, at) <= chi95 {
				inside++
			}
			if flat, err := p.Locate(tap); err == nil && mahalanobis(flat, at) > chi95 {
				wrong++
			}
		}
	}
	rate := 100 * float64(inside) / float64(all)
	t.Logf("%.1f %% of %d hanging things inside; without the correction %.1f %%", rate, all, 100-100*float64(wrong)/float64(all))
	if rate < 93 || rate > 97.5 {
		t.Errorf("coverage %.1f %%, want about 95", rate)
	}
	if wrong < all/2 {
		t.Errorf("without the correction only %d of %d are missed: the test does not test it", wrong, all)
	}
}

// TestHangingRefusals: no focal length, no place of the camera; a drop at or below the camera is no drop.
func TestHangingRefusals(t *testing.T) {
	s := scene{image: Image{4000, 3000, 26}, x: 260, y: 190, below: 60, heading: -1.7, elevation: 0.75, tap: 1e-6, tape: 1e-6}
	s.focal = s.image.Focal()
	r := rand.New(rand.NewPCG(1, 1))
	refs, _ := s.references(r, []Point{{200, 120}, {290, 130}, {170, 70}, {300, 60}})
	px, _ := s.see(Point{240, 100}, 0)
	var e *Error
	p, err := Fit(refs, Image{}, DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.LocateHanging(Tap{"P", px, 4}, 9.25, 0); !errors.As(err, &e) || e.Code != codeNoPose {
		t.Errorf("without a focal length: %v, want no_pose", err)
	}
	if p, err = Fit(refs, s.image, DefaultOptions()); err != nil {
		t.Fatal(err)
	}
	for _, drop := range []float64{60.5, math.NaN(), -1e9} {
		if _, err := p.LocateHanging(Tap{"P", px, 4}, drop, 0); !errors.As(err, &e) || e.Code != CodeBadInput {
			t.Errorf("a drop of %v: %v, want bad_input", drop, err)
		}
	}
}
