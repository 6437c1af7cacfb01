package calc

import (
	"math"
	"slices"
)

// leastBacker is the thinnest backer worth ripping, in inches: half the sixteenth that can be measured.
const leastBacker = 1.0 / 32

// channel lists the runs on high and side edges: one for each straight piece of one kind and surface.
func (j *job) channel(b *bay) []Run {
	out := []Run{}
	for _, e := range inOrder(b.borders) {
		if e.class == classLow {
			continue
		}
		p, q := e.a, e.b
		if e.class != classHigh {
			if p.y > q.y {
				p, q = q, p
			}
			q = j.stop(b, e.class, p, q)
			if q.y-p.y <= tol {
				continue
			}
		} else if p.x > q.x {
			p, q = q, p
		}
		out = append(out, j.run(b, e, p, q))
	}
	return out
}

// stop ends a side edge from p down to q where the panels beside it end.
func (j *job) stop(b *bay, class string, p, q vec) vec {
	end := b.lowBeside(class, q) - float64(j.sys.GutterGap)
	if q.y <= end+tol || q.y == p.y {
		return q
	}
	t := (end - p.y) / (q.y - p.y)
	return vec{p.x + t*(q.x-p.x), end}
}

// lowBeside is the local low end just inside a side edge at its lower corner q.
func (b *bay) lowBeside(class string, q vec) float64 {
	best, off := q.y, math.Inf(1)
	for _, c := range b.region.cells {
		x := c.x1
		if class == classLeft {
			x = c.x0
		}
		if math.Abs(x-q.x) > tol {
			continue
		}
		d := max(c.high(x)-q.y, q.y-c.low(x), 0)
		if d < off-tol {
			best, off = c.low(x), d
		}
	}
	return best
}

// run measures one run: along the slope, in plan, its screws, and the backer that an open edge needs where the channel hangs
// below the member there.
func (j *job) run(b *bay, e border, p, q vec) Run {
	d := q.sub(p)
	r := Run{Edge: e.class, Plan: d.len(), Length: math.Sqrt(d.dot(d) + j.slope*j.slope*d.y*d.y), Surface: e.surface,
		P0: j.frame.point(p), P1: j.frame.point(q), T0: j.t(b, p), T1: j.t(b, q)}
	r.Kind = e.kind
	r.LengthText = text16(down16(r.Length))
	r.Screws = j.runScrews(r.Plan)
	if e.kind == EdgeWall && e.memberDrop >= max(r.T0, r.T1)+float64(j.sys.CarrierDepth)-tol && e.memberDrop > 0 {
		r.Surface = SurfaceWood
	}
	if thick := max(r.T0, r.T1) - e.memberDrop; e.kind == EdgeOpen && thick >= leastBacker {
		r.Backer = &backer{Length: r.Plan, Thickest: thick, Screws: j.runScrews(r.Plan)}
	}
	return r
}

// runScrews is one at each spacing along the run in plan, and one at its end.
func (j *job) runScrews(plan float64) int {
	return count(plan/float64(j.sys.ChannelScrewSpacing)) + 1
}

// straightHighs counts the straight high edges, whatever they are faced with: each meets a side channel at both ends.
func straightHighs(borders []border) int {
	n := 0
	for _, e := range borders {
		if e.class == classHigh && !slices.ContainsFunc(borders, func(f border) bool { return continues(f, e) }) {
			n++
		}
	}
	return n
}

// continues tells whether e goes straight on where f ends, both high edges.
func continues(f, e border) bool {
	d, g := f.b.sub(f.a), e.b.sub(e.a)
	return f.class == classHigh && e.class == classHigh && f.b.sub(e.a).len() <= tol && d.dot(g) > 0 &&
		math.Abs(d.cross(g)) <= tol*max(d.len(), g.len())
}
