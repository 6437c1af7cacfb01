package annotate

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// maxText is the longest text that is kept, in characters.
const maxText = 200

// cleanText makes a foreign text fit to be shown: cut at the first NUL, valid UTF-8, no control and no invisible formatting
// characters (which include those that turn the writing direction, U+202A-202E and U+2066-2069), composed (NFC), trimmed, at most
// maxText characters.
func cleanText(raw []byte) string {
	if i := bytes.IndexByte(raw, 0); i >= 0 {
		raw = raw[:i]
	}
	s := strings.Map(func(r rune) rune {
		if unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Co) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(string(raw), ""))
	runes := []rune(strings.TrimSpace(norm.NFC.String(s)))
	return strings.TrimSpace(string(runes[:min(len(runes), maxText)]))
}

// parseTime reads "2006:01:02 15:04:05" (CIPA DC-008, DateTimeOriginal) as the camera's local time. Other separators and a T are
// taken when the year comes first, since they mean the same; a fraction of a second is dropped, and an offset behind the time is
// told. Every part must exist in the calendar (seconds to 59) and the year be 1900 to 2099; else the time is unknown.
func parseTime(s string) (taken, offset string, ok bool) {
	const layout = "2006-01-02T15:04:05"
	if len(s) < len(layout) {
		return "", "", false
	}
	head, rest := []byte(s[:len(layout)]), s[len(layout):]
	if head[4] != head[7] || !strings.ContainsRune(":-/", rune(head[4])) || head[10] != ' ' && head[10] != 'T' {
		return "", "", false
	}
	head[4], head[7], head[10] = '-', '-', 'T'
	t, err := time.Parse(layout, string(head))
	if err != nil || t.Year() < 1900 || t.Year() > 2099 {
		return "", "", false
	}
	if strings.HasPrefix(rest, ".") {
		rest = strings.TrimLeft(rest[1:], "0123456789")
	}
	rest = strings.TrimSpace(rest)
	if rest != "" {
		if offset, ok = parseOffset(rest); !ok {
			return "", "", false
		}
	}
	return t.Format(layout), offset, true
}

// parseOffset reads "+02:00" up to 14:00 either side (CIPA DC-008, OffsetTimeOriginal: "±HH:MM"), or Z for zero.
func parseOffset(s string) (string, bool) {
	if s == "Z" {
		return "+00:00", true
	}
	if len(s) != 6 || s[0] != '+' && s[0] != '-' || s[3] != ':' {
		return "", false
	}
	h, errH := strconv.ParseUint(s[1:3], 10, 8)
	m, errM := strconv.ParseUint(s[4:6], 10, 8)
	if errH != nil || errM != nil || m > 59 || h*60+m > 14*60 {
		return "", false
	}
	return fmt.Sprintf("%c%02d:%02d", s[0], h, m), true
}
