package survey

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// otherCamera stands elsewhere and sees other marks, so that the two photos share nothing but the hanger.
var otherCamera = pinhole{x: 150, y: 118, below: 56, tilt: 42 * math.Pi / 180}

// twoPhotos is a survey in which pin 7 on photo 4 and the last pin on photo 5 show the same hanger; at is where the second camera has it.
func twoPhotos(x, y float64, same string) Record {
	pins := append(references(demoCamera), demoCamera.pin(PinHanger, 120, 60, 1.5, hangerValues()))
	r := photographed(plainFacts(), pins...)
	second := r.Photos[0]
	second.ID, second.Number = "ph2", 5
	r.Photos = append(r.Photos, second)
	add := func(p Pin) {
		p.Number, p.Photo = len(r.Pins)+1, "ph2"
		p.ID = PinID(InputID(p.Number))
		r.Pins = append(r.Pins, p)
	}
	for _, at := range [][2]float64{{110, 26}, {150, 26}, {190, 26}, {125, 88}, {150, 88}, {175, 88}} {
		add(otherCamera.pin(PinReference, at[0], at[1], 0, map[string]string{"x": fmt.Sprint(at[0]), "y": fmt.Sprint(at[1]), "pm": "1/8"}))
	}
	values := hangerValues()
	if same != "" {
		values["same_as"] = same
	}
	add(otherCamera.pin(PinHanger, x, y, 1.5, values))
	return r
}

func TestTheSameThingOnTwoPhotosCountsOnce(t *testing.T) {
	alone := Assemble(twoPhotos(120, 60, ""))
	if len(alone.Input.Obstructions) != 2 {
		t.Fatalf("two hangers that nobody called the same: got %d", len(alone.Input.Obstructions))
	}
	a := Assemble(twoPhotos(120, 60, "7"))
	if len(a.Input.Obstructions) != 1 {
		t.Fatalf("got %+v with findings %+v, want one hanger", a.Input.Obstructions, a.Findings)
	}
	o, one, two := a.Input.Obstructions[0], alone.Input.Obstructions[0], alone.Input.Obstructions[1]
	if o.ID != "p7" || math.Hypot(float64(o.X)-120, float64(o.Y)-60) > 0.05 {
		t.Errorf("got %+v, want pin 7 at 120, 60", o)
	}
	if o.SX >= min(one.SX, two.SX) || o.SY >= min(one.SY, two.SY) {
		t.Errorf("two photos know no better than one: %v, %v against %v, %v and %v, %v", o.SX, o.SY, one.SX, one.SY, two.SX, two.SY)
	}
}

func TestPhotosThatDisagreeAboutOneThing(t *testing.T) {
	a := Assemble(twoPhotos(135, 60, "7"))
	if len(a.Input.Obstructions) != 0 || !strings.Contains(fmt.Sprint(a.Findings), "disagree about its place") {
		t.Errorf("fifteen inches apart: got %+v, findings %+v", a.Input.Obstructions, a.Findings)
	}
}

// Photos with a common reference are not independent: the better one alone counts.
func TestPhotosThatShareAReferenceAreNotAveraged(t *testing.T) {
	r := twoPhotos(120, 60, "7")
	shared := otherCamera.pin(PinReference, 108, 24, 0, map[string]string{"x": "108", "y": "24", "pm": "1/8"}) // also on photo 4
	shared.ID, shared.Number, shared.Photo = "shared", 99, "ph2"
	r.Pins = append(r.Pins, shared)
	a := Assemble(r)
	one := a.Geometry
	first, _ := one.Locate(r.Photos[0], r.Pins[6], 1.5)
	second, _ := one.Locate(r.Photos[1], r.Pins[13], 1.5)
	if got, want := a.Located["p7"].PM(), min(first.PM(), second.PM()); math.Abs(got-want) > 1e-9 {
		t.Errorf("± got %v, want that of the better photo, %v", got, want)
	}
}

func TestSameAsMustNameAnotherPinOfItsKind(t *testing.T) {
	r := twoPhotos(120, 60, "7")
	hanger := r.Pins[13]
	for _, test := range []struct{ same, problem string }{
		{"7", ""}, {"99", "no other pin"}, {"1", "another kind"}, {"14", "no other pin"},
	} {
		p := hanger
		p.Values = hangerValues("same_as", test.same)
		err := ValidatePin(r, p)
		if e, _ := err.(*Error); (test.problem == "") != (err == nil) || e != nil && !strings.Contains(e.Fields["same_as"], test.problem) {
			t.Errorf("same as pin %s: got %+v, want %q", test.same, err, test.problem)
		}
	}
	p := r.Pins[6]
	p.Values = hangerValues("same_as", "14")
	if e, _ := ValidatePin(r, p).(*Error); e == nil || !strings.Contains(e.Fields["same_as"], "give that number") {
		t.Error("two pins may each be the same thing as the other")
	}
}
