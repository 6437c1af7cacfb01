package plane

// Project is where a plan point appears on the photo, the lens included: for drawing the plan over it. It is false behind the camera's
// horizon and where the lens model has no pixel; the pixel may lie outside the picture.
func (p *Photo) Project(at Point) (Pixel, bool) {
	if p.ScaleOnly {
		return p.scale.project(at), true
	}
	return p.fit.project(vec2{at.X, at.Y})
}

// drawnDepth is how near to the horizon a line is drawn: at a thousand times the distance of the references' middle.
const drawnDepth = 1e-3

// ProjectSegment is the part of a plan segment that appears on the photo, cut at the horizon and, when the picture's size is known, at a
// square of twice the diagonal around it, so that nothing runs away. It is false when nothing is left. A straight line on the plan is
// slightly bent by the lens: cut long ones into pieces.
func (p *Photo) ProjectSegment(a, b Point) (from, to Pixel, visible bool) {
	if p.ScaleOnly {
		return p.scale.project(a), p.scale.project(b), true
	}
	e := p.fit
	h := e.th.homography()
	x, y := e.plan.in(vec2{a.X, a.Y}), e.plan.in(vec2{b.X, b.Y})
	wx, wy := h.depth(x), h.depth(y)
	x, y, ok := clip(x, y, wx-drawnDepth, wy-drawnDepth)
	if !ok {
		return from, to, false
	}
	u, v := e.px.out(h.project(x)), e.px.out(h.project(y))
	if e.image.known() {
		if u, v, ok = e.image.clip(u, v); !ok {
			return from, to, false
		}
	}
	if e.model != ModelH {
		var okFrom, okTo bool
		u, okFrom = e.image.distort(u, e.th[atLambda])
		v, okTo = e.image.distort(v, e.th[atLambda])
		ok = okFrom && okTo
	}
	return Pixel{u[0], u[1]}, Pixel{v[0], v[1]}, ok && finite(u[0], u[1], v[0], v[1])
}

// clip keeps the part of a segment on which a linear function that is fa and fb at its ends is not negative.
func clip(a, b vec2, fa, fb float64) (vec2, vec2, bool) {
	switch {
	case !(fa >= 0) && !(fb >= 0):
		return a, b, false
	case fa < 0:
		a = a.add(b.sub(a).scale(fa / (fa - fb)))
	case fb < 0:
		b = b.add(a.sub(b).scale(fb / (fb - fa)))
	}
	return a, b, true
}

// clip keeps the part of a segment within one diagonal of the middle of the picture, along both axes.
func (i Image) clip(a, b vec2) (vec2, vec2, bool) {
	c, reach := i.centre(), 2*i.halfDiagonal()
	ok := true
	for k := range 2 {
		for _, sign := range []float64{1, -1} {
			if a, b, ok = clip(a, b, reach-sign*(a[k]-c[k]), reach-sign*(b[k]-c[k])); !ok {
				return a, b, false
			}
		}
	}
	return a, b, true
}
