package annotate

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/rwcarlsen/goexif/exif"
)

// good is what the untouched carrier of testdata/hostile says.
func good(change func(*Meta)) Meta {
	m := Meta{Format: FormatJPEG, Width: 96, Height: 64, Orientation: 1, Taken: "2024-05-06T07:08:09", Make: "TestMake", Model: "Model X",
		FocalMM: 4.25, Focal35: 26}
	change(&m)
	return m
}

func at(lat, lon float64) func(*Meta) {
	return func(m *Meta) { m.Latitude, m.Longitude = &lat, &lon }
}

const (
	badDate     = "The date in this photo is not a date, so the time it was taken is unknown."
	badPosition = "The position in this photo is incomplete or impossible, so it is left out."
)

func noDate(m *Meta)     { m.Taken, m.Warnings = "", []string{badDate} }
func noPosition(m *Meta) { m.Warnings = []string{badPosition} }

// TestDates: CIPA DC-008-2012 (Exif 2.3) DateTimeOriginal is "YYYY:MM:DD HH:MM:SS", blank when unknown; Exif 2.31 OffsetTimeOriginal
// is "+HH:MM" or "-HH:MM". Other separators that leave no doubt are taken, impossible parts make the time unknown.
func TestDates(t *testing.T) {
	blank := func(m *Meta) { m.Taken = "" }
	same := func(*Meta) {}
	for name, change := range map[string]func(*Meta){
		"date_empty":      blank,
		"date_spaces":     blank,
		"date_zero":       blank, // 0000:00:00 00:00:00: the clock was never set
		"date_feb30":      noDate,
		"date_h25":        noDate,
		"date_inject":     noDate,
		"date_nines":      noDate,
		"date_short":      noDate, // a day without a time
		"date_text":       noDate,
		"date_year2999":   noDate,
		"date_iso":        same,
		"date_slash":      same,
		"date_subsec":     same, // the fraction is dropped
		"date_iso_tz":     func(m *Meta) { m.Offset = "+02:00" },
		"date_offset_0":   same, // +99:99
		"date_offset_2":   same, // empty
		"date_offset_7":   same, // UTC
		"date_offset_8":   same, // +02:00:00
		"date_offset_9":   same, // a minus sign that is not ASCII
		"date_no_nul":     func(m *Meta) { m.Make, m.Model, m.FocalMM, m.Focal35 = "X", "", 0, 0 },
		"date_conflict":   func(m *Meta) { m.Make, m.Model, m.FocalMM, m.Focal35 = "", "", 0, 0 }, // three dates: that of the exposure counts
		"ok_offset_le":    func(m *Meta) { m.Offset = "-07:30"; at(-46.2096, -7.435525)(m) },      // three offsets: that of the exposure counts
		"ok_reference_le": func(m *Meta) { reference(m); alt, dir := 432.1, 123.45; m.Altitude, m.Bearing = &alt, &dir },
	} {
		checkReading(t, name+".jpg", good(change))
	}
}

func reference(m *Meta) {
	m.Orientation, m.Width, m.Height = 6, 64, 96
	at(46.2096, 7.435525)(m)
}

