package annotate

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"os"
	"strings"
	"testing"
)

// TestPixelsOnly: what Make writes passes; any segment, tail or second pass besides does not.
func TestPixelsOnly(t *testing.T) {
	dir := t.TempDir()
	plain := encodeJPEG(t, image.NewNRGBA(image.Rect(0, 0, 300, 200)))
	result, err := Make(context.Background(), writeTemp(t, "in.jpg", withJPEGExif(plain, exifTIFF(binary.LittleEndian, 6))), dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{result.Screen, result.Thumb} {
		body, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := PixelsOnly(body); err != nil {
			t.Errorf("what Make wrote: %v", err)
		}
	}
	comment := append(append(bytes.Clone(plain[:2]), 0xFF, 0xFE, 0, 6, 'n', 'o', 't', 'e'), plain[2:]...)
	behind := append(bytes.Clone(plain[:len(plain)-2]), append([]byte{0xFF, 0xFE, 0, 6, 'n', 'o', 't', 'e'}, 0xFF, markerEOI)...)
	for says, body := range map[string][]byte{
		"not a JPEG":       []byte("\x89PNG\r\n\x1a\n"),
		"segment 0xe1":     withJPEGExif(plain, exifTIFF(binary.LittleEndian, 1)),
		"segment 0xfe":     comment,
		"picture's end":    append(bytes.Clone(plain), "PK\x03\x04"...),
		"more than one":    behind,
		"are more than":    encodeJPEG(t, image.NewNRGBA(image.Rect(0, 0, ScreenSide+1, 2))),
		"broken":           append(bytes.Clone(plain[:20]), 0xFF, markerEOI),
		"no picture":       {0xFF, markerSOI, 0xFF, markerDRI, 0, 4, 0, 0, 0xFF, markerEOI},
		"something behind": append(bytes.Clone(plain), plain...),
	} {
		if err := PixelsOnly(body); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("got %v, want an error that says %q", err, says)
		}
	}
}
