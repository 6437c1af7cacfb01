package plane

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// row is a long deck seen by photos in one row, neighbours sharing pins: the plan places of pins every 32 in on three lines, and the references
// at some of them.
type row struct {
	s     scene
	views []float64 // camera x
	pins  map[string]Point
	known []string
}

// longDeck has n photos 56 in apart, with references at both ends and every 8 ft or so.
func longDeck(n int) row {
	d := row{pins: map[string]Point{}}
	d.s = scene{image: Image{4000, 3000, 26}, y: 190, below: 72, heading: -math.Pi / 2, elevation: 0.75, tap: 4, tape: 0.125}
	d.s.focal = d.s.image.Focal()
	for i := range n {
		d.views = append(d.views, 60+56*float64(i))
	}
	end := d.views[n-1] + 60
	for x := 8.0; x <= end; x += 32 {
		for j, y := range []float64{30, 85, 130} {
			id := fmt.Sprintf("T%03.0f-%d", x, j)
			d.pins[id] = Point{x + 3*float64(j), y}
			if int(x-8)%96 == 0 && j != 1 || x+32 > end && j != 1 {
				d.known = append(d.known, id)
			}
		}
	}
	return d
}

// shoot makes noisy input; the same seed gives the same noise.
func (d row) shoot(r *rand.Rand) BundleInput {
	var in BundleInput
	ids := sortedIDs(d.pins)
	for i, x := range d.views {
		s := d.s
		s.x, s.heading, s.elevation = x, s.heading+0.08*math.Sin(float64(3*i)), s.elevation+0.05*math.Cos(float64(2*i))
		photo := BundlePhoto{ID: fmt.Sprint(i + 1), Image: s.image}
		for _, id := range ids {
			if px, ok := s.tapped(r, d.pins[id], 0); ok {
				photo.Taps = append(photo.Taps, Tap{id, px, 4})
			}
		}
		in.Photos = append(in.Photos, photo)
	}
	seen := map[string]bool{}
	for _, p := range in.Photos {
		for _, t := range p.Taps {
			seen[t.ID] = true
		}
	}
	for _, id := range d.known {
		if at := d.pins[id]; seen[id] {
			in.Known = append(in.Known, KnownPoint{id, Point{at.X + 0.125*r.NormFloat64(), at.Y + 0.125*r.NormFloat64()}, 0.125})
		}
	}
	return in
}

func sortedIDs(m map[string]Point) []string { return slices.Sorted(maps.Keys(m)) }

// TestBundleCoverage: points of a long deck lie within their ellipses in every model.
func TestBundleCoverage(t *testing.T) {
	for _, c := range []struct {
		model Model
		z     float64
	}{{ModelH, 0}, {ModelHD, 0}, {ModelHDK, 0}, {ModelHDK, 0.125}} {
		t.Run(fmt.Sprintf("%s, joists %g", c.model, c.z), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(81, 1))
			opt := DefaultOptions()
			opt.Model, opt.SigmaZ = c.model, c.z
			inside, all, iterations := 0, 0, 0
			for range 20 {
				d := longDeck(4)
				d.s.uneven = c.z
				if c.model != ModelH {
					d.s.lambda = 0.01 * r.NormFloat64()
				}
				if c.model == ModelHDK {
					d.s.focal *= 1 + 0.03*r.NormFloat64()
				}
				b, err := FitBundle(d.shoot(r), opt)
				if err != nil {
					t.Fatal(err)
				}
				iterations += b.Iterations
				for _, p := range b.Points {
					pos, _ := b.Position(p.ID)
					all++
					if mahalanobis(pos, d.pins[p.ID]) <= chi95 {
						inside++
					}
				}
			}
			rate := 100 * float64(inside) / float64(all)
			t.Logf("%.1f %% of %d points, %.1f iterations a bundle", rate, all, float64(iterations)/20)
			if rate < 92.5 || rate > 98.5 {
				t.Errorf("coverage %.1f %%, want about 95", rate)
			}
		})
	}
}

