package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"undercroft/calc"
	"undercroft/calc/words"
)

// pinhole is a camera without a lens error, written down here independently of the geometry package: it stands at x, y, below inches under
// the joists, faces the house and looks up by the angle tilt. The picture is 3024 by 4032 pixels.
type pinhole struct{ x, y, below, tilt float64 }

const (
	pictureW, pictureH = 3024, 4032
	focal35            = 26
)

// see projects a plan point that hangs drop inches below the joists' bottoms, as fractions of the picture: right is plan x, and what is
// nearer to the house lies lower in the picture.
func (c pinhole) see(x, y, drop float64) (float64, float64) {
	f := focal35 * math.Hypot(pictureW, pictureH) / math.Hypot(36, 24)
	sin, cos := math.Sincos(c.tilt)
	dx, dy, dz := x-c.x, y-c.y, c.below-drop
	depth := -cos*dy + sin*dz // along the view axis (0, -cos, sin)
	down := -sin*dy - cos*dz  // along (0, -sin, -cos)
	return 0.5 + f*dx/depth/pictureW, 0.5 + f*down/depth/pictureH
}

var demoCamera = pinhole{x: 108, y: 112, below: 60, tilt: 40 * math.Pi / 180}

func (c pinhole) pin(kind PinKind, x, y, drop float64, values map[string]string) Pin {
	p := Pin{Kind: kind, Values: values}
	p.X, p.Y = c.see(x, y, drop)
	return p
}

// references are six marks on the joists' bottoms, three near and three far.
func references(c pinhole) []Pin {
	var pins []Pin
	for _, at := range [][2]float64{{60, 24}, {108, 24}, {156, 24}, {76, 84}, {108, 84}, {140, 84}} {
		pins = append(pins, c.pin(PinReference, at[0], at[1], 0, map[string]string{"x": fmt.Sprint(at[0]), "y": fmt.Sprint(at[1]), "pm": "1/8"}))
	}
	return pins
}

// photographed is a survey whose one photo has a size and a focal length.
func photographed(facts map[string]string, pins ...Pin) Record {
	r := deckRecord(facts, pins...)
	r.Photos[0].Width, r.Photos[0].Height, r.Photos[0].Meta.Focal35 = pictureW, pictureH, focal35
	return r
}

func hangerValues(typed ...string) map[string]string {
	values := map[string]string{"drop": "1 1/2", "wx": "2", "wy": "2"}
	for i := 0; i+1 < len(typed); i += 2 {
		values[typed[i]] = typed[i+1]
	}
	return values
}

func TestPinWithoutTypedPlaceIsLocated(t *testing.T) {
	hanger := demoCamera.pin(PinHanger, 120, 60, 1.5, hangerValues())
	a := Assemble(photographed(plainFacts(), append(references(demoCamera), hanger)...))
	if len(a.Input.Obstructions) != 1 {
		t.Fatalf("got %+v with findings %+v", a.Input.Obstructions, a.Findings)
	}
	o := a.Input.Obstructions[0]
	if math.Hypot(float64(o.X)-120, float64(o.Y)-60) > 0.01 {
		t.Errorf("located at %v, %v; the camera saw it at 120, 60", o.X, o.Y)
	}
	if o.SX < 0.05 || o.SX > 1 || o.SY < 0.05 || o.SY > 1 {
		t.Errorf("deviations %v, %v are not those of a tap from five feet", o.SX, o.SY)
	}
	if got := a.Sources[o.ID]; got.Kind != SourceLocated || got.PinNumber != 7 {
		t.Errorf("source: got %+v, want it located by pin 7", got)
	}
}

