package web

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	gocmp "github.com/google/go-cmp/cmp"

	"undercroft/calc"
	"undercroft/survey"
)

// shape is a ceiling as far as it must be the same, however well the places are known.
type shape struct {
	Zones   []calc.Zone
	Notches []string
	CutOuts int
}

// shapeOf gives the shape; a notch is named by what is there in the demo, which names says by the obstruction's id, and by its carrier.
func shapeOf(plan *calc.Plan, names map[string]string) (s shape) {
	for _, z := range plan.Zones {
		for _, n := range z.Notches {
			s.Notches = append(s.Notches, fmt.Sprintf("%s: %s, carrier %d, %s deep: %s", z.ID, names[n.Obstruction], n.Carrier, n.DepthText, n.State))
		}
		s.CutOuts += len(z.CutOuts)
		z.Notches, z.CutOuts = nil, nil
		s.Zones = append(s.Zones, z)
	}
	slices.Sort(s.Notches)
	return s
}

// agrees compares with the demo's ceiling. Where the seams lie, and so which notch meets which hanger, is chosen by how well the places are known: the
// demo's are typed ± 3/4, these are located. So the ceiling must be the one that the demo's exact places give when they are known just as well, in all but
// the notches' ends; and as many zones, furring rows, carriers and panels as the demo's own.
func (p *tapper) agrees(points structurePoints) {
	p.t.Helper()
	demo, mine := p.typedDemo(), p.record(p.id)
	for _, key := range regionFacts {
		delete(demo.Facts, key)
		delete(mine.Facts, key)
	}
	want, got := survey.Compute(demo), survey.Compute(mine)
	if want.Plan == nil || got.Plan == nil {
		p.t.Fatalf("there is no ceiling: %v, %v", want.Refusal, got.Refusal)
	}
	if w, g := tally(want.Plan), tally(got.Plan); w != g {
		p.t.Errorf("%s, the demo has %s", g, w)
	}
	p.placed(points, mine, got)
	names := p.near(want.Input, got.Input)
	as := want.Input
	as.Obstructions = slices.Clone(as.Obstructions)
	demoNames := map[string]string{}
	for i, o := range as.Obstructions {
		demoNames[o.ID] = obstructionName(o)
		for _, other := range got.Input.Obstructions {
			if names[other.ID] == demoNames[o.ID] {
				as.Obstructions[i].SX, as.Obstructions[i].SY = other.SX, other.SY
			}
		}
	}
	plan, err := calc.Compute(as)
	if err != nil {
		p.t.Fatal(err)
	}
	if diff := gocmp.Diff(shapeOf(&plan, demoNames), shapeOf(got.Plan, names)); diff != "" {
		p.t.Errorf("the ceiling is not the demo's (-demo +walked):\n%s", diff)
	}
}

// doorHead is how far the head of the demo's door is below the joists, and doorLeft and doorRight its sides, inches.
const doorHead, doorLeft, doorRight = 24, 123.2, 199.2

// The ± that is expected at most: of points of the joists' plane, and of the door, which hangs far below it, inches.
const planePM, doorPM = 3, 6

// placed checks that levels, the clearance and the door's corners lie within their own ± of where they are.
func (p *tapper) placed(points structurePoints, r survey.Record, c survey.Ceiling) {
	p.t.Helper()
	found := 0
	check := func(what string, at survey.Located, x, y, most float64) {
		if off := math.Hypot(at.X-x, at.Y-y); off > at.PM() || at.PM() > most {
			p.t.Errorf("%s is %.2f″ off, ± %.2f″", what, off, at.PM())
		}
		found++
	}
	for _, pin := range r.Pins {
		photo, _ := r.Photo(pin.Photo)
		at, problem := c.Geometry.Locate(photo, pin, 0)
		switch pin.Kind {
		case survey.PinLevel, survey.PinClearance:
			for _, point := range points.Photos[photo.Name].Points {
				if point.What == string(pin.Kind) && problem == "" {
					check(point.What+" on "+photo.Name, at, point.Plan[0], point.Plan[1], planePM)
				}
			}
		case survey.PinOpening:
			left, _ := c.Geometry.Locate(photo, pin, doorHead)
			pin.X, pin.Y = *pin.X2, *pin.Y2
			right, _ := c.Geometry.Locate(photo, pin, doorHead)
			check("the door's left side", left, doorLeft, left.Y, doorPM)
			check("the door's right side", right, doorRight, right.Y, doorPM)
		}
	}
	if found != 7 {
		p.t.Errorf("%d of four levels, the clearance and the door's two sides have their places", found)
	}
}

// tally counts what a ceiling is made of.
func tally(plan *calc.Plan) string {
	rows, carriers, seams := 0, 0, 0
	for _, z := range plan.Zones {
		rows, carriers, seams = rows+len(z.Furring), carriers+len(z.Carriers), seams+len(z.Seams)
	}
	return fmt.Sprintf("%d zones, %d furring rows, %d carriers, %d seams", len(plan.Zones), rows, carriers, seams)
}

// obstructionName is a thing by its kind and place.
func obstructionName(o calc.Obstruction) string {
	return fmt.Sprintf("%s at %.0f, %.0f", o.Kind, float64(o.X), float64(o.Y))
}

// near names each obstruction by the demo's that is nearest, and checks that it lies within both their ± (95 % in the plane: 2.45 deviations) of it, and that
// there is one for each of the demo's.
func (p *tapper) near(demo, mine calc.Input) map[string]string {
	p.t.Helper()
	names, all := map[string]string{}, map[string]bool{}
	worst := 0.0
	for _, o := range mine.Obstructions {
		off := func(d calc.Obstruction) float64 { return math.Hypot(float64(d.X-o.X), float64(d.Y-o.Y)) }
		nearest := slices.MinFunc(demo.Obstructions, func(a, b calc.Obstruction) int { return cmp.Compare(off(a), off(b)) })
		names[o.ID] = obstructionName(nearest)
		all[names[o.ID]] = true
		pm := 2.45 * math.Hypot(float64(max(o.SX, o.SY)), float64(max(nearest.SX, nearest.SY)))
		if worst = max(worst, off(nearest)); o.Kind != nearest.Kind || off(nearest) > pm {
			p.t.Errorf("%s is %s, %.2f″ from the %s: more than ± %.2f″", o.ID, obstructionName(o), off(nearest), names[o.ID], pm)
		}
	}
	if len(mine.Obstructions) != len(demo.Obstructions) || len(all) != len(demo.Obstructions) {
		p.t.Errorf("%d obstructions for %d of the demo's %d", len(mine.Obstructions), len(all), len(demo.Obstructions))
	}
	p.t.Logf("%d things at most %.2f″ from where they are in the demo", len(all), worst)
	return names
}
