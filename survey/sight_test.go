package survey

import (
	"math"
	"testing"
)

// The ellipse on the photo, taken back to the plan point by point, is the ellipse around the pinned point.
func TestEllipseOnThePhoto(t *testing.T) {
	hanger := demoCamera.pin(PinHanger, 120, 60, 0, hangerValues())
	r := photographed(plainFacts(), append(references(demoCamera), hanger)...)
	g := fitPhotos(r)
	pin := r.Pins[len(r.Pins)-1]
	at, problem := g.Locate(r.Photos[0], pin, 0)
	if problem != "" {
		t.Fatal(problem)
	}
	ring := g.EllipseOn(r.Photos[0], pin, at)
	if len(ring) < 24 {
		t.Fatalf("got %d points", len(ring))
	}
	sin, cos := math.Sincos(at.Ellipse.Degrees * math.Pi / 180)
	for _, f := range ring {
		rim, problem := g.Locate(r.Photos[0], Pin{Number: 1, X: f[0], Y: f[1]}, 0)
		if problem != "" {
			t.Fatal(problem)
		}
		dx, dy := rim.X-at.X, rim.Y-at.Y
		long, short := (dx*cos+dy*sin)/at.Ellipse.A, (dy*cos-dx*sin)/at.Ellipse.B
		if math.Abs(math.Hypot(long, short)-1) > 1e-6 {
			t.Errorf("a point of the rim lies at %.6f of the ellipse", math.Hypot(long, short))
		}
	}
	if (Geometry{}).EllipseOn(r.Photos[0], pin, at) != nil {
		t.Error("a photo without geometry has an ellipse")
	}
}

// A thing that hangs keeps its ellipse around the pinned point of the picture, not around the place below the plane.
func TestEllipseOfAHangingThing(t *testing.T) {
	hanger := demoCamera.pin(PinHanger, 120, 60, 6, map[string]string{"drop": "6", "wx": "2", "wy": "2"})
	r := photographed(plainFacts(), append(references(demoCamera), hanger)...)
	a := Assemble(r)
	pin := r.Pins[len(r.Pins)-1]
	ring := a.Geometry.EllipseOn(r.Photos[0], pin, a.Located[pin.ID])
	var x, y float64
	for _, f := range ring {
		x, y = x+f[0]/float64(len(ring)), y+f[1]/float64(len(ring))
	}
	if math.Hypot(x-pin.X, y-pin.Y) > 2e-3 {
		t.Errorf("the ellipse lies around %.4f, %.4f; the pin is at %.4f, %.4f", x, y, pin.X, pin.Y)
	}
}

// An aim takes the camera's own points back to the plan by nothing but its figures, and says nowhere that it is better than the fit.
func TestAimByHand(t *testing.T) {
	r := photographed(plainFacts(), references(demoCamera)...)
	g := fitPhotos(r)
	aim, ok := g.Aim(r.Photos[0])
	if !ok {
		t.Fatal("there is no aim")
	}
	for _, want := range [][2]float64{{60, 24}, {108, 84}, {120, 60}} {
		u, v := demoCamera.see(want[0], want[1], 0)
		u, v = u*pictureW, v*pictureH
		// The camera has no lens error; what the fit finds of one is taken out by the division model.
		dx, dy := u-pictureW/2, v-pictureH/2
		stretch := 1 + aim.Lambda*(dx*dx+dy*dy)/(pictureW*pictureW/4+pictureH*pictureH/4)
		u, v = pictureW/2+dx/stretch, pictureH/2+dy/stretch
		m := aim.Plan
		w := m[6]*u + m[7]*v + m[8]
		x, y := (m[0]*u+m[1]*v+m[2])/w, (m[3]*u+m[4]*v+m[5])/w
		if w <= 0 || math.Hypot(x-want[0], y-want[1]) > 0.01 {
			t.Errorf("%v: aimed at %.3f, %.3f, w %g", want, x, y, w)
		}
	}
	if math.Hypot(aim.CameraX-demoCamera.x, aim.CameraY-demoCamera.y) > 0.5 || math.Abs(aim.Below-demoCamera.below) > 0.5 {
		t.Errorf("the camera is at %.2f, %.2f, %.2f below", aim.CameraX, aim.CameraY, aim.Below)
	}
	if len(aim.PM) != aimRows || len(aim.PM[0]) != aimColumns {
		t.Errorf("the grid has %d rows", len(aim.PM))
	}
	refs := references(demoCamera)
	refs[1].Values["x"] = "132" // contradicts the others
	r = photographed(plainFacts(), refs...)
	if _, ok := fitPhotos(r).Aim(r.Photos[0]); ok {
		t.Error("references that contradict each other give an aim")
	}
}

func TestSuspects(t *testing.T) {
	refs := references(demoCamera)
	refs[1].Values["x"] = "132"
	r := photographed(plainFacts(), refs...)
	if got := fitPhotos(r)["ph"].Suspects; len(got) == 0 || got[0] != 2 {
		t.Errorf("got %v, want pin 2 among them", got)
	}
}
