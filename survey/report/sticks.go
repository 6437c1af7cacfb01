package report

import (
	"fmt"
	"math"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey/report/draw"
)

// wideSegment is the share of the bar, in percent, from which a cut's length fits inside it even on a phone; narrowSegment fits on a
// desk or on paper only.
const (
	wideSegment   = 26
	narrowSegment = 9
)

// Cutting is the cutting plan of every material.
type Cutting struct {
	Materials []material
	Sources   []Source
}

// material is the cutting plan of one material: what to buy and how each stick is cut.
type material struct {
	Name      string // "panel", as the takeoff calls it
	Title     string // "Panels"
	Bought    []stockCount
	Lines     []stickLine
	Optimal   bool
	Bound     length.Inches
	Total     length.Inches // bought in all
	Used      length.Inches
	Unplanned []stockCount // longer than all stock
}

// stockCount is how many sticks or pieces there are of one length.
type stockCount struct {
	Count  int
	Length length.Inches
}

// stickLine is one way to cut a stick and how many are cut so. Bar is its drawing.
type stickLine struct {
	Count  int
	Length length.Inches
	Cuts   string // "10′ 6 3/4″ + 2′ 9 7/8″"
	Offcut length.Inches
	Bar    bar

	drawing *draw.Drawing // the same on paper
}

// bar draws a stick to scale: all numbers are percents of the longest stick in the report, at most 100.
type bar struct {
	Width    string
	Segments []segment
}

// segment is a cut or the offcut, from X over W. Fit is "wide" when its text fits everywhere, "narrow" when only on a desk or on
// paper, empty when it does not.
type segment struct {
	X, W, Middle string
	Text         string
	Offcut       bool
	Fit          string
}

// cuttingOf gathers identical sticks in the order of the plan.
func (v voice) cuttingOf(plan calc.Plan, sources []Source) Cutting {
	longest := 0.0
	for _, c := range plan.Cutting {
		for _, s := range c.Stock {
			longest = math.Max(longest, s.Length)
		}
	}
	table := Cutting{Sources: sources}
	for _, c := range plan.Cutting {
		m := material{Name: c.Material, Title: v.materialTitle(c.Material), Optimal: c.Optimal, Bound: length.Inches(c.Bound), Total: length.Inches(c.Bought), Used: length.Inches(c.Used)}
		for _, u := range c.Unplanned {
			m.Unplanned = counted(m.Unplanned, length.Inches(u))
		}
		for _, s := range c.Stock {
			m.addStick(s, longest)
		}
		table.Materials = append(table.Materials, m)
	}
	return table
}

// materialTitle is the heading of a material's cutting plan.
func (v voice) materialTitle(name string) string {
	switch name {
	case "":
		return v.in("Sticks")
	case "panel":
		return v.in("Panels")
	case "carrier":
		return v.in("Carriers")
	case "channel":
		return v.in("Channels")
	case "gutter":
		return v.in("Gutters")
	}
	return strings.ToUpper(name[:1]) + name[1:] + "s"
}

func (m *material) addStick(s calc.Stick, longest float64) {
	line := stickLine{drawing: barDrawing(s.Cuts, s.Length, s.Offcut, barLong/longest, typeset(s.Length)+": "+cutsText(s)), Count: 1, Length: length.Inches(s.Length), Cuts: cutsText(s), Offcut: length.Inches(s.Offcut), Bar: barOf(s, longest)}
	m.Bought = counted(m.Bought, line.Length)
	for i, have := range m.Lines {
		if have.Length == line.Length && have.Cuts == line.Cuts {
			m.Lines[i].Count++
			return
		}
	}
	m.Lines = append(m.Lines, line)
}

// counted adds one of a length to a list of lengths and counts.
func counted(list []stockCount, l length.Inches) []stockCount {
	for i, have := range list {
		if have.Length == l {
			list[i].Count++
			return list
		}
	}
	return append(list, stockCount{1, l})
}

