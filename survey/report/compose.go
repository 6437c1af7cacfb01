package report

import (
	"strings"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// Options are what a document says besides its model. The zero Options say lengths in feet and inches only and nothing of the contractor.
type Options struct {
	Metric   bool           // beside every length the metric one
	Company  survey.Company // the contractor's own texts
	Last     *Content       // the last issued revision, whose differences crew and office are told; nil when there is none
	Approved *Content       // the newest revision that the homeowner approved, told in the same way when it is not the last; nil when there is none
}

// Document writes the model for a reader in a language, as a draft: whoever issues it sets Issue and Print. An unknown reader gets the crew's.
func (m Model) Document(reader document.Reader, lang words.Lang, o Options) document.Document {
	c := &composer{m: m.spoken(lang), voice: voice{lang}, opt: o, reader: reader}
	switch reader {
	case document.Scope:
		c.scope()
	case document.Survey:
		c.survey()
	default:
		c.reader = document.Crew
		c.crew()
	}
	c.doc.Reader, c.doc.Lang, c.doc.Metric, c.doc.House, c.doc.Internal = c.reader, string(lang), o.Metric, m.Site.Title, c.reader != document.Scope
	c.doc.Issue = c.say("Draft of %s", c.date(m.At))
	c.doc.Labels = document.Labels{Contents: c.in("Contents"), PageOf: c.in("page {n} of {all}"), Continued: c.in("continued")}
	return c.doc
}

// composer writes one document, block after block.
type composer struct {
	m Model
	voice
	opt     Options
	reader  document.Reader
	doc     document.Document
	section int
	drawn   map[sheetPart][]*draw.Drawing // the sheets, once one is asked for
}

// crew is what a crew loads the truck and builds by: hazards first, sources last.
func (c *composer) crew() {
	c.doc.Title = c.in("Report for the crew")
	c.cover()
	c.body()
}

// survey is everything, for the office.
func (c *composer) survey() {
	c.doc.Title = c.in("Survey, complete")
	c.cover()
	c.body()
	c.office()
}

// body is what crew and office read alike.
func (c *composer) body() {
	c.changes()
	if c.m.Plan == nil {
		c.noCeiling()
		c.covered()
		c.photos()
		c.known()
		c.questions()
		return
	}
	for _, part := range []func(){c.hazards, c.covered, c.issues, c.photos, c.plan, c.sectionDrawing, c.furring, c.panels, c.notches, c.cutOuts, c.servicePanels, c.fixings, c.cutting,
		c.water, c.movement, c.checks, c.work, c.bring, c.verify, c.questions, c.assumed, c.sources, c.methods} {
		part()
	}
}

func (c *composer) add(b document.Block) { c.doc.Blocks = append(c.doc.Blocks, b) }

// part opens the next numbered section.
func (c *composer) part(id, text, aside string) {
	c.section++
	c.add(document.Block{Heading: &document.Heading{Level: 2, Number: itoa(c.section), Text: text, Aside: aside, ID: id}})
}

// sub opens a part of a section.
func (c *composer) sub(id, text, aside string) {
	c.add(document.Block{Heading: &document.Heading{Level: 3, Text: text, Aside: aside, ID: id}})
}

func (c *composer) text(style document.Style, line document.Line) {
	if len(line) > 0 {
		c.add(document.Block{Text: &document.Text{Style: style, Line: line}})
	}
}

func (c *composer) list(l document.List) {
	if len(l.Items) > 0 {
		c.add(document.Block{List: &l})
	}
}

func (c *composer) facts(items ...document.Fact) {
	if len(items) > 0 {
		c.add(document.Block{Facts: &document.Facts{Items: items}})
	}
}

func (c *composer) table(t document.Table) { c.add(document.Block{Table: &t}) }

// measured is a text of the program, with metric lengths where they are asked for.
func (c *composer) measured(text string) string {
	if c.opt.Metric {
		return withMetric(text)
	}
	return text
}

// plain, bold and soft are lines of one span; none for an empty text.
func (c *composer) plain(text string) document.Line { return c.span(document.Span{Text: text}) }
func (c *composer) bold(text string) document.Line {
	return c.span(document.Span{Text: text, Bold: true})
}
func (c *composer) soft(text string) document.Line {
	return c.span(document.Span{Text: text, Soft: true})
}

func (c *composer) span(s document.Span) document.Line {
	if s.Text == "" {
		return nil
	}
	s.Text = c.measured(s.Text)
	return document.Line{s}
}

// own is a text that a person typed, as it is.
func own(text string) document.Line {
	if text == "" {
		return nil
	}
	return document.Line{{Text: text}}
}

// spaced puts lines behind each other with a space between; empty ones leave none.
func spaced(lines ...document.Line) document.Line {
	var out document.Line
	for _, l := range lines {
		if len(l) == 0 {
			continue
		}
		if len(out) > 0 {
			out = append(out, document.Span{Text: " "})
		}
		out = append(out, l...)
	}
	return out
}

// from says where figures came from, each source leading to its place in the document.
func (c *composer) from(sources []Source) document.Line {
	var out document.Line
	for i, s := range sources {
		if i > 0 {
			out = append(out, document.Span{Text: "; ", Soft: true})
		}
		to, _ := strings.CutPrefix(s.Href, "#")
		out = append(out, document.Span{Text: c.measured(s.Words), Soft: true, To: to})
	}
	return out
}

// fact is a name with one line.
func fact(name string, value ...document.Line) document.Fact {
	return document.Fact{Name: name, Value: value}
}

// cell is a cell with its lines; empty lines are left out.
func cell(lines ...document.Line) document.Cell {
	var out document.Cell
	for _, l := range lines {
		if len(l) > 0 {
			out.Lines = append(out.Lines, l)
		}
	}
	return out
}

// row is a row of cells of one line each.
func row(lines ...document.Line) document.Row {
	var r document.Row
	for _, l := range lines {
		r.Cells = append(r.Cells, cell(l))
	}
	return r
}

func left(head string, weight float64) document.Column {
	return document.Column{Head: head, Weight: weight}
}

func right(head string, weight float64) document.Column {
	return document.Column{Head: head, Right: true, Weight: weight}
}

// spoken is the model in a language: built again, unless it speaks it already.
func (m Model) spoken(lang words.Lang) Model {
	l := m.from.links
	if l.lang == lang || l.lang == "" && lang == words.English {
		return m
	}
	l.lang = lang
	return Build(m.from.record, m.from.ceiling, l, m.At)
}
