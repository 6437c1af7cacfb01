package calc

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// layBeams takes the beams into the fall frame, draws out those that stop just short of the outline, and finds which are outside.
func (j *job) layBeams() {
	rings := append([][]vec{j.outer}, j.holes...)
	for i, in := range j.in.Beams {
		b := beam{id: in.ID, rect: j.frame.box(in.Box), drop: float64(in.Drop), treatment: j.in.Beams[i].Treatment, outside: true}
		b.long = drawnOut(b.rect, rings)
		j.region.corners(b.rect, func(vec) { b.outside = false })
		j.beams = append(j.beams, b)
	}
}

// shortBeam is how far from the outline a beam's end may stop, in inches, and still count as reaching it.
const shortBeam = 12

// drawnOut extends a beam's ends to the outline, along its longer side, where they stop at most shortBeam from it: seen from the
// middle of the end, or from its corners where the middle lies outside.
func drawnOut(r rect, rings [][]vec) rect {
	if r.x1-r.x0 < r.y1-r.y0 {
		s := drawnOut(rect{r.y0, r.y1, r.x0, r.x1}, swapped(rings))
		return rect{s.y0, s.y1, s.x0, s.x1}
	}
	out := r
	corners := []float64{r.y0 + 2*tol, r.y1 - 2*tol}
	for _, right := range []bool{false, true} {
		if drawEnd(&out, r, rings, (r.y0+r.y1)/2, right) {
			continue
		}
		for _, y := range corners {
			drawEnd(&out, r, rings, y, right)
		}
	}
	return out
}

// drawEnd draws one end of a beam out to the outline along the line at y, where that is near. inside is false when the beam ends
// outside the outline there.
func drawEnd(out *rect, r rect, rings [][]vec, y float64, right bool) (inside bool) {
	end := r.x0
	if right {
		end = r.x1
	}
	if !inRings(rings, vec{end, y}) {
		return false
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if (a.y > y) == (b.y > y) {
				continue
			}
			near, far := reach(a, b, r, y)
			if near < r.x0+tol {
				lo = max(lo, min(near, far))
			}
			if near > r.x1-tol {
				hi = min(hi, max(near, far))
			}
		}
	}
	if !right && r.x0-lo <= shortBeam+tol {
		out.x0 = min(out.x0, lo)
	}
	if right && hi-r.x1 <= shortBeam+tol {
		out.x1 = max(out.x1, hi)
	}
	return true
}

// reach gives where an edge crosses the line at mid along the beam, and how far it gets from there within the beam's width.
func reach(a, b vec, r rect, mid float64) (near, far float64) {
	at := func(y float64) float64 {
		t := min(1, max(0, (y-a.y)/(b.y-a.y)))
		return a.x + t*(b.x-a.x)
	}
	near, far = at(mid), at(mid)
	for _, x := range []float64{at(r.y0), at(r.y1)} {
		if near <= (r.x0+r.x1)/2 {
			far = min(far, x)
		} else {
			far = max(far, x)
		}
	}
	return near, far
}

func swapped(rings [][]vec) [][]vec {
	out := make([][]vec, len(rings))
	for i, ring := range rings {
		for _, p := range ring {
			out[i] = append(out[i], vec{p.y, p.x})
		}
	}
	return out
}

// inRings tells whether a point lies in the outer ring, the first, and in none of the others.
func inRings(rings [][]vec, p vec) bool {
	for _, hole := range rings[1:] {
		if inRing(hole, p) {
			return false
		}
	}
	return inRing(rings[0], p)
}

// cut makes the zones with some of the beams subtracted, in order of y_high, then x0. The base is the input's.
func (j *job) cut(split []bool) ([]*bay, error) {
	cuts := slices.Clone(j.holes)
	for i, s := range split {
		if s {
			cuts = append(cuts, j.beams[i].long.ring())
		}
	}
	shapes, err := subtract(j.outer, cuts)
	if err != nil {
		return nil, err
	}
	var bays []*bay
	for _, s := range shapes {
		b := &bay{shape: s, region: newRegion(s.rings), box: bounds(s.rings[0])}
		b.yLow = b.box.y1 - float64(j.sys.GutterGap)
		j.settle(b, float64(j.in.Base))
		bays = append(bays, b)
	}
	slices.SortFunc(bays, func(a, b *bay) int {
		switch {
		case a.box.y0 < b.box.y0-tol, a.box.y0 <= b.box.y0+tol && a.box.x0 < b.box.x0:
			return -1
		}
		return 1
	})
	return bays, nil
}

// raise passes under every listed beam that lies in the zone: the base grows by the greatest drop - t.
func (j *job) raise(b *bay, under func(i int) bool) {
	more := 0.0
	b.beams = nil
	for i, m := range j.beams {
		if m.outside || !under(i) {
			continue
		}
		if t, ok := j.least(b, m.rect); ok {
			more = max(more, m.drop-t)
			b.beams = append(b.beams, i)
		}
	}
	if more > 0 {
		j.settle(b, b.base+more)
	}
}

