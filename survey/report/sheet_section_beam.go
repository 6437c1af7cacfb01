package report

import (
	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// across is a beam's stretch down the fall; false when the section runs along it or misses it.
func (s *section) across(b calc.Beam) (span, bool) {
	p, q := s.d.toFall(planPt{float64(b.X0), float64(b.Y0)}), s.d.toFall(planPt{float64(b.X1), float64(b.Y1)})
	r := span{min(p.v, q.v), max(p.v, q.v)}
	reach := span{min(p.u, q.u) - 12, max(p.u, q.u) + 12}
	return r, r.length() < .8*s.run() && reach.lo <= s.u && s.u <= reach.hi && r.hi > s.v0 && r.lo < s.v1+12
}

// beam draws a dropped beam cut across, the post under it where one stands, and what it is called.
func (s *section) beam(b calc.Beam) {
	r, ok := s.across(b)
	if !ok {
		return
	}
	mid := (r.lo + r.hi) / 2
	h, drop := s.under(mid), float64(b.Drop)
	for _, p := range s.d.job.Posts {
		v := s.d.toFall(planPt{p.X, p.Y}).v
		if v < r.lo-4 || v > r.hi+4 {
			continue
		}
		w := p.WY
		if s.d.direction() != calc.FallOut {
			w = p.WX
		}
		post := around([]draw.Point{s.point(mid-w/2, h-drop), s.point(mid+w/2, s.ground(mid))})
		s.dr.Rect(post, draw.Style{Pen: draw.Thin, Fill: draw.White})
		s.dr.Line(pt(post.X0+2, post.Y0+6), pt(post.X0+2, post.Y1), draw.Style{Pen: draw.Hair, Ink: draw.Grey})
		if post.W() > 8 && post.H() > 50 {
			s.dr.Text(draw.Text{At: pt((post.X0+post.X1)/2+2.5, post.Y1-30), S: s.d.in("POST"), Anchor: draw.Middle, Up: true, Ink: draw.Dark})
		}
		s.placer.Take(post)
		break
	}
	s.lumber(r.lo, r.hi, h-drop, h, draw.Medium)
	s.beamName(r, h, drop)
}

// beamName writes a beam's size beside it on a leader, where there is room.
func (s *section) beamName(r span, h, drop float64) {
	lines := []string{s.d.in("dropped beam"), typeset(r.length()) + " × " + typeset(drop)}
	w := max(draw.Measure(lines[0], draw.MinText, false), draw.Measure(lines[1], draw.MinText, false))
	for _, side := range []float64{-1, 1} {
		from := s.point(r.lo, h-drop/2)
		if side > 0 {
			from = s.point(r.hi, h-drop/2)
		}
		for _, down := range []float64{24, 40, 60} {
			foot := s.point(0, h-drop).Y + down
			x := from.X + side*20
			room := draw.Centered(pt(x+side*(w/2+3), foot+2), w+4, 18)
			if !s.placer.Free(room) {
				continue
			}
			s.placer.Take(room)
			s.dr.Line(from, pt(x, foot-1), draw.Style{Pen: draw.Thin})
			for i, t := range lines {
				s.dr.Text(draw.Text{At: pt((room.X0+room.X1)/2, foot+float64(i)*8.6), S: t, Anchor: draw.Middle, Halo: true})
			}
			return
		}
	}
	s.left++
}
