package calc

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

// leastOverhang is how far panel ends must reach over their gutter, in inches (common practice, no source).
const leastOverhang = 1

// gutters lists one gutter for each low edge, shortest first, and sizes them.
func (j *job) gutters(b *bay) gutter {
	g := gutter{Runs: []float64{}, Lines: []GutterRun{}, Leader: fmt.Sprintf("%g in", float64(j.sys.Leader))}
	g.FlowGPM = stormFlow(j.in.Rain.InchesPerHour, b.out.AreaFt2+j.roof(b))
	for _, e := range b.borders {
		if e.class != classLow {
			continue
		}
		p, q := e.a, e.b
		if p.x > q.x {
			p, q = q, p
		}
		r := GutterRun{P0: j.frame.point(p), P1: j.frame.point(q), Length: q.sub(p).len(), FlowGPM: j.share(b, p, q)}
		g.Length += r.Length
		g.Lines = append(g.Lines, r)
	}
	slices.SortStableFunc(g.Lines, func(a, b GutterRun) int {
		p, q := j.frame.inPoint(a.P0), j.frame.inPoint(b.P0)
		return cmp.Or(compareTol(a.Length, b.Length), compareTol(p.y, q.y), compareTol(p.x, q.x))
	})
	most := -1.0
	for i := range g.Lines {
		r := &g.Lines[i]
		g.Runs = append(g.Runs, r.Length)
		shape := j.shapeFor(b, r)
		g.Downspouts += r.Downspouts
		if r.FlowGPM > most {
			most, g.Size, g.Carries = r.FlowGPM, r.Size, shape.capacity(r.Length)
		}
	}
	return g
}

// compareTol orders lengths, those within the tolerance being equal.
func compareTol(a, b float64) int {
	if math.Abs(a-b) <= tol {
		return 0
	}
	return cmp.Compare(a, b)
}

// roof is the roof, in square feet, that drains onto the zone.
func (j *job) roof(b *bay) float64 {
	if b.roof {
		return j.in.Rain.RoofFt2
	}
	return 0
}

// share is the flow into one gutter: off the deck above it, and the roof's water by the gutter's share of the zone's width.
func (j *job) share(b *bay, p, q vec) float64 {
	area, wide, all := 0.0, 0.0, 0.0
	for _, c := range b.region.cells {
		all += c.x1 - c.x0
		d := c.clip(p.x, q.x)
		if d.x1-d.x0 <= tol {
			continue
		}
		mid := (d.x0 + d.x1) / 2
		if onEdge := p.y + (q.y-p.y)*(mid-p.x)/(q.x-p.x); math.Abs(d.low(mid)-onEdge) > tol {
			continue
		}
		wide += d.x1 - d.x0
		area += (d.x1 - d.x0) * (d.l0 - d.h0 + d.l1 - d.h1) / 2
	}
	return stormFlow(j.in.Rain.InchesPerHour, area/144+j.roof(b)*wide/all)
}

// shapeFor gives a run the preferred shape where it carries the flow, else the smallest that does, and its downspouts: by the
// leader's capacity and one for each 40 ft. Where no shape carries the flow the run is divided at more outlets, and said so.
func (j *job) shapeFor(b *bay, r *GutterRun) gutterShape {
	var best, largest gutterShape
	for _, s := range j.sys.GutterShapes {
		c := s.capacity(r.Length)
		if largest.Name == "" || c > largest.capacity(r.Length) {
			largest = s
		}
		fits := c >= r.FlowGPM-tol
		if fits && s.Name == j.sys.GutterPrefer {
			best = s
			break
		}
		if fits && (best.Name == "" || c < best.capacity(r.Length)) {
			best = s
		}
	}
	r.Downspouts = max(1, count(r.FlowGPM/leaderCapacity(j.sys.Leader)), count(r.Length/float64(j.sys.LeaderSpacing)))
	if best.Name == "" {
		best = largest
		parts := count(r.FlowGPM / best.capacity(r.Length))
		r.Downspouts = max(r.Downspouts, parts)
		j.warn("gutter-capacity", words.Say("no gutter of the profile carries %.1f gpm in one run: divide it into %d, each with its own outlet", r.FlowGPM, parts), b.out.ID)
	}
	r.Size = best.Name
	if over := j.overhang(best); over < leastOverhang-tol {
		j.warn("gutter-overhang", words.Say("panel ends reach %s over the gutter; 1\" or more is needed", text16(over)), b.out.ID)
	}
	j.gutterHeadroom(b, r, best)
	return best
}

// overhang is how far panel ends reach over a gutter's back. Under the rim, or on a beam's face, the gutter lies within the
// framing's edge; on a fascia it hangs outside it.
func (j *job) overhang(s gutterShape) float64 {
	if j.sys.GutterMount == mountFascia {
		return -float64(j.sys.GutterGap)
	}
	return float64(s.Width - j.sys.GutterGap)
}

// gutterHeadroom warns where the gutter's low end hangs below the headroom wanted.
func (j *job) gutterHeadroom(b *bay, r *GutterRun, s gutterShape) {
	if !j.measured {
		return
	}
	drop := float64(j.sys.CarrierDepth+s.Depth) + float64(j.sys.GutterFall)/12*r.Length/float64(r.Downspouts)
	low := math.Inf(1)
	for _, p := range []Point{r.P0, r.P1} {
		at := j.frame.inPoint(p)
		low = min(low, j.clear.at(at)-j.t(b, at)-drop)
	}
	if low < float64(j.sys.Headroom)-tol {
		j.warn("gutter-headroom", words.Say("the gutter's low end hangs %s above the ground, under %s", length.Inches(low).Down16(), j.sys.Headroom), b.out.ID)
	}
}

// filmDepth is the depth of water at the panels' low end in the design storm, inches.
func (j *job) filmDepth(b *bay) float64 {
	run, width := (b.yLow-b.box.y0)/12, (b.box.x1-b.box.x0)/12
	return waterDepth(j.in.Rain.InchesPerHour/43200*(run+j.roof(b)/width), j.slope)
}
