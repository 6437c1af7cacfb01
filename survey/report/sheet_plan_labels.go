package report

import (
	"math"
	"strconv"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// leftOut is a kind of label for which the plan had no room.
type leftOut string

// The kinds of label that a plan may leave out; tables and details have them all.
const (
	leftNotch     leftOut = "notch"
	leftRowFigure leftOut = "rowfigure"
	leftRowName   leftOut = "rowname"
	leftArrowText leftOut = "arrowtext"
	leftArrow     leftOut = "arrow"
	leftCarrier   leftOut = "carrier"
	leftZone      leftOut = "zone"
	leftFixture   leftOut = "fixture"
	leftOpening   leftOut = "opening"
	leftWallName  leftOut = "wallname"
	leftFar       leftOut = "far"
)

// left says how many labels of a kind had no room.
func (v voice) left(k leftOut, n int) string {
	switch k {
	case leftNotch:
		return v.count(n, "notch number", "notch numbers")
	case leftRowFigure:
		return v.count(n, "row figure", "row figures")
	case leftRowName:
		return v.count(n, "row name", "row names")
	case leftArrowText:
		return v.count(n, "fall text", "fall texts")
	case leftArrow:
		return v.count(n, "fall arrow", "fall arrows")
	case leftCarrier:
		return v.count(n, "carrier number", "carrier numbers")
	case leftZone:
		return v.count(n, "zone label", "zone labels")
	case leftFixture:
		return v.count(n, "cut-out label", "cut-out labels")
	case leftOpening:
		return v.count(n, "opening text", "opening texts")
	case leftWallName:
		return v.count(n, "wall name", "wall names")
	case leftFar:
		return v.count(n, "far-off thing", "far-off things")
	}
	return itoa(n)
}

// inside tells whether a point with pad points round it lies in the deck.
func (p *planner) inside(c draw.Point, pad float64) bool {
	for _, dx := range []float64{-pad, pad} {
		for _, dy := range []float64{-pad, pad} {
			if !pointIn(p.d.outline, p.plan(pt(c.X+dx, c.Y+dy))) {
				return false
			}
		}
	}
	return true
}

// insideBox tells whether a box lies in the deck; sixteen points of its rim are looked at.
func (p *planner) insideBox(c draw.Point, w, h float64) bool {
	for fx := -2; fx <= 2; fx++ {
		for fy := -2; fy <= 2; fy++ {
			rim := fx*fx == 4 || fy*fy == 4
			if rim && !p.inside(pt(c.X+float64(fx)*w/4, c.Y+float64(fy)*h/4), 2) {
				return false
			}
		}
	}
	return true
}

// pointIn tells whether a place lies in a ring, by the parity of crossings to its right.
func pointIn(ring []planPt, q planPt) bool {
	odd := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.y > q.y) != (b.y > q.y) && q.x < a.x+(b.x-a.x)*(q.y-a.y)/(b.y-a.y) {
			odd = !odd
		}
	}
	return odd
}

// keep are the candidates that pass; all of them when none does.
func keep(spots []draw.Point, ok func(draw.Point) bool) []draw.Point {
	var out []draw.Point
	for _, c := range spots {
		if ok(c) {
			out = append(out, c)
		}
	}
	if len(out) == 0 {
		return spots
	}
	return out
}

// wide is the gap between a name and its figure; ordinary spaces would run together on a page.
const wide = "\u00a0\u00a0"

// rowTexts are the figures of a row at its left, middle and right.
func (p *planner) rowTexts(i int, r calc.Row) []string {
	name := "R" + strconv.Itoa(i)
	switch {
	case r.Fasten == "joist" && p.phone():
		return []string{name}
	case r.Fasten == "joist":
		return []string{p.d.say("%s no strip: screw to joist", name)}
	case p.phone():
		return []string{name + wide + typeset(r.Middle)}
	}
	return []string{name + wide + typeset(r.Left), typeset(r.Middle), typeset(r.Right)}
}

// rowLabels puts each row's figures on its strip; a dense plan keeps the name alone.
func (p *planner) rowLabels(z *zone) {
	const size = 7.5
	for i, r := range z.Furring {
		for j, txt := range p.rowTexts(i+1, r) {
			w := draw.Measure(txt, size, true) + 5
			c, ok := p.place.Put(w, 10.5, p.rowSpots(z, r, j, w))
			if !ok && j == 0 {
				txt = "R" + strconv.Itoa(i+1)
				w = draw.Measure(txt, size, true) + 5
				c, ok = p.place.Put(w, 10.5, append(p.rowSpots(z, r, j, w), p.rowSpots(z, r, 2, w)...))
				p.left[leftRowFigure]++
			}
			if !ok {
				p.left[map[bool]leftOut{true: leftRowName, false: leftRowFigure}[j == 0]]++
				continue
			}
			foot := p.q(fallPt{p.back(c).u, r.Y})
			p.late = append(p.late, func() {
				p.dr.Line(c, foot, draw.Style{Pen: draw.Light})
				p.dr.Rect(draw.Centered(c, w, 10.4), draw.Style{Pen: draw.Light, Fill: draw.White})
				p.dr.Text(draw.Text{At: pt(c.X, c.Y+2.8), S: txt, Size: size, Bold: true, Anchor: draw.Middle})
			})
		}
	}
}

