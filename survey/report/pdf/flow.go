package pdf

import (
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// The frame of a page: margins of 14 mm, and the room of the running foot above the lower one.
const (
	margin   = 14 * 72 / 25.4
	footRoom = 20
	measure  = 440 // running text is no wider
)

// flow puts blocks on pages from top to bottom.
type flow struct {
	doc     document.Document
	paper   paperSize
	known   places
	found   places
	to      Backend
	page    int
	wide    bool                        // the page is a whole sheet, landscape
	y       float64                     // where the next block begins
	listed  bool                        // the contents have been written
	held    []document.Heading          // headings that go on the sheet of paper that follows
	waiting []document.Figure           // sheets of paper that follow the page
	pairs   map[*document.Photo]float64 // the heights of photos that share the page of the photo before
	again   func()                      // writes the head of a table on a new page
}

func (f *flow) left() float64   { return margin }
func (f *flow) width() float64  { return f.paper.W - 2*margin }
func (f *flow) right() float64  { return f.paper.W - margin }
func (f *flow) bottom() float64 { return f.paper.H - margin - footRoom }
func (f *flow) room() float64   { return f.bottom() - f.y }
func (f *flow) full() float64   { return f.bottom() - margin }
func (f *flow) fresh() bool     { return f.y <= margin+0.01 }

// newPage begins an upright page, after the sheets that wait; a table is not torn by them.
func (f *flow) newPage() {
	if f.again == nil {
		f.flush()
	}
	f.start(f.paper.W, f.paper.H, false)
	if f.again != nil {
		f.again()
	}
}

func (f *flow) start(w, h float64, wide bool) {
	if f.page > 0 {
		f.foot()
	}
	f.to.AddPage(w, h)
	f.page, f.wide, f.y = f.page+1, wide, margin
}

// need begins a new page unless h points are left on this one.
func (f *flow) need(h float64) {
	if f.wide || !f.fresh() && h > f.room() {
		f.newPage()
	}
}

// gap leaves h points free, except at the top of a page.
func (f *flow) gap(h float64) {
	if !f.fresh() {
		f.y += h
	}
}

// blocks paints all blocks in order; a heading is told what follows, to stay with it.
func (f *flow) blocks(list []document.Block) {
	for i := 0; i < len(list); i++ {
		b, next := list[i], list[i+1:]
		switch {
		case b.Heading != nil:
			f.heading(*b.Heading, next)
		case b.Text != nil:
			f.text(*b.Text, next)
		case b.List != nil:
			f.list(*b.List)
		case b.Facts != nil:
			f.facts(*b.Facts)
		case b.Table != nil:
			f.table(*b.Table)
		case b.Caution != nil:
			f.caution(*b.Caution)
		case b.Figure != nil:
			f.figure(*b.Figure)
		case b.Photo != nil:
			i += f.photos(b.Photo, next)
		case b.Sign != nil:
			f.sign(*b.Sign)
		case b.Break != nil:
			if !f.fresh() && !f.wide {
				f.newPage()
			}
		}
	}
}

// mark remembers where an ID stands.
func (f *flow) mark(id string, y float64) {
	if _, taken := f.found.targets[id]; id != "" && !taken {
		f.found.targets[id] = spot{f.page, max(y-6, 0)}
	}
}

// rule draws a line across, as an artifact.
func (f *flow) rule(x0, x1, y float64, pen draw.Pen, ink draw.Color) {
	f.to.Begin(tagArtifact, "")
	f.to.Path(draw.Path{Chains: [][]draw.Point{{{X: x0, Y: y}, {X: x1, Y: y}}}, Style: draw.Style{Pen: pen, Ink: ink}})
	f.to.End()
}

// lines writes lines below each other from y, in what is open; more tells that the text goes on after the last one. It returns where they end.
func (f *flow) lines(lines []textLine, x, y float64, more bool) float64 {
	for i, l := range lines {
		f.line(l, x, y, more || i < len(lines)-1)
		y += l.face.lead
	}
	return y
}

// line writes one line; one that goes on ends with a space, so that a reader does not join the words.
func (f *flow) line(l textLine, x, y float64, more bool) {
	base := y + (l.face.lead+l.face.size*0.72)/2
	for i, p := range l.pieces {
		ink := l.face.ink
		if p.soft {
			ink = inkSoft
		}
		to, leads := f.known.targets[p.to]
		if leads {
			ink = inkLink
			f.to.Begin(tagLink, "")
			f.to.Link(draw.Box{X0: x, Y0: y, X1: x + p.w, Y1: y + l.face.lead}, to)
		}
		s := p.s
		if more && i == len(l.pieces)-1 {
			s += " "
		}
		f.to.Text(draw.Text{At: draw.Point{X: x, Y: base}, S: s, Size: l.face.size, Bold: p.bold, Ink: ink, Width: p.w})
		if leads {
			f.to.Path(draw.Path{Chains: [][]draw.Point{{{X: x, Y: base + 1.6}, {X: x + p.w, Y: base + 1.6}}}, Style: draw.Style{Pen: draw.Thin, Ink: inkLink}})
			f.to.End()
		}
		x += p.w
	}
}

// paragraph writes lines that may go on over pages: never one alone at the foot of a page or at the head of the next.
func (f *flow) paragraph(lines []textLine, x float64) {
	for len(lines) > 0 {
		n := fitting(lines, f.room())
		if n < len(lines) {
			if n == len(lines)-1 {
				n--
			}
			if n < 2 && !f.fresh() {
				n = 0
			}
			if n <= 0 {
				if f.fresh() {
					n = 1
				} else {
					f.newPage()
					continue
				}
			}
		}
		f.y = f.lines(lines[:n], x, f.y, n < len(lines))
		lines = lines[n:]
	}
}

// fitting is how many lines fit into h points.
func fitting(lines []textLine, h float64) int {
	for i, l := range lines {
		if h -= l.face.lead; h < -0.01 {
			return i
		}
	}
	return len(lines)
}
