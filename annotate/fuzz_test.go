package annotate

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

// addSmallFiles adds the hostile files of less than 2 KB as seeds: with larger ones a fuzzer makes no way.
func addSmallFiles(f *testing.F) {
	files, err := filepath.Glob(hostile("*"))
	if err != nil || len(files) == 0 {
		f.Fatalf("%d files, %v", len(files), err)
	}
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		if len(data) < 2048 {
			f.Add(data)
		}
	}
}

// FuzzExif: whatever the bytes, reading ends within a second, and every value is in its range.
func FuzzExif(f *testing.F) {
	addSmallFiles(f)
	f.Add(heicFile(exifTIFF(binary.BigEndian, 6), 1, 1, true))
	f.Fuzz(func(t *testing.T, data []byte) {
		start := time.Now()
		for _, block := range [][]byte{data, jpegExif(data), pngExif(data), webpExif(data), heicExif(data)} {
			m := Meta{Orientation: 1}
			if err := readExif(&m, block); err == nil && block != nil && len(block) < 8 {
				t.Error("a block without a header was read")
			}
			checkRanges(t, m)
		}
		m := inspect(data, int64(len(data)))
		checkRanges(t, m)
		if m.Problem == "" && !fits(m.Width, m.Height) {
			t.Errorf("%d x %d is let through", m.Width, m.Height)
		}
		if took := time.Since(start); took > time.Second {
			t.Errorf("took %s", took)
		}
	})
}

// checkRanges checks what the comments of Meta promise.
func checkRanges(t *testing.T, m Meta) {
	t.Helper()
	in := func(name string, v *float64, low, high float64) {
		if v != nil && !(*v >= low && *v <= high) {
			t.Errorf("%s %g", name, *v)
		}
	}
	if m.Orientation < 1 || m.Orientation > 8 {
		t.Errorf("orientation %d", m.Orientation)
	}
	in("latitude", m.Latitude, -90, 90)
	in("longitude", m.Longitude, -180, 180)
	in("altitude", m.Altitude, -1000, 10000)
	in("bearing", m.Bearing, 0, 359.9999999)
	in("focal length", &m.FocalMM, 0, 5000)
	in("35 mm focal length", &m.Focal35, 0, 5000)
	if (m.Latitude == nil) != (m.Longitude == nil) || m.Latitude != nil && *m.Latitude == 0 && *m.Longitude == 0 {
		t.Errorf("half a position, or 0,0")
	}
	if m.Taken != "" {
		if _, err := time.Parse("2006-01-02T15:04:05", m.Taken); err != nil {
			t.Error(err)
		}
	}
	for _, s := range []string{m.Make, m.Model} {
		if !utf8.ValidString(s) || utf8.RuneCountInString(s) > maxText || bytes.ContainsFunc([]byte(s), unicode.IsControl) {
			t.Errorf("text %q", s)
		}
	}
}

// FuzzSniff: a format depends on the first 64 bytes alone, and a file of no format is described in one sentence and what is taken.
func FuzzSniff(f *testing.F) {
	addSmallFiles(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		got := Sniff(data)
		if short := Sniff(data[:min(len(data), 64)]); short != got {
			t.Errorf("%q by 64 bytes, %q by all", short, got)
		}
		if !slices.Contains([]Format{FormatUnknown, FormatJPEG, FormatPNG, FormatWebP, FormatHEIC}, got) {
			t.Errorf("format %q", got)
		}
		if got == FormatUnknown && !bytes.HasSuffix([]byte(describeUnknown(data)), []byte(notTaken)) {
			t.Errorf("described as %q", describeUnknown(data))
		}
	})
}