// TestPositions: CIPA DC-008 4.6.6: latitude and longitude are three unsigned RATIONALs, the references N, S, E and W have no default,
// GPSImgDirection is 0.00 to 359.99, GPSAltitudeRef 1 is below sea level. 46.2096 is 46 deg 12 min 34.56 s.
func TestPositions(t *testing.T) {
	for name, change := range map[string]func(*Meta){
		"gps_0_0":           noPosition, // 0/0
		"gps_x_0":           noPosition, // 46/0
		"gps_sec_0_0":       noPosition,
		"gps_huge":          noPosition,
		"gps_lat91":         noPosition,
		"gps_null_island":   noPosition,
		"gps_only_lat":      noPosition,
		"gps_noref":         noPosition, // which hemisphere is not known
		"gps_ref_empty":     noPosition,
		"gps_ascii":         noPosition, // "NaN,0,1"
		"gps_double":        noPosition, // NaN
		"gps_1rational":     at(46.2096, 7.43552),
		"gps_2rationals":    at(46.209666667, 7.4355),
		"gps_4rationals":    at(46.209444444, 7.435277778),
		"gps_min75":         at(47.2775, 8.033611111), // 75 minutes are 1.25 degrees
		"gps_ref_byte":      at(-46.2, -7),
		"gps_ref_lower":     at(-46.2096, -7.435525),
		"gps_ref_word":      at(-46.2096, -7.435525),
		"gps_srational_neg": at(-46.209444444, -7.435277778), // negative and south: not north
		"gps_time_bad":      at(46.2096, 7.435525),
		"gps_alt_0_0":       at(46.2096, 7.435525),
		"gps_alt_huge":      at(46.2096, 7.435525),
		"gps_alt_neg":       func(m *Meta) { at(46.2096, 7.435525)(m); alt := -12.3; m.Altitude = &alt },
		"gps_dir_999":       at(46.2096, 7.435525),
		"gps_dir_neg":       at(46.2096, 7.435525),
	} {
		checkReading(t, name+"_le.jpg", good(change))
	}
}

// TestOddValues: CIPA DC-008 4.6.4 and 4.6.5: Orientation is one SHORT of 1 to 8; FocalLengthIn35mmFilm 0 is unknown. A damaged part
// of the notes never takes the other parts with it, and of two blocks or tags the first counts.
func TestOddValues(t *testing.T) {
	turned := func(m *Meta) { m.Orientation, m.Width, m.Height = 6, 64, 96 }
	odd := func(m *Meta) { turned(m); m.Make, m.Model = "X", "" }
	lens := func(f, f35 float64) func(*Meta) { return func(m *Meta) { m.FocalMM, m.Focal35 = f, f35 } }
	names := func(maker, model string) func(*Meta) { return func(m *Meta) { m.Make, m.Model = maker, model } }
	both := func(s string) func(*Meta) { return names(s, s) }
	same := func(*Meta) {}
	for name, change := range map[string]func(*Meta){
		"focal_0_0_le":      lens(0, 0),
		"focal_huge_le":     lens(0, 0),
		"focal_neg_le":      lens(0, 0),
		"focal_as_short_le": lens(50, 35),

		"orient_as_ascii_le": odd, "orient_as_byte6_le": odd, "orient_as_long6_le": odd, "orient_count2_le": odd, "orient_twice_le": odd,
		"orient_value_0_le": same, "orient_value_9_le": same, "orient_value_255_le": same, "orient_value_65535_le": same,

		"valid_xmp_before_exif_le": reference, "valid_fill_bytes_le": reference, "valid_ffe1_inside_app4_le": reference,
		"valid_exif_after_dqt_le": reference, "two_exif_conflict_le": reference, "xmp_billion_laughs": reference,
		"exif_zero_count_tag_le": reference, "exif_zero_count_in_exif_le": reference, "exif_tag_past_end_ifd0_le": reference,
		"exif_type13_ifd_le": reference, "exif_makernote_short_read_le": reference,
		"exif_type129_utf8_le": reference, // EXIF 3.0 text type
		"dims_lie_le":          same,      // the picture's own header counts

		"str_html": both("<script>alert(1)</script><img src=x onerror=alert(2)>"), // kept as text: pages escape it
		"str_csv":  both(`=HYPERLINK("http://127.0.0.1/x","click")`),
		"str_ansi": both("[31mred[0m"), "str_control": both(""), "str_surrogate": both("lone surrogate"),
		"exif_nikon_makernote_3bytes_le": names("NIKON CORPORATION", "Model X"), "exif_nikon_makernote_2cycle_le": names("NIKON CORPORATION", "Model X"),
		"exif_canon_makernote_bad_le": names("Canon", "Model X"),
	} {
		checkReading(t, name+".jpg", good(change))
	}
}

