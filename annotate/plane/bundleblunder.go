package plane

import "math"

// The search for a wrong known point refits the bundle without each; beyond these bounds that would take too long.
const (
	searchedKnown    = 60
	searchedUnknowns = 300
)

// suspect tries every known point as typed wrongly, its measurement left out, by the rules of a single photo's search; nil when the bundle is
// too large. x is the adjusted network that does not fit.
func (n *network) suspect(x []float64, dof int) *Blunder {
	if len(n.known) > searchedKnown || len(x) > searchedUnknowns {
		return nil
	}
	var list []Hypothesis
	for _, id := range n.ids {
		if _, measured := n.known[id]; !measured {
			continue
		}
		if h, ok := n.without(id); ok {
			list = append(list, h)
		}
	}
	return judge(list, dof)
}

// without adjusts a copy of the network in which one point was not measured.
func (n *network) without(id string) (Hypothesis, bool) {
	h := Hypothesis{Kind: "xy", Ref: id, freed: 2}
	in := n.in
	in.Known = nil
	for _, k := range n.in.Known {
		if k.ID != id {
			in.Known = append(in.Known, k)
		}
	}
	other, err := newNetwork(in, n.opt)
	if err != nil {
		return h, false
	}
	at, seen := other.index[id]
	start, err := other.start()
	if err != nil || !seen {
		return h, false
	}
	s, err := other.adjust(start)
	if err != nil {
		return h, false
	}
	place, p := other.place(s.x, at), other.pointAt(at)
	h.Omega, h.DOF = s.cost, s.rows-len(s.x)
	h.PhotoSays = Point{place[0], place[1]}
	h.SD = Point{other.frame.scale * math.Sqrt(s.cov.At(p, p)), other.frame.scale * math.Sqrt(s.cov.At(p+1, p+1))}
	return h, true
}
