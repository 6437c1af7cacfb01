package report

import (
	"math"
	"slices"

	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// heights writes the finished heights at both ends of each part, the underside's height, and the least headroom.
func (s *section) heights() {
	if !s.measured() {
		c := s.point((s.v0+s.v1)/2, s.base)
		lines := draw.Wrap(s.d.in("No height was taken: ground drawn for the picture only"), max(s.run()*s.k-12, 90), 8, true)
		for i, line := range lines {
			s.dr.Text(draw.Text{At: pt(c.X, c.Y-10*float64(len(lines)-i)), S: line, Size: 8, Bold: true, Anchor: draw.Middle, Ink: draw.Alert, Halo: true})
		}
		return
	}
	over := ""
	if len(s.d.input.Clearances) > 0 {
		over = " " + s.d.in("over the datum")
	}
	if s.d.hasHeights {
		s.undersideString(over)
	}
	stops := []float64{s.point(s.v0, 0).X}
	for _, q := range s.parts {
		stops = append(stops, s.finishedArrow(q, q.lo, 1, over), s.finishedArrow(q, q.hi, -1, over))
	}
	slices.Sort(stops)
	s.headroomBox(stops)
}

// undersideString dimensions the underside at the low end over the datum.
func (s *section) undersideString(over string) {
	x := s.point(s.v1, 0).X
	h := s.under(s.v1)
	if over != "" {
		return // the datum is not the ground: no line of the picture stands for it
	}
	marks, label := []float64{s.point(0, h).Y, s.point(0, 0).Y}, s.d.say("underside %s", typeset(h))
	if draw.Measure(label, draw.MinText, false)+5 > marks[1]-marks[0] {
		s.left++
		return
	}
	s.dr.Dims(draw.DimString{Side: draw.Right, At: x + 22, Marks: marks, Labels: []string{label}, Ext: []float64{x}})
}

// finishedArrow draws an arrow from ground to ceiling with the finished height, beside an end of a part, and returns where it stands.
// The words are left out where they would not fit; the arrow too where the part is narrow.
func (s *section) finishedArrow(q part, v, side float64, over string) float64 {
	h := s.d.finished(q.zone, v)
	top, foot := s.point(v, h), s.point(v, s.ground(v))
	x := top.X + side*9
	label := s.d.say("finished %s", typeset(h)) + over
	long := draw.Measure(label, 7.5, true)
	c := pt(x+6, (foot.Y+top.Y)/2-8)
	if side < 0 {
		c.X = x - 6
	}
	room := draw.Centered(c, 9, long+4)
	if !s.d.hasHeights {
		label, room = "", draw.Centered(pt(x, c.Y), 4, 20)
	}
	if long > foot.Y-top.Y-8 || q.length()*s.k < 20 || !s.placer.Free(room) {
		s.left++
		return x
	}
	s.placer.Take(around([]draw.Point{pt(room.X0, room.Y0), pt(room.X1, room.Y1), pt(x, c.Y)}))
	mid := (foot.Y + top.Y) / 2
	s.dr.Arrow(pt(x, mid), pt(x, top.Y+1.5), 5, draw.Style{Pen: draw.Thin})
	s.dr.Arrow(pt(x, mid), pt(x, foot.Y-.5), 5, draw.Style{Pen: draw.Thin})
	if label != "" {
		s.dr.Text(draw.Text{At: pt(c.X+2.7, c.Y), S: label, Size: 7.5, Bold: true, Anchor: draw.Middle, Up: true})
	}
	return x
}

// leastHeadroom is the zones' least headroom and where it is; nil when none was measured.
func (d *deck) leastHeadroom() *calc.Headroom {
	var least *calc.Headroom
	for _, z := range d.zones {
		if z.Headroom.Min != nil && (least == nil || *z.Headroom.Min < *least.Min) {
			least = &z.Headroom
		}
	}
	return least
}

// headroomBox states the least headroom in the widest gap between the arrows, red when it is under the limit.
func (s *section) headroomBox(stops []float64) {
	least := s.d.leastHeadroom()
	if least == nil {
		return
	}
	limit := s.d.prof.Headroom
	ink, verdict := draw.Black, s.d.in("met")
	if *least.Min < limit-1e-6 {
		ink, verdict = draw.Alert, s.d.in("TOO LOW")
	}
	lines := []string{s.d.say("HEADROOM %s", down(*least.Min))}
	if least.At != nil {
		lines = append(lines, s.d.say("least, at plan (%s, %s)", typeset(least.At[0]), typeset(least.At[1])))
	}
	lines = append(lines, s.d.say("limit %s: %s", typeset(limit), verdict))
	w := 12.0
	for i, t := range lines {
		w = max(w, draw.Measure(t, headroomSize(i), i == 0)+12)
	}
	h := 9 + 9*float64(len(lines))
	y := min(s.point(s.v0, s.ground(s.v0)).Y, s.point(s.v1, s.ground(s.v1)).Y) - 24 - h/2
	c, ok := s.placer.Put(w, h, gapSpots(stops, y, w))
	if !ok {
		s.headroom = "; " + s.d.say("headroom %s, limit %s: %s", down(*least.Min), typeset(limit), verdict)
		return
	}
	s.dr.Rect(draw.Centered(c, w, h), draw.Style{Pen: draw.Light, Ink: ink, Fill: draw.White})
	for i, t := range lines {
		lineInk := draw.Black
		if i == 0 {
			lineInk = ink
		}
		s.dr.Text(draw.Text{At: pt(c.X, c.Y-h/2+12+9.4*float64(i)), S: t, Size: headroomSize(i), Bold: i == 0, Anchor: draw.Middle, Ink: lineInk})
	}
}

func headroomSize(line int) float64 {
	if line == 0 {
		return 9
	}
	return draw.MinText
}

// gapSpots are the middles of the gaps between stops that hold a width, the widest first, then places beside the last stop.
func gapSpots(stops []float64, y, w float64) []draw.Point {
	type gap struct{ mid, wide float64 }
	var gaps []gap
	for i := 0; i+1 < len(stops); i++ {
		gaps = append(gaps, gap{(stops[i] + stops[i+1]) / 2, stops[i+1] - stops[i]})
	}
	slices.SortStableFunc(gaps, func(a, b gap) int { return int(math.Round(b.wide*1e3) - math.Round(a.wide*1e3)) })
	var out []draw.Point
	for _, g := range gaps {
		for _, up := range []float64{0, 30, 60} {
			out = append(out, pt(g.mid, y-up))
		}
	}
	return append(out, pt(stops[len(stops)-1]+w/2+46, y), pt(stops[0]-w/2-46, y))
}
