package calc

import (
	"slices"
	"strings"
)

// bring is what has to be on the truck.
func (n *noteWriter) bring() {
	n.say("bring.always")
	masonry := n.meets(SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStone, SurfaceStucco)
	if masonry {
		n.say("bring.masonry")
	}
	if masonry || n.meets(SurfaceFiberCement) {
		n.say("bring.silica")
	}
	if n.meets(SurfaceFiberCement) {
		n.say("bring.cement")
	}
	if n.meets(SurfaceMetal) {
		n.say("bring.metal")
	}
	if n.meets(SurfaceEIFS) {
		n.say("bring.skin")
	}
	if n.in.Before1978 {
		n.say("bring.lead")
	}
	n.bringCounts()
	n.bringAccess()
	n.say("bring.release", "release", n.told(n.sys.Release))
}

// bringCounts are the screws and the cuts.
func (n *noteWriter) bringCounts() {
	furring, longest := n.furringScrews()
	carrier, channel, cuts, sticks := 0, 0, 0, 0
	for _, z := range n.plan.Zones {
		carrier += z.CarrierScrews
		channel += z.ChannelScrews
	}
	for _, c := range n.plan.Cutting {
		sticks += len(c.Stock)
		for _, s := range c.Stock {
			cuts += len(s.Cuts)
		}
	}
	n.say("bring.screws", "furring", furring, "long", inches(longest), "carrier", carrier, "channel", channel)
	n.say("bring.cuts", "cuts", cuts, "sticks", sticks)
}

func (n *noteWriter) bringAccess() {
	p := n.plan.Access.Platform
	means := n.text("means." + n.in.Means)
	switch {
	case p == nil:
		n.say("bring.unmeasured")
	case *p >= fallProtectionFrom-tol:
		n.say("bring.high", "platform", inches(*p), "means", means)
	default:
		n.say("bring.low", "platform", inches(*p), "means", means)
	}
}

// later is for whoever comes back: what to take down to reach what is above the ceiling, and care.
func (n *noteWriter) later() {
	count := 0
	for i := range n.in.Obstructions {
		o := &n.in.Obstructions[i]
		sort := sortOf(o)
		if sort == "" {
			continue
		}
		z, panels, carriers := n.under(o)
		if z == nil {
			continue
		}
		if count++; count > mostLines {
			continue
		}
		key := "later.reach"
		if len(carriers) == 0 {
			key = "later.reachPanel"
		}
		n.say(key, "what", n.text("sort."+sort), "id", o.ID, "zone", strings.TrimPrefix(z.ID, "z"), "panels", n.numbered("later.panel", panels),
			"carriers", n.numbered("later.carrier", carriers))
	}
	if count > mostLines {
		n.say("more", "count", count-mostLines)
	}
	n.say("later.start", "release", n.told(n.sys.Release))
	n.say("later.care")
}

// numbered is the word of a key with the numbers of its things, in the plural for several.
func (n *noteWriter) numbered(key string, list []int) string {
	if len(list) > 1 {
		key += "s"
	}
	return n.text(key, "list", numbers(list))
}

// under finds the zone above which an obstruction hangs, the panels under it and the carriers at their seams; nil when it hangs
// over none. An obstruction takes its place along both axes.
func (n *noteWriter) under(o *Obstruction) (z *Zone, panels, carriers []int) {
	at := n.frame.in(vec{float64(o.X), float64(o.Y)})
	wx, wy := float64(o.WX)/2, float64(o.WY)/2
	if n.frame.turned() {
		wx, wy = wy, wx
	}
	for i := range n.plan.Zones {
		z := &n.plan.Zones[i]
		for _, p := range z.Panels.Pieces {
			if at.x-wx <= p.X1 && at.x+wx >= p.X0 && at.y-wy <= p.Y1 && at.y+wy >= p.Y0 && !slices.Contains(panels, p.N) {
				panels = append(panels, p.N)
			}
		}
		if len(panels) == 0 {
			continue
		}
		for _, c := range z.Carriers {
			beside := slices.Contains(panels, c.Seam+1) || slices.Contains(panels, c.Seam+2)
			if beside && at.y-wy <= c.Y1 && at.y+wy >= c.Y0 {
				carriers = append(carriers, c.N)
			}
		}
		return z, panels, carriers
	}
	return nil, nil, nil
}
