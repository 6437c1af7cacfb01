package length

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// SyntaxError tells which text could not be read as a length, and why.
type SyntaxError struct {
	Text   string // as it was given
	Reason string // what is wrong with it, lower case
}

// Error names the text, the fault and two spellings that work.
func (e *SyntaxError) Error() string {
	return fmt.Sprintf("length %q: %s; write it as 12' 3 5/8\" or 147 5/8 or 3.75 m", e.Text, e.Reason)
}

var marks = strings.NewReplacer("′", "'", "’", "'", "‘", "'", "″", `"`, "”", `"`, "“", `"`, "⁄", "/",
	"¼", " 1/4", "½", " 1/2", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "\u00a0", " ", "−", "-")

// Parse reads a length text.
//
//	length   = [ "-" ] ( feet [ sep inches ] | inches | metric )
//	feet     = decimal ( "'" | "ft" )
//	inches   = ( decimal | fraction | whole ( " " | "-" ) fraction ) [ `"` | "in" ]
//	metric   = decimal ( "mm" | "cm" | "m" )
//	sep      = " " | "-" | nothing
//	fraction = numerator "/" denominator, numerator below denominator, denominator 2, 4, 8, 16, 32 or 64
//
// Typographic marks and the fraction characters ¼ ½ ¾ ⅛ ⅜ ⅝ ⅞ count as their plain spelling. A bare number is inches. A sign
// covers the whole text. Exponents, thousands commas and lengths beyond Most are refused. The error is a *SyntaxError.
func Parse(text string) (Inches, error) {
	s := strings.ToLower(strings.TrimSpace(marks.Replace(text)))
	fail := func(reason string) (Inches, error) { return 0, &SyntaxError{Text: clip(text), Reason: clip(reason)} }
	if s == "" {
		return fail("there is no number")
	}
	sign := Inches(1)
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		sign, s = -1, strings.TrimSpace(rest)
	}
	for _, m := range []struct {
		unit string
		size Inches
	}{{"mm", PerMillimetre}, {"cm", 10 * PerMillimetre}, {"m", 1000 * PerMillimetre}} {
		if number, ok := strings.CutSuffix(s, m.unit); ok {
			v, ok := decimal(strings.TrimSpace(number))
			if !ok {
				return fail(fmt.Sprintf("%q before %s is not a number", strings.TrimSpace(number), m.unit))
			}
			return inRange(text, sign*Inches(v)*m.size)
		}
	}
	feet, rest, reason := cutFeet(s)
	if reason != "" {
		return fail(reason)
	}
	inches, reason := parseInches(rest, feet >= 0)
	if reason != "" {
		return fail(reason)
	}
	return inRange(text, sign*(max(feet, 0)*PerFoot+inches))
}

// Most is the greatest length that Parse takes, either way, in inches: some 16,000 miles, far above any building.
const Most Inches = 1e9

func inRange(text string, l Inches) (Inches, error) {
	if l > Most || l < -Most {
		return 0, &SyntaxError{Text: clip(text), Reason: "it is longer than a thousand million inches"}
	}
	return l, nil
}

// clip shortens a text for a message.
func clip(text string) string {
	const most = 60
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// cutFeet splits the feet off; feet is negative when there are none.
func cutFeet(s string) (feet Inches, rest, reason string) {
	number, rest, found := strings.Cut(s, "'")
	if !found {
		number, rest, found = strings.Cut(s, "ft")
	}
	if !found {
		return -1, s, ""
	}
	v, ok := decimal(strings.TrimSpace(number))
	if !ok {
		return 0, "", fmt.Sprintf("%q before the foot mark is not a number", strings.TrimSpace(number))
	}
	rest = strings.TrimSpace(rest)
	if after, ok := strings.CutPrefix(rest, "-"); ok {
		rest = strings.TrimSpace(after)
		if rest == "" {
			return 0, "", "there are no inches after the dash"
		}
	}
	return Inches(v), rest, ""
}

// parseInches reads the inches; empty is 0 when feet came before.
func parseInches(s string, afterFeet bool) (Inches, string) {
	if s == "" && afterFeet {
		return 0, ""
	}
	if rest, ok := strings.CutSuffix(s, `"`); ok {
		s = strings.TrimSpace(rest)
	} else if rest, ok := strings.CutSuffix(s, "in"); ok {
		s = strings.TrimSpace(rest)
	}
	if s == "" {
		return 0, "there is no number before the inch mark"
	}
	whole, frac := "", s
	if i := strings.LastIndexAny(s, " -"); i >= 0 {
		whole, frac = strings.TrimRight(s[:i], " "), s[i+1:]
		if !digits(whole) {
			return 0, fmt.Sprintf("%q is not a whole number of inches", whole)
		}
		if !strings.Contains(frac, "/") {
			return 0, fmt.Sprintf("%q after the whole inches is not a fraction", frac)
		}
	}
	if !strings.Contains(frac, "/") {
		v, ok := decimal(frac)
		if !ok {
			return 0, fmt.Sprintf("%q is not a number of inches", frac)
		}
		return Inches(v), ""
	}
	f, reason := fraction(frac)
	if reason != "" {
		return 0, reason
	}
	w := 0.0
	if whole != "" {
		w, _ = decimal(whole)
	}
	return Inches(w) + f, ""
}

// fraction reads n/d with d a power of two from 2 to 64 and n < d.
func fraction(s string) (Inches, string) {
	n, d, _ := strings.Cut(s, "/")
	if !digits(n) || !digits(d) {
		return 0, fmt.Sprintf("%q is not a fraction", s)
	}
	num, _ := decimal(n)
	switch d {
	case "2", "4", "8", "16", "32", "64":
	default:
		return 0, fmt.Sprintf("the fraction %q is not in halves, quarters, eighths, sixteenths, 32nds or 64ths", s)
	}
	den, _ := decimal(d)
	if num >= den {
		return 0, fmt.Sprintf("the fraction %q is not below one", s)
	}
	return Inches(num / den), ""
}

func digits(s string) bool {
	for _, r := range s {
		if r < '0' || r > '9' {
			return false
		}
	}
	return s != ""
}

// decimal reads digits with at most one point; 3. and .5 are read, a sign or an exponent is not.
func decimal(s string) (float64, bool) {
	whole, frac, point := strings.Cut(s, ".")
	if whole == "" && frac == "" || whole != "" && !digits(whole) || frac != "" && !digits(frac) || point && whole == "" && frac == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, false
	}
	return v, true
}
