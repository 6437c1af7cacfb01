package report

import (
	"math"
	"slices"
	"strings"

	"undercroft/survey/report/draw"
)

// sectionMark marks where the section is cut: A outside the high edge with the way one looks, a heavy tick at the low end.
func (p *planner) sectionMark() {
	d, u := p.d, p.d.sectionU()
	parts := d.partsAt(u)
	if len(parts) == 0 {
		return
	}
	a, b := p.q(fallPt{u, parts[0].lo}), p.q(fallPt{u, parts[len(parts)-1].hi})
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	e := pt((a.X-b.X)/l, (a.Y-b.Y)/l)
	m := 7.5
	if h := parts[0].highEdgeAt(u, parts[0].lo); h != nil && h.kind == "wall" {
		m += wallInches * p.k
	}
	c := pt(a.X+e.X*m, a.Y+e.Y*m)
	drawSectionMark(p.dr, c, pt(-e.Y, e.X))
	p.place.Take(draw.Centered(c, 13, 13))
	p.dr.Line(pt(b.X-e.X, b.Y-e.Y), pt(b.X-e.X*5, b.Y-e.Y*5), draw.Style{Pen: draw.Cut})
	p.note(map[bool]legendKey{true: legendSection, false: legendSectionHere}[p.size == onPaper])
}

// drawSectionMark draws A in a circle with a dart the way one looks.
func drawSectionMark(d *draw.Drawing, c, look draw.Point) {
	e := pt(look.Y, -look.X)
	d.Polygon([]draw.Point{pt(c.X+e.X*5, c.Y+e.Y*5), pt(c.X+look.X*11, c.Y+look.Y*11), pt(c.X-e.X*5, c.Y-e.Y*5)}, draw.Style{Fill: draw.Black})
	d.Circle(c, 5.6, draw.Style{Pen: draw.Light, Fill: draw.White})
	d.Text(draw.Text{At: pt(c.X, c.Y+2.6), S: "A", Bold: true, Anchor: draw.Middle})
}

// dimensions draws the strings round the plan, each beyond what the last one reached.
func (p *planner) dimensions() {
	deck, ink := p.deckBox(), p.dr.Extent() // the strings lie beyond every label and mark
	p.edge, p.reach = sidesOf(deck), sidesOf(ink)
	high := p.high()
	rows, corners := draw.Left, draw.Right
	if p.turned() {
		rows, corners = draw.Bottom, draw.Top
	}
	if !p.phone() {
		p.panelStrings(high)
		p.rowString(rows)
	}
	p.cornerStrings(corners)
	low := high.Opposite()
	us := marksOf(p.d.fall, func(q fallPt) float64 { return q.u })
	if len(us) > 2 {
		p.string(low, us, true, nil)
	}
	p.string(low, []float64{us[0], us[len(us)-1]}, true, nil)
}

// sidesOf are the places of a box's sides.
func sidesOf(b draw.Box) map[draw.Side]float64 {
	return map[draw.Side]float64{draw.Top: b.Y0, draw.Bottom: b.Y1, draw.Left: b.X0, draw.Right: b.X1}
}

// marksOf are the distinct values, ascending, to a ten-thousandth of an inch.
func marksOf(pts []fallPt, f func(fallPt) float64) []float64 {
	var out []float64
	for _, q := range pts {
		out = append(out, math.Round(f(q)*1e4)/1e4)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// panelStrings gives the panels of the first zone beside its high edge and, when there are more zones, of the last beside its low.
func (p *planner) panelStrings(high draw.Side) {
	zones := p.d.liveZones()
	if len(zones) == 0 {
		return
	}
	p.panelString(zones[0], high)
	if len(zones) > 1 {
		p.panelString(zones[len(zones)-1], high.Opposite())
	}
}

func (p *planner) panelString(z *zone, side draw.Side) {
	clear := p.d.prof.SideClearance
	n, pan := z.Panels.Count, z.Panels
	us := []float64{z.X0 + clear}
	labels := []string{typeset(pan.First)}
	if n > 1 && len(z.Seams) > 0 {
		us = append(us, z.Seams[0])
		if n > 2 {
			cover := p.d.prof.PanelCover + p.d.prof.PanelGain
			us = append(us, z.Seams[len(z.Seams)-1])
			labels = append(labels, p.d.say("%s AT %s = %s", strings.ToUpper(p.d.count(n-2, "panel", "panels")), typeset(cover), typeset(cover*float64(n-2))))
		}
		labels = append(labels, typeset(pan.Last))
	}
	p.string(side, append(us, z.X1-clear), true, labels)
}

// rowString gives the rows, the high edges and the framing at the low ends.
func (p *planner) rowString(side draw.Side) {
	pts := []fallPt{{0, marksOf(p.d.fall, func(q fallPt) float64 { return q.v })[0]}}
	for _, z := range p.d.liveZones() {
		pts = append(pts, fallPt{0, z.YHigh}, fallPt{0, z.YLow + p.d.prof.GutterGap})
		for _, r := range z.Furring {
			pts = append(pts, fallPt{0, r.Y})
		}
	}
	p.string(side, marksOf(pts, func(q fallPt) float64 { return q.v }), false, nil)
}

// cornerStrings gives corners, beams and wall ends, then the overall depth.
func (p *planner) cornerStrings(side draw.Side) {
	pts := slices.Clone(p.d.fall)
	for _, z := range p.d.liveZones() {
		if p.phone() {
			break
		}
		pts = append(pts, fallPt{0, z.YHigh}, fallPt{0, z.YLow + p.d.prof.GutterGap})
	}
	vs := marksOf(pts, func(q fallPt) float64 { return q.v })
	if len(vs) > 2 {
		p.string(side, vs, false, nil)
	}
	p.string(side, []float64{vs[0], vs[len(vs)-1]}, false, nil)
}

// string draws one string of dimensions at values across (u) or down (v) the fall; labels nil: the distances.
func (p *planner) string(side draw.Side, values []float64, across bool, labels []string) {
	var marks []float64
	for _, v := range values {
		q := p.q(fallPt{0, v})
		if across {
			q = p.q(fallPt{v, 0})
		}
		if side.Across() {
			marks = append(marks, q.X)
		} else {
			marks = append(marks, q.Y)
		}
	}
	if labels == nil {
		for i := 0; i+1 < len(values); i++ {
			labels = append(labels, typeset(values[i+1]-values[i]))
		}
	}
	if marks[0] > marks[len(marks)-1] {
		slices.Reverse(marks)
		labels = slices.Clone(labels)
		slices.Reverse(labels)
	}
	step := map[draw.Side]float64{draw.Top: -11, draw.Left: -11, draw.Bottom: 14, draw.Right: 13}[side]
	p.reach[side] = p.dr.Dims(draw.DimString{Side: side, At: p.reach[side] + step, Marks: marks, Labels: labels, Ext: []float64{p.edge[side]}})
}
