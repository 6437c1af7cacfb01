package annotate

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// Each refusal says in plain words why and what helps, and keeps what the file said. They must come from headers alone: opening one
// of these pictures takes gigabytes or half a minute.
func TestRefusals(t *testing.T) {
	const large, passes, damaged, rare, heic = "at most 100 megapixels", "too many passes", "damaged or cut off", "stored in a rare way", "the HEIC format: it is kept"
	for name, want := range map[string]string{
		"jpg_claims_65535x65535.jpg": large, "jpg_1x65535.jpg": large, "jpg_65535x1.jpg": large, "jpg_prog_claims_30000x30000.jpg": large,
		"bomb_png_claims_100000.png": large, "bomb_png_claims_1x2G.png": large, "bomb_png_claims_max.png": rare, "png_negative.png": damaged,
		"bomb_webp_16383_valid.webp": large, "webp_claims_16383.webp": large, "webp_vp8_claims_16383.webp": large, "webp_vp8x_16M.webp": damaged,
		"jpg_prog_scans_3000_12MP.jpg": passes, "jpg_width0.jpg": damaged, "jpg_height0.jpg": damaged, "soi_eoi.jpg": damaged,
		"jpg_sof9_arith.jpg": rare, "jpg_sampling_44.jpg": rare, "heic_box_size1_huge.heic": heic, "heic_box_size7.heic": heic,
	} {
		start := time.Now()
		if m := readPath(t, hostile(name)); !strings.Contains(m.Problem, want) {
			t.Errorf("%s: problem %q, want %q", name, m.Problem, want)
		}
		if took := time.Since(start); took > time.Second {
			t.Errorf("%s: took %s", name, took)
		}
	}
	for _, name := range []string{"trunc_base_99.jpg", "trunc_prog_50.jpg", "jpg_no_dht.jpg", "webp_trunc.webp", "png_chunk_len_ffffffff.png"} {
		res, err := Make(t.Context(), hostile(name), t.TempDir())
		if err != nil || !strings.Contains(res.Meta.Problem, damaged) || res.Meta.Width != 96 {
			t.Errorf("%s: %v, %+v", name, err, res)
		}
	}
}

// A picture that lacks its end marker alone is shown, with a warning.
func TestMissingEnd(t *testing.T) {
	res, err := Make(t.Context(), hostile("trunc_prog_no_eoi.jpg"), t.TempDir())
	if err != nil || res.Screen == "" || len(res.Meta.Warnings) != 1 || !strings.Contains(res.Meta.Warnings[0], "end of this file is missing") {
		t.Errorf("%v, %+v", err, res)
	}
}

