package calc

import (
	"fmt"
	"math"
	"slices"

	"undercroft/calc/length"
)

// Limits of a document, far above any deck.
const (
	maxObstructions = 100000
	maxCorners      = 1000
	maxBeams        = 100
	maxHoles        = 100
	maxGaps         = 1000
	maxMeasured     = 2000 // heights, and clearances
	maxOpenings     = 1000
	maxID           = 200 // bytes
)

// Check tells whether Compute can plan the input: sizes, outline, kinds, repeated ids and the profile. The error is an *InputError
// that names the first fault and its place. Zero values that withDefaults fills are accepted.
func Check(in Input) error {
	in = withDefaults(in)
	steps := []func(Input) error{checkCounts, checkLengths, checkOutline, checkEdges, checkFall, checkJoists, checkBeams,
		checkObstructions, checkOpenings, checkIDs, checkWeather, checkCover, checkCare}
	for _, step := range steps {
		if err := step(in); err != nil {
			return err
		}
	}
	_, err := Resolve(in.System)
	return err
}

func checkCounts(in Input) error {
	for _, c := range []struct {
		place   string
		n, most int
	}{
		{"outline", len(in.Outline), maxCorners}, {"obstructions", len(in.Obstructions), maxObstructions}, {"beams", len(in.Beams), maxBeams},
		{"holes", len(in.Holes), maxHoles}, {"joists.gaps", len(in.Joists.Gaps), maxGaps}, {"heights", len(in.Heights), maxMeasured},
		{"clearances", len(in.Clearances), maxMeasured}, {"openings", len(in.Openings), maxOpenings}, {"cover", len(in.Cover), maxCorners},
	} {
		if c.n > c.most {
			return faultf(c.place, "%d entries are more than the %d that can be planned", c.n, c.most)
		}
	}
	return nil
}

// position refuses a length that is not a number or beyond a thousand feet either way.
func position(place string, v length.Inches) error {
	if !(math.Abs(float64(v)) <= MaxLength) {
		return faultf(place, "%g in is beyond %d in", float64(v), MaxLength)
	}
	return nil
}

// size is a position that is not negative.
func size(place string, v length.Inches) error {
	if v < 0 {
		return faultf(place, "%g in is negative", float64(v))
	}
	return position(place, v)
}

// checkPoints refuses corners beyond a thousand feet.
func checkPoints(place string, ring []Point) error {
	for i, p := range ring {
		at := fmt.Sprintf("%s[%d]", place, i)
		if err := position(at+"[0]", p.X); err != nil {
			return err
		}
		if err := position(at+"[1]", p.Y); err != nil {
			return err
		}
	}
	return nil
}

func checkLengths(in Input) error {
	if err := checkPoints("outline", in.Outline); err != nil {
		return err
	}
	if err := size("base", in.Base); err != nil {
		return err
	}
	if err := size("max_build_down", in.MaxBuildDown); err != nil {
		return err
	}
	for i, h := range in.Heights {
		at := fmt.Sprintf("heights[%d]", i)
		for _, v := range []length.Inches{h.X, h.Y, h.Height} {
			if err := position(at, v); err != nil {
				return err
			}
		}
	}
	for i, c := range in.Clearances {
		at := fmt.Sprintf("clearances[%d]", i)
		for _, v := range []length.Inches{c.X, c.Y} {
			if err := position(at, v); err != nil {
				return err
			}
		}
		if err := size(at+".clearance", c.Clearance); err != nil {
			return err
		}
	}
	return nil
}

func checkEdges(in Input) error {
	if len(in.Edges) != len(in.Outline) {
		return faultf("edges", "there are %d for %d corners; edge i runs from corner i to the next", len(in.Edges), len(in.Outline))
	}
	for i, e := range in.Edges {
		at := fmt.Sprintf("edges[%d]", i)
		switch {
		case e.Kind == EdgeWall && e.Surface == "":
			return faultf(at+".surface", "is required for a wall and missing")
		case e.Kind == EdgeWall && !slices.Contains(surfaces(), e.Surface):
			return faultf(at+".surface", "%q is no wall surface", clip(string(e.Surface)))
		case e.Kind == EdgeOpen && e.Surface != "":
			return faultf(at+".surface", "is for walls only")
		case e.Kind != EdgeWall && e.Kind != EdgeOpen:
			return faultf(at+".kind", "%q must be wall or open", clip(string(e.Kind)))
		}
		if err := position(at+".member_drop", e.MemberDrop); err != nil {
			return err
		}
	}
	return nil
}

// surfaces are the wall surfaces of the fixings table.
func surfaces() []Surface {
	return []Surface{SurfaceWood, SurfaceVinyl, SurfaceFiberCement, SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStucco,
		SurfaceStone, SurfaceEIFS, SurfaceLog, SurfaceMetal, SurfaceUnknown}
}

// leastFall is the least fall, in inches per foot, that counts as one.
const leastFall = 1e-9

func checkFall(in Input) error {
	switch in.Fall.Direction {
	case FallOut, FallRight, FallLeft:
	default:
		return faultf("fall.direction", "%q must be +y, +x or -x", clip(string(in.Fall.Direction)))
	}
	if p := in.Fall.PerFoot; p != nil && !(*p >= leastFall && *p <= MaxLength) {
		return faultf("fall.per_foot", "%g must be over 0 and at most %d in per foot", float64(*p), MaxLength)
	}
	switch in.LowEdge {
	case LowEdgeSealant, LowEdgeDripChannel:
		return nil
	}
	return faultf("low_edge", "%q must be sealant or drip-channel", clip(string(in.LowEdge)))
}

