package report

import (
	"strings"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// legendKey is one kind of thing that a plan draws; walls are told apart by their surface.
type legendKey string

// The kinds of a plan's legend.
const (
	legendJoist       legendKey = "joist"
	legendGap         legendKey = "gap"
	legendBeam        legendKey = "beam"
	legendPost        legendKey = "post"
	legendGutter      legendKey = "gutter"
	legendDownspout   legendKey = "downspout"
	legendCarrier     legendKey = "carrier"
	legendRow         legendKey = "row"
	legendNoStrip     legendKey = "nostrip"
	legendFraming     legendKey = "framing"
	legendChannel     legendKey = "channel"
	legendOpen        legendKey = "open"
	legendHole        legendKey = "hole"
	legendOpening     legendKey = "opening"
	legendFixture     legendKey = "fixture"
	legendThrough     legendKey = "through"
	legendObstruction legendKey = "obstruction"
	legendOutside     legendKey = "outside"
	legendNotch       legendKey = "notch"
	legendNotchMaybe  legendKey = "notchmaybe"
	legendFall        legendKey = "fall"
	legendNumber      legendKey = "number"
	legendSection     legendKey = "section"
	legendSectionHere legendKey = "sectionhere"
)

// legendWall begins the kind of a wall; its surface follows.
const legendWall = "wall: "

func legendOfWall(s calc.Surface) legendKey { return legendKey(legendWall + string(s)) }

// note puts a kind into the legend, once.
func (p *planner) note(k legendKey) {
	for _, u := range p.used {
		if u == k {
			return
		}
	}
	p.used = append(p.used, k)
}

// legendWord is what stands beside a kind's sign.
func (v voice) legendWord(k legendKey) string {
	if s, ok := strings.CutPrefix(string(k), legendWall); ok {
		return capital(v.say("%s wall", v.in(s)))
	}
	return map[legendKey]string{
		legendJoist:       v.in("Joist above"),
		legendGap:         v.in("No joists here"),
		legendBeam:        v.in("Dropped beam"),
		legendPost:        v.in("Post"),
		legendGutter:      v.in("Gutter at panel ends"),
		legendDownspout:   v.in("Downspout"),
		legendCarrier:     v.in("Carrier, under each seam"),
		legendRow:         v.in("Furring row, thickness"),
		legendNoStrip:     v.in("Fastening, no strip"),
		legendFraming:     v.in("Row of dropped framing"),
		legendChannel:     v.in("Channel"),
		legendOpen:        v.in("Open edge (rim)"),
		legendHole:        v.in("Opening in the deck"),
		legendOpening:     v.in("Opening in the wall"),
		legendFixture:     v.in("Fixture, cut-out"),
		legendThrough:     v.in("Goes through, cut-out"),
		legendObstruction: v.in("Hangs below joists"),
		legendOutside:     v.in("Outside the ceiling"),
		legendNotch:       v.in("Notch expected"),
		legendNotchMaybe:  v.in("Notch: check on site"),
		legendFall:        v.in("Fall of the ceiling"),
		legendNumber:      v.in("Carrier number"),
		legendSection:     v.in("Section A, sheet 2"),
		legendSectionHere: v.in("Section A"),
	}[k]
}

const signW = 24.0 // width of a sign in the legend

// legendLine draws one kind with its words; the sign's middle is at y + 7.
func (v voice) legendLine(d *draw.Drawing, k legendKey, x, y float64) {
	if s, ok := strings.CutPrefix(string(k), legendWall); ok {
		wall{a: pt(x, y+11), b: pt(x+signW, y+11), normal: pt(0, -1), thick: 8, surface: calc.Surface(s)}.draw(d)
	} else if sign, ok := legendLineSigns()[k]; ok {
		sign(d, x, y+7)
	} else {
		legendThingSigns()[k](d, x, y+7)
	}
	write(d, x+signW+7, y+9.6, draw.Fit(v.legendWord(k), legendCol-signW-9, draw.MinText, false))
}

// signOf draws the sign of a kind with its left end at x and its middle at y.
type signOf func(d *draw.Drawing, x, y float64)

// legendLineSigns are the signs of what runs along: lines, bands and strips.
func legendLineSigns() map[legendKey]signOf {
	line := func(st draw.Style) signOf {
		return func(d *draw.Drawing, x, y float64) { d.Line(pt(x, y), pt(x+signW, y), st) }
	}
	band := func(half float64, st draw.Style) signOf {
		return func(d *draw.Drawing, x, y float64) { d.Rect(box(x, y-half, signW, 2*half), st) }
	}
	return map[legendKey]signOf{
		legendJoist:   band(1.6, draw.Style{Fill: draw.Pale}),
		legendGap:     band(4, draw.Style{Pen: draw.Hair, Ink: draw.Dark, Fill: draw.White, Dash: []float64{5, 2}}),
		legendCarrier: line(draw.Style{Pen: draw.Light}),
		legendNoStrip: band(1.3, draw.Style{Pen: draw.Hair, Dash: []float64{3, 2}}),
		legendFraming: band(1.5, draw.Style{Pen: draw.Medium, Fill: draw.Grey}),
		legendChannel: line(draw.Style{Pen: draw.Strong}),
		legendOpen:    line(draw.Style{Pen: draw.Heavy}),
		legendRow: func(d *draw.Drawing, x, y float64) {
			d.Rect(box(x, y-1.3, signW, 2.6), draw.Style{Pen: draw.Thin, Fill: draw.White})
			d.Line(pt(x, y), pt(x+signW, y), draw.Style{Pen: draw.Hair, Ink: draw.Dark})
		},
		legendGutter: func(d *draw.Drawing, x, y float64) {
			d.Rect(box(x, y-3, signW, 6), draw.Style{Pen: draw.Thin, Ink: draw.Water, Fill: draw.WaterPale})
			d.Line(pt(x, y+3), pt(x+signW, y+3), draw.Style{Pen: draw.Heavy, Ink: draw.Water})
		},
		legendBeam: func(d *draw.Drawing, x, y float64) {
			pts := box(x, y-2.5, signW, 5).Corners()
			drawBeam(d, pts)
			d.Polygon(pts, draw.Style{Pen: draw.Medium})
		},
		legendOpening: func(d *draw.Drawing, x, y float64) {
			for _, q := range []float64{x + 3, x + signW - 3} {
				d.Line(pt(q, y-4), pt(q, y+4), draw.Style{Pen: draw.Heavy})
			}
			d.Line(pt(x+3, y), pt(x+signW-3, y), draw.Style{Pen: draw.Hair})
		},
		legendFall: func(d *draw.Drawing, x, y float64) {
			d.Arrow(pt(x, y), pt(x+signW, y), 8, draw.Style{Pen: draw.Heavy, Ink: draw.Water})
		},
	}
}

// legendThingSigns are the signs of single things and marks.
func legendThingSigns() map[legendKey]signOf {
	hole := draw.Style{Pen: draw.Medium, Ink: draw.Alert, Fill: draw.White, Dash: []float64{2.4, 1.6}}
	notch := func(sure bool) signOf {
		return func(d *draw.Drawing, x, y float64) {
			d.Rect(box(x+1, y-1.7, 3.4, 3.4), draw.Style{Fill: draw.Alert})
			d.Line(pt(x+2, y), pt(x+12, y), draw.Style{Pen: draw.Light, Ink: draw.Alert})
			drawNotchNumber(d, pt(x+15, y), 5, "", sure)
		}
	}
	section := func(d *draw.Drawing, x, y float64) { drawSectionMark(d, pt(x+10, y), pt(1, 0)) }
	return map[legendKey]signOf{
		legendNotch:       notch(true),
		legendNotchMaybe:  notch(false),
		legendPost:        func(d *draw.Drawing, x, y float64) { drawPost(d, box(x+8, y-4, 8, 8)) },
		legendDownspout:   func(d *draw.Drawing, x, y float64) { drawDownspout(d, pt(x+12, y)) },
		legendSection:     section,
		legendSectionHere: section,
		legendObstruction: func(d *draw.Drawing, x, y float64) {
			d.Rect(box(x+10, y-1.8, 3.6, 3.6), draw.Style{Pen: draw.Hair, Fill: draw.Grey})
		},
		legendOutside: func(d *draw.Drawing, x, y float64) {
			d.Rect(box(x+9, y-2.5, 5, 5), draw.Style{Pen: draw.Thin, Ink: draw.Dark, Fill: draw.White, Dash: []float64{2, 1.2}})
		},
		legendHole: func(d *draw.Drawing, x, y float64) {
			b := box(x+4, y-4, 16, 8)
			d.Rect(b, draw.Style{Pen: draw.Heavy, Fill: draw.White})
			d.Cross(b, draw.Style{Pen: draw.Hair})
		},
		legendFixture: func(d *draw.Drawing, x, y float64) {
			d.Rect(box(x+7, y-5, 10, 10), hole)
			d.Circle(pt(x+12, y), 3.4, draw.Style{Pen: draw.Light})
		},
		legendThrough: func(d *draw.Drawing, x, y float64) {
			d.Rect(box(x+7, y-5, 10, 10), hole)
			d.Rect(box(x+9, y-3, 6, 6), draw.Style{Pen: draw.Medium, Fill: draw.Grey})
		},
		legendNumber: func(d *draw.Drawing, x, y float64) {
			d.Line(pt(x+12, y-5.5), pt(x+12, y+5.5), draw.Style{Pen: draw.Light})
			d.Text(draw.Text{At: pt(x+12, y+2.5), S: "5", Anchor: draw.Middle, Halo: true})
		},
	}
}
