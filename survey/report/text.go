package report

import (
	"math"
	"strconv"
	"strings"

	"undercroft/calc/length"
)

// typeset prints inches to the nearest sixteenth for pages and paper.
func typeset(inches float64) string { return length.Inches(inches).Typeset() }

// down prints a cut length: rounded down to a sixteenth.
func down(inches float64) string { return length.Inches(inches).Down16().Typeset() }

// up prints a gap to leave: rounded up to a sixteenth.
func up(inches float64) string { return length.Inches(inches).Up16().Typeset() }

func itoa(n int) string { return strconv.Itoa(n) }

// zoneName turns the calculator's id of a zone, "z1", into what a person calls it, "1".
func zoneName(id string) string { return strings.TrimPrefix(id, "z") }

// percent prints a probability in whole percents; what is neither impossible nor certain never prints as 0 or 100.
func percent(p float64) string {
	n := math.Round(p * 100)
	if p > 0 && n == 0 {
		return "under 1\u00a0%"
	}
	if p < 1 && n == 100 {
		n = 99
	}
	return strconv.FormatFloat(n, 'f', -1, 64) + "\u00a0%"
}

// decimal prints a number with so many places, with no-break thousands left out: figures here are small.
func decimal(v float64, places int) string { return strconv.FormatFloat(v, 'f', places, 64) }

// trimmed prints a number with at most three places and no trailing zeros.
func trimmed(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}
