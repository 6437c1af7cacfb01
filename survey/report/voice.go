package report

import (
	"fmt"
	"strings"
	"time"

	"undercroft/calc/words"
	"undercroft/survey"
)

// voice says texts in one language. Every literal given to say or in is a text of the catalogue in calc/words, whose test reads them from the
// source. The zero voice speaks English.
type voice struct{ lang words.Lang }

// say says a format with its figures.
func (v voice) say(format string, args ...any) string { return words.Say(format, args...).In(v.lang) }

// in says a text that stands in one of the program's own tables: the label of a field, an answer, a heading. What no table has is said as it is.
func (v voice) in(text string) string { return words.In(v.lang, text) }

// count says a number of things, with a no-break space between.
func (v voice) count(n int, one, many string) string {
	if n == 1 {
		return "1\u00a0" + v.in(one)
	}
	return itoa(n) + "\u00a0" + v.in(many)
}

// read says the answer of a field: an answer of a closed list in the language, anything else as it was understood.
func (v voice) read(f survey.Field, read string) string {
	if f.Type == survey.TypeChoice || f.Type == survey.TypeYesNo {
		return v.in(read)
	}
	return read
}

// label says a field's label, with the name of a side before its colon in the language too.
func (v voice) label(text string) string {
	side, rest, found := strings.Cut(text, ": ")
	if !found || words.Has(v.lang, text) {
		return v.in(text)
	}
	return v.in(side) + ": " + v.in(rest)
}

// date says a day as 2 Jan 2006, with no-break spaces.
func (v voice) date(t time.Time) string {
	return fmt.Sprintf("%d\u00a0%s\u00a0%d", t.Day(), v.month(t.Month()), t.Year())
}

// month is the short name of a month.
func (v voice) month(m time.Month) string {
	return [...]string{v.in("Jan"), v.in("Feb"), v.in("Mar"), v.in("Apr"), v.in("May"), v.in("Jun"), v.in("Jul"), v.in("Aug"), v.in("Sep"), v.in("Oct"), v.in("Nov"), v.in("Dec")}[m-1]
}