// TestBundleOfOne: a bundle of a single photo is the photo's fit, its pins' covariances included.
func TestBundleOfOne(t *testing.T) {
	s, at := desk()
	r := rand.New(rand.NewPCG(82, 1))
	refs, _ := s.references(r, at)
	px, _ := s.tapped(r, Point{240, 100}, 0)
	for _, model := range []Model{ModelH, ModelHD, ModelHDK} {
		opt := DefaultOptions()
		opt.Model, opt.SigmaZ = model, 0
		in := BundleInput{Photos: []BundlePhoto{{Image: s.image, Taps: []Tap{{"P", px, 4}}}}}
		for _, ref := range refs {
			in.Photos[0].Taps = append(in.Photos[0].Taps, Tap{ref.ID, ref.Pixel, ref.SigmaPx})
			in.Known = append(in.Known, KnownPoint{ref.ID, ref.Plan, ref.SigmaIn})
		}
		b, err := FitBundle(in, opt)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Fit(refs, s.image, opt)
		if err != nil {
			t.Fatal(err)
		}
		want, err := p.Locate(Tap{"P", px, 4})
		if err != nil {
			t.Fatal(err)
		}
		got, ok := b.Position("P")
		if !ok || b.DOF != p.DOF {
			t.Fatalf("%s: %d degrees of freedom, want %d", model, b.DOF, p.DOF)
		}
		sd := math.Sqrt(mat2(want.Cov).trace())
		near(t, string(model)+" omega", b.Omega, p.Omega, 0.01*p.Omega)
		near(t, string(model)+" x", got.X, want.X, 0.01*sd)
		near(t, string(model)+" y", got.Y, want.Y, 0.01*sd)
		near(t, string(model)+" variance", got.Cov[1][1], want.Cov[1][1], 0.02*want.Cov[1][1])
	}
}

// TestBundleTies: straight members help a chain that is held at one end only.
func TestBundleTies(t *testing.T) {
	d := longDeck(4)
	in := d.shoot(rand.New(rand.NewPCG(83, 1)))
	var held []KnownPoint
	for _, k := range in.Known {
		if k.Plan.X < 140 {
			held = append(held, k)
		}
	}
	in.Known = held
	opt := DefaultOptions()
	opt.Model, opt.SigmaZ = ModelH, 0
	free, err := FitBundle(in, opt)
	if err != nil {
		t.Fatal(err)
	}
	tied := in
	seen := map[string]bool{}
	for _, p := range free.Points {
		seen[p.ID] = true
	}
	first := ""
	for _, id := range sortedIDs(d.pins) {
		if id[len(id)-1] != '1' || !seen[id] {
			continue
		}
		if first != "" {
			tied.SameY = append(tied.SameY, Tie{first, id, 0, 0.25})
			tied.Dist = append(tied.Dist, Tie{first, id, d.pins[id].X - d.pins[first].X, 0.25})
		} else {
			first = id
		}
	}
	better, err := FitBundle(tied, opt)
	if err != nil {
		t.Fatal(err)
	}
	if want := free.DOF + len(tied.ties()); better.DOF != want {
		t.Errorf("%d degrees of freedom with ties, want %d", better.DOF, want)
	}
	last := free.Points[len(free.Points)-1].ID
	a, _ := free.Position(last)
	b, _ := better.Position(last)
	t.Logf("95 %% of the last pin: %.1f in held at one end, %.1f in with a straight line along", a.Ellipse95().A, b.Ellipse95().A)
	if b.Ellipse95().A > 0.7*a.Ellipse95().A {
		t.Error("ties along a straight line do not help a chain held at one end")
	}
	if mahalanobis(b, d.pins[last]) > 12 {
		t.Errorf("the last pin is at %v, want %v", b.Point, d.pins[last])
	}
}

