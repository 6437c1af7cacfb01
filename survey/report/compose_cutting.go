package report

import (
	"undercroft/calc/length"
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// cutting is what to cut from which stick, in the order of cutting, each stick drawn to scale.
func (c *composer) cutting() {
	c.part("cutting", c.in("Cutting plan"), c.in("bars to scale"))
	for _, m := range c.m.Cutting.Materials {
		c.cutMaterial(m)
	}
	c.text(document.Small, spaced(c.soft(c.in("Dashed is left over; a saw cut is taken between pieces.")), c.from(c.m.Cutting.Sources)))
	c.sheets(partCutting, nil)
}

func (c *composer) cutMaterial(m material) {
	bought := ""
	for i, b := range m.Bought {
		if i > 0 {
			bought += ", "
		}
		bought += c.say("%d of %s", b.Count, b.Length.Typeset())
	}
	c.sub("cut-"+m.Name, m.Title, c.measured(bought))
	if len(m.Lines) > 0 {
		t := document.Table{Columns: []document.Column{right(c.in("Sticks"), 0), right(c.in("Of"), 0), left(c.in("Cuts, in order"), 0.8), right(c.in("Over"), 0), left(c.in("To scale"), 1)}}
		for _, l := range m.Lines {
			over := ""
			if l.Offcut > 0 {
				over = l.Offcut.Typeset()
			}
			r := row(c.bold(itoa(l.Count)+" ×"), c.plain(l.Length.Typeset()), c.bold(l.Cuts), c.soft(over))
			r.Cells = append(r.Cells, document.Cell{Drawing: l.drawing})
			t.Rows = append(t.Rows, r)
		}
		proof := c.say("Proven least: %s; a plan that buys less is not ruled out.", m.Bound.Typeset())
		if m.Optimal {
			proof = c.in("No plan buys less: the proven least equals what is bought.")
		}
		t.Caption = c.plain(c.say("%s bought, %s used.", m.Total.Typeset(), m.Used.Typeset()) + " " + proof)
		c.table(t)
	}
	for _, u := range m.Unplanned {
		c.add(document.Block{Caution: &document.Caution{Weight: document.Stop, Word: c.in("Stop."), Head: c.measured(c.say("%d × %s: longer than any stock, not in this plan.", u.Count, u.Length.Typeset()))}})
	}
}

// The size of a stick's drawing in points: the longest stick is barLong.
const (
	barLong = 200.0
	barHigh = 13.0
)

// barDrawing draws a stick with its cuts; scale is points per inch. The offcut is dashed; a length stands on its piece where it fits.
func barDrawing(cuts []float64, long, offcut, scale float64, desc string) *draw.Drawing {
	d := &draw.Drawing{Title: desc, View: draw.Box{X0: -0.5, Y0: -0.5, X1: barLong + 0.5, Y1: barHigh + 0.5}}
	x, left := 0.0, long
	piece := func(v float64, label string, st draw.Style) {
		b := draw.Box{X0: x, Y0: 0, X1: x + v*scale, Y1: barHigh}
		d.Rect(b, st)
		if draw.Measure(label, draw.MinText, false)+4 <= b.W() {
			d.Text(draw.Text{At: draw.Point{X: (b.X0 + b.X1) / 2, Y: barHigh/2 + 2.6}, S: label, Anchor: draw.Middle})
		}
		x = b.X1
	}
	for _, cut := range cuts {
		piece(cut, typeset(cut), draw.Style{Pen: draw.Medium, Fill: draw.Faint})
		left -= cut
	}
	if offcut > 0 && left > 0 {
		piece(left, length.Inches(offcut).Typeset(), draw.Style{Pen: draw.Light, Ink: draw.Dark, Dash: []float64{3, 2}})
	}
	return d
}