// A good EXIF block survives a picture that is cut off, and a good picture survives an EXIF block that is cut off.
func TestNeitherLosesTheOther(t *testing.T) {
	data, err := os.ReadFile(hostile("ok_reference_le.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	res, err := Make(t.Context(), writeTemp(t, "p.jpg", data[:len(data)-200]), t.TempDir())
	if err != nil || res.Meta.Problem == "" || res.Meta.Make != "TestMake" || res.Meta.Latitude == nil {
		t.Errorf("cut picture: %v, %+v", err, res)
	}
	for _, name := range []string{"exif_cut_at_50_le.jpg", "exif_cut_at_120_le.jpg", "exif_count_overflow_rational_le.jpg"} {
		res, err := Make(t.Context(), hostile(name), t.TempDir())
		if err != nil || res.Meta.Problem != "" || res.Screen == "" {
			t.Errorf("%s: %v, %+v", name, err, res)
		}
	}
}

// The canvas of a WebP may promise less than its frame takes; the frame counts.
func TestWebPFrameLargerThanCanvas(t *testing.T) {
	small := noise(8, 8, 1)
	if m := inspect(encodeWebP(small, image.Pt(8, 8), nil), 1); m.Problem != "" {
		t.Fatalf("honest canvas: %s", m.Problem)
	}
	data := encodeWebP(small, image.Pt(8, 8), nil)
	at := bytes.Index(data, []byte("VP8L")) + 9
	copy(data[at:], []byte{0xFF, 0xFF, 0xFF, 0x0F}) // 16384 x 16384
	if m := inspect(data, int64(len(data))); !strings.Contains(m.Problem, "at most 100 megapixels") {
		t.Errorf("lying canvas: %+v", m)
	}
}

func TestFits(t *testing.T) {
	for _, c := range []struct {
		w, h int
		want bool
	}{{1, 1, true}, {20000, 5000, true}, {20000, 5001, false}, {20001, 1, false}, {1, 20001, false}, {0, 1, false}, {-1, -1, false}, {10000, 10000, true}, {1 << 31, 1 << 33, false}} {
		if got := fits(c.w, c.h); got != c.want {
			t.Errorf("%d x %d: %v", c.w, c.h, got)
		}
	}
}

// Passes are counted up to the end of the picture and not behind it, nor inside other segments or the picture data.
func TestJPEGScans(t *testing.T) {
	sos := []byte{0xFF, markerSOS, 0, 2, 0x11, 0xFF, 0x00, 0xFF, 0xD0, 0x22}
	comment := append([]byte{0xFF, 0xFE, 0, 12}, sos...)
	data := append([]byte{0xFF, markerSOI}, comment...)
	for range 5 {
		data = append(data, sos...)
	}
	data = append(append(data, 0xFF, 0xFF, markerEOI), sos...)
	for limit, want := range map[int]int{100: 5, 3: 4} {
		if got := jpegScans(data, limit); got != want {
			t.Errorf("limit %d: %d passes, want %d", limit, got, want)
		}
	}
}

// A decoder that works on is stopped at its next read when the time is over.
func TestMakeStopsInTime(t *testing.T) {
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(errors.New("gone home"))
	_, err := Make(ctx, hostile("ok_reference_le.jpg"), t.TempDir())
	if err == nil || !strings.Contains(err.Error(), "gone home") {
		t.Errorf("error %v", err)
	}
	if _, _, err := decode(ctx, FormatPNG, encodePNG(t, noise(8, 8, 1))); !errors.Is(err, context.Canceled) {
		t.Errorf("decode: %v", err)
	}
}

// A panic of a library becomes an error.
func TestGuard(t *testing.T) {
	if err := guard(func() error { panic("oh") }); !errors.Is(err, errPanic) {
		t.Errorf("error %v", err)
	}
}

// Notes count only before the picture data and before the end, even when nothing but a marker is between.
func TestJPEGExifPlace(t *testing.T) {
	tiff := exifTIFF(binary.BigEndian, 6)
	app1 := withJPEGExif([]byte{0xFF, markerSOI}, tiff)[2:]
	for name, c := range map[string]struct {
		before []byte
		want   bool
	}{
		"first":                  {nil, true},
		"behind a comment":       {[]byte{0xFF, 0xFE, 0, 3, 'x'}, true},
		"behind a lone marker":   {[]byte{0xFF, markerTEM}, true},
		"behind fill bytes":      {[]byte{0xFF, 0xFF, 0xFF}, true},
		"behind the scan header": {[]byte{0xFF, markerSOS, 0, 2}, false},
		"behind the end":         {[]byte{0xFF, markerEOI}, false},
		"behind garbage":         {[]byte{0x00}, false},
		"inside a segment":       {[]byte{0xFF, 0xE4, 0, 200}, false},
	} {
		got := jpegExif(slices.Concat([]byte{0xFF, markerSOI}, c.before, app1, make([]byte, 20)))
		if want := map[bool][]byte{true: tiff}[c.want]; !bytes.Equal(got, want) {
			t.Errorf("%s: %d bytes", name, len(got))
		}
	}
}

// A directory of 512 entries is read, one of 513 is not.
func TestDirectoryLimit(t *testing.T) {
	for entries, want := range map[int]string{maxEntries: "Canary", maxEntries + 1: ""} {
		b := binary.BigEndian.AppendUint32([]byte("MM\x00*"), 8)
		b = binary.BigEndian.AppendUint16(b, uint16(entries))
		for i := range entries {
			b = binary.BigEndian.AppendUint16(b, uint16(tagMake+entries-1-i))
			b = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint16(b, typeASCII), 7)
			b = binary.BigEndian.AppendUint32(b, uint32(8+2+12*entries+4))
		}
		m := Meta{}
		err := readExif(&m, append(append(b, 0, 0, 0, 0), "Canary"...))
		if m.Make != "" || err != nil && want != "" {
			t.Errorf("%d entries, text without its last byte: %q, %v", entries, m.Make, err)
		}
		err = readExif(&m, append(append(b, 0, 0, 0, 0), "Canary\x00"...))
		if m.Make != want || (err == nil) != (want != "") {
			t.Errorf("%d entries: %q, %v", entries, m.Make, err)
		}
	}
}