// rowSpots are the places for a row's figure: on the strip, sliding inward, then one line up or down. The last row's figures stand
// up-slope of the gutter.
func (p *planner) rowSpots(z *zone, r calc.Row, j int, w float64) []draw.Point {
	along, off, last := w/2, 10.0, 7.0
	if p.turned() {
		along, off, last = 8, w/2+4, w/2+2
	}
	inset := (10 + along) / p.k
	u := []float64{r.X0 + inset, (r.X0 + r.X1) / 2, r.X1 - inset}[j]
	step := 7 / p.k
	if j > 0 {
		step = -step
	}
	offs := []float64{0, off / p.k, -off / p.k}
	if r.Place == "last" {
		up := last/p.k + p.d.gutterIn(z) - p.d.prof.GutterGap - p.d.prof.FurringWidth/2
		offs = []float64{up, up + off/p.k}
	}
	var spots []draw.Point
	for _, o := range offs {
		for n := range 24 {
			spots = append(spots, p.q(fallPt{u + step*float64(n), r.Y - o}))
		}
	}
	return keep(spots, func(c draw.Point) bool { return p.insideBox(c, w-4, 8) })
}

// carrier finds a carrier by its number.
func (z *zone) carrier(n int) (calc.Carrier, bool) {
	for _, c := range z.Carriers {
		if c.N == n {
			return c, true
		}
	}
	return calc.Carrier{}, false
}

// carrierNumbers numbers the first, the last, every fifth and every notched carrier, just up-slope of the gutter.
func (p *planner) carrierNumbers(z *zone) {
	if p.phone() {
		return
	}
	notched := map[int]bool{}
	for _, k := range z.notches {
		notched[k.Carrier] = true
	}
	for _, c := range z.Carriers {
		if c.N%5 != 0 && c.N != 1 && c.N != len(z.Carriers) && !notched[c.N] {
			continue
		}
		txt := strconv.Itoa(c.N)
		low := c.Y1 + p.d.prof.GutterGap - p.d.gutterIn(z) - 7.5/p.k
		var spots []draw.Point
		for i := range 12 {
			spots = append(spots, p.q(fallPt{c.X, low - float64(i)*9/p.k}))
		}
		spots = keep(spots, func(q draw.Point) bool { return p.inside(q, 4) })
		q, ok := p.place.Put(draw.Measure(txt, draw.MinText, false)+3, 8.6, spots)
		if !ok {
			p.left[leftCarrier]++
			continue
		}
		p.late = append(p.late, func() {
			p.dr.Text(draw.Text{At: pt(q.X, q.Y+2.6), S: txt, Anchor: draw.Middle, Halo: true})
		})
		p.note(legendNumber)
	}
}

// fallArrow draws the fall down the middle of a panel about a quarter of the way across, its figure beside it when the arrow is long
// enough. A crowded plan has a shorter arrow.
func (p *planner) fallArrow(z *zone) {
	for _, longest := range []float64{110, 60, 36, 20} {
		for _, f := range []float64{.22, .3, .38, .16, .62, .7, .5, .8} {
			piece := z.pieceNear(z.X0 + f*(z.X1-z.X0))
			for _, shift := range []float64{-.12, .12, 0, -.2, .2} {
				if p.putArrow(z, piece, longest, shift) {
					p.note(legendFall)
					return
				}
			}
		}
	}
	p.left[leftArrow]++
}

// putArrow places an arrow of at most so many points down a panel, moved from its middle by a share of it, when that place is free.
func (p *planner) putArrow(z *zone, piece calc.Piece, longest, shift float64) bool {
	long := piece.Y1 - piece.Y0
	l := min(long*.55, longest/p.k)
	m := (piece.Y0+piece.Y1)/2 - z.gutterWidth()/2 + shift*long
	u := (piece.X0 + piece.X1) / 2
	a, b := p.q(fallPt{u, m - l/2}), p.q(fallPt{u, m + l/2})
	room := around([]draw.Point{a, b})
	if p.turned() {
		room.Y0, room.Y1 = room.Y0-11.2, room.Y1+4
	} else {
		room.X0, room.X1 = room.X0-4, room.X1+10.2
	}
	if !p.place.Free(room) {
		return false
	}
	p.place.Take(room)
	p.late = append(p.late, func() { p.inkFall(a, b) })
	return true
}

// pieceNear is the panel piece whose middle is nearest to u.
func (z *zone) pieceNear(u float64) calc.Piece {
	best := z.Panels.Pieces[0]
	for _, q := range z.Panels.Pieces {
		if math.Abs((q.X0+q.X1)/2-u) < math.Abs((best.X0+best.X1)/2-u) {
			best = q
		}
	}
	return best
}

func (p *planner) inkFall(a, b draw.Point) {
	txt := p.d.say("FALL %s PER FT", typeset(p.d.plan.FallPerFoot))
	fits := draw.Measure(txt, draw.MinText, true) < math.Abs(a.X-b.X)+math.Abs(a.Y-b.Y)
	if !p.turned() {
		a.X, b.X = a.X-3.5, b.X-3.5
	}
	p.dr.Line(a, b, draw.Style{Pen: 4.5, Ink: draw.White})
	p.dr.Arrow(a, b, min(9, math.Hypot(b.X-a.X, b.Y-a.Y)/2), draw.Style{Pen: draw.Heavy, Ink: draw.Water})
	t := draw.Text{At: pt(a.X+9.5, (a.Y+b.Y)/2), S: txt, Bold: true, Anchor: draw.Middle, Up: true, Ink: draw.Water, Halo: true}
	if p.turned() {
		t.At, t.Up = pt((a.X+b.X)/2, a.Y-4), false
	}
	if fits && !p.phone() {
		p.dr.Text(t)
	} else {
		p.left[leftArrowText]++
	}
}
