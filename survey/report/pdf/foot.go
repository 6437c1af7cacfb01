package pdf

import (
	"slices"
	"strings"

	"undercroft/survey/report/draw"
)

// foot writes the running foot of the page that ends: house, issue and fingerprint at the left, page n of N at the right. A whole sheet of paper has it
// below its frame.
func (f *flow) foot() {
	w, x0, y := f.paper.W, f.left(), f.paper.H-margin
	if f.wide {
		w = f.paper.H
		x0, y = (w-sheetW)/2, (f.paper.W+sheetH)/2+12
	}
	x1 := w - x0
	f.to.Begin(tagArtifact, "")
	defer f.to.End()
	if !f.wide {
		f.to.Path(draw.Path{Chains: [][]draw.Point{{{X: x0, Y: y - 10}, {X: x1, Y: y - 10}}}, Style: draw.Style{Pen: draw.Light, Ink: inkRule}})
	}
	count := draw.Clean(fill(f.doc.Labels.PageOf, f.page, max(f.known.pages, f.page)))
	countW := draw.Measure(count, faceFoot.size, false)
	f.footText(count, x1-countW, y, countW)
	room := x1 - x0 - countW - 12
	tail := draw.Fit(joined(f.doc.Title, f.doc.Issue, f.doc.Print), room, faceFoot.size, false)
	house := draw.Fit(f.doc.House, max(room-draw.Measure(" · "+tail, faceFoot.size, false), 0), faceFoot.size, false)
	text := joined(house, tail)
	f.footText(text, x0, y, draw.Measure(text, faceFoot.size, false))
}

func (f *flow) footText(s string, x, y, w float64) {
	f.to.Text(draw.Text{At: draw.Point{X: x, Y: y}, S: s, Size: faceFoot.size, Ink: faceFoot.ink, Width: w})
}

// joined puts a middle dot between the texts that are there.
func joined(texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(s string) bool { return s == "" }), " · ")
}