// cutsText lists the cuts of a stick in order, the same length in a row as "3 × 4′ 0″".
func cutsText(s calc.Stick) string {
	var parts []string
	for i := 0; i < len(s.Cuts); {
		j := i
		for j < len(s.Cuts) && s.Cuts[j] == s.Cuts[i] {
			j++
		}
		text := typeset(s.Cuts[i])
		if j-i > 1 {
			text = fmt.Sprintf("%d\u00a0×\u00a0%s", j-i, text)
		}
		parts = append(parts, text)
		i = j
	}
	return strings.Join(parts, " + ")
}

// barOf places the cuts and the offcut along the stick; a saw cut is too thin to draw and goes with the offcut.
func barOf(s calc.Stick, longest float64) bar {
	share := func(v float64) float64 { return v / longest * 100 }
	b := bar{Width: trimmed(share(s.Length))}
	x := 0.0
	add := func(v float64, text string, offcut bool) {
		w := share(v)
		seg := segment{X: trimmed(x), W: trimmed(w), Middle: trimmed(x + w/2), Text: text, Offcut: offcut}
		switch {
		case w >= wideSegment:
			seg.Fit = "wide"
		case w >= narrowSegment:
			seg.Fit = "narrow"
		}
		b.Segments = append(b.Segments, seg)
		x += w
	}
	left := s.Length
	for _, c := range s.Cuts {
		add(c, typeset(c), false)
		left -= c
	}
	if s.Offcut > 0 {
		add(left, typeset(s.Offcut), true)
	}
	return b
}

// Takeoff is the material list.
type Takeoff struct {
	Rows     []takeoffLine
	Priced   bool   // some line has a price
	Total    string // of the priced lines and the labour, empty without prices
	Unpriced int    // lines that the total leaves out
	Sources  []Source
}

// takeoffLine is one line of the material list.
type takeoffLine struct {
	Item  string
	Label string
	Need  string
	Waste string // "10 %", empty for none
	Buy   string // packs or sticks; empty where no pack is set
	From  string
	Price string // "$1,204.50", empty where none is given
}

func (v voice) takeoffOf(plan calc.Plan, sources []Source) Takeoff {
	table := Takeoff{Sources: sources}
	if m := plan.Money; m != nil {
		table.Total, table.Unpriced = dollars(m.TotalCents), len(m.Unpriced)
	}
	for _, it := range plan.Takeoff {
		row := takeoffLine{Item: it.Item, Label: v.itemLabel(it), Need: v.needText(it), From: typographic(v.saidOr(it.Because, it.From))}
		if it.Waste > 0 {
			row.Waste = percent(it.Waste)
		}
		switch {
		case it.Packs != nil:
			row.Buy = v.buyText(*it.Packs, v.saidOr(it.PackSaid, it.Pack))
		case it.Length > 0 && it.Unit == "each":
			row.Buy = trimmed(it.Need) // sticks are bought one by one
		}
		if it.Cents != nil {
			row.Price, table.Priced = dollars(*it.Cents), true
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}

func (v voice) itemLabel(it calc.Item) string {
	if it.Label == "" {
		return capital(v.in(strings.ReplaceAll(it.Item, "-", " ")))
	}
	return capital(typographic(v.saidOr(it.Said, it.Label)))
}

// needText prints the exact need with its unit: lengths typeset, counts as they are, the rest with two places.
func (v voice) needText(it calc.Item) string {
	switch it.Unit {
	case "in":
		return typeset(it.Need)
	case "ft":
		return typeset(it.Need * 12)
	}
	number := trimmed(math.Round(it.Need*100) / 100)
	if it.Unit == "" || it.Unit == "each" {
		return number
	}
	switch {
	case it.Unit == "cartridge" && it.Need != 1:
		return number + "\u00a0" + v.in("cartridges")
	case it.Unit == "hour" && it.Need != 1:
		return number + "\u00a0" + v.in("hours")
	}
	return number + "\u00a0" + v.in(it.Unit)
}

func (v voice) buyText(packs int, pack string) string {
	if pack == "" {
		return itoa(packs)
	}
	return itoa(packs) + "\u00a0× " + typographic(pack)
}

// dollars prints integer cents.
func dollars(cents int64) string {
	sign := ""
	if cents < 0 {
		sign, cents = "-", -cents
	}
	whole := itoa(int(cents / 100))
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	return fmt.Sprintf("%s$%s.%02d", sign, whole, cents%100)
}
