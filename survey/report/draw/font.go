package draw

import (
	"fmt"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// face holds the advance of every character of the basic plane in font units of 1/2048 em, -1 where the font has no glyph.
type face [1 << 16]int16

const unitsPerEm = 2048

// faces are the regular and the bold face, read from the fonts once.
var faces = sync.OnceValue(func() [2]*face {
	return [2]*face{readFace(dejavusanscondensed.TTF), readFace(dejavusanscondensedbold.TTF)}
})

// readFace reads the advances; the fonts are part of the program, so a fault in them is a fault of the program.
func readFace(ttf []byte) *face {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic(fmt.Errorf("parse the font of the drawings: %w", err))
	}
	var buf sfnt.Buffer
	var out face
	for r := range out {
		out[r] = -1
		i, err := f.GlyphIndex(&buf, rune(r))
		if err != nil || i == 0 {
			continue
		}
		if w, err := f.GlyphAdvance(&buf, i, fixed.I(unitsPerEm), font.HintingNone); err == nil {
			out[r] = int16(w.Round()) // #nosec G115 -- a letter of this font is at most two ems wide
		}
	}
	return &out
}

// advance is the width of one character in font units; a missing one counts as the replacement character.
func (f *face) advance(r rune) int {
	if r >= 0 && int(r) < len(f) && f[r] >= 0 {
		return int(f[r])
	}
	return int(f[unicode.ReplacementChar])
}

// Measure is the width of a line of text in points, without kerning.
func Measure(s string, size float64, bold bool) float64 {
	f := faces()[0]
	if bold {
		f = faces()[1]
	}
	sum := 0
	for _, r := range s {
		sum += f.advance(r)
	}
	return float64(sum) * size / unitsPerEm
}

// Clean makes a text that the fonts can show: composed characters (NFC), no control characters, the replacement character for
// what has no glyph. Line breaks and tabs become spaces.
func Clean(s string) string {
	f := faces()[0]
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r):
			return -1
		case int(r) >= len(f) || f[r] < 0:
			return unicode.ReplacementChar
		}
		return r
	}, norm.NFC.String(s))
}

// Wrap breaks a text at its ordinary spaces into lines of at most width points; no-break spaces hold. A word wider than a line
// stands alone.
func Wrap(s string, width, size float64, bold bool) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(Clean(s), " ") {
		if word == "" {
			continue
		}
		trial := word
		if line != "" {
			trial = line + " " + word
		}
		if line != "" && Measure(trial, size, bold) > width {
			lines, trial = append(lines, line), word
		}
		line = trial
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// Fit shortens a text to at most width points, ending it with an ellipsis when something was cut off.
func Fit(s string, width, size float64, bold bool) string {
	s = Clean(s)
	if Measure(s, size, bold) <= width {
		return s
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		if t := strings.TrimRight(string(runes[:n]), " ") + "…"; Measure(t, size, bold) <= width {
			return t
		}
	}
	return "…"
}
