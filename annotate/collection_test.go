package annotate

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// expected is one row of an EXPECT.tsv: what exiftool -n reads in the EXIF block, by column.
type expected map[string]string

func expectations(t *testing.T, folder string) []expected {
	t.Helper()
	f, err := os.Open(filepath.Join(photos(t, folder), "EXPECT.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comma, r.LazyQuotes = '\t', true
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	var all []expected
	for _, row := range rows[1:] {
		e := expected{}
		for i, name := range rows[0] {
			e[name] = strings.TrimSpace(row[i])
		}
		all = append(all, e)
	}
	return all
}

// unlike lists where the reading must differ from exiftool's, by file and column, and what it is instead.
func unlike() map[string]map[string]string {
	sizeless := map[string]string{"ImageWidth": "0", "ImageHeight": "0"} // the header cannot be read by a decoder that is used
	return map[string]map[string]string{
		"fuji_S1Pro_gps.jpg":           {"FocalLength": ""}, // 0 is unknown
		"fuji_SP2500_blankdate_o6.jpg": {"DateTimeOriginal": ""},
		"nikon_E900_zerodate.jpg":      {"DateTimeOriginal": ""},
		"htc_Legend_o2.jpg":            {"DateTimeOriginal": "2018:06:26 17:46:33"},                            // no fractions
		"htc_OneM8_degstring.jpg":      {"GPSLatitude": "52.842781056", "GPSLongitude": "11.182856556"},        // text "52,00000,50,00000,34,01180": 52 deg 50' 34.0118"
		"samsung_GT-I9000_o6_gps0.jpg": {"FocalLengthIn35mmFormat": "", "GPSLatitude": "", "GPSLongitude": ""}, // 0,0
		"leica_T_o8_gps0.jpg":          {"GPSAltitude": ""},                                                    // 0/0
		"Landscape_0.jpg":              {"Orientation": "1"},
		"jpg_12bit_orig.jpg":           sizeless,
		"jpg_arithmetic.jpg":           sizeless,
		"motion_photo_pixel.jpg":       sizeless, // made: the notes of a photo without a picture
		"png_exif_vivo.png":            sizeless,
		"png_exif_both.png":            {"ImageWidth": "0", "ImageHeight": "0", "GPSLatitude": "22.531133333", "GPSLongitude": "114.021480556", "GPSAltitude": "0"}, // the chunk, not the text block
		"heic_anim.heic":               sizeless,                                                                                                                    // a sequence without a picture
		"heic_issue437.heic":           {"ImageWidth": "1848", "ImageHeight": "4000"},                                                                               // stored upright as it is; Exif alone says 6
	}
}

func TestCollectionAsExpected(t *testing.T) {
	for _, folder := range []string{"cameras", "orient", "formats", "big"} {
		for _, want := range expectations(t, folder) {
			name := want["file"]
			m := readPath(t, filepath.Join(photos(t, folder), name))
			if m.Format == FormatUnknown {
				if !strings.HasSuffix(m.Problem, "JPEG, PNG or WebP files.") || strings.Contains(m.Problem, "not a photo") {
					t.Errorf("%s: %q", name, m.Problem)
				}
				continue
			}
			for column, value := range unlike()[name] {
				want[column] = value
			}
			got := asExpected(m)
			if want["Orientation"] == "" {
				want["Orientation"] = "1"
			}
			for column, value := range want {
				if column != "file" && !equalValue(value, got[column]) {
					t.Errorf("%s: %s is %q, want %q", name, column, got[column], value)
				}
			}
		}
	}
}

// asExpected writes a reading in the columns of EXPECT.tsv; the size there is the stored one.
func asExpected(m Meta) expected {
	w, h := m.Width, m.Height
	if m.Orientation >= 5 {
		w, h = h, w
	}
	opt := func(v *float64) string {
		if v == nil {
			return ""
		}
		return fmt.Sprint(*v)
	}
	lens := func(v float64) string {
		if v == 0 {
			return ""
		}
		return fmt.Sprint(v)
	}
	return expected{"Make": m.Make, "Model": m.Model, "OffsetTimeOriginal": m.Offset, "Orientation": strconv.Itoa(m.Orientation),
		"DateTimeOriginal": strings.Replace(strings.Replace(m.Taken, "T", " ", 1), "-", ":", 2),
		"ImageWidth":       strconv.Itoa(w), "ImageHeight": strconv.Itoa(h), "FocalLength": lens(m.FocalMM), "FocalLengthIn35mmFormat": lens(m.Focal35),
		"GPSLatitude": opt(m.Latitude), "GPSLongitude": opt(m.Longitude), "GPSAltitude": opt(m.Altitude), "GPSImgDirection": opt(m.Bearing)}
}

// equalValue compares texts, or numbers to 1e-8 of their size.
func equalValue(want, got string) bool {
	if want == got {
		return true
	}
	w, errW := strconv.ParseFloat(want, 64)
	g, errG := strconv.ParseFloat(got, 64)
	return errW == nil && errG == nil && math.Abs(w-g) <= 1e-8*max(1, math.Abs(w))
}

// Every photo of the collection that is not known to be undecodable gives a picture, and the eight turned copies of the same
// landscape come out alike.
func TestCollectionPictures(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a hundred large photos")
	}
	broken := map[string]string{"google_Pixel6_ultrahdr.jpg": "damaged", "jpg_12bit_orig.jpg": "rare", "jpg_arithmetic.jpg": "rare",
		"motion_photo_pixel.jpg": "damaged", "png_exif_both.png": "damaged", "png_exif_vivo.png": "damaged", "webp_anim.webp": "moving",
		"heic_": "HEIC", ".tif": "TIFF", ".gif": "GIF", ".avif": "AVIF"}
	for _, folder := range []string{"cameras", "orient", "formats"} {
		for _, want := range expectations(t, folder) {
			res, err := Make(t.Context(), filepath.Join(photos(t, folder), want["file"]), t.TempDir())
			if err != nil {
				t.Errorf("%s: %v", want["file"], err)
				continue
			}
			expect := ""
			for part, word := range broken {
				if strings.Contains(want["file"], part) {
					expect = word
				}
			}
			if (expect == "") != (res.Meta.Problem == "") || !strings.Contains(res.Meta.Problem, expect) {
				t.Errorf("%s: problem %q, want %q", want["file"], res.Meta.Problem, expect)
			}
		}
	}
	compareLandscapes(t)
}

func compareLandscapes(t *testing.T) {
	t.Helper()
	dir := photos(t, "orient")
	first, err := Make(t.Context(), filepath.Join(dir, "Landscape_1.jpg"), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	upright := openJPEG(t, first.Thumb)
	for o := range 9 {
		res, err := Make(t.Context(), filepath.Join(dir, fmt.Sprintf("Landscape_%d.jpg", o)), t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		if d := meanDifference(upright, openJPEG(t, res.Thumb)); d > 4 { // the copies were compressed again when they were made
			t.Errorf("Landscape_%d differs from Landscape_1 by %.1f", o, d)
		}
	}
}
