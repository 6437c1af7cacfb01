package annotate

import (
	"bytes"
	"errors"
	"fmt"
	"image/jpeg"
)

// Markers that a derivative may have besides the tables and the picture itself (ITU-T T.81 table B.1).
const (
	markerSOF0 = 0xC0
	markerDHT  = 0xC4
	markerDQT  = 0xDB
	markerDRI  = 0xDD
)

// PixelsOnly checks that a file is a JPEG such as Make writes: tables and one picture no longer or wider than ScreenSide, no metadata of any sort and nothing
// behind its end. The error says what is there that should not be.
func PixelsOnly(file []byte) error {
	if Sniff(file) != FormatJPEG {
		return errors.New("not a JPEG")
	}
	if !bytes.HasSuffix(file, []byte{0xFF, markerEOI}) {
		return errors.New("there is something behind the picture's end")
	}
	for at := 2; at < len(file)-2; {
		seg, ok := nextSegment(file, at)
		if !ok {
			return errors.New("a segment is broken")
		}
		switch seg.marker {
		case markerSOF0, markerDHT, markerDQT, markerDRI:
			at = seg.end
		case markerSOS:
			if end := findMarker(file, seg.end); end != len(file)-2 {
				return errors.New("there is more than one pass over the picture, or something behind it")
			}
			return pixelSize(file)
		default:
			return fmt.Errorf("there is a segment %#x", seg.marker)
		}
	}
	return errors.New("there is no picture in it")
}

// pixelSize refuses pictures that are larger than a derivative.
func pixelSize(file []byte) error {
	c, err := jpeg.DecodeConfig(bytes.NewReader(file))
	if err != nil {
		return fmt.Errorf("read the picture's size: %w", err)
	}
	if max(c.Width, c.Height) > ScreenSide {
		return fmt.Errorf("%d × %d pixels are more than %d", c.Width, c.Height, ScreenSide)
	}
	return nil
}
