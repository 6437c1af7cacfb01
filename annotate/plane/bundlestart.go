package plane

import "slices"

// places are points that are located, at least roughly: in plan inches, or in the pixels of one photo.
type places map[int]vec2

const (
	attachPoints  = 4    // common points that a photo needs
	attachRatio   = 0.01 // conditioning of its linear start that it needs
	knownTogether = 4    // known points that fix several photos on the plan
)

// start gives every unknown a value: photos are attached one by one to points that are located; when that gets stuck, they are stitched to
// each other first and laid on the plan together.
func (n *network) start() ([]float64, *Error) {
	known := places{}
	for id, k := range n.known {
		known[n.index[id]] = vec2{k.Plan.X, k.Plan.Y}
	}
	if err := n.enough(); err != nil {
		return nil, err
	}
	located := clonePlaces(known)
	if len(n.attachAll(located, nil)) > 0 {
		var err *Error
		if located, err = n.stitch(known); err != nil {
			return nil, err
		}
	}
	return n.initial(located)
}

// enough counts what any start needs.
func (n *network) enough() *Error {
	on := map[int]bool{}
	for k, taps := range n.taps {
		if len(taps) < attachPoints {
			return faultf(CodeWeakNetwork, "%s shows %d points, and needs %d", n.name(k), len(taps), attachPoints)
		}
		for _, t := range taps {
			if _, ok := n.known[n.ids[t.point]]; ok {
				on[t.point] = true
			}
		}
	}
	if len(on) < knownTogether {
		return faultf(CodeTooFew, "%d reference points on the photos; %s", len(on), CodeTooFew.Advice())
	}
	return nil
}

func clonePlaces(p places) places {
	q := places{}
	for k, v := range p {
		q[k] = v
	}
	return q
}

// attachAll attaches photos, the best conditioned first, adding what each shows to located. It returns the photos left over.
func (n *network) attachAll(located places, done []int) (left []int) {
	for k := range n.photos {
		if !slices.Contains(done, k) {
			left = append(left, k)
		}
	}
	for len(left) > 0 {
		best, ratio := -1, attachRatio
		var with attached
		for i, k := range left {
			if a, ok := n.attach(k, located); ok && a.ratio > ratio {
				best, ratio, with = i, a.ratio, a
			}
		}
		if best < 0 {
			return left
		}
		n.spreadFrom(left[best], with, located)
		left = slices.Delete(left, best, best+1)
	}
	return nil
}

// attached is a photo's linear start on located points, with its normalisations.
type attached struct {
	h        homography
	px, from similarity
	ratio    float64
}

// attach is false when the photo shows too few located points or one would lie behind it.
func (n *network) attach(k int, located places) (attached, bool) {
	var px, at []vec2
	for _, t := range n.taps[k] {
		if x, ok := located[t.point]; ok {
			px, at = append(px, t.pixel), append(at, x)
		}
	}
	return connect(at, px)
}

// connect is the linear homography between two sets of points.
func connect(from, to []vec2) (attached, bool) {
	if len(from) < attachPoints {
		return attached{}, false
	}
	a := attached{px: normalise(to), from: normalise(from)}
	if a.px.scale == 0 || a.from.scale == 0 {
		return a, false
	}
	var x, u []vec2
	for i := range from {
		x, u = append(x, a.from.in(from[i])), append(u, a.px.in(to[i]))
	}
	a.h, a.ratio = directLinear(x, u)
	for _, p := range x {
		if !(a.h.depth(p) > least) {
			return a, false
		}
	}
	return a, true
}

// spreadFrom locates what a photo shows and was not located yet.
func (n *network) spreadFrom(k int, a attached, located places) {
	for _, t := range n.taps[k] {
		if _, ok := located[t.point]; ok {
			continue
		}
		if x, ok := a.h.backProject(a.px.in(t.pixel)); ok {
			located[t.point] = a.from.out(x)
		}
	}
}

// stitch joins the photos in the pixels of the best-connected one, then lays the mosaic on the plan by all known points at once.
func (n *network) stitch(known places) (places, *Error) {
	base := n.bestConnected()
	mosaic := places{}
	for _, t := range n.taps[base] {
		mosaic[t.point] = t.pixel
	}
	if left := n.attachAll(mosaic, []int{base}); len(left) > 0 {
		return nil, faultf(CodeWeakNetwork, "%s does not hold to the others: it needs %d points or more that they show too, not on one line", n.name(left[0]), attachPoints)
	}
	var from, to []vec2
	for point := range n.ids {
		p, seen := mosaic[point]
		if x, measured := known[point]; seen && measured {
			from, to = append(from, p), append(to, x)
		}
	}
	a, ok := connect(from, to)
	if !ok || a.ratio <= attachRatio {
		return nil, faultf(CodeDegenerate, "the reference points do not fix the photos on the plan: they are nearly on one line, or two are swapped")
	}
	located := clonePlaces(known)
	for point, p := range mosaic {
		x := a.from.in(p)
		if _, ok := located[point]; !ok && a.h.depth(x) > least {
			located[point] = a.px.out(a.h.project(x))
		}
	}
	return located, nil
}

// bestConnected is the photo that shares the most points with others.
func (n *network) bestConnected() int {
	times := make([]int, len(n.ids))
	for _, taps := range n.taps {
		for _, t := range taps {
			times[t.point]++
		}
	}
	best, most := 0, -1
	for k, taps := range n.taps {
		shared := 0
		for _, t := range taps {
			shared += times[t.point] - 1
		}
		if shared > most {
			best, most = k, shared
		}
	}
	return best
}

// initial normalises every photo and puts the start into one vector of unknowns.
func (n *network) initial(located places) ([]float64, *Error) {
	var all []vec2
	for i, id := range n.ids {
		x, ok := located[i]
		if !ok {
			return nil, faultf(CodeWeakNetwork, "the point %q could not be located", id)
		}
		all = append(all, x)
	}
	n.frame = normalise(all)
	x := make([]float64, n.size())
	for i := range n.ids {
		p := n.frame.in(all[i])
		x[n.pointAt(i)], x[n.pointAt(i)+1] = p[0], p[1]
	}
	for k, p := range n.photos {
		a, ok := n.attach(k, located)
		if !ok || a.ratio < degenerateUnder {
			return nil, faultf(CodeWeakNetwork, "the points on %s do not fix it: they are on one line, or two are swapped", n.name(k))
		}
		p.px, p.plan = a.px, a.from
		copy(x[8*k:], a.h[:])
	}
	return x, nil
}
