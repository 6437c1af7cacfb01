package pdf

import (
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// sheetW and sheetH are the frame of a whole sheet of paper, to scale and centred.
const (
	sheetW, sheetH = 738, 540
	photoHigh      = 292 // two photos with their captions stand on a page
)

// figure writes a drawing in the column, or a whole sheet on a page of its own at 100 %.
func (f *flow) figure(fig document.Figure) {
	if fig.Drawing == nil {
		return
	}
	if fig.Sheet {
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

// photoBox is the room of a photo, its upper left corner at zero.
func (f *flow) photoBox(p document.Photo) draw.Box {
	if p.Width <= 0 || p.Height <= 0 || p.SHA256 == "" {
		return draw.Box{}
	}
	scale := min(f.width()/float64(p.Width), photoHigh/float64(p.Height))
	return draw.Box{X1: float64(p.Width) * scale, Y1: float64(p.Height) * scale}
}

// problem are the lines that say why there is no picture.
func (f *flow) problem(p document.Photo) []textLine {
	if p.SHA256 != "" {
		return nil
	}
	return plain(p.Problem, faceBody.soft(), min(f.width(), measure))
}

// photo writes a photo with what lies over it and its caption; no page has more than two.
func (f *flow) photo(p document.Photo) {
	size := f.photoBox(p)
	caption := set(p.Caption, faceSoft, min(f.width(), measure))
	problem := f.problem(p)
	f.gap(4)
	if f.photos == 2 {
		f.newPage()
	}
	f.need(min(size.H()+heightOf(problem)+heightOf(caption)+4, f.full()))
	f.mark(p.ID, f.y)
	if p.SHA256 == "" {
		f.to.Begin(tagP, "")
		f.paragraph(problem, f.left())
		f.to.End()
	} else {
		f.photos++
		box := draw.Box{X0: f.left(), Y0: f.y, X1: f.left() + size.W(), Y1: f.y + size.H()}
		f.to.Begin(tagFigure, p.Alt)
		f.to.Image(p.SHA256, box)
		if p.Over != nil && p.Over.View.W() > 0 {
			f.to.Drawing(p.Over, draw.Point{X: box.X0, Y: box.Y0}, box.W()/p.Over.View.W())
		}
		f.to.End()
		f.y = box.Y1 + 2
	}
	if len(caption) > 0 {
		f.to.Begin(tagP, "")
		f.paragraph(caption, f.left())
		f.to.End()
	}
	f.y += 7
}
