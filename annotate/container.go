package annotate

import (
	"bytes"
	"encoding/binary"
)

// exifPrefix introduces the TIFF structure in a JPEG segment (CIPA DC-008 4.7.2). Some programs write it into PNG and WebP too.
const exifPrefix = "Exif\x00\x00"

// pngSignature is the first eight bytes of a PNG (W3C PNG 5.2).
const pngSignature = "\x89PNG\r\n\x1a\n"

// JPEG markers (ITU-T T.81 table B.1).
const (
	markerTEM  = 0x01
	markerRST0 = 0xD0
	markerSOI  = 0xD8
	markerEOI  = 0xD9
	markerSOS  = 0xDA
	markerAPP1 = 0xE1
)

// jpegSegment is one marker with its payload; payload is nil for a marker that stands alone.
type jpegSegment struct {
	marker  byte
	payload []byte
	end     int // offset of the first byte behind it
}

// nextSegment reads the segment at offset at. It fails on anything that is not a marker, and on a payload that reaches past the
// end. Fill bytes before a marker (T.81 B.1.1.2) are skipped.
func nextSegment(data []byte, at int) (jpegSegment, bool) {
	if at < 0 || at >= len(data) || data[at] != 0xFF {
		return jpegSegment{}, false
	}
	for at < len(data) && data[at] == 0xFF {
		at++
	}
	if at >= len(data) || data[at] == 0 {
		return jpegSegment{}, false
	}
	seg := jpegSegment{marker: data[at], end: at + 1}
	if standsAlone(seg.marker) {
		return seg, true
	}
	if at+3 > len(data) {
		return jpegSegment{}, false
	}
	length := int(binary.BigEndian.Uint16(data[at+1:]))
	if length < 2 || at+1+length > len(data) {
		return jpegSegment{}, false
	}
	seg.payload, seg.end = data[at+3:at+1+length], at+1+length
	return seg, true
}

func standsAlone(marker byte) bool {
	return marker == markerTEM || marker >= markerRST0 && marker <= markerEOI
}

// jpegExif is the TIFF structure of the first APP1 segment that holds one. The walk ends where the picture data begin, so that
// nothing inside another segment, inside the picture or behind its end is ever taken for the camera's notes.
func jpegExif(data []byte) []byte {
	for at := 2; ; {
		seg, ok := nextSegment(data, at)
		if !ok || seg.marker == markerSOS || seg.marker == markerEOI {
			return nil
		}
		if seg.marker == markerAPP1 && bytes.HasPrefix(seg.payload, []byte(exifPrefix)) {
			return seg.payload[len(exifPrefix):]
		}
		at = seg.end
	}
}

// jpegScans counts the passes over the picture up to its end, and stops counting above limit. Between the passes it looks for the
// next marker the way decoders do: FF followed by neither 00 nor a restart marker nor FF.
func jpegScans(data []byte, limit int) int {
	scans, at := 0, 2
	for scans <= limit {
		at = findMarker(data, at)
		if at < 0 || data[at+1] == markerEOI {
			break
		}
		seg, ok := nextSegment(data, at)
		if !ok {
			at += 2
			continue
		}
		if seg.marker == markerSOS {
			scans++
		}
		at = seg.end
	}
	return scans
}

// findMarker is the offset of the next marker that is neither a stuffed byte nor a restart, -1 when there is none.
func findMarker(data []byte, at int) int {
	for at < len(data) {
		i := bytes.IndexByte(data[at:], 0xFF)
		if i < 0 || at+i+1 >= len(data) {
			return -1
		}
		at += i
		next := data[at+1]
		if next == 0xFF {
			at++
			continue
		}
		if next == 0 || standsAlone(next) && next != markerEOI {
			at += 2
			continue
		}
		return at
	}
	return -1
}

// pngExif is the content of the first eXIf chunk (W3C PNG 11.3.4.5).
func pngExif(data []byte) []byte {
	for at := len(pngSignature); at+12 <= len(data); {
		length := int64(binary.BigEndian.Uint32(data[at:]))
		if int64(at)+12+length > int64(len(data)) {
			return nil
		}
		body := data[at+8 : at+8+int(length)]
		switch string(data[at+4 : at+8]) {
		case "eXIf":
			return bytes.TrimPrefix(body, []byte(exifPrefix))
		case "IEND":
			return nil
		}
		at += 12 + int(length)
	}
	return nil
}

// riffChunk is one chunk of a WebP file.
type riffChunk struct {
	id   string
	body []byte
}

// webpChunks lists the chunks of a WebP file (RFC 9649 2.3), at most 1000; a chunk that is cut off ends the list with what is
// there of it.
func webpChunks(data []byte) []riffChunk {
	var chunks []riffChunk
	for at := int64(12); at+8 <= int64(len(data)) && len(chunks) < 1000; {
		length := int64(binary.LittleEndian.Uint32(data[at+4:]))
		end := min(at+8+length, int64(len(data)))
		chunks = append(chunks, riffChunk{string(data[at : at+4]), data[at+8 : end]})
		at += 8 + length + length%2
	}
	return chunks
}

// webpExif is the content of the first EXIF chunk (RFC 9649 2.7.1.5).
func webpExif(data []byte) []byte {
	for _, c := range webpChunks(data) {
		if c.id == "EXIF" {
			return bytes.TrimPrefix(c.body, []byte(exifPrefix))
		}
	}
	return nil
}

// webpFrame is the size that a VP8 or VP8L chunk announces. The canvas of the extended header may be smaller, and a decoder
// reserves what the frame says (RFC 9649 2.5 and 2.6, RFC 6386 9.1).
func webpFrame(c riffChunk) (w, h int, ok bool) {
	b := c.body
	switch {
	case c.id == "VP8 " && len(b) >= 10 && string(b[3:6]) == "\x9d\x01\x2a":
		return int(binary.LittleEndian.Uint16(b[6:]) & 0x3fff), int(binary.LittleEndian.Uint16(b[8:]) & 0x3fff), true
	case c.id == "VP8L" && len(b) >= 5 && b[0] == 0x2f:
		v := binary.LittleEndian.Uint32(b[1:])
		return int(v&0x3fff) + 1, int(v>>14&0x3fff) + 1, true
	}
	return 0, 0, false
}
