package plane

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// anyPhoto draws a noisy photo with its references and some pins.
func anyPhoto(t *rapid.T) (scene, []Reference, []Tap) {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5))
	for {
		s := random(r, true)
		refs, ok := s.references(r, s.spread(r, 5+r.IntN(4)))
		if !ok {
			continue
		}
		var taps []Tap
		for range 3 {
			px, _ := s.tapped(r, s.area(r, 2), 0)
			taps = append(taps, Tap{"P", px, 4})
		}
		return s, refs, taps
	}
}

// both fits two photos that should agree; false when neither has a fit.
func both(t *rapid.T, a, b []Reference, imageA, imageB Image, opt Options) (p, q *Photo, ok bool) {
	p, errA := Fit(a, imageA, opt)
	q, errB := Fit(b, imageB, opt)
	if codeOf(errA) != codeOf(errB) {
		t.Fatalf("%v against %v", errA, errB)
	}
	return p, q, errA == nil && p.CovScale < 20 // a fit that contradicts itself need not settle
}

func same(t *rapid.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Fatalf("%s: got %v, want %v ± %v", what, got, want, by)
	}
}

func model(t *rapid.T) Model {
	return rapid.SampledFrom([]Model{ModelH, ModelHD, ModelHDK}).Draw(t, "model")
}

// TestOrderDoesNotMatter: references in another order give the same answer.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, refs, taps := anyPhoto(t)
		opt := DefaultOptions()
		opt.Model = model(t)
		shuffled := rapid.Permutation(refs).Draw(t, "order")
		p, q, ok := both(t, refs, shuffled, s.image, s.image, opt)
		if !ok {
			return
		}
		same(t, "omega", q.Omega, p.Omega, 1e-6*(1+p.Omega))
		for i, r := range shuffled {
			at := slices.IndexFunc(p.References, func(test ReferenceTest) bool { return test.ID == r.ID })
			same(t, "T", q.References[i].T, p.References[at].T, 1e-5*(1+p.Omega))
		}
		for _, tap := range taps {
			a, errA := p.Locate(tap)
			b, errB := q.Locate(tap)
			if codeOf(errA) != codeOf(errB) {
				t.Fatalf("%v against %v", errA, errB)
			}
			same(t, "x", b.X, a.X, 1e-6)
			same(t, "y", b.Y, a.Y, 1e-6)
			same(t, "var", b.Cov[0][0], a.Cov[0][0], 1e-6*a.Cov[0][0])
		}
	})
}

// TestScaledPicture: the same photo in a smaller copy, taps with their noise smaller too, gives the same plan.
func TestScaledPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, refs, taps := anyPhoto(t)
		k := rapid.Float64Range(0.1, 4).Draw(t, "scale")
		opt := DefaultOptions()
		opt.Model = model(t)
		small := slices.Clone(refs)
		for i := range small {
			small[i].Pixel, small[i].SigmaPx = Pixel{k * small[i].Pixel.U, k * small[i].Pixel.V}, k*small[i].SigmaPx
		}
		p, q, ok := both(t, refs, small, s.image, Image{k * s.image.Width, k * s.image.Height, s.image.F35}, opt)
		if !ok {
			return
		}
		same(t, "omega", q.Omega, p.Omega, 1e-6*(1+p.Omega))
		for _, tap := range taps {
			a, errA := p.Locate(tap)
			b, errB := q.Locate(Tap{tap.ID, Pixel{k * tap.Pixel.U, k * tap.Pixel.V}, k * tap.SigmaPx})
			if codeOf(errA) != codeOf(errB) {
				t.Fatalf("%v against %v", errA, errB)
			}
			same(t, "x", b.X, a.X, 1e-6)
			same(t, "y", b.Y, a.Y, 1e-6)
			same(t, "covariance", b.Cov[0][1], a.Cov[0][1], 1e-6*mat2(a.Cov).trace())
		}
	})
}