func checkReading(t *testing.T, name string, want Meta) {
	t.Helper()
	got := readPath(t, hostile(name))
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

// Notes that are not the picture's own, and structures that loop or overflow, give the plain picture and no more.
func TestNotesThatDoNotCount(t *testing.T) {
	for _, name := range []string{"exif_after_eoi", "exif_in_thumbnail_only_le", "exif_app1_len2", "exif_app1_only_Exif00",
		"exif_first_ifd_offset_0_le", "exif_first_ifd_offset_huge_le", "exif_first_ifd_in_header_le", "exif_ntags_ffff_le",
		"exif_ntags_1000_but_3_le", "exif_cut_at_4_le", "exif_cut_at_8_le", "exif_cut_at_20_le", "exif_cut_at_50_le", "exif_amplify_64k_le"} {
		got := readPath(t, hostile(name+".jpg"))
		got.Warnings = nil
		want := Meta{Format: FormatJPEG, Width: 96, Height: 64, Orientation: 1}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
	for name, maker := range map[string]string{"exif_ifd_2cycle_le.jpg": "TestMake", "exif_ifd_3cycle_le.jpg": "TestMake", "exif_ifd_selfloop_le.jpg": "TestMake",
		"png_exif_2cycle.png": "TestMake", "webp_exif_2cycle.webp": "TestMake", "exif_count_overflow_rational_le.jpg": "Ovf",
		"exif_count_overflow_long_le.jpg": "Ovf", "exif_count_overflow_short_le.jpg": "Ovf", "exif_subifd_is_ifd0_le.jpg": "Loop",
		"exif_thumb_oob_le.jpg": "TestMake", "exif_thumb_len_huge_le.jpg": "TestMake", "webp_exif_ok_o6.webp": "TestMake"} {
		if got := readPath(t, hostile(name)); got.Make != maker || got.Problem != "" {
			t.Errorf("%s: make %q, problem %q", name, got.Make, got.Problem)
		}
	}
}

func TestCleanText(t *testing.T) {
	for in, want := range map[string]string{
		"  Canon \x00 behind":         "Canon",
		"a\u202eb\u2066c\u200fd":      "abcd", // writing direction
		"Cafe\u0301":                  "Caf\u00e9",
		"\xff\xfeBad \xe4 bytes":      "Bad  bytes",
		"line\r\nbreak\tand\x1b[1m":   "linebreakand[1m",
		strings.Repeat("\u00e4", 500): strings.Repeat("\u00e4", 200),
		"\u2028\ufeff":                "",
	} {
		if got := cleanText([]byte(in)); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

// A photo of more than 40 MB keeps what its first bytes say, and a photo of just 40 MB is taken.
func TestLargeFile(t *testing.T) {
	data := withJPEGExif(encodeJPEG(t, noise(64, 48, 8)), exifTIFF(binary.BigEndian, 6))
	for size, problem := range map[int64]string{MaxFileBytes: "", MaxFileBytes + 1: "The file is larger than 40 MB. Send it at a smaller size."} {
		path := writeTemp(t, "p.jpg", data)
		if err := os.Truncate(path, size); err != nil {
			t.Fatal(err)
		}
		res, err := Make(t.Context(), path, t.TempDir())
		if err != nil || res.Meta.Problem != problem || res.Meta.Make != "Canary" || (res.Screen == "") != (problem != "") {
			t.Errorf("%d bytes: %v, %+v", size, err, res)
		}
	}
}

// Cut off at every byte, a small file of each format never panics, and keeps its notes when they are still in it.
func TestTruncationAtEveryOffset(t *testing.T) {
	img, tiff := noise(24, 16, 4), exifTIFF(binary.BigEndian, 6)
	for name, data := range map[string][]byte{
		"jpeg": withJPEGExif(encodeJPEG(t, img), tiff), "png": withPNGExif(encodePNG(t, img), tiff), "webp": encodeWebP(img, img.Rect.Size(), tiff),
	} {
		whole := bytes.Index(data, tiff) + len(tiff) + 4
		for n := range len(data) + 1 {
			m := inspect(data[:n], int64(n))
			if m.Problem == "" {
				if _, err := derive(t.Context(), data[:n], &m); err != nil && strings.Contains(err.Error(), errPanic.Error()) {
					t.Errorf("%s cut at %d: %v", name, n, err)
				}
			} else if strings.Contains(m.Problem, errPanic.Error()) {
				t.Errorf("%s cut at %d: %s", name, n, m.Problem)
			}
			if n >= whole && m.Make != "Canary" {
				t.Errorf("%s cut at %d: notes lost", name, n)
			}
		}
	}
}

// The reference for ordinary photos is the EXIF library itself on its own samples, given the whole file: where it gives a value
// in range, the reading through the gate is the same.
func TestAgainstLibrarySamples(t *testing.T) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/rwcarlsen/goexif").Output()
	if err != nil {
		t.Skip("no go command to find the samples:", err)
	}
	files, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(out)), "exif", "samples", "*.jpg"))
	if err != nil || len(files) < 20 {
		t.Fatalf("%d samples, %v", len(files), err)
	}
	read := 0
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		x, err := exif.Decode(bytes.NewReader(data))
		if err != nil {
			continue
		}
		read++
		m := inspect(data, int64(len(data)))
		name := filepath.Base(path)
		if tag, err := x.Get(exif.Model); err == nil && cleanText(tag.Val) != m.Model && name != "geodegrees_as_string.jpg" { // not in the first directory
			t.Errorf("%s: model %q, library %q", name, m.Model, tag.Val)
		}
		if tag, err := x.Get(exif.DateTimeOriginal); err == nil {
			when, err := time.Parse("2006:01:02 15:04:05", cleanText(tag.Val))
			if want := when.Format("2006-01-02T15:04:05"); err == nil && when.Year() < 2100 && want != m.Taken {
				t.Errorf("%s: taken %q, library %q", name, m.Taken, want)
			}
		}
		if lat, lon, err := x.LatLong(); err == nil && lat != 0 && !math.IsNaN(lat) && !math.IsNaN(lon) {
			if m.Latitude == nil || math.Abs(*m.Latitude-lat) > 1e-8 || math.Abs(*m.Longitude-lon) > 1e-8 {
				t.Errorf("%s: position %v, library %v %v", name, m, lat, lon)
			}
		}
	}
	if read < 15 {
		t.Errorf("only %d samples were read by the library", read)
	}
}

