package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
)

// The classes of a zone's edge in the fall frame.
const (
	edgeHigh  = "high"
	edgeLeft  = "left"
	edgeRight = "right"
	edgeLow   = "low"
)

// edge is one straight edge of a zone that carries channel, or its gutter: a to b in the fall frame.
type edge struct {
	class   string
	kind    string // wall, rim or beam
	surface calc.Surface
	a, b    fallPt
	run     calc.Run       // of channel
	gutter  calc.GutterRun // of a low edge
}

// edgesOf are the zone's channel runs in the calculator's order, then its gutters.
func (d *deck) edgesOf(z *zone) []edge {
	var out []edge
	for _, r := range z.Channel {
		e := edge{class: r.Edge, surface: r.Surface, a: d.toFall(at(r.P0)), b: d.toFall(at(r.P1)), run: r, kind: string(r.Kind)}
		if r.Kind == calc.EdgeOpen {
			e.kind = "rim"
		}
		out = append(out, e)
	}
	for _, g := range z.Gutter.Lines {
		e := edge{class: edgeLow, surface: calc.SurfaceWood, a: d.toFall(at(g.P0)), b: d.toFall(at(g.P1)), gutter: g}
		if e.kind = d.kindAt(e.a, e.b); e.kind != "wall" { // water against a wall is an issue, not a gutter
			out = append(out, e)
		}
	}
	return out
}

// kindAt tells what stands at the middle of a straight piece: an outline wall, the open rim, or else a beam.
func (d *deck) kindAt(a, b fallPt) string {
	m := fallPt{(a.u + b.u) / 2, (a.v + b.v) / 2}
	for i, p := range d.fall {
		q := d.fall[(i+1)%len(d.fall)]
		l := math.Hypot(q.u-p.u, q.v-p.v)
		off := math.Abs((m.u-p.u)*(q.v-p.v)-(m.v-p.v)*(q.u-p.u)) / l
		along := ((m.u-p.u)*(q.u-p.u) + (m.v-p.v)*(q.v-p.v)) / l
		if off < .01 && along > 0 && along < l {
			if d.input.Edges[i].Kind == calc.EdgeWall {
				return "wall"
			}
			return "rim"
		}
	}
	return "beam"
}

// highEdgeAt is the channel run of the high edge that stands at u, nil when none does.
func (z *zone) highEdgeAt(u, v float64) *edge {
	for i, e := range z.edges {
		if e.class == edgeHigh && math.Min(e.a.u, e.b.u) <= u && u <= math.Max(e.a.u, e.b.u) && math.Abs(e.a.v-v) < 1 {
			return &z.edges[i]
		}
	}
	return nil
}

// gutterWidth is the width of a gutter in inches, read from the size's leading number; 5 when it says none.
func gutterWidth(size string) float64 {
	head, _, _ := strings.Cut(size, " ")
	if w, err := strconv.ParseFloat(head, 64); err == nil && w > 0 && w < 24 {
		return w
	}
	return 5
}

// gutterWidth is the width of the zone's gutter.
func (z *zone) gutterWidth() float64 { return gutterWidth(z.Gutter.Size) }

// gutterOut is how far the zone's gutters stand outside the framing's edge: their width on a fascia, else nothing, their front being
// flush with that edge.
func (d *deck) gutterOut(z *zone) float64 {
	if d.prof.GutterOutside {
		return z.gutterWidth()
	}
	return 0
}

// gutterIn is how much of the zone's gutters lies within the framing's edge.
func (d *deck) gutterIn(z *zone) float64 { return z.gutterWidth() - d.gutterOut(z) }

// gutterText names the gutter's size; what the calculator could not size is to be settled.
func (d *deck) gutterText(z *zone) string {
	if z.Gutter.Size == "" {
		return d.in("to be settled")
	}
	return d.in(z.Gutter.Size)
}

