package pdf

import (
	"slices"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// How high a photo is in points: by itself; where it is made smaller so that two stand on a page with what is said of them; and in a row of two.
const (
	photoHigh = 292
	photoLow  = 216
	rowHigh   = 214
	rowGap    = 14 // between two in a row
)

// photoFit is a photo that is set: its size, and the lines below it, or those that say why there is no picture.
type photoFit struct {
	document.Photo
	w, h    float64
	problem []textLine
	caption []textLine
}

// height is the room of a photo with what is below it.
func (p photoFit) height() float64 {
	h := p.h + heightOf(p.problem) + heightOf(p.caption)
	if p.h > 0 {
		h += 2
	}
	return h
}

// fit sets a photo as large as a box allows.
func (f *flow) fit(p document.Photo, wide, high float64) photoFit {
	out := photoFit{Photo: p, caption: set(p.Caption, faceSoft, min(wide, measure))}
	if p.SHA256 == "" || p.Width <= 0 || p.Height <= 0 {
		out.problem = plain(p.Problem, faceBody.soft(), min(wide, measure))
		return out
	}
	scale := min(wide/float64(p.Width), high/float64(p.Height))
	out.w, out.h = float64(p.Width)*scale, float64(p.Height)*scale
	return out
}

// single sets a photo that stands by itself. Where it takes no more than half a page with its heading and what is said of it, once it is a little smaller,
// it is made so.
func (f *flow) single(p document.Photo, next []document.Block) photoFit {
	out := f.fit(p, f.width(), photoHigh)
	if out.h == 0 {
		return out
	}
	below, ok := f.saidOf(next)
	high := f.full()/2 - (12 + facePart.lead + 2) - 4 - (out.height() - out.h) - 7 - below
	if !ok || high < photoLow || high >= out.h {
		return out
	}
	return f.fit(p, f.width(), high)
}

// saidOf is the height of the table or the remark that follows a photo; false when something else does.
func (f *flow) saidOf(next []document.Block) (h float64, ok bool) {
	if len(next) == 0 {
		return 0, false
	}
	switch b := next[0]; {
	case b.Table != nil:
		t := f.newTable(*b.Table)
		h = 4 + rowHeight(t.head) + heightOf(set(b.Table.Caption, faceSoft, min(f.width(), measure))) + 10
		for i := range b.Table.Rows {
			h += rowHeight(t.set(i))
		}
		return h, true
	case b.Text != nil && b.Text.Style == document.Small:
		return heightOf(set(b.Text.Line, faceSoft, min(f.width(), measure))) + 5, true
	}
	return 0, false
}

// rows are photos that follow each other, set two in a row; nil for one that stands by itself, or with lines below it that would not fit on a page.
func (f *flow) rows(p document.Photo, next []document.Block) [][]photoFit {
	wide := (f.width() - rowGap) / 2
	all := []photoFit{f.fit(p, wide, rowHigh)}
	for i := 0; i < len(next) && next[i].Photo != nil; i++ {
		all = append(all, f.fit(*next[i].Photo, wide, rowHigh))
	}
	if len(all) == 1 || slices.ContainsFunc(all, func(p photoFit) bool { return p.height() > f.full() }) {
		return nil
	}
	return slices.Collect(slices.Chunk(all, 2))
}

// tallest is the height of a row.
func tallest(row []photoFit) float64 {
	h := 0.0
	for _, p := range row {
		h = max(h, p.height())
	}
	return h
}

// photos writes a photo, or it and all that follow it in rows of two, and returns how many of those that follow were written.
func (f *flow) photos(p document.Photo, next []document.Block) int {
	rows := f.rows(p, next)
	if rows == nil {
		f.photo(f.single(p, next))
		return 0
	}
	written := -1
	for _, row := range rows {
		f.gap(4)
		f.need(tallest(row))
		x, y := f.left(), f.y
		for _, p := range row {
			f.picture(p, x, y)
			f.below(p, x, y)
			x += (f.width() + rowGap) / 2
		}
		f.y += tallest(row) + 9
		written += len(row)
	}
	return written
}

// photo writes a photo by itself.
func (f *flow) photo(p photoFit) {
	f.gap(4)
	f.need(min(p.height()+2, f.full()))
	f.picture(p, f.left(), f.y)
	if p.h > 0 {
		f.y += p.h + 2
	}
	for _, lines := range [][]textLine{p.problem, p.caption} {
		if len(lines) > 0 {
			f.to.Begin(tagP, "")
			f.paragraph(lines, f.left())
			f.to.End()
		}
	}
	f.y += 7
}

// picture paints a photo with what lies over it.
func (f *flow) picture(p photoFit, x, y float64) {
	f.mark(p.ID, y)
	if p.h == 0 {
		return
	}
	f.to.Begin(tagFigure, p.Alt)
	f.to.Image(p.SHA256, draw.Box{X0: x, Y0: y, X1: x + p.w, Y1: y + p.h})
	if p.Over != nil && p.Over.View.W() > 0 {
		f.to.Drawing(p.Over, draw.Point{X: x, Y: y}, p.w/p.Over.View.W())
	}
	f.to.End()
}

// below writes the lines below a photo of a row.
func (f *flow) below(p photoFit, x, y float64) {
	if p.h > 0 {
		y += p.h + 2
	}
	for _, lines := range [][]textLine{p.problem, p.caption} {
		if len(lines) > 0 {
			f.to.Begin(tagP, "")
			y = f.lines(lines, x, y, false)
			f.to.End()
		}
	}
}

// leastPhoto is how much must stand with a heading above a photo: the photo, and the begin of the table about it.
func (f *flow) leastPhoto(p document.Photo, next []document.Block) float64 {
	if rows := f.rows(p, next); rows != nil {
		return 4 + tallest(rows[0])
	}
	h := 4 + f.single(p, next).height() + 9
	if len(next) > 0 && next[0].Table != nil {
		h += 4 + f.newTable(*next[0].Table).first()
	}
	return min(h, f.full()-60)
}
