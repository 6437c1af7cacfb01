package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/survey/report/draw"
)

// strip is one way strips are built, with the rows that are built so.
type strip struct {
	build float64
	plies []float64
	rows  []string
}

// stripsOf gathers the distinct strips of some zones, in the order of their rows.
func (d *deck) stripsOf(zones []*zone) []*strip {
	var out []*strip
	for _, z := range zones {
		for i, r := range z.Furring {
			if r.Fasten != "strip" || r.Dropped || r.Build <= 0 {
				continue
			}
			name := "R" + itoa(i+1)
			if len(d.zones) > 1 {
				name = "Z" + z.name + " " + name
			}
			j := slices.IndexFunc(out, func(s *strip) bool { return s.build == r.Build && slices.Equal(s.plies, r.Plies) })
			if j < 0 {
				out = append(out, &strip{build: r.Build, plies: r.Plies})
				j = len(out) - 1
			}
			out[j].rows = append(out[j].rows, name)
		}
	}
	return out
}

// strips draws the distinct strips cut across at half size under the schedule, two beside each other, as far as the column reaches.
func (d *deck) strips(dr *draw.Drawing, zones []*zone, y float64) {
	const k, lead = 36.0, 34.0 // 6 in to the foot
	all := d.stripsOf(zones)
	if len(all) == 0 || y > bottom-80 {
		return
	}
	b := head(dr, scheduleX, y+6, d.in("STRIPS, CUT ACROSS"), 8)
	write(dr, max(scheduleX+96, b.X1+6), y+6, draw.Fit(d.in("Scale 6″ = 1′-0″; joist above"), frameW-4-max(scheduleX+96, b.X1+6), draw.MinText, false))
	rowY, tall := y+24, 0.0
	for i, s := range all {
		if i > 0 && i%2 == 0 {
			rowY, tall = rowY+tall+lead, 0
		}
		if rowY+s.build*k+16 > bottom-16 {
			write(dr, scheduleX, bottom-6, d.say("Further strips: %d, as the schedule has them", len(all)-i))
			return
		}
		drawStrip(dr, pt(scheduleX+6+float64(i%2)*110, rowY), s, d.prof.FurringWidth, k)
		tall = max(tall, s.build*k)
	}
}

// drawStrip draws one strip cut across under the joist, with its plies.
func drawStrip(dr *draw.Drawing, c draw.Point, s *strip, width, k float64) {
	w := min(width*k, 60)
	dr.Rect(box(c.X-6, c.Y-6, w+12, 6), draw.Style{Fill: draw.Pale})
	dr.Line(pt(c.X-6, c.Y), pt(c.X+w+6, c.Y), draw.Style{Pen: draw.Heavy})
	plies := s.plies
	if len(plies) == 0 {
		plies = []float64{s.build}
	}
	y := c.Y
	for _, p := range plies {
		b := box(c.X, y, w, p*k)
		dr.Hatch(b.Corners(), 4, draw.Falling, draw.Style{Pen: draw.Hair})
		dr.Rect(b, draw.Style{Pen: draw.Medium})
		y += p * k
	}
	if label := typeset(s.build); y-c.Y > 34 {
		dr.Dims(draw.DimString{Side: draw.Right, At: c.X + w + 11, Marks: []float64{c.Y, y}, Labels: []string{label}, Ext: []float64{c.X + w}})
	} else {
		head(dr, c.X+w+6, (c.Y+y)/2+4, label, draw.MinText)
	}
	write(dr, c.X, y+10, draw.Fit(strings.Join(s.rows, ", "), 98, draw.MinText, false))
}

const taperGap = 125.0 // from one tapered strip to the next

// taperSheets give the thickness of a zone's tapered rows at every joist, or every 4 ft where the strip runs along a joist.
func (d *deck) taperSheets(z *zone) []*sheet {
	var rows []numberedRow
	for i, r := range z.Furring {
		if r.Fasten != "joist" && isTapered(r) {
			rows = append(rows, numberedRow{r, i + 1})
		}
	}
	var out []*sheet
	for len(rows) > 0 {
		now := rows[:min(3, len(rows))]
		rows = rows[len(now):]
		s := newSheet(d.say("Tapered strips, %s", strings.ToLower(d.title(z))), d.say("Thickness along %s.", d.count(len(now), "tapered furring strip", "tapered furring strips")))
		where := d.in("every 4 ft")
		if d.joistsDownFall() {
			where = d.in("at every joist")
		}
		longest := 0.0
		for _, r := range now {
			longest = max(longest, r.X1-r.X0)
		}
		sc := pickScale(longest, 1, 640, math.Inf(1), maxPlanK)
		s.scale = d.say("Lengths %s, thickness enlarged", sc)
		head(s.Drawing, marginX, 20, d.say("TAPERED STRIPS, %s: thickness %s", d.title(z), where), 9.5)
		write(s.Drawing, marginX, 31, d.in("Bold, above: distance from the left end. Under the strip: its thickness there. The strip hangs under the joists: the straight edge is up."))
		for i, r := range now {
			d.taper(s.Drawing, r, 80+taperGap*float64(i), sc.k)
		}
		out = append(out, s)
	}
	return out
}

// taper draws one tapered strip with its figures, those that would touch their neighbours left out but for the ends.
func (d *deck) taper(dr *draw.Drawing, r numberedRow, y, k float64) {
	thick := func(u float64) float64 { return r.Left + (r.Right-r.Left)*(u-r.X0)/(r.X1-r.X0) }
	x := func(u float64) float64 { return 56 + (u-r.X0)*k }
	e := min(8, 40/max(r.Left, r.Right))
	dr.Polygon([]draw.Point{pt(x(r.X0), y), pt(x(r.X1), y), pt(x(r.X1), y+r.Right*e), pt(x(r.X0), y+r.Left*e)}, draw.Style{Pen: draw.Medium, Fill: draw.Faint})
	head(dr, marginX+2, y+10, fmt.Sprintf("R%d", r.n), 9)
	if r.Dropped {
		write(dr, marginX+2, y+20, d.in("framing"))
	}
	low := y + max(r.Left, r.Right)*e + 6
	last, end := math.Inf(-1), r.X1
	for _, u := range d.taperStations(r) {
		if u < end-1e-6 && (x(u)-last < 12 || x(end)-x(u) < 12) {
			continue
		}
		last = x(u)
		dr.Line(pt(x(u), y), pt(x(u), y+thick(u)*e), draw.Style{Pen: draw.Hair, Ink: draw.Dark})
		dr.Text(draw.Text{At: pt(x(u)+2.6, y-3), S: typeset(u - r.X0), Bold: true, Up: true})
		dr.Text(draw.Text{At: pt(x(u)+2.6, low), S: typeset(thick(u)), Anchor: draw.End, Up: true})
	}
}

// taperStations are the places along a row where its thickness is wanted, from its left end to its right.
func (d *deck) taperStations(r numberedRow) []float64 {
	out := []float64{r.X0}
	if d.joistsDownFall() {
		for _, c := range d.joistLines() {
			if u := d.toFall(planPt{c, c}).u; r.X0+1e-6 < u && u < r.X1-1e-6 {
				out = append(out, u)
			}
		}
	} else {
		for u := r.X0 + 48; u < r.X1-1e-6; u += 48 {
			out = append(out, u)
		}
	}
	out = append(out, r.X1)
	slices.Sort(out)
	return out
}
