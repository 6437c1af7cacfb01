package pdf

import (
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// sheetW and sheetH are the frame of a whole sheet of paper, to scale and centred.
const sheetW, sheetH = 738, 540

// figure writes a drawing in the column, or a whole sheet on a page of its own at 100 %. A sheet without a heading of its own waits until the page
// before it is full, so that no half page is left white.
func (f *flow) figure(fig document.Figure) {
	if fig.Drawing == nil {
		return
	}
	if fig.Sheet {
		if len(f.held) == 0 && !f.wide {
			f.waiting = append(f.waiting, fig)
			return
		}
		held := f.held
		f.held = nil
		f.flush()
		f.held = held
		f.sheet(fig)
		return
	}
	scale := f.figureScale(fig.Drawing)
	caption := set(fig.Caption, faceSoft, min(f.width(), measure))
	h := fig.Drawing.View.H() * scale
	f.gap(4)
	f.need(h + heightOf(caption) + 3)
	f.mark(fig.ID, f.y)
	f.to.Begin(tagFigure, fig.Alt)
	f.to.Drawing(fig.Drawing, draw.Point{X: f.left(), Y: f.y}, scale)
	f.to.End()
	f.y += h + 3
	f.caption(caption, f.left())
	f.y += 6
}

// figureScale makes a drawing as small as the column asks for, never larger than it is.
func (f *flow) figureScale(d *draw.Drawing) float64 {
	if d.View.W() <= 0 || d.View.H() <= 0 {
		return 1
	}
	return min(1, f.width()/d.View.W(), (f.full()-60)/d.View.H())
}

// flush writes the sheets that wait, outside of whatever text goes on after them.
func (f *flow) flush() {
	waiting := f.waiting
	f.waiting = nil
	for _, fig := range waiting {
		f.to.Apart(func() { f.sheet(fig) })
	}
}

// sheet writes a whole sheet with the headings that were kept for it, in the margin above the frame.
func (f *flow) sheet(fig document.Figure) {
	f.start(f.paper.H, f.paper.W, true)
	x, y := (f.paper.H-sheetW)/2, (f.paper.W-sheetH)/2
	f.y = y - 17
	at := x
	for _, h := range f.held {
		f.enter(h)
		f.to.Begin([...]Tag{tagH1, tagH1, tagH2, tagH3}[min(max(h.Level, 0), 3)], "")
		for _, l := range plain(draw.Fit(joined(h.Number, h.Text), sheetW/float64(len(f.held)+1), 9, true), face{9, 12, true, inkText}, sheetW) {
			f.line(l, at, f.y, false)
			at += l.w + 16
		}
		f.to.End()
	}
	f.held = nil
	f.mark(fig.ID, 0)
	if caption := set(fig.Caption, faceSoft, x+sheetW-at); len(caption) > 0 {
		f.caption(caption[:1], x+sheetW-caption[0].w)
	}
	f.to.Begin(tagFigure, fig.Alt)
	v := fig.Drawing.View
	f.to.Drawing(fig.Drawing, draw.Point{X: x + (sheetW-v.W())/2, Y: y + (sheetH-v.H())/2}, 1)
	f.to.End()
}

func (f *flow) caption(lines []textLine, x float64) {
	if len(lines) == 0 {
		return
	}
	f.to.Begin(tagP, "")
	f.y = f.lines(lines, x, f.y, false)
	f.to.End()
}
