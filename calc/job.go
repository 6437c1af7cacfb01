package calc

import (
	"math"
	"slices"

	"undercroft/calc/length"
)

// job is one computation: the input turned into the fall frame, and the plan as it grows.
type job struct {
	in       Input
	sys      System
	frame    frame
	under    surfaceFit // the underside over its datum
	ground   surfaceFit // clearance to the ground
	heights  grade      // underside in the fall frame; 0 when unknown
	clear    grade      // height over the ground in the fall frame
	measured bool       // whether clear is known
	slope    float64    // fall of the ceiling, in per in
	outer    []vec
	holes    [][]vec
	walls    []wallEdge
	region   region // the whole outline without its holes
	things   []thing
	beams    []beam
	lines    joistLines
	gaps     []rect // rectangles without joists
	plan     *Plan
}

// thing is an obstruction in the fall frame. Sizes and deviations are across (x) and along (y) the fall.
type thing struct {
	at            vec
	wx, wy, sx    float64
	drop          float64
	fixture, thru bool
	zone          int     // index of its zone, -1 outside
	t, depth      float64 // furring there, and how deep a notch would have to be
	index         int     // in the input
	id            string
}

// beam is a beam in the fall frame; long is its rectangle drawn out to the outline where it stops just short.
type beam struct {
	id        string
	rect      rect
	long      rect
	drop      float64
	treatment Treatment
	outside   bool
}

// joistLines are the joists' centrelines: across tells that they cross the furring rows.
type joistLines struct {
	across  bool
	spacing float64
	at      []float64 // sorted, u when across, v when along the rows
}

func newJob(in Input, sys System) *job {
	plan := ringOf(in.Outline)
	j := &job{in: in, sys: sys, frame: newFrame(in.Fall.Direction, plan), plan: &Plan{System: sys}}
	j.outer = j.frame.ring(plan)
	for _, h := range in.Holes {
		j.holes = append(j.holes, j.frame.ring(ringOf(h)))
	}
	for i, e := range in.Edges {
		j.walls = append(j.walls, wallEdge{j.outer[i], j.outer[(i+1)%len(j.outer)], e})
	}
	for _, g := range in.Joists.Gaps {
		j.gaps = append(j.gaps, j.frame.box(g))
	}
	j.measure()
	j.lines = j.joists(plan)
	j.things = make([]thing, len(in.Obstructions))
	for i := range in.Obstructions {
		j.things[i] = j.thing(i, &in.Obstructions[i])
	}
	return j
}

// measure fits the planes and settles the fall: the larger of the asked one and the frame's own.
func (j *job) measure() {
	j.under, j.plan.Plane = underside(j.in.Heights)
	j.ground = ground(j.in.Clearances)
	j.heights = j.frame.grade(j.under)
	perFoot := float64(j.sys.Fall)
	if p := j.in.Fall.PerFoot; p != nil {
		perFoot = float64(*p)
	}
	perFoot = max(perFoot, -12*j.heights.v)
	j.plan.FallPerFoot, j.slope = perFoot, perFoot/12
	j.clear, j.measured = j.heights, j.under.known
	if j.ground.known {
		j.clear, j.measured = j.frame.grade(j.ground), true
	}
}

func (j *job) thing(i int, o *Obstruction) thing {
	t := thing{at: j.frame.in(vec{float64(o.X), float64(o.Y)}), wx: float64(o.WX), wy: float64(o.WY), sx: float64(o.SX),
		drop: float64(o.Drop), thru: o.Through, fixture: o.Kind == KindFixture && !o.Through, zone: -1, index: i, id: o.ID}
	if j.frame.turned() {
		t.wx, t.wy, t.sx = t.wy, t.wx, float64(o.SY)
	}
	return t
}

// joists lays the centrelines: multiples of the spacing from the outline's least x (joists along y) or least y, and the far end.
func (j *job) joists(plan []vec) joistLines {
	b := bounds(plan)
	lo, hi := b.x0, b.x1
	if j.in.Joists.Direction == "x" {
		lo, hi = b.y0, b.y1
	}
	l := joistLines{across: (j.in.Joists.Direction == "y") != j.frame.turned(), spacing: float64(j.in.Joists.Spacing)}
	for k := 0; ; k++ {
		at := lo + float64(k)*l.spacing
		if at >= hi-tol {
			break
		}
		l.at = append(l.at, at)
	}
	l.at = append(l.at, hi)
	for i, at := range l.at {
		p := j.frame.in(vec{at, at})
		l.at[i] = p.y
		if l.across {
			l.at[i] = p.x
		}
	}
	slices.Sort(l.at)
	return l
}

// bay is one zone while it is planned: geometry in the fall frame, and the ceiling plane.
type bay struct {
	shape   shape
	region  region
	box     rect    // its extremes; box.y0 is y_high, box.y1 the framing's lowest edge
	yLow    float64 // box.y1 less the gutter gap
	base    float64
	z0      float64 // ceiling plane at y_high, over the datum
	beams   []int   // beams left in it, passed under
	borders []border
	rows    []rowLine
	endGap  float64
	seams   []float64
	things  []int // indexes of its obstructions
	roof    bool  // the roof drains onto it
	open    bool  // it is not built
	out     *Zone
}

// z is the ceiling plane.
func (j *job) z(b *bay, y float64) float64 { return b.z0 - j.slope*(y-b.box.y0) }

// t is the furring's thickness: underside less ceiling plane.
func (j *job) t(b *bay, p vec) float64 { return j.heights.at(p) - j.z(b, p.y) }

// settle sets the ceiling as high as it goes with t >= base all over the zone.
func (j *job) settle(b *bay, base float64) {
	b.base, b.z0 = base, math.Inf(1)
	for _, p := range b.shape.rings[0] {
		b.z0 = min(b.z0, j.heights.at(p)-base+j.slope*(p.y-b.box.y0))
	}
}

// least is the least t over the part of a rectangle in the zone; ok is false when there is none.
func (j *job) least(b *bay, r rect) (t float64, ok bool) {
	t = math.Inf(1)
	if r.x1 <= b.box.x0 || r.x0 >= b.box.x1 || r.y1 <= b.box.y0 || r.y0 >= b.box.y1 {
		return t, false
	}
	b.region.corners(r, func(p vec) { t = min(t, j.t(b, p)) })
	return t, !math.IsInf(t, 1)
}

// headroom is the least finished height over the zone's corners, with all corners of that height from left to right.
func (j *job) headroom(b *bay) (least float64, at []vec) {
	least = math.Inf(1)
	for _, ring := range b.shape.rings {
		for _, p := range ring {
			h := j.clear.at(p) - j.t(b, p) - float64(j.sys.CarrierDepth)
			switch {
			case h < least-tol:
				least, at = h, []vec{p}
			case h <= least+tol:
				least, at = min(least, h), append(at, p)
			}
		}
	}
	slices.SortFunc(at, func(a, b vec) int {
		if math.Abs(a.x-b.x) > tol && a.x < b.x || math.Abs(a.x-b.x) <= tol && a.y < b.y {
			return -1
		}
		return 1
	})
	return least, at
}

// down16 rounds a cut length down, in inches.
func down16(v float64) float64 { return float64(length.Inches(v).Down16()) }

// near16 rounds to the nearest sixteenth.
func near16(v float64) float64 { return float64(length.Inches(v).Nearest16()) }

// up16 rounds up to a sixteenth.
func up16(v float64) float64 { return float64(length.Inches(v).Up16()) }

// count is a number of things rounded up, a whole number within the tolerance staying as it is.
func count(v float64) int { return int(math.Ceil(v - tol)) }