// TestMovedPlan: a plan that is turned and moved gives turned and moved positions, covariances and camera.
func TestMovedPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, refs, taps := anyPhoto(t)
		angle := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "angle")
		by := vec2{rapid.Float64Range(-500, 500).Draw(t, "dx"), rapid.Float64Range(-500, 500).Draw(t, "dy")}
		turn := mat2{{math.Cos(angle), -math.Sin(angle)}, {math.Sin(angle), math.Cos(angle)}}
		move := func(p Point) Point {
			v := turn.apply(vec2{p.X, p.Y}).add(by)
			return Point{v[0], v[1]}
		}
		opt := DefaultOptions()
		opt.Model = model(t)
		moved := slices.Clone(refs)
		for i := range moved {
			moved[i].Plan = move(moved[i].Plan)
		}
		p, q, ok := both(t, refs, moved, s.image, s.image, opt)
		if !ok {
			return
		}
		if p.Pose != nil {
			want := move(Point{p.Pose.X, p.Pose.Y})
			same(t, "camera x", q.Pose.X, want.X, 1e-4)
			same(t, "camera y", q.Pose.Y, want.Y, 1e-4)
			same(t, "heading", math.Remainder(q.Pose.Heading-p.Pose.Heading-angle*180/math.Pi, 360), 0, 1e-4)
		}
		for _, tap := range taps {
			a, errA := p.Locate(tap)
			b, errB := q.Locate(tap)
			if codeOf(errA) != codeOf(errB) {
				t.Fatalf("%v against %v", errA, errB)
			}
			want := move(a.Point)
			cov := turn.sandwich(mat2(a.Cov))
			if errA != nil {
				continue
			}
			same(t, "x", b.X, want.X, 1e-5)
			same(t, "y", b.Y, want.Y, 1e-5)
			for i := range 2 {
				for j := range 2 {
					same(t, "covariance", b.Cov[i][j], cov[i][j], 1e-5*cov.trace())
				}
			}
		}
	})
}

// TestMirroredPlan: a plan drawn the other way round gives mirrored positions, and says so.
func TestMirroredPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, refs, taps := anyPhoto(t)
		opt := DefaultOptions()
		opt.Model = model(t)
		mirrored := slices.Clone(refs)
		for i := range mirrored {
			mirrored[i].Plan.Y = -mirrored[i].Plan.Y
		}
		p, q, ok := both(t, refs, mirrored, s.image, s.image, opt)
		if !ok {
			return
		}
		if p.Handedness != Same || q.Handedness != Mirrored {
			t.Fatalf("handedness %s and %s", p.Handedness, q.Handedness)
		}
		for _, tap := range taps {
			a, errA := p.Locate(tap)
			b, errB := q.Locate(tap)
			if errA != nil || errB != nil {
				continue
			}
			same(t, "x", b.X, a.X, 1e-5)
			same(t, "y", b.Y, -a.Y, 1e-5)
			same(t, "covariance", b.Cov[0][1], -a.Cov[0][1], 1e-5*mat2(a.Cov).trace())
		}
	})
}

// TestProjectIsTheInverseOfLocate for every pin that has a position.
func TestProjectIsTheInverseOfLocate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, refs, taps := anyPhoto(t)
		p, err := Fit(refs, s.image, DefaultOptions())
		if err != nil {
			return
		}
		for _, tap := range taps {
			pos, err := p.Locate(tap)
			if err != nil {
				continue
			}
			px, ok := p.Project(pos.Point)
			if !ok {
				t.Fatalf("%v has no pixel", pos.Point)
			}
			same(t, "u", px.U, tap.Pixel.U, 1e-5)
			same(t, "v", px.V, tap.Pixel.V, 1e-5)
		}
	})
}

// TestHull: no point of a set is outside its hull, and the distance from a point far off is that to the nearest point or edge.
func TestHull(t *testing.T) {
	coordinate := rapid.Float64Range(-100, 100)
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) vec2 {
			return vec2{math.Round(coordinate.Draw(t, "x")), math.Round(coordinate.Draw(t, "y"))}
		}), 1, 12).Draw(t, "points")
		ring := hull(points)
		for _, p := range points {
			same(t, "distance of a point of the set", outside(ring, p), 0, 1e-9)
		}
		far := vec2{300, coordinate.Draw(t, "far")}
		least := math.Inf(1)
		for i, a := range points {
			for _, b := range points[i:] {
				least = math.Min(least, toSegment(a, b, far))
			}
		}
		same(t, "distance from afar", outside(ring, far), least, 1e-9)
	})
}
