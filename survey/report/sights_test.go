package report

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"undercroft/survey"
)

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The one camera of the demo's fourth photo stands where the renderer had it, 108 in along and 112 in out on a deck 340 in wide, and looks at
// the house; the located hanger lies at 116 and 64 3/4 in.
func TestSightsByTheRenderersCamera(t *testing.T) {
	m := photographed(t, func(p *survey.Pin) {
		if p.Number == 20 {
			delete(p.Values, "x")
			delete(p.Values, "y")
		}
	})
	for name, d := range map[string]*Drawn{"desk": m.Drawings.Sights, "phone": m.Drawings.SightsPhone} {
		if d == nil {
			t.Fatalf("%s: there is no figure", name)
		}
		var camera, pin [2]float64
		var texts []string
		var wide float64
		for _, s := range d.Shapes {
			switch {
			case s.Tag == "circle" && strings.Contains(s.Class, "f-water"):
				camera = [2]float64{number(t, s.X), number(t, s.Y)}
			case s.Tag == "circle":
				pin = [2]float64{number(t, s.X), number(t, s.Y)}
			case s.Tag == "text":
				texts = append(texts, s.S)
			case strings.HasPrefix(s.D, "M0 0L"): // the outline, from the left corner at the house
				x, _, _ := strings.Cut(strings.TrimPrefix(s.D, "M0 0L"), " ")
				wide = number(t, x)
			}
		}
		k := wide / 340
		if wide == 0 || math.Hypot(camera[0]-108*k, camera[1]-112*k) > 1*k {
			t.Errorf("%s: the camera is drawn at %.1f, %.1f in", name, camera[0]/k, camera[1]/k)
		}
		if math.Hypot(pin[0]-116*k, pin[1]-64.75*k) > 0.5*k {
			t.Errorf("%s: the hanger is drawn at %.1f, %.1f in", name, pin[0]/k, pin[1]/k)
		}
		if got := strings.Join(texts, ", "); !strings.Contains(got, "photo 4") || !strings.Contains(got, "20") || !strings.Contains(got, "House") {
			t.Errorf("%s: it reads %q", name, got)
		}
	}
}

func TestNoSightsWithoutGeometry(t *testing.T) {
	r := bare()
	if d := sightsOf(r, survey.Assemble(r), desk); d != nil {
		t.Errorf("a survey without references has a figure of what its photos see: %v", d.Title)
	}
}

// A circle turned stays a circle; an ellipse along x reaches its half axes.
func TestRimOf(t *testing.T) {
	for _, q := range rimOf(planPt{10, 20}, 3, 3, 33) {
		if d := math.Hypot(q.x-10, q.y-20); math.Abs(d-3) > 1e-12 {
			t.Errorf("a point of a circle lies %v off", d)
		}
	}
	rim := rimOf(planPt{0, 0}, 4, 1, 90)
	if q := rim[0]; math.Abs(q.x) > 1e-12 || math.Abs(q.y-4) > 1e-12 {
		t.Errorf("the long axis turned to plan y ends at %v", q)
	}
}
