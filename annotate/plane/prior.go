package plane

// priorRow is one piece of knowledge beside the references: its value in sigmas, which should be 0, and d value / d unknowns.
type priorRow struct {
	value float64
	slope [12]float64
}

// squareTolerance is how exactly the columns of the camera's rotation must be of one length and at right angles.
const squareTolerance = 1e-3

// priorRows are the rows of the model: λ, then focal length, principal point and the two conditions of square pixels.
func (p *problem) priorRows(th *unknowns) []priorRow {
	rows := make([]priorRow, 0, 6)
	if p.model == ModelH {
		return rows
	}
	rows = append(rows, soft(th, atLambda, p.opt.SigmaLambda))
	if p.model != ModelHDK {
		return rows
	}
	centre := p.opt.SigmaPP * p.image.Width / p.image.halfDiagonal()
	rows = append(rows, soft(th, atFocal, p.opt.SigmaF), soft(th, atCentre, centre), soft(th, atCentre+1, centre))
	for _, c := range p.squareRows(th, p.intrinsics(th)) {
		c.value /= squareTolerance
		for k := range c.slope {
			c.slope[k] /= squareTolerance
		}
		rows = append(rows, c)
	}
	return rows
}

// soft holds an unknown near 0.
func soft(th *unknowns, at int, sigma float64) priorRow {
	row := priorRow{value: th[at] / sigma}
	row.slope[at] = 1 / sigma
	return row
}

// intrinsics are the camera's constants at some unknowns: focal length in pixels and principal point in pixels.
type intrinsics struct {
	focal     float64
	principal vec2
}

func (p *problem) intrinsics(th *unknowns) intrinsics {
	k := intrinsics{p.focal, p.image.centre()}
	if p.model == ModelHDK {
		k.focal *= 1 + th[atFocal]
		k.principal = k.principal.add(vec2{th[atCentre], th[atCentre+1]}.scale(p.image.halfDiagonal()))
	}
	return k
}

// rays are the columns of K⁻¹ times the homography from normalised plan to pixels.
func (p *problem) rays(h *homography, k intrinsics) (b1, b2, b3 [3]float64) {
	a, s := p.px.middle.sub(k.principal).scale(1/k.focal), p.px.scale/k.focal
	column := func(x, y, z float64) [3]float64 { return [3]float64{s*x + a[0]*z, s*y + a[1]*z, z} }
	return column(h[0], h[3], h[6]), column(h[1], h[4], h[7]), column(h[2], h[5], 1)
}

// squareRows are c1 = 2 b1.b2/n and c2 = (|b1|²-|b2|²)/n, n = |b1|²+|b2|², both 0 for a camera with square pixels (the constraints on the
// image of the absolute conic, Hartley & Zisserman 8.5.2, scaled here so that they also hold in a frontal view), with derivatives.
func (p *problem) squareRows(th *unknowns, k intrinsics) [2]priorRow {
	h := th.homography()
	b1, b2, _ := p.rays(h, k)
	d1, d2 := p.raySlopes(h, k, b1, b2)
	n11, n22, n12 := dot3(b1, b1), dot3(b2, b2), dot3(b1, b2)
	n := n11 + n22
	c := [2]priorRow{{value: 2 * n12 / n}, {value: (n11 - n22) / n}}
	for i := range d1 {
		g1, g2 := dot3(b1, d1[i]), dot3(b2, d2[i])
		dn := 2 * (g1 + g2)
		c[0].slope[i] = (2*(dot3(b1, d2[i])+dot3(b2, d1[i])) - c[0].value*dn) / n
		c[1].slope[i] = (2*(g1-g2) - c[1].value*dn) / n
	}
	return c
}

// raySlopes are the derivatives of b1 and b2 by each unknown.
func (p *problem) raySlopes(h *homography, k intrinsics, b1, b2 [3]float64) (d1, d2 [12][3]float64) {
	a, s := p.px.middle.sub(k.principal).scale(1/k.focal), p.px.scale/k.focal
	d1[0], d1[3], d1[6] = [3]float64{s, 0, 0}, [3]float64{0, s, 0}, [3]float64{a[0], a[1], 1}
	d2[1], d2[4], d2[7] = d1[0], d1[3], d1[6]
	perFocal := -p.focal / k.focal // d(1/f)/d(df/f) as a part of 1/f
	d1[atFocal] = [3]float64{perFocal * b1[0], perFocal * b1[1], 0}
	d2[atFocal] = [3]float64{perFocal * b2[0], perFocal * b2[1], 0}
	perCentre := -p.image.halfDiagonal() / k.focal
	d1[atCentre], d2[atCentre] = [3]float64{perCentre * h[6], 0, 0}, [3]float64{perCentre * h[7], 0, 0}
	d1[atCentre+1], d2[atCentre+1] = [3]float64{0, perCentre * h[6], 0}, [3]float64{0, perCentre * h[7], 0}
	return d1, d2
}

func dot3(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func cross3(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func add3(a [3]float64, sa float64, b [3]float64, sb float64) [3]float64 {
	return [3]float64{sa*a[0] + sb*b[0], sa*a[1] + sb*b[1], sa*a[2] + sb*b[2]}
}
