package report

import (
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

var (
	spokenFigure = regexp.MustCompile(`\d+(?:[./,]\d+)*`)
	englishWord  = regexp.MustCompile(`(?i)\b(the|and|of|is|are|with|from|not|where|below|above|nobody|rows?|gutters?|joists?|ledger|carriers?|furring|pins?|crew|scope|zones?|panels of|walls?|decks?|strips?|seams?|screws?|sticks?)\b`)
)

// spokenLines are the lines of a document as they are read.
func spokenLines(doc document.Document) []string {
	var lines []string
	linesOf(doc, func(l document.Line) {
		var text strings.Builder
		for _, s := range l {
			text.WriteString(s.Text)
		}
		lines = append(lines, text.String())
	})
	return lines
}

// ownWords are what people typed into a survey and what the report prints as it is: names, captions and notes.
func ownWords(r survey.Record, c survey.Ceiling) *strings.Replacer {
	var ids []string
	for _, o := range c.Input.Obstructions {
		ids = append(ids, o.ID)
	}
	for _, b := range c.Input.Beams {
		ids = append(ids, b.ID)
	}
	for _, o := range c.Input.Openings {
		ids = append(ids, o.ID)
	}
	list := []string{r.Survey.Title, r.Survey.Address, r.Survey.Client, r.Survey.Contact, r.Survey.Access, r.Survey.Notes, r.Survey.Surveyor}
	for _, f := range r.Facts {
		list = append(list, f.Text)
	}
	for _, p := range r.Photos {
		list = append(list, p.Caption, p.Name)
	}
	for _, p := range r.Pins {
		list = append(list, p.Note, strings.ReplaceAll(strings.ReplaceAll(p.Note, `"`, "″"), "'", "’"))
		for _, v := range p.Values {
			list = append(list, v)
		}
	}
	slices.SortFunc(list, func(a, b string) int { return len(b) - len(a) })
	slices.SortFunc(ids, func(a, b string) int { return len(b) - len(a) })
	for _, id := range ids {
		list = append(list, id, strings.ReplaceAll(id, "-", " "), capital(strings.ReplaceAll(id, "-", " ")))
	}
	var pairs []string
	for _, text := range list {
		if strings.ContainsAny(text, " -") {
			pairs = append(pairs, text, "")
		}
	}
	return strings.NewReplacer(pairs...)
}

// TestSpanishSaysTheSame: for the demo and every worked case, each line of each document has the same figures in both languages, and the
// Spanish one has no English left in it. The homeowner is promised nothing.
func TestSpanishSaysTheSame(t *testing.T) {
	models := map[string]Model{"demo": demoModel(t)}
	for _, name := range caseNames(t) {
		models[filepath.Base(name)], _ = caseModel(t, name)
	}
	promise := regexp.MustCompile(`(?i)\b(sec[oa]s?|impermeab\p{L}*|herm[eé]tic\p{L}*|estanc[oa]s?|a prueba de agua)\b`)
	names := strings.NewReplacer("NDS Commentary", "", "Vinyl Siding Institute", "", "NSPC 2006 Illustrated", "", "pin-", "")
	for name, m := range models {
		own := ownWords(m.from.record, m.from.ceiling)
		english := func(text string) string {
			return englishWord.FindString(names.Replace(own.Replace(text)))
		}
		for _, reader := range []document.Reader{document.Crew, document.Scope, document.Survey} {
			spanish := m.Document(reader, words.Spanish, Options{})
			en, es := spokenLines(m.Document(reader, words.English, Options{})), spokenLines(spanish)
			if len(en) != len(es) || len(en) < 20 {
				t.Fatalf("%s, %s: %d lines in English, %d in Spanish", name, reader, len(en), len(es))
			}
			for i := range en {
				a, b := spokenFigure.FindAllString(en[i], -1), spokenFigure.FindAllString(es[i], -1)
				slices.Sort(a)
				slices.Sort(b)
				if !slices.Equal(a, b) {
					t.Errorf("%s, %s: figures differ:\n%s\n%s", name, reader, en[i], es[i])
				}
				if left := english(es[i]); left != "" {
					t.Errorf("%s, %s: %q is left in %q", name, reader, left, es[i])
				}
				if p := promise.FindString(strings.ReplaceAll(es[i], " en seco", "")); p != "" && reader == document.Scope {
					t.Errorf("%s: %q promises %q", name, es[i], p)
				}
			}
			for _, text := range drawnWords(spanish) {
				if left := english(text); left != "" {
					t.Errorf("%s, %s: %q is left in the drawing's %q", name, reader, left, text)
				}
			}
		}
	}
}

// drawnWords are the texts of a document's drawings, those over its photos too.
func drawnWords(doc document.Document) []string {
	var out []string
	for _, b := range doc.Blocks {
		var drawings []*draw.Drawing
		if b.Figure != nil {
			drawings = append(drawings, b.Figure.Drawing, b.Figure.Narrow)
		}
		if b.Photo != nil {
			drawings = append(drawings, b.Photo.Over)
		}
		for _, d := range drawings {
			if d == nil {
				continue
			}
			for _, text := range d.Texts() {
				out = append(out, text.S)
			}
		}
	}
	return out
}
