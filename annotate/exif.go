package annotate

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/rwcarlsen/goexif/exif"
	"github.com/rwcarlsen/goexif/tiff"
)

// readExif fills m with what the block of the camera's notes says; nil is no error. On an error what was readable is in m.
func readExif(m *Meta, block []byte) error {
	if block == nil {
		return nil
	}
	n, parseErr := parseNotes(block)
	if n.order == nil {
		return parseErr
	}
	x, err := exif.Decode(bytes.NewReader(n.encode()))
	if err != nil {
		return fmt.Errorf("read camera notes: %w", err)
	}
	m.Make, m.Model = text(x, exif.Make), text(x, exif.Model)
	if o, ok := number(x, exif.Orientation, 0); ok && o >= 1 && o <= 8 && o == math.Trunc(o) {
		m.Orientation = int(o)
	}
	m.FocalMM, m.Focal35 = focal(x, exif.FocalLength), focal(x, exif.FocalLengthIn35mmFilm)
	readTaken(m, n.exif)
	readPosition(m, x)
	readAltitude(m, x)
	readBearing(m, x)
	return parseErr
}

// readTaken takes the time of the exposure only. When a picture was digitized or its file changed may be years later: a scan, an
// edit.
func readTaken(m *Meta, entries []ifdEntry) {
	raw := entryText(entries, tagTaken)
	taken, offset, ok := parseTime(raw)
	if !ok {
		if strings.Trim(raw, " :0") != "" {
			m.Warnings = append(m.Warnings, "The date in this photo is not a date, so the time it was taken is unknown.")
		}
		return
	}
	m.Taken, m.Offset = taken, offset
	if own, ok := parseOffset(entryText(entries, tagOffsetTaken)); ok {
		m.Offset = own
	}
}

// entryText is the cleaned text of the tag in a checked directory, "" when it is not there or no text.
func entryText(entries []ifdEntry, tag uint16) string {
	for _, e := range entries {
		if e.tag == tag && e.typ == typeASCII {
			return cleanText(e.value)
		}
	}
	return ""
}

// readPosition sets latitude and longitude together or not at all: both in range, both with their hemisphere (CIPA DC-008 gives
// the references no default), and not exactly 0,0, which phones without a fix write.
func readPosition(m *Meta, x *exif.Exif) {
	lat, okLat := coordinate(x, exif.GPSLatitude, exif.GPSLatitudeRef, "N", "S", 90)
	lon, okLon := coordinate(x, exif.GPSLongitude, exif.GPSLongitudeRef, "E", "W", 180)
	if okLat && okLon && (lat != 0 || lon != 0) {
		m.Latitude, m.Longitude = &lat, &lon
		return
	}
	_, noLat := x.Get(exif.GPSLatitude)
	_, noLon := x.Get(exif.GPSLongitude)
	if noLat == nil || noLon == nil {
		m.Warnings = append(m.Warnings, "The position in this photo is incomplete or impossible, so it is left out.")
	}
}

// coordinate is degrees with the sign of the hemisphere, within ± limit. A negative value stays negative whatever its reference.
func coordinate(x *exif.Exif, value, ref exif.FieldName, plus, minus string, limit float64) (float64, bool) {
	deg, negative, ok := degrees(x, value)
	if !ok || deg > limit {
		return 0, false
	}
	switch letter(x, ref) {
	case minus:
		return -deg, true
	case plus:
		if negative {
			return -deg, true
		}
		return deg, true
	}
	return 0, false
}

// degrees adds up degrees, minutes and seconds; one or two values are decimal degrees or decimal minutes, and a fourth is not
// looked at. The sum is rounded to 1e-9 degrees, a tenth of a millimetre. Any part that is unknown makes the sum unknown. Old phones write a text "52,0,50".
func degrees(x *exif.Exif, name exif.FieldName) (sum float64, negative, ok bool) {
	t, err := x.Get(name)
	if err != nil {
		return 0, false, false
	}
	parts, ok := numbers(t)
	if !ok {
		return 0, false, false
	}
	for i, p := range parts[:min(len(parts), 3)] {
		negative = negative || p < 0
		sum += math.Abs(p) / math.Pow(60, float64(i))
	}
	return math.Round(sum*1e9) / 1e9, negative, true
}

