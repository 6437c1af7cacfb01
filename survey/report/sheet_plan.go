package report

import (
	"fmt"

	"undercroft/survey/report/draw"
)

const (
	wallInches = 6.0   // thickness of walls as drawn: a sign, not a survey
	columnX    = 602.0 // left side of the notes in a column
	bandH      = 100.0 // height of the notes in a band
	maxPlanK   = 4.5   // largest scale of a plan: 3/4″ = 1′-0″
)

// planSheet draws the ceiling plan, house at the top, as if the deck were lifted off. It tries the usual scales from the largest, each
// with the notes in a column at the right, then in a band at the foot, until the whole drawing fits, its dimension strings and labels
// included; a trial is a full drawing whose extent is measured. It fails when even the smallest scale does not fit.
func (d *deck) planSheet() (*sheet, error) {
	for _, sc := range scales() {
		if sc.k > maxPlanK {
			continue
		}
		for _, band := range []bool{false, true} {
			room := box(6, 8, columnX-14, bottom-44)
			if band {
				room = box(6, 8, frameW-16, bottom-40-bandH)
			}
			trial := newPlanner(d, sc.k, pt(0, 0), onPaper).draw()
			e := trial.dr.Extent()
			if e.W() > room.W() || e.H() > room.H() || !trial.notesFit(band) {
				continue
			}
			origin := pt(room.X0-e.X0+(room.W()-e.W())/2, room.Y0-e.Y0+(room.H()-e.H())*.45)
			p := newPlanner(d, sc.k, origin, onPaper).draw()
			s := newSheet(d.in("Ceiling plan"), d.planDesc())
			p.dr.Title, p.dr.Desc, p.dr.View = s.Title, s.Desc, s.View
			s.Drawing, s.scale = p.dr, d.say("Scale %s", sc)
			p.finish(sc, band, room.Y1+17)
			return s, nil
		}
	}
	return nil, fmt.Errorf("draw the plan: the deck is too large for one sheet at 1/32 in to the foot")
}

// planDesc says in words what the plan shows.
func (d *deck) planDesc() string {
	panels, rows := 0, 0
	for _, z := range d.zones {
		panels += z.Panels.Count
		rows += len(z.Furring)
	}
	return d.say("Plan of the deck, %s wide and %s deep, house at the top: %s with %s, %s, %s and %s; falls %s per foot.",
		typeset(d.max.x-d.min.x), typeset(d.max.y-d.min.y), d.count(len(d.liveZones()), "zone", "zones"), d.count(panels, "panel", "panels"), d.count(rows, "furring row", "furring rows"),
		d.count(len(d.notches), "notch", "notches"), d.count(len(d.cutOuts()), "cut-out", "cut-outs"), typeset(d.plan.FallPerFoot))
}

// planner draws one plan: k points per inch, plan (0, 0) at origin. Phone plans carry fewer labels.
type planner struct {
	d      *deck
	dr     *draw.Drawing
	k      float64
	origin draw.Point
	size   figureSize // or onPaper
	// upright turns the plan so that the house is at the left: a wide deck then fills a phone.
	upright bool
	plain   bool // without the names of surfaces, for whoever lives there
	used    []legendKey
	place   draw.Placer
	late    []func() // labels, inked last
	left    map[leftOut]int
	edge    map[draw.Side]float64 // the outline's sides
	reach   map[draw.Side]float64 // the outermost ink on each side
}

func newPlanner(d *deck, k float64, origin draw.Point, size figureSize) *planner {
	wide := d.max.x-d.min.x > 1.1*(d.max.y-d.min.y)
	p := &planner{d: d, dr: &draw.Drawing{}, k: k, origin: origin, size: size, upright: size == phone && wide, left: map[leftOut]int{}}
	p.place.Bounds = p.deckBox().Grow(60)
	if size == phone {
		p.place.Bounds = p.deckBox().Grow(20)
	}
	return p
}

// onPaper is the plan of the sheet, with every label.
const onPaper figureSize = -1

func (p *planner) phone() bool { return p.size == phone }

// p is the place on the sheet of a plan position.
func (p *planner) p(q planPt) draw.Point {
	if p.upright {
		return pt(p.origin.X+q.y*p.k, p.origin.Y+(p.d.max.x-q.x)*p.k)
	}
	return pt(p.origin.X+q.x*p.k, p.origin.Y+q.y*p.k)
}

// plan is the plan position of a point on the sheet.
func (p *planner) plan(c draw.Point) planPt {
	a, b := (c.X-p.origin.X)/p.k, (c.Y-p.origin.Y)/p.k
	if p.upright {
		return planPt{p.d.max.x - b, a}
	}
	return planPt{a, b}
}

// dir turns a direction in plan into one on the sheet.
func (p *planner) dir(n planPt) draw.Point {
	if p.upright {
		return pt(n.y, -n.x)
	}
	return pt(n.x, n.y)
}

// q is the place on the sheet of a place in the fall frame.
func (p *planner) q(f fallPt) draw.Point { return p.p(p.d.toPlan(f)) }

// back is the place in the fall frame of a point on the sheet.
func (p *planner) back(c draw.Point) fallPt { return p.d.toFall(p.plan(c)) }

// way turns a direction of the fall frame into one on the sheet.
func (p *planner) way(u, v float64) draw.Point {
	a, b := p.d.toPlan(fallPt{}), p.d.toPlan(fallPt{u, v})
	return p.dir(planPt{b.x - a.x, b.y - a.y})
}

// high is the side of the sheet the ceiling falls from.
func (p *planner) high() draw.Side {
	s := p.d.highSide()
	if p.upright {
		return map[draw.Side]draw.Side{draw.Top: draw.Left, draw.Left: draw.Bottom, draw.Right: draw.Top}[s]
	}
	return s
}

// turned tells whether the fall runs across the sheet.
func (p *planner) turned() bool { return !p.high().Across() }

// deckBox is the box round the outline on the sheet.
func (p *planner) deckBox() draw.Box { return around([]draw.Point{p.p(p.d.min), p.p(p.d.max)}) }

// draw draws the layers from the bottom up, then labels by importance, and the dimension strings last.
func (p *planner) draw() *planner {
	p.joists()
	p.beams()
	zones := p.d.liveZones()
	for _, z := range zones {
		p.gutters(z)
		p.carriers(z)
		p.rows(z)
		p.channel(z)
	}
	p.sectionMark()
	p.outline()
	p.openings()
	p.fixtures()
	p.obstructions()
	for _, z := range zones {
		p.rowLabels(z)
	}
	p.notches()
	for _, z := range zones {
		p.fallArrow(z)
	}
	for _, z := range zones {
		p.carrierNumbers(z)
	}
	for _, z := range zones {
		p.zoneLabel(z)
	}
	p.fixtureLabels()
	for _, ink := range p.late {
		ink()
	}
	p.dimensions()
	return p
}

// finish adds the title, the scale bar and the notes.
func (p *planner) finish(sc scale, band bool, y float64) {
	right := columnX - 6
	if band {
		right = frameW
	} else {
		y = bottom - 18
	}
	drawingTitle(p.dr, pt(marginX, y), "1", p.d.in("Ceiling plan"), p.d.say("Scale %s; house at the top, seen as if the deck were lifted off", sc))
	feet := barFeet(sc.k)
	p.d.scaleBar(p.dr, pt(right-26-float64(feet[len(feet)-1])*12*sc.k, y+3), sc.k, feet)
	if band {
		p.notesBand(y + 15)
	} else {
		p.notesColumn()
	}
}
