package plane

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// desk is a quiet scene with six well-placed references, for tests that spoil one.
func desk() (scene, []Point) {
	s := scene{image: Image{4000, 3000, 26}, x: 260, y: 190, below: 60, heading: -1.7, elevation: 0.75, tap: 4, tape: 0.125}
	s.focal = s.image.Focal()
	return s, []Point{{200, 120}, {290, 130}, {170, 70}, {300, 60}, {230, 20}, {250, 140}}
}

func found(warnings []Warning, code Code) *Warning {
	i := slices.IndexFunc(warnings, func(w Warning) bool { return w.Code == code })
	if i < 0 {
		return nil
	}
	return &warnings[i]
}

// TestWrongReferenceIsNamed simulates one coordinate typed 12 in wrong, among 6 references with a known focal length, and the wrong
// tap. The rates to be expected come from a simulation by an independent program: noticed 100 %, named right 98 to 100 %.
func TestWrongReferenceIsNamed(t *testing.T) {
	for name, spoil := range map[string]func(r *rand.Rand, ref *Reference){
		"typed 12 in wrong": func(r *rand.Rand, ref *Reference) {
			if r.IntN(2) == 0 {
				ref.Plan.X += 12
			} else {
				ref.Plan.Y -= 12
			}
		},
		"tapped 300 px off": func(r *rand.Rand, ref *Reference) {
			angle := 2 * math.Pi * r.Float64()
			ref.Pixel.U, ref.Pixel.V = ref.Pixel.U+300*math.Cos(angle), ref.Pixel.V+300*math.Sin(angle)
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(51, 1))
			opt := DefaultOptions()
			noticed, named, accused, all := 0, 0, 0, 0
			for all < 50 {
				s := random(r, true)
				s.uneven = 0.125
				refs, ok := s.references(r, s.spread(r, 6))
				if !ok {
					continue
				}
				all++
				at := r.IntN(len(refs))
				spoil(r, &refs[at])
				p, err := Fit(refs, s.image, opt)
				var e *Error
				switch {
				case errors.As(err, &e) && e.Code == CodeOrder, err == nil && found(p.Warnings, CodeMisfit) != nil:
					noticed++
				case err == nil && found(p.Warnings, CodeFocal) != nil:
					noticed++
					continue
				default:
					continue
				}
				if err != nil || p.Blunder.Verdict != verdictBlunder {
					continue
				}
				if slices.Equal(p.Blunder.Refs, []string{refs[at].ID}) {
					named++
				} else {
					accused++
				}
			}
			t.Logf("of %d: noticed %d, named right %d, named wrong %d", all, noticed, named, accused)
			if noticed < all*95/100 || named < all*95/100 || accused > all/20 {
				t.Errorf("noticed %d, named right %d, wrong %d of %d", noticed, named, accused, all)
			}
		})
	}
}

// TestNoFalseAlarm: right references raise no misfit in hundreds of photos, the significance being 0.1 %.
func TestNoFalseAlarm(t *testing.T) {
	r := rand.New(rand.NewPCG(52, 1))
	alarms, all := 0, 0
	for all < 400 {
		s := random(r, true)
		s.uneven = 0.125
		refs, ok := s.references(r, s.spread(r, 5+r.IntN(4)))
		if !ok {
			continue
		}
		all++
		if p, err := Fit(refs, s.image, DefaultOptions()); err != nil || found(p.Warnings, CodeMisfit) != nil {
			alarms++
		}
	}
	t.Logf("%d false alarms of %d", alarms, all)
	if alarms > 4 {
		t.Errorf("%d false alarms of %d", alarms, all)
	}
}

// TestSwappedReferences: two references exchanged are noticed, and with enough of them named.
func TestSwappedReferences(t *testing.T) {
	s, at := desk()
	refs, _ := s.references(rand.New(rand.NewPCG(53, 1)), at)
	refs[1].Plan, refs[4].Plan = refs[4].Plan, refs[1].Plan
	p, err := Fit(refs, s.image, DefaultOptions())
	var blunder *Blunder
	var e *Error
	if errors.As(err, &e) {
		blunder = e.Blunder
	} else if found(p.Warnings, CodeMisfit) != nil {
		blunder = p.Blunder
	}
	if blunder == nil || blunder.Verdict != verdictBlunder || blunder.Best.Kind != "swap" {
		t.Fatalf("got %+v, %v", blunder, err)
	}
	if names := blunder.Refs; !slices.Contains(names, "R2") || !slices.Contains(names, "R5") || len(names) != 2 {
		t.Errorf("suspects %v, want R2 and R5", names)
	}
}

