package plane

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestScaleOnlyCoverage: a camera held straight up but for 5 degrees per axis; pins up to one base length from the middle of the references. The
// rate to expect, 92 to 95 %, comes from a simulation by an independent program.
func TestScaleOnlyCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(71, 1))
	image := Image{4000, 3000, 26}
	f := image.Focal()
	inside, all := 0, 0
	for all < 3000 {
		h := 60 + 24*r.Float64()
		ax, ay, turn := 5*math.Pi/180*r.NormFloat64(), 5*math.Pi/180*r.NormFloat64(), 2*math.Pi*r.Float64()
		see := func(p Point) (Pixel, bool) {
			x, y := p.X*math.Cos(turn)-p.Y*math.Sin(turn), p.X*math.Sin(turn)+p.Y*math.Cos(turn)
			x, z := x*math.Cos(ax)+h*math.Sin(ax), -x*math.Sin(ax)+h*math.Cos(ax)
			y, z = y*math.Cos(ay)+z*math.Sin(ay), -y*math.Sin(ay)+z*math.Cos(ay)
			u, v := 2000+f*x/z+4*r.NormFloat64(), 1500+f*y/z+4*r.NormFloat64()
			return Pixel{u, v}, z > 1 && u > 0 && v > 0 && u < 4000 && v < 3000
		}
		var refs []Reference
		visible := true
		for i, at := range []Point{{-16, 4}, {16, 4}} {
			px, ok := see(at)
			visible = visible && ok
			refs = append(refs, Reference{string(rune('A' + i)), px, Point{at.X + 0.125*r.NormFloat64(), at.Y + 0.125*r.NormFloat64()}, 4, 0.125})
		}
		at := Point{64*r.Float64() - 32, 64*r.Float64() - 28}
		px, ok := see(at)
		if !visible || !ok || math.Hypot(at.X, at.Y-4) > 32 {
			continue
		}
		p, err := Fit(refs, image, DefaultOptions())
		if err != nil {
			t.Fatal(err)
		}
		pos, err := p.Locate(Tap{"P", px, 4})
		if err != nil {
			t.Fatal(err)
		}
		all++
		if mahalanobis(pos, at) <= chi95 {
			inside++
		}
	}
	rate := 100 * float64(inside) / float64(all)
	t.Logf("%.1f %% of %d", rate, all)
	if rate < 91 || rate > 96.5 {
		t.Errorf("coverage %.1f %%, want 92 to 95", rate)
	}
}

// TestScaleOnly: by hand. 100 px are 10 in, along x; the plan is seen as it is.
func TestScaleOnly(t *testing.T) {
	refs := []Reference{{"A", Pixel{1000, 1000}, Point{0, 0}, 1, 0.1}, {"B", Pixel{1100, 1000}, Point{10, 0}, 1, 0.1}}
	p, err := Fit(refs, Image{}, DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "inches per pixel", p.InchPerPixel, 0.1, 1e-12)
	if !p.ScaleOnly || len(p.Warnings) != 1 || p.Warnings[0].Code != codeScaleOnly {
		t.Errorf("%+v", p)
	}
	pos, err := p.Locate(Tap{"P", Pixel{1050, 1030}, 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "x", pos.X, 5, 1e-12)
	near(t, "y", pos.Y, 3, 1e-12)
	// t = 0.5 + 0.3i: (0.34 + 0.34)(0.01 + 0.01) + 0.01.
	near(t, "variance", pos.Cov[0][0], 0.68*0.02+0.01, 1e-12)
	px, ok := p.Project(Point{5, 3})
	if !ok || math.Hypot(px.U-1050, px.V-1030) > 1e-9 {
		t.Errorf("(5, 3) projects to %v", px)
	}
	if _, _, ok := p.ProjectSegment(Point{0, 0}, Point{5, 3}); !ok {
		t.Error("a segment is not drawn")
	}
	far, err := p.Locate(Tap{"P", Pixel{1050, 1110}, 1})
	if err != nil || found(far.Warnings, codeFarFromRefs) == nil {
		t.Errorf("11 in from a base of 10: %+v, %v", far, err)
	}
	// The length between the references' own pixels is 10; its sigma counts each tap twice (reference and pin).
	d, sigma, err := p.Distance(Tap{"P", Pixel{1000, 1000}, 1}, Tap{"Q", Pixel{1100, 1000}, 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length", d, 10, 1e-12)
	near(t, "sigma of the length", sigma, math.Sqrt(2*0.02+2*0.01), 1e-12)
	if _, err := p.LocateHanging(Tap{"P", Pixel{1050, 1030}, 1}, 9.25, 0); codeOf(err) != codeNoPose {
		t.Errorf("a drop in scale-only mode: %v, want no_pose", err)
	}
}

// TestScaleOfOnePlace: two references in one place, but for what no finger can tell apart, give no scale; from coincide on all figures are finite.
func TestScaleOfOnePlace(t *testing.T) {
	for _, row := range []struct {
		name   string
		pixels float64
		inches float64
		code   Code
	}{
		{"same pixel", 0, 10, CodeDegenerate},
		{"same place", 100, 0, CodeDegenerate},
		{"hardly another pixel", 1.7e-77, 10, CodeDegenerate},
		{"hardly another place", 100, 1e-300, CodeDegenerate},
		{"just apart", coincide, 1e6, ""},
		{"just apart on the plan", 1e6, coincide, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			p, err := Fit([]Reference{{"A", Pixel{0, 0}, Point{0, 0}, 1e6, 1e6}, {"B", Pixel{row.pixels, 0}, Point{row.inches, 0}, 1e6, 1e6}}, Image{}, DefaultOptions())
			if codeOf(err) != row.code {
				t.Fatalf("%v, want the code %q", err, row.code)
			}
			if err != nil {
				return
			}
			pos, err := p.Locate(Tap{"P", Pixel{1e6, -1e6}, 1e6})
			if err != nil || !finite(pos.X, pos.Y, pos.Cov[0][0], pos.Cov[0][1], pos.Cov[1][1]) {
				t.Errorf("%+v, %v", pos, err)
			}
			if px, ok := p.Project(Point{1e6, -1e6}); ok && !finite(px.U, px.V) {
				t.Errorf("projects to %v", px)
			}
		})
	}
}