// numbers is all values of a tag that holds at most 16 of them; a text is split at its commas.
func numbers(t *tiff.Tag) ([]float64, bool) {
	if t.Format() == tiff.StringVal {
		return textNumbers(cleanText(t.Val))
	}
	if t.Count > 16 {
		return nil, false
	}
	var all []float64
	for i := range int(min(t.Count, 3)) {
		v, ok := tagNumber(t, i)
		if !ok {
			return nil, false
		}
		all = append(all, v)
	}
	return all, len(all) > 0
}

// textNumbers reads "52,0,50", "52.5,30" and, of six parts, "52,00,50,00,34,01" with a decimal comma.
func textNumbers(s string) ([]float64, bool) {
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' })
	if len(parts) == 6 {
		parts = []string{parts[0] + "." + parts[1], parts[2] + "." + parts[3], parts[4] + "." + parts[5]}
	}
	if len(parts) < 1 || len(parts) > 3 {
		return nil, false
	}
	var all []float64
	for _, p := range parts {
		v, ok := textNumber(p)
		if !ok {
			return nil, false
		}
		all = append(all, v)
	}
	return all, true
}

// textNumber reads plain decimal digits with at most one point and a sign: no word, no exponent, no base prefix.
func textNumber(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	if s == "" || len(s) > 20 || strings.Trim(s, "0123456789.+-") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// readAltitude sets metres above sea level within -1000..10000 m, beyond the lowest shore and the highest peak (common sense, no
// source). Reference 1 is below sea level; EXIF 3.0 adds 2 and 3 for heights above and below the ellipsoid, which are taken alike.
func readAltitude(m *Meta, x *exif.Exif) {
	alt, ok := number(x, exif.GPSAltitude, 0)
	ref, hasRef := number(x, exif.GPSAltitudeRef, 0)
	if !ok || hasRef && (ref < 0 || ref > 3) {
		return
	}
	if ref == 1 || ref == 3 {
		alt = -math.Abs(alt)
	}
	if alt >= -1000 && alt <= 10000 {
		m.Altitude = &alt
	}
}

// readBearing sets where the camera looked, 0 <= x < 360 (CIPA DC-008 4.6.6: 0.00 to 359.99).
func readBearing(m *Meta, x *exif.Exif) {
	if b, ok := number(x, exif.GPSImgDirection, 0); ok && b >= 0 && b < 360 {
		m.Bearing, m.Magnetic = &b, letter(x, exif.GPSImgDirectionRef) == "M"
	}
}

// focal is a focal length in mm, 0 when it is unknown: 0 in the file says so itself, and beyond 5000 mm no camera goes.
func focal(x *exif.Exif, name exif.FieldName) float64 {
	if f, ok := number(x, name, 0); ok && f > 0 && f <= 5000 {
		return f
	}
	return 0
}

// text is a cleaned text tag, "" when it is not there or no text.
func text(x *exif.Exif, name exif.FieldName) string {
	t, err := x.Get(name)
	if err != nil || t.Format() != tiff.StringVal {
		return ""
	}
	return cleanText(t.Val)
}

// letter is the first letter of a reference as a capital, "" when it has none. Some cameras write the word, some the byte.
func letter(x *exif.Exif, name exif.FieldName) string {
	t, err := x.Get(name)
	if err != nil {
		return ""
	}
	word := bytes.TrimLeft(t.Val, " ")
	return strings.ToUpper(string(word[:min(1, len(word))]))
}

// number is the i-th value of a numeric tag, or a text of digits; it is unknown when it is not finite or divided by zero.
func number(x *exif.Exif, name exif.FieldName, i int) (float64, bool) {
	t, err := x.Get(name)
	if err != nil || i >= int(t.Count) {
		return 0, false
	}
	return tagNumber(t, i)
}

func tagNumber(t *tiff.Tag, i int) (float64, bool) {
	switch t.Format() {
	case tiff.IntVal:
		v, err := t.Int64(i)
		return float64(v), err == nil
	case tiff.RatVal:
		num, den, err := t.Rat2(i)
		return float64(num) / float64(den), err == nil && den != 0
	case tiff.FloatVal:
		v, err := t.Float(i)
		return v, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
	case tiff.StringVal:
		return textNumber(cleanText(t.Val))
	}
	return 0, false
}
