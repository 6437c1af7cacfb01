package plane

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

// rendered is what is known of the rendered demo's photos: exact places and pixels, computed by the renderer and not by this package.
type rendered struct {
	Plane   float64 `json:"plane"`
	Focal35 float64 `json:"focal35"`
	Photos  []struct {
		File     string  `json:"file"`
		W        float64 `json:"w"`
		H        float64 `json:"h"`
		Camera   struct{ X, Y, Z float64 }
		Features []feature
	}
}

type feature struct {
	Name, Kind         string
	X, Y, Drop, Px, Py float64
}

// onPlane says whether a surveyor could measure to it on the joists' bottoms.
func (f feature) onPlane() bool {
	return f.Drop == 0 && (f.Kind == "reference" || f.Kind == "wall" || f.Kind == "beam")
}

func readRendered(t testing.TB) rendered {
	t.Helper()
	data, err := os.ReadFile(vectors + "demo-truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var d rendered
	if err := json.Unmarshal(data, &d); err != nil {
		t.Fatal(err)
	}
	return d
}

// tally is what many noisy taps of one photo gave.
type tally struct {
	inside           int
	errs, axes, away []float64
	refused          int
}

// TestRenderedDeck taps the rendered deck's photos with Gaussian noise many times: the tape marks and corners on a photo are its references, all
// else is located and compared with where the renderer put it. Hangers hang up to 1/2 in, posts 9 1/4 in below the plane: their drop is
// known to the test, as it is to a surveyor who measured one. The ellipses are a little large here, since lens and focal length are perfect
// and the priors do not know it.
func TestRenderedDeck(t *testing.T) {
	d := readRendered(t)
	total, inside := 0, 0
	t.Logf("%-26s refs pins   within  median     p95  ellipse  camera off  refused", "photo")
	for k, photo := range d.Photos {
		refs, pins := split(photo.Features)
		s := d.repeat(k, refs, pins, rand.New(rand.NewPCG(31, uint64(k))))
		t.Logf("%-26s %4d %4d %6.1f %% %5.2f in %5.2f in %5.2f in %8.2f in %8d", photo.File, len(refs), len(pins),
			100*float64(s.inside)/float64(len(s.errs)), quantile(s.errs, 0.5), quantile(s.errs, 0.95), quantile(s.axes, 0.5), quantile(s.away, 0.5), s.refused)
		total, inside = total+len(s.errs), inside+s.inside
		if want := len(refs) < 4; want != (s.refused > 0) {
			t.Errorf("%s: %d refused with %d references", photo.File, s.refused, len(refs))
		}
	}
	rate := 100 * float64(inside) / float64(total)
	t.Logf("%.1f %% of %d located pins within their 95 %% ellipse", rate, total)
	if rate < 93 || rate > 98 {
		t.Errorf("coverage %.1f %%, want about 95", rate)
	}
}

// repeat taps photo k many times.
func (d rendered) repeat(k int, refs, pins []feature, r *rand.Rand) tally {
	var s tally
	photo := d.Photos[k]
	opt := DefaultOptions()
	opt.Handedness = Mirrored // x to the right facing the house, y away from it
	opt.SigmaZ = 0            // rendered joists are straight
	for range 200 {
		var references []Reference
		for _, f := range refs {
			references = append(references, Reference{f.Name, noisyPixel(r, f), Point{f.X + 0.125*r.NormFloat64(), f.Y + 0.125*r.NormFloat64()}, 4, 0.125})
		}
		p, err := Fit(references, Image{photo.W, photo.H, d.Focal35}, opt)
		if err != nil {
			s.refused++
			continue
		}
		s.away = append(s.away, math.Hypot(math.Hypot(p.Pose.X-photo.Camera.X, p.Pose.Y-photo.Camera.Y), p.Pose.Below-(d.Plane-photo.Camera.Z)))
		for _, f := range pins {
			pos, err := p.LocateHanging(Tap{f.Name, noisyPixel(r, f), 4}, f.Drop, 0)
			if err != nil {
				s.refused++
				continue
			}
			s.errs, s.axes = append(s.errs, math.Hypot(pos.X-f.X, pos.Y-f.Y)), append(s.axes, pos.Ellipse95().A)
			if mahalanobis(pos, Point{f.X, f.Y}) <= chi95 {
				s.inside++
			}
		}
	}
	return s
}

// split parts what is measured on a photo from what is located.
func split(features []feature) (refs, pins []feature) {
	for _, f := range features {
		if f.onPlane() {
			refs = append(refs, f)
		} else {
			pins = append(pins, f)
		}
	}
	return refs, pins
}

func noisyPixel(r *rand.Rand, f feature) Pixel {
	return Pixel{f.Px + 4*r.NormFloat64(), f.Py + 4*r.NormFloat64()}
}

func quantile(values []float64, q float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	slices.Sort(values)
	return values[int(q*float64(len(values)-1))]
}

// TestRenderedDeckExactly: without noise, every feature is found where the renderer put it, its pixels being rounded to 0.01, and so is the
// camera.
func TestRenderedDeckExactly(t *testing.T) {
	d := readRendered(t)
	opt := DefaultOptions()
	opt.Handedness = Mirrored
	for _, photo := range d.Photos {
		refs, pins := split(photo.Features)
		if len(refs) < 4 {
			continue
		}
		var references []Reference
		for _, f := range refs {
			references = append(references, Reference{f.Name, Pixel{f.Px, f.Py}, Point{f.X, f.Y}, 4, 0.125})
		}
		p, err := Fit(references, Image{photo.W, photo.H, d.Focal35}, opt)
		if err != nil {
			t.Fatalf("%s: %v", photo.File, err)
		}
		if off := math.Hypot(p.Pose.X-photo.Camera.X, p.Pose.Y-photo.Camera.Y); off > 0.25 || math.Abs(p.Pose.Below-(d.Plane-photo.Camera.Z)) > 0.25 {
			t.Errorf("%s: camera at %.2f %.2f, %.2f below; want %v", photo.File, p.Pose.X, p.Pose.Y, p.Pose.Below, photo.Camera)
		}
		for _, f := range pins {
			pos, err := p.LocateHanging(Tap{f.Name, Pixel{f.Px, f.Py}, 4}, f.Drop, 0)
			if err != nil || math.Hypot(pos.X-f.X, pos.Y-f.Y) > 0.2 {
				t.Errorf("%s: %s at %v (%v), want %v %v", photo.File, f.Name, pos.Point, err, f.X, f.Y)
			}
			if px, ok := p.Project(Apparent(Point{f.X, f.Y}, *p.Pose, f.Drop)); !ok || math.Hypot(px.U-f.Px, px.V-f.Py) > 2 {
				t.Errorf("%s: %s projects to %v, want %v %v", photo.File, f.Name, px, f.Px, f.Py)
			}
		}
	}
}