// TestOrderOfFour: neighbouring corners exchanged make a crossed quadrilateral, which puts one behind the camera. Nobody can be named, but the
// right exchange is among the suspects.
func TestOrderOfFour(t *testing.T) {
	s, _ := desk()
	refs, _ := s.references(rand.New(rand.NewPCG(54, 1)), []Point{{200, 120}, {290, 130}, {300, 60}, {170, 70}})
	refs[0].Plan, refs[1].Plan = refs[1].Plan, refs[0].Plan
	opt := DefaultOptions()
	opt.Model, opt.Handedness = ModelH, Same
	_, err := Fit(refs, s.image, opt)
	var e *Error
	if !errors.As(err, &e) || e.Code != CodeOrder || e.Blunder == nil || e.Blunder.Verdict != verdictUnnamed {
		t.Fatalf("got %v, want an order error without a name", err)
	}
	ok := slices.ContainsFunc(e.Blunder.Hypotheses, func(h Hypothesis) bool { return h.Kind == "swap" && h.Ref == "R2" && h.Other == "R1" })
	if !ok {
		t.Errorf("the exchange of R1 and R2 is not among %+v", e.Blunder.Hypotheses)
	}
}

// TestPinShould: the hypothesis tells the reverse too, where the typed place appears on the photo.
func TestPinShould(t *testing.T) {
	s, at := desk()
	refs, _ := s.references(rand.New(rand.NewPCG(55, 1)), at)
	typed := Point{at[2].X + 20, at[2].Y}
	refs[2].Plan = typed
	p, err := Fit(refs, s.image, DefaultOptions())
	if err != nil || p.Blunder == nil || p.Blunder.Best == nil || p.Blunder.Best.PinShould == nil {
		t.Fatalf("got %v, %+v", err, p)
	}
	want, _ := s.see(typed, 0)
	if got := p.Blunder.Best.PinShould; math.Hypot(got.U-want.U, got.V-want.V) > 60 {
		t.Errorf("the pin should be at %v, want about %v", *got, want)
	}
	if says := p.Blunder.Best.PhotoSays; math.Abs(says.X-at[2].X) > 4*p.Blunder.Best.SD.X {
		t.Errorf("the photo says %v ± %v, the truth is %v", says, p.Blunder.Best.SD, at[2])
	}
}

// TestTypedBehindTheHorizon: feet typed for inches put a reference far behind the photo's horizon; the search still finds it.
func TestTypedBehindTheHorizon(t *testing.T) {
	s, at := desk()
	refs, _ := s.references(rand.New(rand.NewPCG(56, 1)), at)
	refs[4].Plan.Y = -20 * 12 * 12
	p, err := Fit(refs, s.image, DefaultOptions())
	var blunder *Blunder
	var e *Error
	if errors.As(err, &e) {
		blunder = e.Blunder
	} else {
		blunder = p.Blunder
	}
	if blunder == nil || !slices.Equal(blunder.Refs, []string{"R5"}) {
		t.Errorf("got %+v, %v; want R5 suspected", blunder, err)
	}
}

// TestReferenceTests compares with deleting the reference: without redundancy lost, T is the drop of omega when the reference is taken out, which
// is what a test of both its coordinates means (exactly so in a linear model; the weights make it approximate here).
func TestReferenceTests(t *testing.T) {
	s, at := desk()
	refs, _ := s.references(rand.New(rand.NewPCG(57, 1)), at)
	opt := DefaultOptions()
	opt.Model, opt.SigmaZ = ModelH, 0
	p, err := Fit(refs, Image{}, opt)
	if err != nil {
		t.Fatal(err)
	}
	var redundancy float64
	for i, test := range p.References {
		redundancy += test.Redundancy
		rest := slices.Delete(slices.Clone(refs), i, i+1)
		q, err := Fit(rest, Image{}, opt)
		if err != nil {
			t.Fatal(err)
		}
		near(t, test.ID+" T", test.T, p.Omega-q.Omega, 0.05*test.T+0.02)
	}
	near(t, "sum of redundancies", redundancy, float64(p.DOF), 1e-9)
}

// TestMinimalDetectable: an error as large as mdb says is noticed by the test of its coordinate at 0.1 % (3.29 sigmas) with 80 %, by simulation.
func TestMinimalDetectable(t *testing.T) {
	s, at := desk()
	opt := DefaultOptions()
	opt.Model, opt.SigmaZ = ModelH, 0
	r := rand.New(rand.NewPCG(58, 1))
	noticed, all := 0, 0
	for all < 300 {
		refs, ok := s.references(r, at)
		if !ok {
			continue
		}
		clean, err := Fit(refs, Image{}, opt)
		if err != nil {
			t.Fatal(err)
		}
		refs[3].Plan.X += clean.References[3].MDBX
		p, err := Fit(refs, Image{}, opt)
		if err != nil {
			t.Fatal(err)
		}
		all++
		if math.Abs(p.References[3].TX) > 3.29 {
			noticed++
		}
	}
	rate := 100 * float64(noticed) / float64(all)
	t.Logf("noticed %.0f %% of errors as large as mdb", rate)
	if rate < 74 || rate > 86 {
		t.Errorf("noticed %.0f %%, want 80", rate)
	}
}
