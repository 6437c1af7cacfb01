package calc

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Distances of the field notes, in inches (common practice, no source).
const (
	clipWithin = 4  // notches this near a carrier's high end are clipped rather than notched
	twoPeople  = 96 // pieces from this length on are held by two
)

// mostLines is how many notches, and things to reach later, are listed one by one.
const mostLines = 100

// field is how panels and carriers go in.
func (n *noteWriter) field() {
	n.zones(func(z *Zone) {
		n.say("field.first", "first", inches(z.Panels.First).Down16(), "last", inches(z.Panels.Last).Down16(), "count", z.Panels.Count)
		for _, l := range lengthsOf(z.Panels.Pieces) {
			n.say("field.length", "length", l.length, "count", l.count)
		}
		n.say("field.ends", "gap", inches(z.Movement.Gap).Up16(), "pocket", n.sys.ChannelPocket)
		n.notches(z)
		if longest(z) >= twoPeople {
			n.say("field.two", "long", inches(twoPeople))
		}
		for i := everySeventh - 1; i < len(z.Seams); i += everySeventh {
			n.say("field.call", "count", i+1, "at", inches(z.Seams[i]-z.X0))
		}
	})
	n.say("field.tighten")
}

// counted is a length and how many pieces have it.
type counted struct {
	length string
	count  int
}

// lengthsOf counts the panels of each cut length, longest first.
func lengthsOf(pieces []Piece) []counted {
	sorted := slices.Clone(pieces)
	slices.SortStableFunc(sorted, func(a, b Piece) int { return cmp.Compare(b.Length, a.Length) })
	var list []counted
	for _, p := range sorted {
		text := inches(p.Length).Down16().String()
		if k := len(list) - 1; k >= 0 && list[k].length == text {
			list[k].count++
			continue
		}
		list = append(list, counted{text, 1})
	}
	return list
}

func longest(z *Zone) float64 {
	most := 0.0
	for _, p := range z.Panels.Pieces {
		most = max(most, p.Length)
	}
	return most
}

// clipCut is what notches near the high end have in common.
type clipCut struct{ depth, to float64 }

// notches lists what is cut from the carriers: those near the high end and of one depth on one line, the others one by one.
func (n *noteWriter) notches(z *Zone) {
	clips := map[clipCut][]int{}
	var single []Notch
	for _, k := range z.Notches {
		if k.State == "expected" && k.To <= clipWithin+tol {
			c := clipCut{k.Depth, up16(k.To)}
			if !slices.Contains(clips[c], k.Carrier) {
				clips[c] = append(clips[c], k.Carrier)
			}
			continue
		}
		single = append(single, k)
	}
	keys := make([]clipCut, 0, len(clips))
	for c := range clips {
		keys = append(keys, c)
	}
	slices.SortFunc(keys, func(a, b clipCut) int { return cmp.Or(cmp.Compare(a.depth, b.depth), cmp.Compare(a.to, b.to)) })
	for _, c := range keys {
		key := "field.clip"
		switch len(clips[c]) {
		case 1:
			key = "field.clipOne"
		case len(z.Carriers):
			key = "field.clipAll"
		}
		n.say(key, "count", len(clips[c]), "carriers", numbers(clips[c]), "depth", inches(c.depth), "to", inches(c.to))
	}
	for i, k := range single {
		if i == mostLines {
			n.say("more", "count", len(single)-mostLines)
			break
		}
		key := "field.notch"
		if k.State != "expected" {
			key = "field.maybe"
		}
		n.say(key, "carrier", k.Carrier, "from", inches(k.From).Down16(), "to", inches(k.To).Up16(), "depth", inches(k.Depth), "over", k.Obstruction)
	}
	if len(z.Notches) > 0 {
		n.say("field.only")
	}
}

// numbers prints numbers in order, runs of three or more as a range.
func numbers(list []int) string {
	list = slices.Sorted(slices.Values(list))
	var parts []string
	for i := 0; i < len(list); {
		k := i
		for k+1 < len(list) && list[k+1] == list[k]+1 {
			k++
		}
		switch {
		case k >= i+2:
			parts = append(parts, fmt.Sprintf("%d–%d", list[i], list[k]))
		default:
			k = i
			parts = append(parts, fmt.Sprint(list[i]))
		}
		i = k + 1
	}
	return strings.Join(parts, ", ")
}

// endGapAt is the gap to leave at the panels' high end when they are that warm, by the rule of the plan's own end gap: the
// thermal movement up to the hottest, at least the profile's gap.
func (n *noteWriter) endGapAt(z *Zone, warmth float64) float64 {
	rise := max(0, n.in.Temperature.Max-warmth)
	return max(float64(n.sys.EndGap), n.sys.PanelAlpha*(z.YLow-z.YHigh)*rise)
}

// temperature is what cold and heat ask for.
func (n *noteWriter) temperature() {
	n.zones(func(z *Zone) {
		pairs := []any{}
		for _, f := range []int{30, 50, 70, 90} {
			pairs = append(pairs, fmt.Sprintf("at%d", f), inches(n.endGapAt(z, float64(f))).Up16())
		}
		n.say("temperature.gap", pairs...)
	})
	key := "temperature.warm"
	if n.in.Temperature.Install < n.sys.ColdCutBelow-tol {
		key = "temperature.cold"
	}
	n.say(key, "below", n.sys.ColdCutBelow, "install", n.in.Temperature.Install)
}

// water is what keeps it going where it should.
func (n *noteWriter) water() {
	n.say("water.bead", "bead", n.sys.SealantBead)
	n.zones(func(z *Zone) {
		var ids []string
		for _, c := range z.CutOuts {
			ids = append(ids, c.Obstruction)
		}
		if len(ids) > 0 {
			n.say("water.cutouts", "ids", some(ids))
		}
		g := z.Gutter
		for i, run := range g.Runs {
			size, spouts := g.Size, g.Downspouts
			if i < len(g.Lines) {
				size, spouts = g.Lines[i].Size, g.Lines[i].Downspouts
			}
			n.say("water.gutter", "length", inches(run), "size", n.told(size), "fall", inches(run/12*float64(n.sys.GutterFall)), "spouts", spouts, "leader", g.Leader)
		}
	})
	if n.in.LowEdge == LowEdgeDripChannel {
		n.say("water.drip")
	} else {
		n.say("water.seal")
	}
	n.say("water.discharge")
	n.say("water.hose")
}
