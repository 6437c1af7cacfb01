package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey/report/draw"
)

const (
	barX    = 62.0
	barH    = 15.0
	barLead = 32.0
	cutTop  = 44.0
)

// stickKind is one way a stick is cut, and how many are.
type stickKind struct {
	calc.Stick
	count int
}

// sticksOf are the distinct sticks of a material, the most frequent first, then the longer ones.
func sticksOf(m calc.CuttingPlan) []stickKind {
	var out []stickKind
	for _, s := range m.Stock {
		i := slices.IndexFunc(out, func(k stickKind) bool { return k.Length == s.Length && slices.Equal(k.Cuts, s.Cuts) })
		if i < 0 {
			out = append(out, stickKind{Stick: s})
			i = len(out) - 1
		}
		out[i].count++
	}
	slices.SortStableFunc(out, func(a, b stickKind) int {
		return cmp.Or(cmp.Compare(b.count, a.count), cmp.Compare(b.Length, a.Length), slices.Compare(b.Cuts, a.Cuts))
	})
	return out
}

// cutter lays bars out over as many sheets as they need.
type cutter struct {
	d     *deck
	k     float64
	scale scale
	out   []*sheet
	y     float64
}

// cuttingSheets draw each distinct stick of the cutting plan once, with how many to cut so.
func (d *deck) cuttingSheets() []*sheet {
	longest := 1.0
	for _, m := range d.plan.Cutting {
		for _, s := range m.Stock {
			longest = max(longest, s.Length)
		}
	}
	sc := pickScale(longest, 1, 560, math.Inf(1), 2.25)
	c := &cutter{d: d, k: sc.k, scale: sc}
	for _, m := range d.plan.Cutting {
		c.material(m)
	}
	return c.out
}

// sheet is the sheet being drawn, a new one when less than room is left on it; true when it is new.
func (c *cutter) sheet(room float64) (*sheet, bool) {
	if n := len(c.out); n > 0 && c.y+room <= bottom-28 {
		return c.out[n-1], false
	}
	s := newSheet(c.d.in("Cutting diagrams"), c.d.in("Every distinct stick to cut, with its pieces in order and how many to cut so."))
	s.scale = c.d.say("Scale %s", c.scale)
	head(s.Drawing, marginX, 20, c.d.in("CUTTING DIAGRAMS"), 9.5)
	write(s.Drawing, marginX, 31, c.d.say("Each different stick once, cuts in order from the left, %s kerf between; number of such sticks at the left. Panel widths: see the plan.", typeset(c.d.prof.Kerf)))
	feet := barFeet(c.k)
	c.d.scaleBar(s.Drawing, pt(frameW-40-float64(feet[len(feet)-1])*12*c.k, bottom-12), c.k, feet)
	c.out, c.y = append(c.out, s), cutTop
	return s, true
}

// material draws the sticks of one material under its heading.
func (c *cutter) material(m calc.CuttingPlan) {
	kinds := sticksOf(m)
	if len(kinds) == 0 && len(m.Unplanned) == 0 {
		return
	}
	for i, k := range kinds {
		room := barLead
		if i == 0 {
			room += 32
		}
		s, fresh := c.sheet(room)
		if i == 0 || fresh {
			c.heading(s, m, i > 0)
		}
		c.bar(s.Drawing, k)
		c.y += barLead
	}
	c.unplanned(m)
}

// heading writes the material's name and figures, and the widths to rip end panels to.
func (c *cutter) heading(s *sheet, m calc.CuttingPlan, continued bool) {
	name := strings.ToUpper(c.d.in(m.Material))
	if continued {
		name += ", " + c.d.in("continued")
	}
	s.Line(pt(marginX, c.y), pt(frameW-marginX, c.y), draw.Style{Pen: draw.Thin})
	b := head(s.Drawing, marginX, c.y+12, name, 9)
	x := max(72, b.X1+10)
	proof := c.d.in("proven least")
	if !m.Optimal {
		proof = c.d.in("not proven least")
	}
	waste := 0.0
	if m.Bought > 0 {
		waste = 1 - m.Used/m.Bought
	}
	b = write(s.Drawing, x, c.y+12, c.d.say("%s, %s bought, %s used, %s waste; %s", c.d.count(len(m.Stock), "stick", "sticks"), typeset(m.Bought), typeset(m.Used), percent(waste), proof))
	if t := draw.Fit(c.d.uses(m.Material), frameW-marginX-b.X1-12, draw.MinText, false); t != "…" {
		s.Text(draw.Text{At: pt(frameW-marginX, c.y+12), S: t, Anchor: draw.End, Ink: draw.Dark})
	}
	if m.Material == "panel" {
		var rips []string
		for _, z := range c.d.liveZones() {
			rips = append(rips, c.d.say("zone %s: rip no. 1 to %s, no. %d to %s wide", z.name, typeset(z.Panels.First), z.Panels.Count, typeset(z.Panels.Last)))
		}
		for _, line := range draw.Wrap(strings.Join(rips, "; "), frameW-marginX-72, draw.MinText, true) {
			c.y += 10
			head(s.Drawing, 72, c.y+12, line, draw.MinText)
		}
	}
	c.y += 20
}