// box refuses rectangles without area.
func (b Box) check(at string) error {
	for _, v := range []struct {
		key string
		v   length.Inches
	}{{"x0", b.X0}, {"x1", b.X1}, {"y0", b.Y0}, {"y1", b.Y1}} {
		if err := position(at+"."+v.key, v.v); err != nil {
			return err
		}
	}
	if b.X1 <= b.X0 || b.Y1 <= b.Y0 {
		return faultf(at, "x1 must be over x0 and y1 over y0")
	}
	return nil
}

func checkJoists(in Input) error {
	j := in.Joists
	if j.Direction != "x" && j.Direction != "y" {
		return faultf("joists.direction", "%q must be x or y", clip(j.Direction))
	}
	if !(j.Spacing >= 1 && j.Spacing <= MaxLength) {
		return faultf("joists.spacing", "%g in must be from 1 to %d in", float64(j.Spacing), MaxLength)
	}
	if err := size("joists.depth", j.Depth); err != nil {
		return err
	}
	if !(j.SpecificGravity >= 0.01 && j.SpecificGravity <= 1.5) {
		return faultf("joists.specific_gravity", "%g must be from 0.01 to 1.5", j.SpecificGravity)
	}
	for i, g := range j.Gaps {
		if err := g.check(fmt.Sprintf("joists.gaps[%d]", i)); err != nil {
			return err
		}
	}
	return nil
}

func checkBeams(in Input) error {
	for i, b := range in.Beams {
		at := fmt.Sprintf("beams[%d]", i)
		if err := b.Box.check(at); err != nil {
			return err
		}
		if err := size(at+".drop", b.Drop); err != nil {
			return err
		}
		switch b.Treatment {
		case TreatAuto, TreatSplit, TreatUnder, TreatStop:
		default:
			return faultf(at+".treatment", "%q must be auto, split, under or stop", clip(string(b.Treatment)))
		}
	}
	return nil
}

func checkObstructions(in Input) error {
	for i := range in.Obstructions {
		if err := in.Obstructions[i].check(); err != nil {
			fault := err.(*InputError)
			fault.Place = fmt.Sprintf("obstructions[%d].%s", i, fault.Place)
			return fault
		}
	}
	return nil
}

func (o *Obstruction) check() error {
	switch o.Kind {
	case KindHanger, KindBracket, KindFixture, KindPipe, KindWiring, KindOther:
	default:
		return faultf("kind", "%q must be hanger, bracket, fixture, pipe, wiring or other", clip(string(o.Kind)))
	}
	if err := position("x", o.X); err != nil {
		return err
	}
	if err := position("y", o.Y); err != nil {
		return err
	}
	keys := [5]string{"wx", "wy", "drop", "sx", "sy"}
	for i, v := range [5]length.Inches{o.WX, o.WY, o.Drop, o.SX, o.SY} {
		if err := size(keys[i], v); err != nil {
			return err
		}
	}
	return nil
}

func checkOpenings(in Input) error {
	for i, o := range in.Openings {
		at := fmt.Sprintf("openings[%d]", i)
		for _, v := range []length.Inches{o.X0, o.X1, o.Head} {
			if err := position(at, v); err != nil {
				return err
			}
		}
		if o.X1 <= o.X0 {
			return faultf(at, "x1 must be over x0")
		}
	}
	return nil
}

// checkIDs refuses empty, over-long and repeated ids; beams, obstructions and openings share one name space, since findings
// name them side by side.
func checkIDs(in Input) error {
	seen := make(map[string]struct{}, len(in.Beams)+len(in.Obstructions)+len(in.Openings))
	check := func(list string, i int, id string) error {
		if id == "" || len(id) > maxID {
			return faultf(fmt.Sprintf("%s[%d].id", list, i), "must have from 1 to %d bytes", maxID)
		}
		if _, ok := seen[id]; ok {
			return faultf(fmt.Sprintf("%s[%d].id", list, i), "%q is there twice", clip(id))
		}
		seen[id] = struct{}{}
		return nil
	}
	for i, b := range in.Beams {
		if err := check("beams", i, b.ID); err != nil {
			return err
		}
	}
	for i := range in.Obstructions {
		if err := check("obstructions", i, in.Obstructions[i].ID); err != nil {
			return err
		}
	}
	for i, o := range in.Openings {
		if err := check("openings", i, o.ID); err != nil {
			return err
		}
	}
	return nil
}

func checkWeather(in Input) error {
	t := in.Temperature
	for _, l := range []limit{
		{"rain.inches_per_hour", in.Rain.InchesPerHour, 0, 100}, {"rain.roof_ft2", in.Rain.RoofFt2, 0, 1e7},
		{"temperature.install", t.Install, -200, 400}, {"temperature.min", t.Min, -200, 400}, {"temperature.max", t.Max, -200, 400},
	} {
		if !(l.v >= l.lo && l.v <= l.hi) {
			return faultf(l.key, "%g must be from %g to %g", l.v, l.lo, l.hi)
		}
	}
	if t.Min > t.Max {
		return faultf("temperature", "min %g is over max %g", t.Min, t.Max)
	}
	return nil
}

func checkCover(in Input) error {
	for i, id := range in.Cover {
		if slices.Index(in.Cover, id) < i {
			return faultf(fmt.Sprintf("cover[%d]", i), "%q is there twice", clip(id))
		}
	}
	return nil
}