// divide finds the beams to split at and the zones that leaves. Beams treated split or stop come first, then every auto beam
// that hangs lower than the furring can pass under somewhere, until none is added: cutting never makes the furring thicker.
func (j *job) divide() ([]*bay, []bool, error) {
	split := make([]bool, len(j.beams))
	for i, b := range j.beams {
		split[i] = !b.outside && (b.treatment == TreatSplit || b.treatment == TreatStop)
	}
	for {
		bays, err := j.cut(split)
		if err != nil {
			return nil, nil, err
		}
		more := false
		for _, b := range bays {
			j.raise(b, func(i int) bool { return j.beams[i].treatment == TreatUnder })
			for i, m := range j.beams {
				if m.treatment != TreatAuto || m.outside || split[i] {
					continue
				}
				if t, ok := j.least(b, m.rect); ok && m.drop > t+float64(j.in.MaxBuildDown)+tol {
					split[i], more = true, true
				}
			}
		}
		if !more {
			for _, b := range bays {
				j.settle(b, float64(j.in.Base))
				j.raise(b, func(i int) bool { return !split[i] })
			}
			return bays, split, nil
		}
	}
}

// choices reports what was done about each beam and what passing under it would take, the others staying as they are. A beam that
// others cover wholly is outside, as one beyond the outline is.
func (j *job) choices(bays []*bay, split []bool) error {
	j.plan.Beams = make([]beamChoice, len(j.beams))
	for i, b := range j.beams {
		c := beamChoice{ID: b.id, Treatment: "under"}
		passed := slices.ContainsFunc(bays, func(z *bay) bool { return slices.Contains(z.beams, i) })
		switch {
		case b.outside, !split[i] && !passed:
			c.Treatment = "outside"
		case b.treatment == TreatStop:
			c.Treatment = "stop"
		case split[i]:
			c.Treatment = "split"
		}
		if c.Treatment != "outside" {
			under, err := j.passUnder(i, split)
			if err != nil {
				return err
			}
			c.Under = under
		}
		j.plan.Beams[i] = c
	}
	return nil
}

func (j *job) passUnder(i int, split []bool) (*passUnder, error) {
	others := slices.Clone(split)
	others[i] = false
	bays, err := j.cut(others)
	if err != nil {
		return nil, err
	}
	out := passUnder{Base: math.Inf(-1)}
	for _, b := range bays {
		if _, ok := j.least(b, j.beams[i].rect); !ok {
			continue
		}
		j.raise(b, func(k int) bool { return !others[k] })
		out.Base = max(out.Base, b.base)
		if h, _ := j.headroom(b); j.measured && (out.Headroom == nil || h < *out.Headroom) {
			out.Headroom = &h
		}
	}
	if math.IsInf(out.Base, -1) {
		return nil, nil // the other beams lie all over it
	}
	return &out, nil
}

// zones divides the outline, names the zones and drops those that are not to be built: what lies beyond a beam to stop at, and
// what the cover leaves out. Names are given before anything is dropped.
func (j *job) zones() ([]*bay, error) {
	j.region = newRegion(append([][]vec{turn(j.outer, true)}, j.holes...))
	if len(j.holes) > 1 {
		shapes, err := subtract(j.outer, j.holes)
		if err != nil {
			return nil, err
		}
		j.region = newRegion(allRings(shapes))
	}
	j.layBeams()
	bays, split, err := j.divide()
	if err != nil {
		return nil, err
	}
	if err := j.choices(bays, split); err != nil {
		return nil, err
	}
	var names []string
	for i, b := range bays {
		b.out = &Zone{ID: fmt.Sprintf("z%d", i+1)}
		names = append(names, b.out.ID)
	}
	for i, id := range j.in.Cover {
		if !slices.Contains(names, id) {
			return nil, faultf(fmt.Sprintf("cover[%d]", i), "there is no zone %q; the deck has %s", clip(id), strings.Join(names, ", "))
		}
	}
	beyond := j.beyond(bays)
	roof := j.roofZone(bays)
	var built []*bay
	for i, b := range bays {
		b.roof = i == roof
		b.open = beyond[i] || len(j.in.Cover) > 0 && !slices.Contains(j.in.Cover, b.out.ID)
		j.claim(b, len(built))
		if !b.open {
			built = append(built, b)
		}
	}
	return built, nil
}

func allRings(shapes []shape) [][]vec {
	var out [][]vec
	for _, s := range shapes {
		out = append(out, s.rings...)
	}
	return out
}

// beyond marks the zones down the fall from a beam to stop at, and those further down that begin along them.
func (j *job) beyond(bays []*bay) []bool {
	out := make([]bool, len(bays))
	for _, m := range j.beams {
		if m.treatment != TreatStop || m.outside {
			continue
		}
		front := []rect{m.long}
		for i, b := range bays { // in order of y_high
			for _, f := range front {
				if !out[i] && b.box.y0 >= f.y1-tol && b.box.x0 < f.x1-tol && b.box.x1 > f.x0+tol {
					out[i] = true
					front = append(front, b.box)
				}
			}
		}
	}
	return out
}

// roofZone is the zone that the roof drains onto: the first that is not shorter than 12 in; -1 for none.
func (j *job) roofZone(bays []*bay) int {
	return slices.IndexFunc(bays, func(b *bay) bool { return !b.short() })
}

// shortZone is the least length down the fall, in inches, that a zone needs for panels.
const shortZone = 12

func (b *bay) short() bool { return b.box.y1-b.box.y0 < shortZone-tol }

// claim gives the zone the obstructions whose centres lie in it.
func (j *job) claim(b *bay, index int) {
	for i := range j.things {
		t := &j.things[i]
		if t.zone != -1 || t.at.x < b.box.x0-tol || t.at.x > b.box.x1+tol || !b.region.contains(t.at) {
			continue
		}
		if t.zone = index; b.open {
			t.zone = openZone
		}
		t.t = j.t(b, t.at)
		t.depth = t.drop - t.t + float64(j.sys.NotchClearance)
		b.things = append(b.things, i)
	}
}

// openZone marks an obstruction in a zone that is not built.
const openZone = -2