// unplanned names the pieces that no stick is long enough for.
func (c *cutter) unplanned(m calc.CuttingPlan) {
	if len(m.Unplanned) == 0 {
		return
	}
	counts := map[float64]int{}
	var list []float64
	for _, u := range m.Unplanned {
		if counts[u]++; counts[u] == 1 {
			list = append(list, u)
		}
	}
	slices.Sort(list)
	var parts []string
	for _, u := range list {
		parts = append(parts, itoa(counts[u])+" × "+typeset(u))
	}
	text := c.d.say("%s NOT PLANNED, longer than any stock: %s", strings.ToUpper(c.d.in(m.Material)), strings.Join(parts, ", "))
	for i, line := range draw.Wrap(text, frameW-2*marginX, 7.5, true) {
		s, _ := c.sheet(14)
		if i == 0 {
			c.y += 4
		}
		s.Text(draw.Text{At: pt(marginX, c.y+4), S: line, Size: 7.5, Bold: true, Ink: draw.Alert})
		c.y += 11
	}
}

// bar draws one stick: pieces, kerfs, the offcut, the stock length.
func (c *cutter) bar(dr *draw.Drawing, s stickKind) {
	y := c.y
	dr.Text(draw.Text{At: pt(54, y+11), S: "× " + itoa(s.count), Size: 10, Bold: true, Anchor: draw.End})
	c.pieces(dr, s, y)
	end := barX + s.Length*c.k
	label := c.d.in("no offcut")
	if s.Offcut > 0 {
		label = c.d.say("offcut %s", typeset(s.Offcut))
		b := box(end-s.Offcut*c.k, y, s.Offcut*c.k, barH)
		dr.Hatch(b.Corners(), 3, draw.Rising, draw.Style{Pen: draw.Hair, Ink: draw.Dark})
		dr.Rect(b, draw.Style{Pen: draw.Light})
		if draw.Measure(label, draw.MinText, false)+8 < b.W() {
			dr.Text(draw.Text{At: pt((b.X0+b.X1)/2, y+10), S: label, Anchor: draw.Middle, Halo: true})
			label = ""
		}
	}
	head(dr, end+5, y+6.5, c.d.say("stock %s", typeset(s.Length)), draw.MinText)
	write(dr, end+5, y+14.5, label)
}

// pieces draws the cuts; a length wider than its piece stands above the bar, once for neighbours of one length.
func (c *cutter) pieces(dr *draw.Drawing, s stickKind, y float64) {
	var mids, sizes []float64
	var above []string
	x := barX
	for i := 0; i < len(s.Cuts); {
		n := 1
		w := s.Cuts[i] * c.k
		label := typeset(s.Cuts[i])
		fits := draw.Measure(label, 8, true)+4 < w
		for !fits && i+n < len(s.Cuts) && s.Cuts[i+n] == s.Cuts[i] {
			n++
		}
		from := x
		for range n {
			dr.Rect(box(x, y, w, barH), draw.Style{Pen: draw.Medium, Fill: draw.White})
			if fits {
				dr.Text(draw.Text{At: pt(x+w/2, y+10.6), S: label, Size: 8, Bold: true, Anchor: draw.Middle})
			}
			x += w + c.d.prof.Kerf*c.k
		}
		if !fits {
			if n > 1 {
				label = itoa(n) + " × " + label
			}
			mids, above = append(mids, (from+x)/2), append(above, label)
			sizes = append(sizes, draw.Measure(label, draw.MinText, true)+5)
		}
		i += n
	}
	for i, at := range draw.Spread(mids, sizes) {
		dr.Line(pt(mids[i], y), pt(at, y-2.5), draw.Style{Pen: draw.Hair, Ink: draw.Dark})
		dr.Text(draw.Text{At: pt(at, y-3.5), S: above[i], Bold: true, Anchor: draw.Middle})
	}
}

// uses says which panels or carriers a cut length is for, the longest first.
func (d *deck) uses(material string) string {
	type key struct {
		length float64
		zone   string
	}
	by := map[key][]int{}
	var keys []key
	add := func(l float64, zone string, n int) {
		k := key{float64(length.Inches(l).Down16()), zone}
		if _, ok := by[k]; !ok {
			keys = append(keys, k)
		}
		by[k] = append(by[k], n)
	}
	for _, z := range d.zones {
		switch material {
		case "panel":
			for _, q := range z.Panels.Pieces {
				add(q.Length, z.name, q.N)
			}
		case "carrier":
			for _, q := range z.Carriers {
				add(q.Length, z.name, q.N)
			}
		}
	}
	slices.SortFunc(keys, func(a, b key) int { return cmp.Or(cmp.Compare(b.length, a.length), cmp.Compare(a.zone, b.zone)) })
	var parts []string
	for _, k := range keys {
		parts = append(parts, d.say("%s: zone %s no. %s", typeset(k.length), k.zone, ranges(by[k])))
	}
	return strings.Join(parts, "; ")
}
