package report

import (
	"fmt"
	"path/filepath"
	"regexp"
	"testing"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// badFormat is what package fmt leaves where a verb and its argument do not fit.
var badFormat = regexp.MustCompile(`%!|<nil>|\{\w+ `)

// readers are all readers in all languages.
func readers() map[string]func(Model, Options) document.Document {
	list := map[string]func(Model, Options) document.Document{}
	for _, reader := range []document.Reader{document.Crew, document.Scope, document.Survey} {
		for _, lang := range []words.Lang{words.English, words.Spanish} {
			list[fmt.Sprintf("%s-%s", reader, lang)] = func(m Model, o Options) document.Document { return m.Document(reader, lang, o) }
		}
	}
	return list
}

// linesOf calls a function for every line of text of a document.
func linesOf(doc document.Document, each func(document.Line)) {
	for _, b := range doc.Blocks {
		switch {
		case b.Text != nil:
			each(b.Text.Line)
		case b.List != nil:
			for _, l := range b.List.Items {
				each(l)
			}
		case b.Facts != nil:
			for _, f := range b.Facts.Items {
				each(document.Line{{Text: f.Name}})
				for _, l := range f.Value {
					each(l)
				}
			}
		case b.Table != nil:
			each(b.Table.Caption)
			for _, k := range b.Table.Columns {
				each(document.Line{{Text: k.Head}})
			}
			for _, r := range b.Table.Rows {
				for _, k := range r.Cells {
					for _, l := range k.Lines {
						each(l)
					}
				}
			}
		case b.Caution != nil:
			each(document.Line{{Text: b.Caution.Word + " " + b.Caution.Head}})
			each(b.Caution.Body)
			each(b.Caution.Rule)
		case b.Heading != nil:
			each(document.Line{{Text: b.Heading.Text + " " + b.Heading.Aside}})
		case b.Photo != nil:
			each(document.Line{{Text: b.Photo.Alt + " " + b.Photo.Problem}})
			each(b.Photo.Caption)
		case b.Figure != nil:
			each(document.Line{{Text: b.Figure.Alt}})
			each(b.Figure.Caption)
		case b.Sign != nil:
			each(b.Sign.Text)
			for _, l := range b.Sign.Lines {
				each(document.Line{{Text: l}})
			}
		}
	}
}

// targets are the IDs of a document, each with how often it stands there.
func targets(doc document.Document) map[string]int {
	ids := map[string]int{}
	for _, b := range doc.Blocks {
		switch {
		case b.Heading != nil:
			ids[b.Heading.ID]++
		case b.Caution != nil && b.Caution.ID != "":
			ids[b.Caution.ID]++
		case b.Figure != nil && b.Figure.ID != "":
			ids[b.Figure.ID]++
		case b.Photo != nil && b.Photo.ID != "":
			ids[b.Photo.ID]++
		case b.Table != nil:
			for _, r := range b.Table.Rows {
				if r.ID != "" {
					ids[r.ID]++
				}
			}
		}
	}
	return ids
}

// TestDocumentsAreWhole: for every reader and language, every block has one part, every row as many cells as its table columns, every link a
// target, every target one place, and no text the marks of a format that went wrong.
func TestDocumentsAreWhole(t *testing.T) {
	models := map[string]Model{"demo": demoModel(t), "bare": Build(bare(), survey.Compute(bare()), WithinReport(), made())}
	for _, name := range caseNames(t) {
		models[filepath.Base(name)], _ = caseModel(t, name)
	}
	for name, m := range models {
		for reader, of := range readers() {
			doc := of(m, Options{Metric: true})
			checkWhole(t, name+" "+reader, doc)
			page(t, doc)
		}
	}
}

// caseNames are the files of the calculator's worked cases.
func caseNames(t *testing.T) []string {
	t.Helper()
	names, err := filepath.Glob("../../testdata/calc-cases/*.in.json")
	if err != nil || len(names) < 7 {
		t.Fatalf("found %d cases: %v", len(names), err)
	}
	return names
}

func checkWhole(t *testing.T, name string, doc document.Document) {
	t.Helper()
	for i, b := range doc.Blocks {
		parts := 0
		for _, there := range []bool{b.Heading != nil, b.Text != nil, b.List != nil, b.Facts != nil, b.Table != nil, b.Caution != nil, b.Figure != nil, b.Photo != nil, b.Sign != nil, b.Break != nil} {
			if there {
				parts++
			}
		}
		if parts != 1 {
			t.Errorf("%s: block %d has %d parts", name, i, parts)
		}
		if b.Table != nil {
			for _, r := range b.Table.Rows {
				if len(r.Cells) != len(b.Table.Columns) {
					t.Errorf("%s: block %d has a row of %d cells under %d heads", name, i, len(r.Cells), len(b.Table.Columns))
				}
			}
		}
	}
	ids := targets(doc)
	for id, n := range ids {
		if id == "" || n != 1 {
			t.Errorf("%s: the target %q stands %d times", name, id, n)
		}
	}
	linesOf(doc, func(l document.Line) {
		for _, s := range l {
			if s.To != "" && ids[s.To] == 0 {
				t.Errorf("%s: %q leads to %q, which is nowhere", name, s.Text, s.To)
			}
			if badFormat.MatchString(s.Text) {
				t.Errorf("%s: a format went wrong in %q", name, s.Text)
			}
		}
	})
}
