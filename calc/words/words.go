// Package words is what the program says on paper, in each of its languages. A text is written in English where it is needed, as a
// format; the catalogue of another language (es.go) has the translation by that very text. So a text that nobody has translated is found by a test
// and never on a building site. Figures and lengths are put in as they are: no language changes a number.
package words

import (
	"fmt"
	"strings"
)

// Lang is a language of the program.
type Lang string

// The languages.
const (
	English Lang = "en"
	Spanish Lang = "es"
)

// Phrase is a text with its figures, not yet in a language. Its Args are printed by the format's verbs; an argument that is itself a Phrase is
// said in the same language, any other as it is. The zero Phrase says nothing.
type Phrase struct {
	Format string
	Args   []any
	Part   Part
}

// Part is what is said of a phrase: all of it, or a part that every language cuts for itself.
type Part int

// The parts of a phrase.
const (
	Whole Part = iota
	First      // its first sentence
	Rest       // what follows the first sentence, empty for a phrase of one
)

// Only is the part of a phrase that is to be said.
func (p Phrase) Only(part Part) Phrase {
	p.Part = part
	return p
}

// cut takes the part out of what was said. A sentence ends at a full stop with a space.
func (p Part) cut(text string) string {
	first, rest, more := strings.Cut(text, ". ")
	switch {
	case p == Rest:
		return rest
	case p == First && more:
		return first + "."
	}
	return text
}

// Say makes a phrase of an English format, as fmt.Sprintf reads it, and its figures.
func Say(format string, args ...any) Phrase { return Phrase{Format: format, Args: args} }

// String says the phrase in English.
func (p Phrase) String() string { return p.In(English) }

// In says the phrase in a language. What the language's catalogue does not have is said in English.
func (p Phrase) In(l Lang) string {
	if len(p.Args) == 0 {
		return p.Part.cut(translate(l, p.Format))
	}
	args := make([]any, len(p.Args))
	for i, a := range p.Args {
		if inner, ok := a.(Phrase); ok {
			a = inner.In(l)
		}
		args[i] = a
	}
	return p.Part.cut(fmt.Sprintf(translate(l, p.Format), args...))
}

// In says a text without figures in a language.
func In(l Lang, text string) string { return translate(l, text) }

// Has tells whether a language has a translation of an English text; English has every text, and the empty text needs none.
func Has(l Lang, text string) bool {
	if l == English || text == "" {
		return true
	}
	if _, whole := spanish()[text]; whole {
		return true
	}
	for part := range strings.SplitSeq(text, "; ") {
		if _, ok := spanish()[part]; !ok {
			return false
		}
	}
	return true
}

// translate finds a text, or else its parts between semicolons: tables put sources and ways of fastening together from such parts.
func translate(l Lang, text string) string {
	if l != Spanish {
		return text
	}
	if said, ok := spanish()[text]; ok {
		return said
	}
	parts := strings.Split(text, "; ")
	for i, part := range parts {
		if said, ok := spanish()[part]; ok {
			parts[i] = said
		}
	}
	return strings.Join(parts, "; ")
}

// Join is phrases with a separator between, which no language changes: a space between sentences, a comma between names. No phrase gives the
// zero Phrase.
func Join(sep string, parts ...Phrase) Phrase {
	if len(parts) == 0 {
		return Phrase{}
	}
	p := Phrase{Format: strings.Repeat(sep+"%s", len(parts))[len(sep):]}
	for _, part := range parts {
		p.Args = append(p.Args, part)
	}
	return p
}
