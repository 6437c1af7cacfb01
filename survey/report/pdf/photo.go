package pdf

import (
	"slices"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// How high a photo is in points: by itself; where it is made smaller so that two stand on a page with what is said of them; and in a row of two.
const (
	photoHigh = 292
	photoLow  = 200
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

// single sets a photo that stands by itself. Where it and the next photo, each with its heading and what is said of it, fit on one page once both are a
// little smaller, they are made so.
func (f *flow) single(p *document.Photo, next []document.Block) photoFit {
	high, paired := f.pairs[p]
	if !paired {
		high = f.shared(p, next)
	}
	return f.fit(*p, f.width(), high)
}

// shared is the height of a photo that shares its page with the next one, which it decides for both; photoHigh where that leaves them too small.
func (f *flow) shared(p *document.Photo, next []document.Block) float64 {
	if len(next) < 4 || next[1].Heading == nil || next[1].Heading.Level < 3 || next[2].Photo == nil {
		return photoHigh
	}
	around := 0.0
	for _, unit := range []struct {
		p    *document.Photo
		next []document.Block
	}{{p, next}, {next[2].Photo, next[3:]}} {
		said, ok := f.saidOf(unit.next)
		fit := f.fit(*unit.p, f.width(), photoHigh)
		if !ok || fit.h == 0 {
			return photoHigh
		}
		around += 12 + facePart.lead + 2 + 4 + fit.height() - fit.h + 7 + said
	}
	high := min((f.full()-around)/2, photoHigh)
	if high < photoLow {
		return photoHigh
	}
	f.pairs[next[2].Photo] = high
	return high
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
func (f *flow) photos(p *document.Photo, next []document.Block) int {
	rows := f.rows(*p, next)
	if rows == nil {
		fit, top := f.single(p, next), f.y <= margin+2*facePart.lead
		if !top && len(next) > 2 { // the next photo begins a page of its own
			delete(f.pairs, next[2].Photo)
		}
		f.photo(fit)
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
func (f *flow) leastPhoto(p *document.Photo, next []document.Block) float64 {
	if rows := f.rows(*p, next); rows != nil {
		return 4 + tallest(rows[0])
	}
	h := 4 + f.single(p, next).height() + 7
	if len(next) > 0 && next[0].Table != nil {
		h += 4 + f.newTable(*next[0].Table).first()
	}
	return min(h, f.full()-60)
}
