package pdf

import (
	"strconv"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// leadsIn tells whether a text is bold from its first to its last word: it heads what follows.
func leadsIn(t document.Text) bool {
	for _, s := range t.Line {
		if !s.Bold {
			return false
		}
	}
	return len(t.Line) > 0
}

// text writes one paragraph; one that heads what follows stays with it.
func (f *flow) text(t document.Text, next []document.Block) {
	fc := faceBody
	switch t.Style {
	case document.Lead:
		fc = faceLead
	case document.Small:
		fc = faceSoft
	}
	lines := set(t.Line, fc, min(f.width(), measure))
	if len(lines) == 0 {
		return
	}
	h := heightOf(lines[:min(len(lines), 2)])
	if leadsIn(t) && len(next) > 0 {
		f.gap(3)
		h += f.least(next) + 5
	}
	f.need(min(h, f.full()))
	f.to.Begin(tagP, "")
	f.paragraph(lines, f.left())
	f.to.End()
	f.y += 5
}

// listIndent is the room of an item's mark.
const listIndent = 17

// list writes a list with dots, numbers or boxes to tick.
func (f *flow) list(l document.List) {
	f.to.Begin(tagList, "")
	defer f.to.End()
	for i, item := range l.Items {
		lines := set(item, faceBody, min(f.width(), measure)-listIndent)
		if len(lines) == 0 {
			continue
		}
		f.need(heightOf(lines[:min(len(lines), 3)]))
		f.to.Begin(tagItem, "")
		f.marker(l, i)
		f.to.Begin(tagBody, "")
		f.paragraph(lines, f.left()+listIndent)
		f.to.End()
		f.to.End()
		f.y += 2.5
	}
	f.y += 4
}

// marker writes what stands before an item of a list.
func (f *flow) marker(l document.List, i int) {
	if l.Boxes {
		f.to.Begin(tagArtifact, "")
		f.to.Path(draw.Path{Chains: [][]draw.Point{draw.Centered(draw.Point{X: f.left() + 5, Y: f.y + faceBody.lead/2}, 8.5, 8.5).Corners()}, Closed: true, Style: draw.Style{Pen: draw.Medium, Ink: inkText}})
		f.to.End()
		return
	}
	text := "•"
	if l.Ordered {
		text = strconv.Itoa(i+1) + "."
	}
	f.to.Begin(tagLabel, "")
	f.line(plain(text, faceBody.soft(), 40)[0], f.left(), f.y, true)
	f.to.End()
}

// nameShare is the part of the width that the names of facts have.
const nameShare = 0.24

// fact sets a name and its value; the first line of a value is larger than those below it.
func (f *flow) fact(fact document.Fact) (name, value []textLine) {
	nameW := f.width() * nameShare
	for n, line := range fact.Value {
		fc := faceBody
		if n > 0 {
			fc = faceSmall
		}
		value = append(value, set(line, fc, f.width()-nameW)...)
	}
	return plain(fact.Name, faceBody.soft(), nameW-10), value
}

// facts writes names and what is known of each, side by side, with a fine rule between them.
func (f *flow) facts(facts document.Facts) {
	f.to.Begin(tagList, "")
	defer f.to.End()
	for i, fact := range facts.Items {
		name, value := f.fact(fact)
		h := max(heightOf(name), heightOf(value))
		if i > 0 && !f.fresh() && h+5 <= f.room() {
			f.rule(f.left(), f.right(), f.y, draw.Thin, inkRule)
		}
		f.y += 2.5
		if h > f.full()-20 {
			h = 4 * faceBody.lead
		}
		f.need(h)
		f.to.Begin(tagItem, "")
		f.to.Begin(tagLabel, "")
		page, end := f.page, f.lines(name, f.left(), f.y, true)
		f.to.End()
		f.to.Begin(tagBody, "")
		f.paragraph(value, f.left()+f.width()*nameShare)
		f.to.End()
		f.to.End()
		if f.page == page {
			f.y = max(f.y, end)
		}
		f.y += 2.5
	}
	f.y += 5
}

// The room inside the frame of a place to sign, and of each row of lines.
const pad, lineH = 12, 48

// signHeight is the height of a place to sign.
func signHeight(s document.Sign, width float64) float64 {
	return heightOf(set(s.Text, faceBody, width-2*pad)) + float64((len(s.Lines)+2)/3)*lineH + 2*pad
}

// sign writes the place to sign, framed and whole.
func (f *flow) sign(s document.Sign) {
	text := set(s.Text, faceBody, f.width()-2*pad)
	rows := (len(s.Lines) + 2) / 3
	f.gap(8)
	f.need(signHeight(s, f.width()))
	top := f.y
	f.y += pad
	f.to.Begin(tagDiv, "")
	f.to.Begin(tagP, "")
	f.paragraph(text, f.left()+pad)
	f.to.End()
	for i, word := range s.Lines {
		n := min(len(s.Lines)-i/3*3, 3)
		w := (f.width() - 2*pad - 14*float64(n-1)) / float64(n)
		x, y := f.left()+pad+float64(i%3)*(w+14), f.y+float64(i/3+1)*lineH-12
		f.rule(x, x+w, y, draw.Medium, inkText)
		f.to.Begin(tagP, "")
		f.lines(plain(draw.Fit(word, w, faceSoft.size, false), faceSoft, w+1), x, y+1, false)
		f.to.End()
	}
	f.to.End()
	f.y += float64(rows)*lineH + pad
	if top < f.y {
		f.to.Begin(tagArtifact, "")
		f.to.Path(draw.Path{Chains: [][]draw.Point{draw.Box{X0: f.left(), Y0: top, X1: f.right(), Y1: f.y}.Corners()}, Closed: true, Style: draw.Style{Pen: draw.Heavy, Ink: inkText}})
		f.to.End()
	}
	f.y += 8
}
