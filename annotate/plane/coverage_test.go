package plane

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// TestCoverage simulates photos and asks how often the 95 % ellipse holds the true place. The nominal rate is the definition of the ellipse.
func TestCoverage(t *testing.T) {
	const cameras, pins = 700, 4
	for _, c := range []struct {
		name  string
		model Model
		n     int
		free  bool // lens, focal length and principal point off by the priors
		z     float64
	}{
		{"H, 4 references, perfect lens", ModelH, 4, false, 0},
		{"H, 6 references, perfect lens", ModelH, 6, false, 0},
		{"HD, 6 references, joists uneven", ModelHD, 6, true, 0.125},
		{"HDK, 4 references, joists uneven", ModelHDK, 4, true, 0.125},
		{"HDK, 6 references, joists uneven", ModelHDK, 6, true, 0.125},
		{"HDK, 8 references, joists uneven", ModelHDK, 8, true, 0.125},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(11, uint64(c.n)))
			opt := DefaultOptions()
			opt.Model, opt.SigmaZ = c.model, c.z
			inside, all, drawn, refused := 0, 0, 0, 0
			for drawn < cameras {
				s := random(r, c.free)
				s.uneven = c.z
				refs, ok := s.references(r, s.spread(r, c.n))
				if !ok {
					continue
				}
				p, err := Fit(refs, s.image, opt)
				if err != nil || p.Conditioning < weakLayoutUnder || p.RefsRelW > weakFitOver {
					refused++
					continue // the program warns: not a layout to promise 95 % for
				}
				drawn++
				for range pins {
					at := s.area(r, 2.2)
					px, _ := s.tapped(r, at, 0)
					pos, err := p.Locate(Tap{"P", px, s.tap})
					if err != nil || pos.RelW > nearHorizonOver {
						continue
					}
					all++
					if mahalanobis(pos, at) <= chi95 {
						inside++
					}
				}
			}
			rate := 100 * float64(inside) / float64(all)
			t.Logf("%.1f %% of %d pins inside their 95 %% ellipse; %d of %d layouts warned about or refused", rate, all, refused, refused+drawn)
			if rate < 93 || rate > 97 {
				t.Errorf("coverage %.1f %%, want 93 to 97", rate)
			}
		})
	}
}

// TestCoverageOfDoubledNoise: taps with twice the stated noise. The text for the limits says that covariance scaling brings 68 % to about 85 %;
// here only that it helps, and that a fit without contradiction is not made smaller.
func TestCoverageOfDoubledNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 1))
	opt := DefaultOptions()
	opt.SigmaZ = 0
	var scaled, plain, all int
	for range 500 {
		s := random(r, false)
		s.scale = 2
		refs, ok := s.references(r, s.spread(r, 6))
		if !ok {
			continue
		}
		p, err := Fit(refs, s.image, opt)
		if err != nil {
			continue
		}
		if p.CovScale < 1 {
			t.Fatalf("CovScale %v shrinks", p.CovScale)
		}
		at := s.area(r, 1.8)
		px, _ := s.tapped(r, at, 0)
		pos, err := p.Locate(Tap{"P", px, s.tap})
		if err != nil {
			continue
		}
		all++
		if d := mahalanobis(pos, at); d <= chi95 {
			scaled++
		} else if d*p.CovScale <= chi95 {
			t.Fatal("scaling cannot lose coverage")
		}
		if mahalanobis(pos, at)*p.CovScale <= chi95 {
			plain++
		}
	}
	t.Logf("taps twice as noisy as stated: %.0f %% with CovScale, %.0f %% without, of %d", 100*float64(scaled)/float64(all), 100*float64(plain)/float64(all), all)
	if scaled-plain < all/20 || float64(scaled) < 0.78*float64(all) {
		t.Errorf("with CovScale %d of %d, without %d: want clearly more, and 78 %%", scaled, all, plain)
	}
}

