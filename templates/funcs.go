package templates

import (
	"fmt"
	"html/template"
	"strings"
	"time"
)

// Typesetter is a length that can print itself for a page; calc/length.Inches is one.
type Typesetter interface{ Typeset() string }

// noBreak is U+00A0.
const noBreak = "\u00a0"

// functions are what templates can call besides the built-in ones:
//
//	typeset v    a length as 12′ 3 5/8″, with no-break spaces
//	pm v         an uncertainty as ± 3/8″, with no-break spaces
//	count n a b  "1 photo", "2 photos"
//	when now t   a time as one says it: today 9:42, yesterday, Mon, 18 Nov, 18 Nov 2024
//	iso t        a time for the datetime attribute
//	marky kind   the baseline of the number in a pin's mark, in px below its centre
func functions() template.FuncMap {
	return template.FuncMap{"typeset": typeset, "pm": plusMinus, "count": count, "when": When, "iso": iso, "marky": markY}
}

func typeset(l Typesetter) string { return l.Typeset() }

func plusMinus(l Typesetter) string { return "±" + noBreak + l.Typeset() }

func nonBreaking(text string) string { return strings.ReplaceAll(text, " ", noBreak) }

func count(n int, one, many string) string {
	if n == 1 {
		return "1" + noBreak + one
	}
	return fmt.Sprintf("%d%s%s", n, noBreak, many)
}

// When says a time in the zone of now, as short as it stays clear.
func When(now, t time.Time) string {
	t = t.In(now.Location())
	y, m, d := now.Date()
	midnight := time.Date(y, m, d, 0, 0, 0, 0, now.Location())
	switch {
	case t.IsZero():
		return ""
	case t.After(now.Add(time.Hour)):
		return nonBreaking(t.Format("2 Jan 2006"))
	case !t.Before(midnight):
		return nonBreaking(t.Format("today 15:04"))
	case !t.Before(midnight.AddDate(0, 0, -1)):
		return "yesterday"
	case !t.Before(midnight.AddDate(0, 0, -6)):
		return t.Format("Mon")
	case t.Year() == y:
		return nonBreaking(t.Format("2 Jan"))
	}
	return nonBreaking(t.Format("2 Jan 2006"))
}

func iso(t time.Time) string { return t.UTC().Format(time.RFC3339) }

// markY takes the kind as text or as a type of text.
func markY(kind any) string { return markTextY(fmt.Sprint(kind)) }
