package calc

import "fmt"

// assumptions says in words what the plan took for granted where nothing was measured or decided.
func (j *job) assumptions(bays []*bay) []string {
	out := []string{"The figures of the profile " + j.sys.Name + " are examples until the supplier's own replace them."}
	say := func(when bool, format string, args ...any) {
		if when {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	say(!j.under.known, "No heights were measured: the underside is taken as level.")
	say(!j.measured, "Nothing was measured over the ground: headroom, openings and the working platform are not known.")
	say(j.under.known && !j.ground.known, "No clearances were measured: the datum of the heights is taken as the finished ground.")
	say(true, "Rain of %g in/h is taken as a 5-minute storm.", j.in.Rain.InchesPerHour)
	say(j.in.Rain.RoofFt2 > 0, "The roof's %g ft2 drain onto the first zone that takes panels, along its whole width.", j.in.Rain.RoofFt2)
	say(!j.lines.across, "Joists run along the furring rows: the last row of each low edge needs blocking.")
	say(j.sys.FurringSpecificGravity == nil, "No withdrawal capacity is claimed for carrier screws in this strip.")
	say(j.sys.GutterMount == mountRim, "Gutters hang under the rim, their front flush with the framing's edge.")
	for _, b := range j.beams {
		say(b.long != b.rect, "The beam %s stops at most %d in short of the deck's edge and is drawn out to it.", b.id, shortBeam)
	}
	for _, b := range bays {
		for _, e := range b.borders {
			if e.class == classLow && !level(e) {
				say(true, "Zone %s has a low edge aslant: its last row keeps to that edge's upper end.", b.out.ID)
				break
			}
		}
	}
	return out
}

// level tells whether an edge runs straight across the fall.
func level(e border) bool { return e.a.y-e.b.y <= tol && e.b.y-e.a.y <= tol }