// TestPoseCoverage: the true camera lies within the 95 % ellipsoid of its three coordinates (7.815, the quantile of chi-square with 3 degrees of
// freedom), and the true focal length within 1.96 sigmas of what the homography alone tells.
func TestPoseCoverage(t *testing.T) {
	for _, model := range []Model{ModelH, ModelHD, ModelHDK} {
		r := rand.New(rand.NewPCG(13, 1))
		opt := DefaultOptions()
		opt.Model = model
		inside, focal, all := 0, 0, 0
		for all < 500 {
			s := random(r, true)
			if model == ModelH {
				s.lambda = 0
			}
			s.uneven = 0.125
			refs, ok := s.references(r, s.spread(r, 6))
			if !ok {
				continue
			}
			p, err := Fit(refs, s.image, opt)
			if err != nil || p.Pose == nil {
				continue
			}
			all++
			if poseDistance(p.Pose, s) <= 7.815 {
				inside++
			}
			if math.Abs(p.Focal.FromH-s.focal) <= 1.96*p.Focal.Sigma {
				focal++
			}
		}
		rate, focalRate := 100*float64(inside)/float64(all), 100*float64(focal)/float64(all)
		t.Logf("%s: camera within its 95 %% ellipsoid %.1f %%, focal length within 1.96 sigmas %.1f %%, of %d", model, rate, focalRate, all)
		if rate < 91 || rate > 98.5 {
			t.Errorf("%s: camera %.1f %%, want about 95", model, rate)
		}
		if focalRate < 91 || focalRate > 98.5 {
			t.Errorf("%s: focal length %.1f %%, want about 95", model, focalRate)
		}
	}
}

// poseDistance is the squared distance of the camera found from the true one in units of its covariance.
func poseDistance(p *Pose, s scene) float64 {
	cov := mat.NewSymDense(3, nil)
	for i := range 3 {
		for j := i; j < 3; j++ {
			cov.SetSym(i, j, p.Cov[i][j])
		}
	}
	off := mat.NewVecDense(3, []float64{p.X - s.x, p.Y - s.y, p.Below - s.below})
	var chol mat.Cholesky
	var x mat.VecDense
	if !chol.Factorize(cov) || chol.SolveVecTo(&x, off) != nil {
		return math.Inf(1)
	}
	return mat.Dot(off, &x)
}

// TestDropFromPlanCoverage: the drop of things whose plan place is known to a quarter inch lies within 1.96 sigmas, from half the camera's
// height sideways on; the rate to expect, 94 to 97 %, comes from a simulation by an independent program.
func TestDropFromPlanCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 1))
	inside, right, all := 0, 0, 0
	for all < 1000 {
		s := random(r, true)
		s.uneven = 0.125
		refs, ok := s.references(r, s.spread(r, 6))
		if !ok {
			continue
		}
		p, err := Fit(refs, s.image, DefaultOptions())
		if err != nil || p.Pose == nil {
			continue
		}
		at := s.area(r, 1.8)
		px, ok := s.tapped(r, at, 9.25)
		if !ok || math.Hypot(at.X-s.x, at.Y-s.y) < s.below/2 {
			continue
		}
		apparent, err := p.Locate(Tap{"P", px, s.tap})
		if err != nil {
			continue
		}
		known := Position{Point: Point{at.X + 0.25*r.NormFloat64(), at.Y + 0.25*r.NormFloat64()}, Cov: Cov{{0.0625, 0}, {0, 0.0625}}}
		d, err := DropFromPlan(apparent, *p.Pose, known)
		if err != nil {
			t.Fatal(err)
		}
		all++
		if math.Abs(d.Inches-9.25) <= 1.96*d.Sigma {
			inside++
		}
		if !d.WrongThing() {
			right++
		}
	}
	rate := 100 * float64(inside) / float64(all)
	t.Logf("drop within 1.96 sigmas %.1f %%, taken for the right thing %.1f %%, of %d", rate, 100*float64(right)/float64(all), all)
	if rate < 92.5 || rate > 98 || right < all*98/100 {
		t.Errorf("coverage %.1f %%, right thing %d of %d", rate, right, all)
	}
}
