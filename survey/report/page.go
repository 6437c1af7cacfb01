package report

import (
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// Page is a document for a template, on a page and in a file alike: its blocks by section, its drawings as shapes. Paper is "letter" or "a4".
type Page struct {
	document.Document
	Paper    string
	Cover    []PagePart // what stands before the first section
	Sections []PageSection
	AskHref  string // where one asks about a section, whose id follows it; empty where nobody can
}

// PageSection is a numbered section with its parts.
type PageSection struct {
	document.Heading
	Parts []PagePart
}

// PagePart is a block with what a template needs besides. Src is the address of a photo's picture, empty when there is none. Drawn and Narrow are a
// figure for a wide and a narrow screen, Over what lies over a photo, Rows the rows of a table.
type PagePart struct {
	document.Block
	Src                 string
	Drawn, Narrow, Over *Drawn
	Rows                []PageRow
}

// PageRow is a row of a table. Sum marks a total, Head one that heads the rows after it.
type PageRow struct {
	ID        string
	Sum, Head bool
	Cells     []PageCell
}

// PageCell is a cell with the head of its column.
type PageCell struct {
	document.Column
	Lines []document.Line
	Drawn *Drawn
}

// NewPage prepares a document for the template. src gives the address of a picture by its SHA-256.
func NewPage(doc document.Document, paper string, src func(sha256 string) string) Page {
	p := Page{Document: doc, Paper: paper}
	for _, b := range doc.Blocks {
		if h := b.Heading; h != nil && h.Level == 2 {
			p.Sections = append(p.Sections, PageSection{Heading: *h})
			continue
		}
		part := newPart(b, src)
		if n := len(p.Sections); n > 0 {
			p.Sections[n-1].Parts = append(p.Sections[n-1].Parts, part)
		} else {
			p.Cover = append(p.Cover, part)
		}
	}
	return p
}

func newPart(b document.Block, src func(string) string) PagePart {
	part := PagePart{Block: b}
	switch {
	case b.Figure != nil:
		part.Drawn, part.Narrow = drawn(b.Figure.Drawing), drawn(b.Figure.Narrow)
	case b.Photo != nil && b.Photo.SHA256 != "":
		part.Src, part.Over = src(b.Photo.SHA256), overPhoto(b.Photo.Over)
	case b.Table != nil:
		for i, r := range b.Table.Rows {
			part.Rows = append(part.Rows, newRow(*b.Table, r, b.Table.Total && i == len(b.Table.Rows)-1))
		}
	}
	return part
}

// overPhoto is a drawing that keeps its own colours in the dark too.
func overPhoto(d *draw.Drawing) *Drawn {
	out := drawn(d)
	if out != nil {
		out.Over = true
	}
	return out
}

// newRow is a row; one with nothing but its first cell heads those after it.
func newRow(t document.Table, r document.Row, sum bool) PageRow {
	row := PageRow{ID: r.ID, Sum: sum, Head: len(r.Cells) > 2}
	for i, k := range r.Cells {
		row.Cells = append(row.Cells, PageCell{Column: t.Columns[i], Lines: k.Lines, Drawn: drawn(k.Drawing)})
		if i > 0 && len(k.Lines) > 0 || k.Drawing != nil {
			row.Head = false
		}
	}
	return row
}
