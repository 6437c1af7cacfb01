package survey

import (
	"math"
	"slices"
	"strconv"

	"undercroft/annotate/plane"
	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// overlayKind says what a shape of the ceiling drawn over a photo is.
type overlayKind string

// The kinds of shape, in the order in which they are drawn.
const (
	overlayGrid    overlayKind = "grid"    // a line every four feet of the plan
	overlayRow     overlayKind = "row"     // a furring row, as wide as it is
	overlayCarrier overlayKind = "carrier" // a carrier, as wide as it is
	overlaySeam    overlayKind = "seam"    // the line between two panels
	overlayEdge    overlayKind = "edge"    // the channel along the high edge
	overlayGutter  overlayKind = "gutter"
	overlayNotch   overlayKind = "notch"
)

// OverlayShape is one shape over a photo: Points are fractions of the upright picture and may lie outside it; a closed shape is filled. Label is
// short, in the language that was asked for, set at LabelAt; empty for none. Check marks a notch that is to be looked at on site before it is cut.
type OverlayShape struct {
	Kind    overlayKind
	Points  [][2]float64
	Closed  bool
	Label   string
	LabelAt [2]float64
	Check   bool
}

// The plan grid's mesh, and the pieces that long lines are cut into, since a lens bends them; inches.
const (
	gridMesh     = 48
	overlayPiece = 12
)

// Overlay lays the computed ceiling over a photo through the photo's plane, on the plane of the joists' bottoms: what lies beyond the
// plane's horizon is cut off. Labels are in a language. The problem says in English why there is nothing to draw, and is empty when there is.
func Overlay(c Ceiling, photo Photo, lang words.Lang) (shapes []OverlayShape, problem string) {
	p := c.Geometry[photo.ID]
	switch {
	case p.Fit == nil:
		return nil, p.Problem
	case !p.Trusted:
		return nil, "The references of this photo contradict each other, so nothing is drawn over it."
	case c.Plan == nil:
		return nil, "The ceiling cannot be computed yet."
	}
	o := overlay{fit: p.Fit, w: float64(photo.Width), h: float64(photo.Height), in: c.Input, plan: *c.Plan, lang: lang}
	o.grid()
	for _, z := range c.Plan.Zones {
		o.rows(z)
	}
	for _, z := range c.Plan.Zones {
		o.carriers(z)
	}
	for _, z := range c.Plan.Zones {
		o.edges(z)
	}
	for _, z := range c.Plan.Zones {
		o.notches(z)
	}
	return o.shapes, ""
}

// overlay gathers the shapes of one photo.
type overlay struct {
	fit    *plane.Photo
	w, h   float64
	in     calc.Input
	plan   calc.Plan
	lang   words.Lang
	shapes []OverlayShape
}

// grid draws the lines of the plan, clipped to the deck.
func (o *overlay) grid() {
	low, high := bounds(o.in.Outline)
	for x := math.Ceil(low.X/gridMesh) * gridMesh; x <= high.X; x += gridMesh {
		o.clipped(plane.Point{X: x, Y: low.Y}, plane.Point{X: x, Y: high.Y})
	}
	for y := math.Ceil(low.Y/gridMesh) * gridMesh; y <= high.Y; y += gridMesh {
		o.clipped(plane.Point{X: low.X, Y: y}, plane.Point{X: high.X, Y: y})
	}
}

// clipped draws the parts of a grid line that lie inside the outline.
func (o *overlay) clipped(a, b plane.Point) {
	cuts := []float64{0, 1}
	for i, p := range o.in.Outline {
		if t, ok := crossing(a, b, p, o.in.Outline[(i+1)%len(o.in.Outline)]); ok {
			cuts = append(cuts, t)
		}
	}
	slices.Sort(cuts)
	for i := range len(cuts) - 1 {
		if cuts[i+1]-cuts[i] > 1e-9 && inside(o.in.Outline, between(a, b, (cuts[i]+cuts[i+1])/2)) {
			o.line(overlayGrid, between(a, b, cuts[i]), between(a, b, cuts[i+1]), "")
		}
	}
}

func (o *overlay) rows(z calc.Zone) {
	for i, row := range z.Furring {
		label := words.Say("row %d · %s", i+1, length.Inches(row.Build).Typeset()).In(o.lang)
		o.band(overlayRow, o.at(row.X0, row.Y), o.at(row.X1, row.Y), float64(o.plan.System.FurringWidth), label, false)
	}
}

func (o *overlay) carriers(z calc.Zone) {
	for _, c := range z.Carriers {
		o.band(overlayCarrier, o.at(c.X, c.Y0), o.at(c.X, c.Y1), float64(o.plan.System.CarrierWidth), "", false)
		o.line(overlaySeam, o.at(c.X, c.Y0), o.at(c.X, c.Y1), strconv.Itoa(c.N))
	}
}

func (o *overlay) edges(z calc.Zone) {
	for _, run := range z.Channel {
		if run.Edge == "high" {
			o.line(overlayEdge, planPoint(run.P0), planPoint(run.P1), "")
		}
	}
	for _, g := range z.Gutter.Lines {
		o.line(overlayGutter, planPoint(g.P0), planPoint(g.P1), "")
	}
}

func (o *overlay) notches(z calc.Zone) {
	for _, n := range z.Notches {
		for _, c := range z.Carriers {
			if c.N == n.Carrier {
				o.band(overlayNotch, o.at(c.X, c.Y0+n.From), o.at(c.X, c.Y0+n.To), float64(o.plan.System.CarrierWidth), o.notchLabel(n), n.State != "expected")
			}
		}
	}
}

// notchLabel says how deep a notch is, and that it is to be looked at first where it is not sure.
func (o *overlay) notchLabel(n calc.Notch) string {
	depth := length.Inches(n.Depth).Typeset()
	if n.State != "expected" {
		return words.Say("check: notch %s", depth).In(o.lang)
	}
	return words.Say("notch %s", depth).In(o.lang)
}

// at takes a position of the fall frame to the plan.
func (o *overlay) at(x, y float64) plane.Point { return planPoint(calc.PlanPoint(o.in, x, y)) }

func planPoint(p calc.Point) plane.Point { return plane.Point{X: float64(p.X), Y: float64(p.Y)} }

// line draws a plan line in pieces, beginning anew where a part of it cannot be seen.
func (o *overlay) line(kind overlayKind, a, b plane.Point, label string) {
	var chain [][2]float64
	flush := func() {
		if len(chain) > 1 && o.near(chain) {
			o.shapes = append(o.shapes, OverlayShape{Kind: kind, Points: chain, Label: label, LabelAt: chain[0]})
			label = ""
		}
		chain = nil
	}
	n := pieces(a, b)
	for i := range n {
		from, to, ok := o.fit.ProjectSegment(between(a, b, float64(i)/float64(n)), between(a, b, float64(i+1)/float64(n)))
		if !ok {
			flush()
			continue
		}
		if len(chain) == 0 {
			chain = append(chain, o.fraction(from))
		}
		chain = append(chain, o.fraction(to))
	}
	flush()
}

// band draws a plan line with a width as closed shapes, one for each stretch of it that can be seen whole.
func (o *overlay) band(kind overlayKind, a, b plane.Point, width float64, label string, check bool) {
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	if long == 0 {
		return
	}
	side := plane.Point{X: -(b.Y - a.Y) / long * width / 2, Y: (b.X - a.X) / long * width / 2}
	var left, right [][2]float64
	flush := func() {
		if len(left) > 1 && o.near(append(slices.Clone(left), right...)) {
			start := left[0]
			slices.Reverse(right)
			o.shapes = append(o.shapes, OverlayShape{Kind: kind, Points: append(left, right...), Closed: true, Label: label, LabelAt: start, Check: check})
			label = ""
		}
		left, right = nil, nil
	}
	n := pieces(a, b)
	for i := range n + 1 {
		p := between(a, b, float64(i)/float64(n))
		l, okL := o.fit.Project(plane.Point{X: p.X + side.X, Y: p.Y + side.Y})
		r, okR := o.fit.Project(plane.Point{X: p.X - side.X, Y: p.Y - side.Y})
		if !okL || !okR || !o.close(l) || !o.close(r) {
			flush()
			continue
		}
		left, right = append(left, o.fraction(l)), append(right, o.fraction(r))
	}
	flush()
}

func (o *overlay) fraction(p plane.Pixel) [2]float64 { return [2]float64{p.U / o.w, p.V / o.h} }

// close tells whether a pixel lies within two pictures of the picture: what is further away is near the horizon and not drawn.
func (o *overlay) close(p plane.Pixel) bool {
	return math.Abs(p.U/o.w-0.5) < 2.5 && math.Abs(p.V/o.h-0.5) < 2.5
}

// near tells whether the box of some points meets the picture.
func (o *overlay) near(points [][2]float64) bool {
	low, high := points[0], points[0]
	for _, p := range points {
		for k := range p {
			low[k], high[k] = min(low[k], p[k]), max(high[k], p[k])
		}
	}
	return low[0] <= 1 && low[1] <= 1 && high[0] >= 0 && high[1] >= 0
}

func pieces(a, b plane.Point) int {
	return max(1, int(math.Ceil(math.Hypot(b.X-a.X, b.Y-a.Y)/overlayPiece)))
}

func between(a, b plane.Point, t float64) plane.Point {
	return plane.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}

// bounds is the box of the outline.
func bounds(ring []calc.Point) (low, high plane.Point) {
	low, high = planPoint(ring[0]), planPoint(ring[0])
	for _, c := range ring {
		p := planPoint(c)
		low, high = plane.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, plane.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	return low, high
}

// crossing is where on the line from a to b it crosses a side of the outline; parallel sides do not cross.
func crossing(a, b plane.Point, c, d calc.Point) (float64, bool) {
	p, q := planPoint(c), planPoint(d)
	det := (b.X-a.X)*(q.Y-p.Y) - (b.Y-a.Y)*(q.X-p.X)
	if det == 0 {
		return 0, false
	}
	t := ((p.X-a.X)*(q.Y-p.Y) - (p.Y-a.Y)*(q.X-p.X)) / det
	s := ((p.X-a.X)*(b.Y-a.Y) - (p.Y-a.Y)*(b.X-a.X)) / det
	return t, t > 0 && t < 1 && s >= 0 && s <= 1
}

// inside tells whether a point lies in the outline, by counting the sides to its right; points on a side may count either way.
func inside(ring []calc.Point, p plane.Point) bool {
	in := false
	for i, c := range ring {
		a, b := planPoint(c), planPoint(ring[(i+1)%len(ring)])
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}
