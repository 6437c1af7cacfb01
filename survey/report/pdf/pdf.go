// Package pdf paints a document on paper: pages, contents with page numbers, running feet, vector drawings, the photos' own JPEG bytes, subset fonts, and
// the structure that a screen reader needs. It adds no words of its own, and the same document always gives the same bytes.
//
// A document is laid out up to three times: on nothing, to count its pages; on nothing with its contents, when it is long, to number them; and on paper.
//
// Units are points (1/72 in), x to the right, y down, the origin at the top left of a page.
package pdf

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"undercroft/survey/report/document"
)

// Paper is a size of paper, by its name in addresses and commands.
type Paper string

// The papers: 8 1/2 x 11 in, and 210 x 297 mm (ISO 216).
const (
	Letter Paper = "letter"
	A4     Paper = "a4"
)

// paperSize is the size of an upright page, in points.
type paperSize struct{ W, H float64 }

// size is the size of a paper; ok is false for a paper that is not known.
func (p Paper) size() (size paperSize, ok bool) {
	switch p {
	case Letter:
		return paperSize{612, 792}, true
	case A4:
		return paperSize{595.28, 841.89}, true
	}
	return paperSize{}, false
}

// ErrEmpty is the error for a document without blocks: there is nothing to print.
var ErrEmpty = errors.New("the document is empty")

// contentsFrom is the number of pages from which a document gets contents.
const contentsFrom = 5

// Write writes a document as PDF 1.7. images gives the bytes of a photo, an upright JPEG, by its SHA-256; each photo is asked for once and stands in the file as it
// is. Errors: ErrEmpty; an unknown paper; a photo that cannot be opened or is no JPEG; a table row with more or fewer cells than columns; what w reports.
func Write(w io.Writer, doc document.Document, paper Paper, images func(sha256 string) ([]byte, error)) error {
	if len(doc.Blocks) == 0 {
		return ErrEmpty
	}
	if err := check(doc); err != nil {
		return err
	}
	size, ok := paper.size()
	if !ok {
		return fmt.Errorf("there is no paper %q: it is %q or %q", string(paper), Letter, A4)
	}
	out := newFile(doc, images)
	layOut(doc, size, planned(doc, size), out)
	if err := out.write(w); err != nil {
		return fmt.Errorf("write PDF of %q: %w", doc.Title, err)
	}
	return nil
}

// planned lays a document out on nothing, once to count its pages and, when they are many, once more with its contents.
func planned(doc document.Document, paper paperSize) places {
	plan := layOut(doc, paper, places{}, nothing{})
	if plan.pages >= contentsFrom && len(plan.entries) > 1 {
		return layOut(doc, paper, plan, nothing{})
	}
	plan.entries = nil
	return plan
}

// check refuses what has no meaning on any paper.
func check(doc document.Document) error {
	for n, b := range doc.Blocks {
		if b.Table == nil {
			continue
		}
		if len(b.Table.Columns) == 0 {
			return fmt.Errorf("block %d: a table without columns", n+1)
		}
		for i, row := range b.Table.Rows {
			if len(row.Cells) != len(b.Table.Columns) {
				return fmt.Errorf("block %d: row %d of the table has %d cells for %d columns", n+1, i+1, len(row.Cells), len(b.Table.Columns))
			}
		}
	}
	return nil
}

// places is what a layout found out: how many pages there are, what the contents list, and where what is linked to stands.
type places struct {
	pages   int
	entries []entry
	targets map[string]spot
}

// entry is one line of the contents.
type entry struct {
	level  int
	number string
	text   string
	id     string
	page   int
}

// spot is a height on a page; pages count from 1.
type spot struct {
	page int
	y    float64
}

// layOut paints the whole document on a backend. known is what an earlier layout found: its entries become the contents, its pages the total.
func layOut(doc document.Document, paper paperSize, known places, to Backend) places {
	f := &flow{doc: doc, paper: paper, known: known, to: to, found: places{targets: map[string]spot{}}, pairs: map[*document.Photo]float64{}, wide: true}
	f.blocks(doc.Blocks)
	f.flush()
	if f.page == 0 {
		f.newPage()
	}
	f.foot()
	f.found.pages = f.page
	return f.found
}

// fill puts the numbers into the label "page {n} of {all}".
func fill(label string, n, all int) string {
	return strings.NewReplacer("{n}", fmt.Sprint(n), "{all}", fmt.Sprint(all)).Replace(label)
}
