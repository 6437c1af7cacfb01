package pdf

import (
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// cellGap stands between columns, cellPad above and below a row.
const (
	cellGap = 10
	cellPad = 2.6
)

// table is a table on its way to the paper: where its columns stand, and its head.
type table struct {
	f    *flow
	t    document.Table
	x, w []float64
	head []cell
}

// cell is a cell as it is set: lines, or a drawing at a scale.
type cell struct {
	lines []textLine
	dr    *draw.Drawing
	scale float64
}

func (c cell) height() float64 {
	if c.dr != nil {
		return c.dr.View.H() * c.scale
	}
	return heightOf(c.lines)
}

func rowHeight(cells []cell) float64 {
	h := 0.0
	for _, c := range cells {
		h = max(h, c.height())
	}
	return h + 2*cellPad
}

// table writes a table without boxes: its head again on every page, a rule below each row, its first two and its last two rows together with head and
// caption.
func (f *flow) table(doc document.Table) {
	f.gap(4)
	f.need(0)
	t := f.newTable(doc)
	f.need(min(t.first(), f.full()))
	rows := make([][]cell, len(doc.Rows))
	for i := range doc.Rows {
		rows[i] = t.set(i)
	}
	caption := set(doc.Caption, faceSoft, min(f.width(), measure))
	f.to.Begin(tagTable, "")
	t.writeHead(tagRow)
	f.again = t.repeat
	for i, row := range rows {
		t.row(i, row, t.with(rows, i, heightOf(caption)))
	}
	f.again = nil
	f.to.End()
	f.y += 3
	if len(caption) > 0 {
		f.to.Begin(tagP, "")
		f.paragraph(caption, f.left())
		f.to.End()
	}
	f.y += 7
}

// newTable sets the head of a table and finds where its columns stand.
func (f *flow) newTable(doc document.Table) *table {
	t := &table{f: f, t: doc, w: columnWidths(doc, f.width())}
	x := f.left()
	for i, w := range t.w {
		t.x = append(t.x, x)
		x += w
		t.head = append(t.head, cell{lines: plain(doc.Columns[i].Head, faceHead, w-cellGap)})
	}
	return t
}

// first is the height of what must stand together at a table's begin: its head and two rows, or one with the caption.
func (t *table) first() float64 {
	h, caption := rowHeight(t.head), min(heightOf(set(t.t.Caption, faceSoft, min(t.f.width(), measure))), 60)+3
	n := min(len(t.t.Rows), 2)
	for i := range n {
		h += rowHeight(t.set(i))
	}
	if len(t.t.Rows) <= 3 {
		h += caption
	}
	if len(t.t.Rows) == 3 {
		h += rowHeight(t.set(2))
	}
	return h
}

// with is the height that must be left for a row: the last two stay together, and with the caption.
func (t *table) with(rows [][]cell, i int, caption float64) float64 {
	h := rowHeight(rows[i])
	switch {
	case i == len(rows)-1:
		h += min(caption, 60) + 3
	case i == len(rows)-2 || heads(rows[i]):
		h += rowHeight(rows[i+1])
		if i == len(rows)-2 {
			h += min(caption, 60) + 3
		}
	}
	return h
}

// heads tells whether a row heads those after it: nothing stands in it but its first cell.
func heads(row []cell) bool {
	for k, c := range row {
		if k > 0 && (len(c.lines) > 0 || c.dr != nil) {
			return false
		}
	}
	return len(row) > 2
}

// set sets the cells of a row; the first line of a cell is larger than those below it, and a total is bold.
func (t *table) set(i int) []cell {
	total := t.t.Total && i == len(t.t.Rows)-1
	cells := make([]cell, len(t.t.Columns))
	for k, in := range t.t.Rows[i].Cells {
		w := t.w[k] - cellGap
		if in.Drawing != nil {
			if v := in.Drawing.View; v.W() > 0 && v.H() > 0 {
				cells[k] = cell{dr: in.Drawing, scale: min(1, w/v.W(), t.f.full()/2/v.H())}
			}
			continue
		}
		for n, line := range in.Lines {
			fc := faceTable
			if n > 0 {
				fc = faceSmall
			}
			fc.bold = total
			cells[k].lines = append(cells[k].lines, set(line, fc, w)...)
		}
	}
	return cells
}

// repeat writes the head again on a new page, as an artifact, with the word that says so.
func (t *table) repeat() {
	f := t.f
	if word := plain(f.doc.Labels.Continued, faceFoot, f.width()); len(word) > 0 {
		f.to.Begin(tagArtifact, "")
		f.line(word[0], f.right()-word[0].w, f.y, false)
		f.to.End()
		f.y += faceFoot.lead
	}
	t.writeHead(tagArtifact)
}

// writeHead writes the head row in the structure or as an artifact.
func (t *table) writeHead(tag Tag) {
	f := t.f
	f.to.Begin(tag, "")
	h := rowHeight(t.head)
	for k, c := range t.head {
		y := f.y + h - cellPad - c.height()
		if tag == tagRow {
			f.to.Begin(tagHead, "")
		}
		t.cellLines(k, c.lines, y)
		if tag == tagRow {
			f.to.End()
		}
	}
	f.to.End()
	f.y += h
	f.rule(t.x[0], t.end(), f.y, draw.Medium, inkEdge)
}

func (t *table) end() float64 { return t.x[len(t.x)-1] + t.w[len(t.w)-1] - cellGap }

func (t *table) cellLines(k int, lines []textLine, y float64) {
	for n, l := range lines {
		x := t.x[k]
		if t.t.Columns[k].Right {
			x += t.w[k] - cellGap - l.w
		}
		t.f.line(l, x, y, n < len(lines)-1)
		y += l.face.lead
	}
}

// row writes one row; one that is taller than a page goes on over as many as it takes.
func (t *table) row(i int, cells []cell, keep float64) {
	f := t.f
	headH := rowHeight(t.head) + faceFoot.lead
	if keep > f.room() {
		if keep > f.full()-headH {
			keep = rowHeight(cells)
		}
		if keep > f.room() && f.y > margin+headH+1 {
			f.newPage()
		}
	}
	if t.t.Total && i == len(t.t.Rows)-1 {
		f.rule(t.x[0], t.end(), f.y, draw.Heavy, inkText)
	}
	f.mark(t.t.Rows[i].ID, f.y)
	f.to.Begin(tagRow, "")
	defer f.to.End()
	for {
		part, rest, more := slice(cells, f.room()-2*cellPad)
		for k, c := range part {
			f.to.Begin(tagCell, "")
			if c.dr != nil {
				f.to.Begin(tagFigure, joined(c.dr.Title, c.dr.Desc))
				f.to.Drawing(c.dr, draw.Point{X: t.x[k], Y: f.y + cellPad}, c.scale)
				f.to.End()
			}
			t.cellLines(k, c.lines, f.y+cellPad)
			f.to.End()
		}
		f.y += rowHeight(part)
		if !more {
			break
		}
		f.newPage()
		cells = rest
	}
	f.rule(t.x[0], t.end(), f.y, draw.Thin, inkRule)
}

// slice cuts off as many lines of each cell as fit into h points, at least one.
func slice(cells []cell, h float64) (part, rest []cell, more bool) {
	part, rest = make([]cell, len(cells)), make([]cell, len(cells))
	for k, c := range cells {
		if c.dr != nil {
			part[k] = c
			continue
		}
		n := fitting(c.lines, h)
		if n == 0 && len(c.lines) > 0 {
			n = 1
		}
		part[k].lines, rest[k].lines = c.lines[:n], c.lines[n:]
		more = more || n < len(c.lines)
	}
	return part, rest, more
}

// columnWidths shares the width among the columns: each has what its widest word needs, then columns without a weight as much as their lines need, and the
// rest goes by weight. Where even the words do not fit, all are made narrower alike.
func columnWidths(t document.Table, width float64) []float64 {
	n := len(t.Columns)
	least, want := make([]float64, n), make([]float64, n)
	for k, c := range t.Columns {
		least[k] = widestWord(document.Line{{Text: c.Head}}, faceHead) + cellGap
		for i, row := range t.Rows {
			total := faceTable
			total.bold = t.Total && i == len(t.Rows)-1
			if d := row.Cells[k].Drawing; d != nil {
				least[k] = max(least[k], min(d.View.W(), 90)+cellGap)
				want[k] = max(want[k], d.View.W()+cellGap)
			}
			for _, line := range row.Cells[k].Lines {
				least[k] = max(least[k], widestWord(line, total)+cellGap)
				whole := cellGap + 0.0
				for _, span := range line {
					whole += draw.Measure(draw.Clean(span.Text), total.size, total.bold || span.Bold)
				}
				want[k] = max(want[k], whole)
			}
		}
	}
	sum, weights, extra := 0.0, 0.0, 0.0
	for k, c := range t.Columns {
		sum, weights = sum+least[k], weights+c.Weight
		if c.Weight <= 0 {
			extra += max(want[k]-least[k], 0)
		}
	}
	rest := width + cellGap - sum
	spread := min(extra, rest)
	if weights > 0 {
		spread = min(extra, rest/2)
	}
	for k, c := range t.Columns {
		switch {
		case rest < 0:
			least[k] *= (width + cellGap) / sum
		case c.Weight > 0:
			least[k] += c.Weight / weights * (rest - spread)
		case extra > 0:
			least[k] += max(want[k]-least[k], 0) * spread / extra
		}
	}
	return least
}
