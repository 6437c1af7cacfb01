package report

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"undercroft/calc/length"
)

var (
	inputIDs  = regexp.MustCompile(`\bp\d+(?:\.\d+)?\b`)
	footMarks = regexp.MustCompile(`(\d)'`)
	inchMarks = regexp.MustCompile(`(\d)"`)
	feetGap   = regexp.MustCompile(`(\d′) (\d)`)
	wholeGap  = regexp.MustCompile(`(\d) (\d+/\d)`)
)

// words prepares a text of the calculator for people: ids of the input become the names of what they stand for, lengths get their
// typographic marks and no-break spaces.
func (t things) words(text string) string {
	var out strings.Builder
	last := 0
	for _, at := range inputIDs.FindAllStringIndex(text, -1) {
		out.WriteString(text[last:at[0]])
		out.WriteString(t.name(text[at[0]:at[1]], text[:at[0]]))
		last = at[1]
	}
	out.WriteString(text[last:])
	return typographic(out.String())
}

// name is what a person calls an id in a running text; a kind that was just named is not said again.
func (t things) name(id, before string) string {
	thing, known := t[id]
	if !known {
		return id
	}
	kind, number, found := strings.Cut(thing.Label, "\u00a0")
	kind = strings.ToLower(kind)
	if found && strings.HasSuffix(strings.ToLower(strings.TrimRight(before, " ")), kind) {
		return number
	}
	return kind + "\u00a0" + number
}

// typographic gives lengths in a text the primes and no-break spaces that length.Typeset prints.
func typographic(text string) string {
	text = inchMarks.ReplaceAllString(footMarks.ReplaceAllString(text, "$1′"), "$1″")
	return wholeGap.ReplaceAllString(feetGap.ReplaceAllString(text, "$1\u00a0$2"), "$1\u00a0$2")
}

// capital makes the first letter a capital.
func capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

// width is a length that crews read in inches however long it is, as the widths of panels are: 12 1/16″, never 1′ 1/16″.
type width length.Inches

// Typeset prints inches and sixteenths without feet.
func (w width) Typeset() string {
	l := length.Inches(w).Nearest16()
	feet := length.Inches(0)
	for l-feet >= length.PerFoot {
		feet += length.PerFoot
	}
	rest := l - feet
	whole := length.Inches(int(rest))
	inches := itoa(int(feet + whole))
	if part := rest - whole; part > 0 {
		if feet+whole == 0 {
			return part.Typeset()
		}
		return inches + "\u00a0" + part.Typeset()
	}
	return inches + "″"
}

// commonEnding is the last sentence that all texts end with, empty when there is none or fewer than two texts.
func commonEnding(texts []string) string {
	if len(texts) < 2 {
		return ""
	}
	text := strings.TrimSuffix(texts[0], ".")
	ending := text[strings.LastIndex(text, ". ")+1:] + "."
	if slices.ContainsFunc(texts, func(t string) bool { return !strings.HasSuffix(t, ending) }) {
		return ""
	}
	return strings.TrimSpace(ending)
}
