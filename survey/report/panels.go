package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"undercroft/calc"
	"undercroft/calc/length"
)

// checkEvery is how many seams lie between two check distances from the side wall, so that a creeping gain shows early.
const checkEvery = 7

// Panels is the layout across every zone.
type Panels struct {
	Columns []panelColumn
	Sources []Source
}

// panelColumn is the layout across one zone: widths as laid, the lengths to cut and where the seams lie.
type panelColumn struct {
	Zone      string
	Count     int
	First     width // width of the panel at the left, seen facing up the fall
	Last      width
	Between   int   // whole panels between the two
	Step      width // seam to seam; 0 with fewer than two seams
	Cuts      []cutLength
	FirstSeam length.Inches // from the zone's left side to the first seam
	Checks    []checkMark
	Minutes   string // crew time of the layout, in minutes
	NextBest  string // the best layout with another count of panels, empty when there is none
}

// cutLength is a length to cut and how often. Text is rounded down to a sixteenth; an angled piece names both sides.
type cutLength struct {
	Count  int
	Text   string
	Shape  string // "rectangle", "notched" or "angled"
	Panels string // "1–29", which panels of the zone
}

// checkMark is the distance of a seam's center from the zone's left side.
type checkMark struct {
	Seam     int
	Distance length.Inches
}

func (v voice) panelsOf(plan calc.Plan, sources []Source) Panels {
	table := Panels{Sources: sources}
	for _, z := range plan.Zones {
		p := z.Panels
		c := panelColumn{Minutes: decimal(p.Cost.Total, 0), NextBest: v.nextBest(p.RunnerUp), Zone: zoneName(z.ID), Count: p.Count, First: width(p.First), Last: width(p.Last), Between: max(p.Count-2, 0),
			Cuts: v.cutLengths(p.Pieces)}
		if len(z.Seams) > 0 {
			c.FirstSeam = length.Inches(z.Seams[0] - z.X0)
		}
		if len(z.Seams) > 1 {
			c.Step = width(z.Seams[1] - z.Seams[0])
		}
		for i := checkEvery - 1; i < len(z.Seams); i += checkEvery {
			c.Checks = append(c.Checks, checkMark{Seam: i + 1, Distance: length.Inches(z.Seams[i] - z.X0)})
		}
		table.Columns = append(table.Columns, c)
	}
	return table
}

// nextBest says the runner-up of a layout.
func (v voice) nextBest(r *calc.RunnerUp) string {
	if r == nil {
		return ""
	}
	return fmt.Sprintf("%s: %s\u00a0min", v.count(r.Count, "panel", "panels"), decimal(r.Cost.Total, 0))
}

// cutLengths gathers the pieces of a zone by what is cut: length down to a sixteenth and shape, the longest first.
func (v voice) cutLengths(pieces []calc.Piece) []cutLength {
	type key struct {
		text, shape string
		sixteenths  int
	}
	numbers := map[key][]int{}
	for _, p := range pieces {
		k := key{v.pieceText(p), p.Shape, int(math.Round(float64(length.Inches(p.Length).Down16()) * 16))}
		numbers[k] = append(numbers[k], p.N)
	}
	keys := make([]key, 0, len(numbers))
	for k := range numbers {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(-cmp.Compare(a.sixteenths, b.sixteenths), cmp.Compare(a.text, b.text), cmp.Compare(a.shape, b.shape))
	})
	cuts := make([]cutLength, 0, len(keys))
	for _, k := range keys {
		cuts = append(cuts, cutLength{Count: len(numbers[k]), Text: k.text, Shape: k.shape, Panels: ranges(numbers[k])})
	}
	return cuts
}

func (v voice) pieceText(p calc.Piece) string {
	if p.Shape == "angled" && p.LeftLength != nil && p.RightLength != nil {
		return v.say("%s left, %s right", down(*p.LeftLength), down(*p.RightLength))
	}
	return down(p.Length)
}

// ranges writes ascending numbers as "1–3, 5".
func ranges(numbers []int) string {
	slices.Sort(numbers)
	numbers = slices.Compact(numbers)
	text := ""
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		if text != "" {
			text += ", "
		}
		text += itoa(numbers[i])
		if j > i {
			text += "–" + itoa(numbers[j])
		}
		i = j + 1
	}
	return text
}
