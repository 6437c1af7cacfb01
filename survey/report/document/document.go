// Package document is what a report says to one reader in one language, on its way to a page: a list of blocks in reading order. The
// report writes it once from its model; HTML and PDF are painted from it and add no words of their own. It is plain data, so that an
// issued revision can keep it: the same document is printed the same for ever.
package document

import "undercroft/survey/report/draw"

// Reader is for whom a document is written.
type Reader string

// The readers: who builds, who pays, who keeps everything.
const (
	Crew   Reader = "crew"
	Scope  Reader = "scope"
	Survey Reader = "survey"
)

// Document is one report for one reader. Every text in it is ready to print: translated, typeset and clean. Lang is "en" or "es".
type Document struct {
	Reader   Reader  `json:"reader"`
	Lang     string  `json:"lang"`
	Metric   bool    `json:"metric,omitempty"` // a metric length stands beside every other
	Title    string  `json:"title"`            // "Scope of work"
	House    string  `json:"house"`            // the survey's title, for running heads
	Issue    string  `json:"issue"`            // "Revision 3 · 4 Jun 2026", or that it is a draft and of when
	Print    string  `json:"print"`            // the revision's fingerprint as it is printed, empty for a draft
	Labels   Labels  `json:"labels"`           // the words that the painters need for themselves
	Blocks   []Block `json:"blocks"`           // in reading order
	Internal bool    `json:"internal"`         // true where something in it is not for the homeowner
}

// Labels are words of the frame round the blocks, in the document's language.
type Labels struct {
	Contents  string `json:"contents"`
	PageOf    string `json:"page_of"`   // "page {n} of {all}"
	Continued string `json:"continued"` // beside a head that stands again on the next page
}

// Block is one part of a document: exactly one of its fields is not nil.
type Block struct {
	Heading *Heading `json:"heading,omitempty"`
	Text    *Text    `json:"text,omitempty"`
	List    *List    `json:"list,omitempty"`
	Facts   *Facts   `json:"facts,omitempty"`
	Table   *Table   `json:"table,omitempty"`
	Caution *Caution `json:"caution,omitempty"`
	Figure  *Figure  `json:"figure,omitempty"`
	Photo   *Photo   `json:"photo,omitempty"`
	Sign    *Sign    `json:"sign,omitempty"`
	Break   *Break   `json:"break,omitempty"`
}

// Heading opens a part: level 1 is the document's title and stands once, 2 a numbered section, 3 a part of it. ID is the target of
// links, unique in the document.
type Heading struct {
	Level  int    `json:"level"`
	Number string `json:"number,omitempty"`
	Text   string `json:"text"`
	Aside  string `json:"aside,omitempty"` // small, at the right
	ID     string `json:"id"`
}

// Line is one line or paragraph of text, made of spans.
type Line []Span

// Span is text of one style. To is the ID of a block that it leads to, empty for none; no span leads outside the document.
type Span struct {
	Text string `json:"text"`
	Bold bool   `json:"bold,omitempty"`
	Soft bool   `json:"soft,omitempty"`
	To   string `json:"to,omitempty"`
}

// Style of a Text.
type Style string

// The styles of running text: as it is, larger to lead in, small and soft for sources and remarks.
const (
	Plain Style = ""
	Lead  Style = "lead"
	Small Style = "small"
)

// Text is one paragraph. Its own line breaks (\n) are kept.
type Text struct {
	Style Style `json:"style,omitempty"`
	Line  Line  `json:"line"`
}

// List is a list of paragraphs. With Ordered they are numbered from 1, with Boxes each has an empty box to tick.
type List struct {
	Ordered bool   `json:"ordered,omitempty"`
	Boxes   bool   `json:"boxes,omitempty"`
	Items   []Line `json:"items"`
}

// Facts are names with what is known of each.
type Facts struct {
	Items []Fact `json:"items"`
}

// Fact is one name and its value; every further Line of Value stands on a line of its own.
type Fact struct {
	Name  string `json:"name"`
	Value []Line `json:"value"`
}

// Table has one head row, which stands again on every page, and rows of as many cells. The last row is a total when Total is set. Rows are not
// broken over pages. Empty Rows are allowed only with a Caption.
type Table struct {
	Columns []Column `json:"columns"`
	Rows    []Row    `json:"rows"`
	Total   bool     `json:"total,omitempty"`
	Caption Line     `json:"caption,omitempty"`
}

// Column is a head with how its cells stand. Weight is its share of the width beyond what its widest word needs; Right aligns numbers.
type Column struct {
	Head   string  `json:"head"`
	Right  bool    `json:"right,omitempty"`
	Weight float64 `json:"weight"`
}

// Row is one row; ID is the target of links, empty for none.
type Row struct {
	ID    string `json:"id,omitempty"`
	Cells []Cell `json:"cells"`
}

// Cell is what stands in one cell: lines below each other, or a small drawing.
type Cell struct {
	Lines   []Line        `json:"lines,omitempty"`
	Drawing *draw.Drawing `json:"drawing,omitempty"`
}

// Weight of a caution; each has its own word, icon and edge, so that nothing is said by colour alone.
type Weight string

// The weights: cannot be built so, settle or verify, to know.
const (
	Stop Weight = "stop"
	Warn Weight = "warn"
	Note Weight = "note"
)

// Caution is a hazard, an issue or a doubt. Word is the weight's word in the document's language, Head a sentence complete by itself, Body
// what to do, Rule what called it up, the rule and its source.
type Caution struct {
	ID     string `json:"id,omitempty"`
	Weight Weight `json:"weight"`
	Word   string `json:"word"`
	Head   string `json:"head"`
	Body   Line   `json:"body,omitempty"`
	Rule   Line   `json:"rule,omitempty"`
}

// Figure is a drawing. With Sheet it is a whole sheet of paper, to scale, 738 × 540 pt, and stands alone on a page of its own, landscape; otherwise
// it is as wide as the column and, where its own size is larger, made smaller. Alt describes it to those who do not see it. Narrow is the same for a
// narrow screen, nil where there is none; paper never shows it.
type Figure struct {
	ID      string        `json:"id,omitempty"`
	Drawing *draw.Drawing `json:"drawing"`
	Narrow  *draw.Drawing `json:"narrow,omitempty"`
	Alt     string        `json:"alt"`
	Caption Line          `json:"caption,omitempty"`
	Sheet   bool          `json:"sheet,omitempty"`
}

// Photo is one upright JPEG without metadata, named by the SHA-256 of its bytes and put in as it is. Over is drawn over it, in pt for a picture OverWidth
// pt wide: the drawing grows with the picture, its View is the picture. It is nil where nothing is drawn. With SHA256 empty there is no picture, and Problem says why.
type Photo struct {
	ID        string        `json:"id,omitempty"`
	SHA256    string        `json:"sha256,omitempty"`
	Width     int           `json:"width"`
	Height    int           `json:"height"`
	OverWidth float64       `json:"over_width,omitempty"`
	Over      *draw.Drawing `json:"over,omitempty"`
	Alt       string        `json:"alt"`
	Caption   Line          `json:"caption,omitempty"`
	Problem   string        `json:"problem,omitempty"`
}

// Sign is a place to sign: what is agreed to, and a line for each of Lines ("Name", "Date", "Signature").
type Sign struct {
	Text  Line     `json:"text"`
	Lines []string `json:"lines"`
}

// Break begins a new page on paper.
type Break struct{}