func TestTypedPlaceAgainstThePhoto(t *testing.T) {
	for _, test := range []struct {
		name     string
		values   map[string]string
		x        float64 // where the calculator is told that it is
		disputed bool
	}{
		{"typed within both uncertainties stands", hangerValues("x", "120 1/4", "y", "60", "pm", "1/2"), 120.25, false},
		{"typed a foot off is disputed", hangerValues("x", "132", "y", "60", "pm", "1/2"), 0, true},
		{"a person says that the typed one stands", hangerValues("x", "132", "y", "60", "pm", "1/2", "typed_stands", "yes"), 132, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			a := Assemble(photographed(plainFacts(), append(references(demoCamera), demoCamera.pin(PinHanger, 120, 60, 1.5, test.values))...))
			d, disputed := a.Disputes["p7"]
			if disputed != test.disputed || a.Ready() == disputed {
				t.Fatalf("disputed: got %v, ready %v; want disputed %v", disputed, a.Ready(), test.disputed)
			}
			if disputed {
				if math.Abs(d.Apart-12) > 0.01 || len(a.Input.Obstructions) != 0 {
					t.Errorf("got %+v and obstructions %+v; want 12 in apart and the hanger left out", d, a.Input.Obstructions)
				}
				return
			}
			if got := float64(a.Input.Obstructions[0].X); got != test.x {
				t.Errorf("x: got %v, want %v", got, test.x)
			}
		})
	}
}

func TestContradictingReferencesLocateNothing(t *testing.T) {
	refs := references(demoCamera)
	refs[1].Values["x"] = "132" // it stands at 108
	a := Assemble(photographed(plainFacts(), append(refs, demoCamera.pin(PinHanger, 120, 60, 1.5, hangerValues()))...))
	p := a.Geometry["ph"]
	if p.Trusted || !slices.ContainsFunc(p.Doubts, func(s string) bool { return strings.Contains(s, "pin 2") }) {
		t.Errorf("got trusted %v, doubts %q; want pin 2 under suspicion", p.Trusted, p.Doubts)
	}
	if len(a.Input.Obstructions) != 0 {
		t.Error("a hanger was located by references that contradict each other")
	}
}

func TestOverlayLiesWhereTheCameraSeesIt(t *testing.T) {
	r := photographed(plainFacts(), references(demoCamera)...)
	c := Compute(r)
	shapes, problem := Overlay(c, r.Photos[0], words.English)
	if problem != "" {
		t.Fatal(problem)
	}
	count := map[overlayKind]int{}
	for _, s := range shapes {
		count[s.Kind]++
	}
	if count[overlayGrid] == 0 || count[overlayRow] == 0 || count[overlaySeam] == 0 || count[overlayEdge] == 0 {
		t.Fatalf("got %v: grid, rows, seams or the high edge are missing", count)
	}
	// A seam is straight on the plan: each of its points must be what the camera sees of that carrier.
	z := c.Plan.Zones[0]
	for _, s := range shapes {
		if s.Kind != overlaySeam {
			continue
		}
		carrier := z.Carriers[slices.IndexFunc(z.Carriers, func(k calc.Carrier) bool { return fmt.Sprint(k.N) == s.Label })]
		u0, v0 := demoCamera.see(carrier.X, carrier.Y0, 0)
		if d := math.Hypot(s.Points[0][0]-u0, s.Points[0][1]-v0); d > 1e-3 {
			t.Errorf("seam %s begins %.4f of the picture off", s.Label, d)
		}
	}
	// The row at 48 in is 1 1/2 in wide: its shape's first and last points are its two corners at the left end that can be seen.
	row := shapes[slices.IndexFunc(shapes, func(s OverlayShape) bool { return s.Kind == overlayRow })]
	u, v := demoCamera.see(0, 48, 0)
	middle := [2]float64{(row.Points[0][0] + row.Points[len(row.Points)-1][0]) / 2, (row.Points[0][1] + row.Points[len(row.Points)-1][1]) / 2}
	if math.Hypot(middle[0]-u, middle[1]-v) > 2e-2 || !row.Closed {
		t.Errorf("the row begins at %v, the camera sees its left end at %.4f, %.4f", middle, u, v)
	}
}

func TestOverlaySaysWhyThereIsNone(t *testing.T) {
	r := photographed(plainFacts(), references(demoCamera)[:3]...)
	if shapes, problem := Overlay(Compute(r), r.Photos[0], words.English); len(shapes) != 0 || !strings.Contains(problem, "3 of the 4 references") {
		t.Errorf("got %d shapes, problem %q", len(shapes), problem)
	}
	facts := plainFacts()
	delete(facts, "joist.spacing")
	r = photographed(facts, references(demoCamera)...)
	if shapes, problem := Overlay(Compute(r), r.Photos[0], words.English); len(shapes) != 0 || problem == "" {
		t.Errorf("a ceiling that cannot be computed: got %d shapes, problem %q", len(shapes), problem)
	}
}

