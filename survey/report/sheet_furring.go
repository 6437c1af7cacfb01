package report

import (
	"math"
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

const (
	snapX       = 62.0 // left side of the snap-line drawings
	snapTop     = 52.0
	snapW       = 384.0
	snapNameW   = 24.0 // room for names beside the distances, where rows are too near to carry them
	scheduleX   = 512.0
	scheduleGap = 10.0
	minSnapK    = .375 // snap lines smaller than 1/16 in to the foot go to another sheet
)

// furringSheets draw the snap lines, the furring schedule, the strips cut across, and a sheet for each three tapered strips, with as many
// zones on a sheet as the snap lines and the schedule have room for.
func (d *deck) furringSheets() []*sheet {
	var out []*sheet
	var zones []*zone
	for _, z := range d.liveZones() {
		if len(z.Furring) > 0 {
			zones = append(zones, z)
		}
	}
	for i := 0; i < len(zones); {
		n := 1
		for i+n < len(zones) && d.snapFits(zones[i:i+n+1]) {
			n++
		}
		out = append(out, d.furringSheet(zones[i:i+n]))
		i += n
	}
	for _, z := range zones {
		out = append(out, d.taperSheets(z)...)
	}
	return out
}

// depth is the zone's reach down the fall, framing to framing.
func (z *zone) depth() float64 {
	low := z.YHigh
	for _, p := range z.rings[0] {
		low = max(low, p.v)
	}
	return low - z.YHigh
}

// snapScale is the scale of the snap lines of some zones under one another.
func snapScale(zones []*zone, width float64) scale {
	wide, total := 0.0, 0.0
	for _, z := range zones {
		wide, total = max(wide, z.X1-z.X0), total+z.depth()
	}
	return pickScale(wide, total, width, bottom-120-36*float64(len(zones)), 2.25)
}

// snapFits tells whether snap lines and schedule of these zones have room on one sheet.
func (d *deck) snapFits(zones []*zone) bool {
	schedule, snap := 14.0, snapTop
	k := snapScale(zones, snapW-snapNameW).k
	for _, z := range zones {
		schedule += d.schedule(z).height() + 13 + scheduleGap
		snap += max(z.depth()*k, 9.5*float64(len(z.Furring))) + 36
	}
	return k >= minSnapK && schedule < bottom-20 && snap < bottom-70
}

// schedule is the table of a zone's rows.
func (d *deck) schedule(z *zone) table {
	t := table{widths: []float64{22, 48, 38, 38, 34, 42}, heads: []string{"", d.in("From edge"), d.in("Left"), d.in("Middle"), d.in("Right"), d.in("Plies")}, lead: 11}
	for i, r := range z.Furring {
		t.rows = append(t.rows, []string{"R" + itoa(i+1), typeset(r.Y - z.YHigh), typeset(r.Left), typeset(r.Middle), typeset(r.Right), d.shortPlies(r)})
	}
	return t
}

// shortPlies says in a few characters what a row is built of.
func (v voice) shortPlies(r calc.Row) string {
	switch {
	case r.Dropped:
		return v.in("framing")
	case r.Fasten == "joist":
		return v.in("to joist")
	case len(r.Plies) == 0:
		return v.in("rip")
	}
	parts := make([]string, 0, len(r.Plies))
	for _, p := range r.Plies {
		parts = append(parts, typeset(p))
	}
	return strings.Join(parts, "+")
}

func (d *deck) furringSheet(zones []*zone) *sheet {
	rows := 0
	for _, z := range zones {
		rows += len(z.Furring)
	}
	s := newSheet(d.in("Furring schedule and snap lines"), d.say("Snap lines for %s, their thickness and what they are built of.", d.count(rows, "furring row", "furring rows")))
	sc, x := snapScale(zones, snapW), snapX
	if slices.ContainsFunc(zones, func(z *zone) bool { return len(d.snapNames(z, sc.k)) < len(z.Furring) }) {
		sc, x = snapScale(zones, snapW-snapNameW), snapX+snapNameW
	}
	s.scale = d.say("Snap lines %s, strips half size", sc)
	head(s.Drawing, marginX, 20, d.in("SNAP LINES, AS MARKED UNDER THE JOISTS"), 9.5)
	write(s.Drawing, marginX, 31, d.in("Hook the tape on the zone's high edge; mark left and right; snap through the marks. Lines are the strips' centers."))
	y := snapTop
	for _, z := range zones {
		y = d.snapLines(s.Drawing, z, pt(x, y), sc.k) + 30
	}
	y = min(y+4, bottom-58)
	drawingTitle(s.Drawing, pt(marginX, y), "E", d.in("Snap lines"), d.say("Scale %s; distances run from the high edge, on both sides", sc))
	for i, n := range d.furringNotes(zones) {
		if ny := y + 28 + 9.5*float64(i); ny < bottom-5 {
			s.Circle(pt(marginX+4, ny-2.4), 1.1, draw.Style{Fill: draw.Black})
			write(s.Drawing, marginX+10, ny, n)
		}
	}
	s.Line(pt(scheduleX-10, 0), pt(scheduleX-10, bottom), draw.Style{Pen: draw.Thin})
	ty := 14.0
	for _, z := range zones {
		screws := d.in("no strips")
		if z.FurringScrew > 0 {
			screws = d.say("screws %s, %d in all", typeset(z.FurringScrew), z.FurringScrews)
		}
		head(s.Drawing, scheduleX, ty+8, d.title(z)+": "+screws, 8)
		ty = d.schedule(z).draw(s.Drawing, scheduleX, ty+13) + scheduleGap
	}
	d.strips(s.Drawing, zones, ty+4)
	return s
}

// furringNotes are the notes that the rows of these zones call for.
func (d *deck) furringNotes(zones []*zone) []string {
	var dropped, joist, taper bool
	for _, z := range zones {
		for _, r := range z.Furring {
			dropped = dropped || r.Dropped
			joist = joist || r.Fasten == "joist"
			taper = taper || isTapered(r)
		}
	}
	notes := []string{d.in("Strips run across the fall, one screw at each joist crossing.")}
	if !d.joistsDownFall() {
		notes = []string{d.in("Strips run across the fall, along the joists. The last row, and a row moved off a joist, need blocking first.")}
	}
	if taper {
		notes = append(notes, d.in("Where a strip is tapered, build each end to its own figure; the figure beside the name is the middle's."))
	}
	if dropped {
		notes = append(notes, d.in("Dropped framing: too thick for furring strips; ripped lumber or hangers, by a licensed professional's word."))
	}
	if joist {
		notes = append(notes, d.in("No strip: under 1/8″ the carrier is screwed to the joist itself."))
	}
	return notes
}

// isTapered tells whether a row's ends differ by more than a sixteenth.
func isTapered(r calc.Row) bool { return math.Abs(r.Left-r.Right) > 1.0/16+1e-6 }

// snapLines draws a zone with its rows and the distances from the local high edge at both ends; it returns the y under it.
func (d *deck) snapLines(dr *draw.Drawing, z *zone, at draw.Point, k float64) float64 {
	p := func(f fallPt) draw.Point { return pt(at.X+(f.u-z.X0)*k, at.Y+(f.v-z.YHigh)*k) }
	for _, ring := range z.rings {
		var pts []draw.Point
		for _, f := range ring {
			pts = append(pts, p(f))
		}
		dr.Polygon(pts, draw.Style{Pen: draw.Medium})
	}
	for _, e := range z.edges {
		if e.class == edgeHigh {
			dr.Line(p(e.a), p(e.b), draw.Style{Pen: draw.Cut})
		}
	}
	top := p(fallPt{(z.X0 + z.X1) / 2, z.YHigh})
	dr.Text(draw.Text{At: pt(top.X, top.Y-4), S: d.say("%s HIGH EDGE", d.title(z)), Bold: true, Anchor: draw.Middle})
	names := d.snapNames(z, k)
	for i, r := range z.Furring {
		a, b := p(fallPt{r.X0, r.Y}), p(fallPt{r.X1, r.Y})
		dr.Line(a, b, draw.Style{Pen: draw.Medium, Dash: []float64{9, 2, 2, 2}})
		for _, q := range []draw.Point{a, b} {
			dr.Line(pt(q.X-2.5, q.Y+2.5), pt(q.X+2.5, q.Y-2.5), draw.Style{Pen: draw.Medium})
		}
		if c, ok := names[i]; ok {
			dr.Text(draw.Text{At: pt(at.X+c.X, at.Y+c.Y+2.6), S: d.snapName(i, r), Size: 7.5, Bold: true, Anchor: draw.Middle, Halo: true})
		}
	}
	left := d.snapDistances(dr, z, p, false, names)
	right := d.snapDistances(dr, z, p, true, names)
	return max(at.Y+z.depth()*k, left, right)
}

// snapName is a row's name with its build.
func (v voice) snapName(i int, r calc.Row) string { return "R" + itoa(i+1) + wide + v.rowBuild(r) }

// snapNames are the places of the rows' names on their lines, from the zone's upper left corner, where they meet no other; a crowded
// row has none, and its name stands at the tape's end.
func (v voice) snapNames(z *zone, k float64) map[int]draw.Point {
	placer := draw.Placer{Bounds: draw.Box{Y0: -1, X1: (z.X1 - z.X0) * k, Y1: z.depth()*k + 8}}
	out := map[int]draw.Point{}
	for i, r := range z.Furring {
		w := draw.Measure(v.snapName(i, r), 7.5, true) + 4
		var spots []draw.Point
		for _, f := range []float64{.5, .25, .75, .35, .65, .15, .85} {
			spots = append(spots, pt((r.X0-z.X0+(r.X1-r.X0)*f)*k, (r.Y-z.YHigh)*k))
		}
		if w < (r.X1-r.X0)*k {
			if c, ok := placer.Put(w, 8, spots); ok {
				out[i] = c
			}
		}
	}
	return out
}

// rowBuild says how thick a row is and what it is built of.
func (v voice) rowBuild(r calc.Row) string {
	switch {
	case r.Dropped:
		return v.say("%s of dropped framing", typeset(r.Build))
	case r.Fasten == "joist":
		return v.in("no strip")
	case len(r.Plies) == 0:
		return v.say("%s thick: rip", typeset(r.Build))
	}
	if len(r.Plies) == 1 {
		return v.say("%s thick: %s", typeset(r.Build), typeset(r.Plies[0]))
	}
	return v.say("%s thick: %s", typeset(r.Build), v.pliesText(r))
}

// snapDistances writes the distances from the local high edge at one end of the rows, spread; it returns the lowest ink.
func (d *deck) snapDistances(dr *draw.Drawing, z *zone, p func(fallPt) draw.Point, right bool, names map[int]draw.Point) float64 {
	type mark struct {
		at  draw.Point
		txt string
	}
	var marks []mark
	for i, r := range z.Furring {
		u, in := r.X0, 1e-3
		if right {
			u, in = r.X1, -1e-3
		}
		txt := typeset(r.Y - z.highAt(u+in, r.Y))
		if _, named := names[i]; !named && !right {
			txt = "R" + itoa(i+1) + wide + txt
		}
		marks = append(marks, mark{p(fallPt{u, r.Y}), txt})
	}
	slices.SortStableFunc(marks, func(a, b mark) int { return int(math.Round((a.at.Y - b.at.Y) * 1e3)) })
	var want, sizes []float64
	for _, m := range marks {
		want, sizes = append(want, m.at.Y), append(sizes, 9.5)
	}
	x, anchor, out := p(fallPt{z.X0, z.YHigh}).X-12, draw.End, -2.0
	if right {
		x, anchor, out = p(fallPt{z.X1, z.YHigh}).X+12, draw.Start, 2
	}
	at := draw.Spread(want, sizes)
	if shift := p(fallPt{z.X0, z.YHigh}).Y + 4 - at[0]; shift > 0 {
		for i := range at {
			at[i] += shift
		}
	}
	for i, m := range marks {
		dr.Line(m.at, pt(x, at[i]), draw.Style{Pen: draw.Hair, Ink: draw.Dark})
		dr.Text(draw.Text{At: pt(x+out, at[i]+2.5), S: m.txt, Size: 7.5, Bold: true, Anchor: anchor})
	}
	return at[len(at)-1] + 4
}
