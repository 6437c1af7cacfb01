package survey

import (
	"fmt"
	"strconv"

	"undercroft/annotate/plane"
)

// sameField asks whether a pin shows a thing that another photo's pin shows already, so that it counts once.
func sameField() Field {
	return Field{Key: "same_as", Label: "Same thing as pin", Hint: "its number, when another photo has it too", Type: TypeCount, Group: "Where on the plan"}
}

// sameAs is the pin whose thing a pin shows again; ok is false when it shows its own.
func sameAs(r Record, p Pin) (first Pin, ok bool) {
	number, err := strconv.Atoi(p.Values["same_as"])
	if err != nil {
		return Pin{}, false
	}
	for _, other := range r.Pins {
		if other.Number == number && other.ID != p.ID {
			return other, true
		}
	}
	return Pin{}, false
}

// checkSame says what is wrong with a pin's same_as, empty when nothing is: the other pin must be there, of the same kind, on another photo,
// and show its own thing.
func checkSame(r Record, p Pin) string {
	if p.Values["same_as"] == "" {
		return ""
	}
	first, ok := sameAs(r, p)
	switch {
	case !ok:
		return "There is no other pin with this number."
	case first.Kind != p.Kind:
		return "That pin is of another kind."
	case first.Photo == p.Photo:
		return "That pin is on the same photo."
	case first.Values["same_as"] != "":
		return fmt.Sprintf("That pin itself is the same thing as pin %s: give that number.", first.Values["same_as"])
	}
	return ""
}

// fromPhotos is where the photos have a thing: through the pin's own photo, or averaged over those of all pins that show it, by their
// covariances. Photos that share a reference are not independent, and of these the best one alone counts. A disagreement is a problem too.
func (a *Assembly) fromPhotos(r Record, pin Pin, drop float64) (at Located, problem string) {
	photo, _ := r.Photo(pin.Photo)
	own, problem := a.Geometry.position(photo, pin, drop)
	var positions []plane.Position
	var photos []PhotoID
	if problem == "" {
		positions, photos = append(positions, own), append(photos, photo.ID)
	}
	for _, p := range r.Pins {
		if first, ok := sameAs(r, p); !ok || first.ID != pin.ID {
			continue
		}
		other, _ := r.Photo(p.Photo)
		if position, why := a.Geometry.position(other, p, drop); why == "" {
			positions, photos = append(positions, position), append(photos, other.ID)
		}
	}
	switch {
	case len(positions) == 0:
		return Located{}, problem
	case len(positions) == 1 || shareReference(r, photos):
		return located(best(positions)), ""
	}
	fused, err := plane.Fuse(positions)
	if err != nil {
		return Located{}, planeProblem(err).String()
	}
	if !fused.Agrees() {
		return Located{}, "The photos that show it disagree about its place: is it the same thing?"
	}
	return located(fused.Position), ""
}

// best is the position with the smallest 95 % ellipse.
func best(positions []plane.Position) plane.Position {
	least := positions[0]
	for _, p := range positions[1:] {
		if p.Ellipse95().A < least.Ellipse95().A {
			least = p
		}
	}
	return least
}

// shareReference tells whether a reference, known by its typed place, stands on two of the photos.
func shareReference(r Record, photos []PhotoID) bool {
	on := map[string]PhotoID{}
	for _, id := range photos {
		for _, p := range r.PlacedOn(id) {
			if p.Kind != PinReference {
				continue
			}
			reader := pinReader{p, PinFields(r, p.Kind)}
			place := fmt.Sprint(reader.inches("x"), reader.inches("y"))
			if other, ok := on[place]; ok && other != id {
				return true
			}
			on[place] = id
		}
	}
	return false
}