// TestBundleRefusals: each error has its code.
func TestBundleRefusals(t *testing.T) {
	good := func() BundleInput { return longDeck(3).shoot(rand.New(rand.NewPCG(84, 1))) }
	for name, c := range map[string]struct {
		spoil func(in *BundleInput)
		want  Code
	}{
		"no photo":          {func(in *BundleInput) { in.Photos = nil }, CodeBadInput},
		"3 known":           {func(in *BundleInput) { in.Known = in.Known[:3] }, CodeTooFew},
		"a photo with 3":    {func(in *BundleInput) { in.Photos[1].Taps = in.Photos[1].Taps[:3] }, CodeWeakNetwork},
		"a loose photo":     {func(in *BundleInput) { loosen(in) }, CodeWeakNetwork},
		"known on one line": {func(in *BundleInput) { lineUp(in) }, CodeDegenerate},
		"a point twice":     {func(in *BundleInput) { in.Known = append(in.Known, in.Known[0]) }, CodeBadInput},
		"a tap twice":       {func(in *BundleInput) { in.Photos[0].Taps = append(in.Photos[0].Taps, in.Photos[0].Taps[0]) }, CodeBadInput},
		"not a number":      {func(in *BundleInput) { in.Known[0].Plan.X = math.NaN() }, CodeBadInput},
		"a stray tie":       {func(in *BundleInput) { in.SameX = []Tie{{"nowhere", in.Known[0].ID, 0, 1}} }, CodeBadInput},
		"a tie of one":      {func(in *BundleInput) { in.SameX = []Tie{{in.Known[0].ID, in.Known[0].ID, 0, 1}} }, CodeBadInput},
	} {
		in := good()
		c.spoil(&in)
		opt := DefaultOptions()
		opt.Model = ModelH
		if _, err := FitBundle(in, opt); codeOf(err) != c.want {
			t.Errorf("%s: got %v, want %s", name, err, c.want)
		}
	}
}

// loosen renames what one photo shows, so that it shares nothing.
func loosen(in *BundleInput) {
	for i := range in.Photos[1].Taps {
		in.Photos[1].Taps[i].ID += " again"
	}
}

// lineUp leaves only the known points of one line.
func lineUp(in *BundleInput) {
	var line []KnownPoint
	for _, p := range in.Photos {
		for _, t := range p.Taps {
			if t.ID[len(t.ID)-1] == '0' && len(line) < 5 && (len(line) == 0 || line[len(line)-1].ID != t.ID) {
				line = append(line, KnownPoint{t.ID, Point{40 * float64(len(line)), 30}, 0.125})
			}
		}
	}
	in.Known = line
}

// TestBundleNamesAWrongPoint: one known point typed a foot wrong is named, and the photos say where it is.
func TestBundleNamesAWrongPoint(t *testing.T) {
	named, all := 0, 0
	for seed := range uint64(10) {
		d := longDeck(3)
		in := d.shoot(rand.New(rand.NewPCG(85, seed)))
		at := int(seed) % len(in.Known)
		in.Known[at].Plan.X += 12
		opt := DefaultOptions()
		opt.SigmaZ = 0
		b, err := FitBundle(in, opt)
		if err != nil {
			t.Fatal(err)
		}
		all++
		if w := found(b.Warnings, CodeMisfit); w == nil {
			t.Errorf("point %s wrong by a foot: omega %.1f of %d is no misfit", in.Known[at].ID, b.Omega, b.DOF)
			continue
		}
		if b.Blunder.Named() && slices.Equal(b.Blunder.Refs, []string{in.Known[at].ID}) {
			named++
			near(t, "the photos say x", b.Blunder.Best.PhotoSays.X, d.pins[in.Known[at].ID].X, 4.5*b.Blunder.Best.SD.X)
		}
	}
	t.Logf("named right %d of %d", named, all)
	if named < all-1 {
		t.Errorf("named right %d of %d", named, all)
	}
}