// numberNotches numbers the notches through the job (zone, then carrier, then distance) and letters each distinct size.
func (d *deck) numberNotches() {
	for _, z := range d.zones {
		list := slices.Clone(z.Notches)
		slices.SortStableFunc(list, func(a, b calc.Notch) int {
			if a.Carrier != b.Carrier {
				return a.Carrier - b.Carrier
			}
			return cmp.Compare(a.From, b.From)
		})
		for _, n := range list {
			k := &notch{Notch: n, n: len(d.notches) + 1, zone: z}
			d.sizeNotch(k)
			d.notches = append(d.notches, k)
			z.notches = append(z.notches, k)
		}
	}
}

// sizeNotch finds or makes the size of a notch, rounded outward as it is cut.
func (d *deck) sizeNotch(k *notch) {
	from, to := float64(length.Inches(k.From).Down16()), float64(length.Inches(k.To).Up16())
	depth := float64(length.Inches(k.Depth).Up16())
	for i, s := range d.sizes {
		if s.from == from && s.to == to && s.depth == depth {
			k.size = s.letter
			d.sizes[i].notches = append(d.sizes[i].notches, k)
			return
		}
	}
	k.size = sizeLetter(len(d.sizes))
	d.sizes = append(d.sizes, notchSize{letter: k.size, from: from, to: to, depth: depth, notches: []*notch{k}})
}

// sizeLetter counts A to Z, then AA, AB, …
func sizeLetter(i int) string {
	if i < 26 {
		return string(rune('A' + i)) // #nosec G115 -- i is under 26
	}
	return sizeLetter(i/26-1) + sizeLetter(i%26)
}

// cutOut is a hole in the panels with its name: F for fixtures, T for what goes through, numbered through the job.
type cutOut struct {
	calc.CutOut
	name string
	of   calc.Obstruction
}

// cutOuts lists the holes in the order of the input.
func (d *deck) cutOuts() []cutOut {
	found := map[string]calc.CutOut{}
	for _, z := range d.zones {
		for _, c := range z.CutOuts {
			found[c.Obstruction] = c
		}
	}
	var out []cutOut
	count := map[string]int{}
	for _, o := range d.input.Obstructions {
		c, ok := found[o.ID]
		if !ok {
			continue
		}
		letter := "F"
		if o.Through {
			letter = "T"
		}
		count[letter]++
		out = append(out, cutOut{CutOut: c, name: letter + strconv.Itoa(count[letter]), of: o})
	}
	return out
}

// joistLines are the joists' centres: plan coordinates along x when the joists run along y, else along y.
func (d *deck) joistLines() []float64 {
	lo, hi := d.min.x, d.max.x
	if d.input.Joists.Direction != "y" {
		lo, hi = d.min.y, d.max.y
	}
	var out []float64
	step := float64(d.input.Joists.Spacing)
	if step <= 0 {
		return nil
	}
	for i := 0; lo+float64(i)*step <= hi+1e-6; i++ {
		out = append(out, lo+float64(i)*step)
	}
	if hi-out[len(out)-1] > 1e-6 {
		out = append(out, hi)
	}
	return out
}

// joistsDownFall tells whether the joists run with the fall.
func (d *deck) joistsDownFall() bool {
	return (d.input.Joists.Direction == "y") == (d.direction() == calc.FallOut)
}

// sectionU is where the section is cut: the place that crosses most ceiling, the nearest to a middle when equal.
func (d *deck) sectionU() float64 {
	best, most := d.zones[0].X0+(d.zones[0].X1-d.zones[0].X0)/2, -1.0
	for _, z := range d.zones {
		for _, f := range []float64{.5, .35, .65, .2, .8} {
			u, sum := z.X0+(z.X1-z.X0)*f, 0.0
			for _, part := range d.partsAt(u) {
				sum += part.length()
			}
			if sum > most+1e-3 {
				best, most = u, sum
			}
		}
	}
	return best
}

// part is a stretch of a zone that a section crosses.
type part struct {
	*zone
	span
}

// partsAt are the stretches of ceiling down the fall at u, from the high end.
func (d *deck) partsAt(u float64) []part {
	var out []part
	for _, z := range d.zones {
		if !z.live() || u <= z.X0 || u >= z.X1 {
			continue
		}
		for _, s := range z.spans(u) {
			out = append(out, part{z, s})
		}
	}
	slices.SortStableFunc(out, func(a, b part) int { return cmp.Compare(a.lo, b.lo) })
	return out
}