func TestSniffAndDescribe(t *testing.T) {
	for name, want := range map[string]string{
		"png_as.jpg": "png", "webp_as.jpg": "webp", "ok_reference_le.jpg": "jpeg", "poly_png_zip.png": "png", "heic_claims_65535.heic": "heic",
		"mp4_as.jpg": "a video", "mz_as.jpg": "a program", "php_as.jpg": "a text file", "svg_real.svg": "an SVG drawing", "newline.jpg": "a text file",
		"tiff_ifd_2cycle_le.tif": "a TIFF", "poly_gif_js.gif": "a GIF", "zip_slip.zip": "a ZIP", "poly_html_before_jpg.jpg": "not a photo", "soi_only.jpg": "cut off",
		"goexif_oom_78.bin": "a TIFF",
	} {
		m := readPath(t, hostile(name))
		if string(m.Format) != want && !(m.Format == FormatUnknown && strings.Contains(m.Problem, want) && strings.HasSuffix(m.Problem, "JPEG, PNG or WebP files.")) {
			t.Errorf("%s: format %q, %q; want %q", name, m.Format, m.Problem, want)
		}
	}
	if m := Read(bytes.NewReader(nil), 0); !strings.HasPrefix(m.Problem, "The file is empty.") {
		t.Errorf("empty file: %q", m.Problem)
	}
	avif := "\x00\x00\x00\x1cftypavif\x00\x00\x00\x00avifmif1miaf"
	if m := Read(strings.NewReader(avif), int64(len(avif))); m.Format != FormatUnknown || !strings.Contains(m.Problem, "AVIF") {
		t.Errorf("AVIF: %+v", m)
	}
}

func ExampleRead() {
	f, err := os.Open(hostile("ok_reference_le.jpg"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		fmt.Println(err)
		return
	}
	m := Read(f, info.Size())
	fmt.Println(m.Make, m.Model, m.Taken, m.Width, m.Height, *m.Latitude, *m.Bearing)
	// Output: TestMake Model X 2024-05-06T07:08:09 64 96 46.2096 123.45
}
