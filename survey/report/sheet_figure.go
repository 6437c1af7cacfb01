package report

import (
	"fmt"
	"math"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// The room for figures in points; heights of phones are for the drawing alone, without what stands under it.
const (
	deskW   = 675.0
	deskH   = 430.0
	phoneW  = 255.0 // 340 CSS px
	phoneH  = 400.0
	figPad  = 6.0
	figStep = .97 // a figure's scale is no scale of the trade: it steps down finely until the drawing fits
)

// planFigure draws the ceiling plan for a screen: the plan sheet's layers without its frame, at whatever scale fills the room, the
// legend under it. A phone's has fewer labels, and each zone's figures under the legend.
func planFigure(job drawnJob, in calc.Input, p calc.Plan, size figureSize) (*draw.Drawing, error) {
	d, err := newDeck(job, in, p)
	if err != nil {
		return nil, err
	}
	room := box(0, 0, deskW-2*figPad, deskH)
	if size == phone {
		room = box(0, 0, phoneW-2*figPad, phoneH)
	}
	wide, deep := d.max.x-d.min.x, d.max.y-d.min.y
	if newPlanner(d, 1, pt(0, 0), size).upright {
		wide, deep = deep, wide
	}
	for k := min(maxPlanK, room.W()/wide, room.H()/deep); k > 1e-3; k *= figStep {
		pl := newPlanner(d, k, pt(0, 0), size)
		pl.draw()
		if e := pl.dr.Extent(); e.W() <= room.W() && e.H() <= room.H() {
			pl.under(e)
			pl.dr.Title, pl.dr.Desc = d.in("Ceiling plan"), d.planDesc()
			return pl.dr, nil
		}
	}
	return nil, fmt.Errorf("draw the plan: the deck is too large for a figure")
}

// under writes the legend and, on phones, the figures of each zone under the plan, and sets what is shown.
func (p *planner) under(e draw.Box) {
	if p.size == desk {
		cols := max(1, min(5, int((e.W()+10)/legendCol), len(p.used)))
		rows := (len(p.used) + cols - 1) / cols
		y := p.legendGrid(e.X0, e.Y1+12, rows, legendLead)
		if t := p.leftOutText(); t != "" {
			paragraph(p.dr, e.X0, y+10, max(e.W(), 200), t)
		}
		p.dr.View = p.dr.Extent().Grow(figPad)
		return
	}
	mid := (e.X0 + e.X1) / 2
	x, w := mid-phoneW/2+figPad, phoneW-2*figPad
	top := e.Y1 + 14
	where := p.d.in("House at the top")
	if p.upright {
		where = p.d.in("House at the left: the plan is turned to stand upright")
	}
	write(p.dr, x, top, where)
	if n := p.left[leftNotch]; n > 0 {
		top += 10
		write(p.dr, x, top, p.d.say("Left out for want of room: %s", p.d.left(leftNotch, n)))
	}
	y := p.legendGrid(x, top+4, (len(p.used)+1)/2, legendLead) + 6
	for _, z := range p.d.liveZones() {
		p.dr.Line(pt(x, y), pt(x+w, y), draw.Style{Pen: draw.Thin})
		y = p.zoneFacts(z, x, y+12, w)
		for i, r := range z.Furring {
			p.dr.Text(draw.Text{At: pt(x, y-2.4), S: p.d.say("Row R%d, %s from the high edge", i+1, typeset(r.Y-z.YHigh)), Ink: draw.Dark})
			p.dr.Text(draw.Text{At: pt(x+w, y-2.4), S: p.d.rowSpread(r), Bold: true, Anchor: draw.End})
			y += 9.6
		}
	}
	view := p.dr.Extent().Grow(figPad)
	view.X0, view.X1 = mid-phoneW/2, mid+phoneW/2
	p.dr.View = view
}

// rowSpread is a row's thickness: one figure, or left to right when the ends differ.
func (v voice) rowSpread(r calc.Row) string {
	switch {
	case r.Fasten == "joist":
		return v.in("no strip")
	case math.Abs(r.Left-r.Right) > 1.0/16:
		return v.say("%s to %s", typeset(r.Left), typeset(r.Right))
	}
	return typeset(r.Middle)
}