func TestBeamIsLocatedByItsNearFace(t *testing.T) {
	beam := demoCamera.pin(PinBeam, 110, 70, 0, map[string]string{"set": "dropped", "drop": "9 1/4", "thick": "3"})
	a := Assemble(photographed(plainFacts(), append(references(demoCamera), beam)...))
	if len(a.Input.Beams) != 1 {
		t.Fatalf("got %+v with findings %+v", a.Input.Beams, a.Findings)
	}
	b := a.Input.Beams[0]
	if b.X0 != 0 || b.X1 != 340 || math.Abs(float64(b.Y0)-70) > 0.01 || math.Abs(float64(b.Y1-b.Y0)-3) > 1e-9 || a.Sources[b.ID].Kind != SourceLocated {
		t.Errorf("got %+v from %s; want it from end to end of the deck, at 70 to 73, located", b, a.Sources[b.ID])
	}
	delete(beam.Values, "thick")
	if a := Assemble(photographed(plainFacts(), append(references(demoCamera), beam)...)); len(a.Input.Beams) != 0 || len(a.Findings) == 0 {
		t.Error("a beam without a width counts, or nothing says that it does not")
	}
}

// A door's two upper corners, 24 in below the joists in the house wall, seen from below: the level pin says how high the joists are.
func TestOpeningIsLocatedByItsUpperCorners(t *testing.T) {
	level := demoCamera.pin(PinLevel, 108, 24, 0, map[string]string{"x": "108", "y": "24", "height": "106"})
	door := demoCamera.pin(PinOpening, 90, 0, 24, map[string]string{"sort": "door", "head": "82"})
	x2, y2 := demoCamera.see(150, 0, 24)
	door.X2, door.Y2 = &x2, &y2
	a := Assemble(photographed(plainFacts(), append(references(demoCamera), level, door)...))
	if len(a.Input.Openings) != 1 {
		t.Fatalf("got %+v with findings %+v", a.Input.Openings, a.Findings)
	}
	o := a.Input.Openings[0]
	if math.Abs(float64(o.X0)-90) > 0.05 || math.Abs(float64(o.X1)-150) > 0.05 || a.Sources[o.ID].Kind != SourceLocated {
		t.Errorf("got %+v from %s; the camera saw it from 90 to 150", o, a.Sources[o.ID])
	}
	if a := Assemble(photographed(plainFacts(), append(references(demoCamera), door)...)); len(a.Input.Openings) != 0 || len(a.Findings) == 0 {
		t.Error("an opening counts without any level, or nothing says that it does not")
	}
}

// A post below the ceiling is drawn where it was typed or where its photo has it, and is no obstruction; one without a place is no fault.
func TestPostsAreKeptForTheDrawings(t *testing.T) {
	values := map[string]string{"wx": "3 1/2", "wy": "3 1/2", "through": "no"}
	seen := demoCamera.pin(PinPost, 130, 80, 0, values)
	typed := Pin{Kind: PinPost, Values: map[string]string{"wx": "4", "wy": "4", "through": "no", "x": "60", "y": "84", "typed_stands": "yes"}}
	a := Assemble(photographed(plainFacts(), append(references(demoCamera), seen, typed)...))
	if len(a.Posts) != 2 || len(a.Input.Obstructions) != 0 {
		t.Fatalf("got posts %+v and obstructions %+v", a.Posts, a.Input.Obstructions)
	}
	if p := a.Posts[0]; math.Hypot(p.X-130, p.Y-80) > 0.01 || p.WX != 3.5 {
		t.Errorf("got %+v, the camera saw it at 130, 80", p)
	}
	if p := a.Posts[1]; p.X != 60 || p.Y != 84 {
		t.Errorf("got %+v, it was typed at 60, 84", p)
	}
	nowhere := Assemble(deckRecord(plainFacts(), Pin{Kind: PinPost, Values: values}))
	if len(nowhere.Posts) != 0 || len(nowhere.Findings) != 0 {
		t.Errorf("a post without a place: got %+v and findings %+v", nowhere.Posts, nowhere.Findings)
	}
}
