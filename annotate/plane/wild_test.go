package plane

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"pgregory.net/rapid"
)

// wild draws numbers as nobody measures them: of any size, repeated, on lines.
func wild() *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Float64Range(-500, 5000),
		rapid.SampledFrom([]float64{0, 1, 100, 100, 200, 1e-9, 1e6, -1e6, 4000}),
		rapid.Float64Range(-1e6, 1e6),
	)
}

func wildSigma() *rapid.Generator[float64] {
	return rapid.OneOf(rapid.Float64Range(0.05, 10), rapid.SampledFrom([]float64{1e-12, 1e-6, 4, 1e6}))
}

func wildImage() *rapid.Generator[Image] {
	return rapid.SampledFrom([]Image{{}, {4000, 3000, 0}, {4000, 3000, 26}, {3000, 4000, 13}, {1, 1e6, 1e5}, {1, 1, 1e-6}})
}

// sound fails on a position that is no position.
func sound(t *rapid.T, p Position) {
	t.Helper()
	c := p.Cov
	if !finite(p.X, p.Y, c[0][0], c[0][1], c[1][0], c[1][1], p.RelW, p.SigmaTap, p.SigmaRefs, p.OutsideHull) {
		t.Fatalf("not finite: %+v", p)
	}
	if c[0][0] < 0 || c[1][1] < 0 || c[0][1]*c[0][1] > c[0][0]*c[1][1]*(1+1e-6)+1e-300 {
		t.Fatalf("no covariance: %v", c)
	}
}

// TestWildPhotos: whatever the numbers, Fit gives an error with a code or a photo whose positions are finite with true covariances.
func TestWildPhotos(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var refs []Reference
		for i := range rapid.IntRange(0, 7).Draw(t, "n") {
			refs = append(refs, Reference{fmt.Sprint(i), Pixel{wild().Draw(t, "u"), wild().Draw(t, "v")}, Point{wild().Draw(t, "x"), wild().Draw(t, "y")}, wildSigma().Draw(t, "sp"), wildSigma().Draw(t, "si")})
		}
		opt := DefaultOptions()
		opt.SigmaZ = rapid.SampledFrom([]float64{0, 0.125, 1e5}).Draw(t, "z")
		opt.Handedness = rapid.SampledFrom([]Handedness{AnyHandedness, Same, Mirrored}).Draw(t, "handedness")
		p, err := Fit(refs, wildImage().Draw(t, "image"), opt)
		if err != nil {
			if codeOf(err) == "" || p != nil {
				t.Fatalf("%v, %v", p, err)
			}
			return
		}
		tap := Tap{"P", Pixel{wild().Draw(t, "u"), wild().Draw(t, "v")}, wildSigma().Draw(t, "sp")}
		pos, err := p.Locate(tap)
		if err == nil {
			sound(t, pos)
		} else if codeOf(err) == "" {
			t.Fatal(err)
		}
		if hanging, err := p.LocateHanging(tap, 9.25, 0.25); err == nil {
			sound(t, hanging)
		}
		at := Point{wild().Draw(t, "x"), wild().Draw(t, "y")}
		if px, ok := p.Project(at); ok && !finite(px.U, px.V) {
			t.Fatalf("%v projects to %v", at, px)
		}
		if from, to, ok := p.ProjectSegment(at, Point{0, 0}); ok && !finite(from.U, from.V, to.U, to.V) {
			t.Fatalf("a segment from %v to %v", from, to)
		}
	})
}

// TestSpoiltPhotos: good photos of which a few numbers are wild.
func TestSpoiltPhotos(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, refs, taps := anyPhoto(t)
		for range rapid.IntRange(0, 3).Draw(t, "spoilt") {
			r := &refs[rapid.IntRange(0, len(refs)-1).Draw(t, "ref")]
			number := rapid.SampledFrom([]*float64{&r.Pixel.U, &r.Pixel.V, &r.Plan.X, &r.Plan.Y}).Draw(t, "number")
			*number = wild().Draw(t, "value")
		}
		opt := DefaultOptions()
		opt.Model = rapid.SampledFrom([]Model{ModelAuto, ModelH, ModelHD, ModelHDK}).Draw(t, "model")
		opt.Handedness = Same
		p, err := Fit(refs, s.image, opt)
		if err != nil {
			if codeOf(err) == "" || p != nil {
				t.Fatalf("%v, %v", p, err)
			}
			return
		}
		if !finite(p.Omega, p.CovScale, p.Conditioning) || p.CovScale < 1 {
			t.Fatalf("omega %v, scale %v", p.Omega, p.CovScale)
		}
		for _, tap := range taps {
			if pos, err := p.Locate(tap); err == nil {
				sound(t, pos)
			}
			if pos, err := p.LocateHanging(tap, 9.25, 0.25); err == nil {
				sound(t, pos)
			}
		}
		if d, sigma, err := p.Distance(taps[0], taps[1]); err == nil && !(finite(d, sigma) && d >= 0 && sigma >= 0) {
			t.Fatalf("distance %v ± %v", d, sigma)
		}
	})
}

// TestSpoiltBundles: good bundles of which a few numbers are wild.
func TestSpoiltBundles(t *testing.T) {
	solved := 0
	rapid.Check(t, func(t *rapid.T) {
		in := longDeck(2).shoot(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 6)))
		for range rapid.IntRange(0, 3).Draw(t, "spoilt") {
			photo := &in.Photos[rapid.IntRange(0, 1).Draw(t, "photo")]
			tap := &photo.Taps[rapid.IntRange(0, len(photo.Taps)-1).Draw(t, "tap")]
			known := &in.Known[rapid.IntRange(0, len(in.Known)-1).Draw(t, "known")]
			number := rapid.SampledFrom([]*float64{&tap.Pixel.U, &tap.Pixel.V, &known.Plan.X, &known.Plan.Y}).Draw(t, "number")
			*number = wild().Draw(t, "value")
		}
		opt := DefaultOptions()
		opt.Model = rapid.SampledFrom([]Model{ModelAuto, ModelH, ModelHD, ModelHDK}).Draw(t, "model")
		b, err := FitBundle(in, opt)
		if err != nil {
			if codeOf(err) == "" || b != nil {
				t.Fatalf("%v, %v", b, err)
			}
			return
		}
		solved++
		for _, p := range b.Points {
			pos, ok := b.Position(p.ID)
			if !ok {
				t.Fatalf("no position of %s", p.ID)
			}
			sound(t, pos)
		}
	})
	if solved == 0 {
		t.Error("no bundle was solved: the test does not test it")
	}
}

// TestTruncatedDocument: a document cut anywhere is refused, never a crash or half an answer.
func TestTruncatedDocument(t *testing.T) {
	for _, name := range []string{"v3", "v8"} {
		data, err := os.ReadFile(vectors + name + ".json")
		if err != nil {
			t.Fatal(err)
		}
		for n := range len(data) - 1 {
			if answer, err := Answer(data[:n]); codeOf(err) != CodeBadInput || answer != nil {
				t.Fatalf("%s cut at byte %d: %v", name, n, err)
			}
		}
	}
}
