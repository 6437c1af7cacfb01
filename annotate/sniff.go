package annotate

import (
	"bytes"
	"encoding/binary"
	"unicode/utf8"
)

// Sniff tells the format of a file by its first bytes, of which 64 are enough; FormatUnknown when it is none that is known. The
// name of a file and what a browser says of it do not count. Signatures: ITU-T T.81 B.1 (JPEG), W3C PNG 5.2, RFC 9649 (WebP),
// ISO/IEC 23008-12 10.2 (HEIC brands).
func Sniff(first []byte) Format {
	switch {
	case bytes.HasPrefix(first, []byte("\xff\xd8\xff")):
		return FormatJPEG
	case bytes.HasPrefix(first, []byte(pngSignature)):
		return FormatPNG
	case len(first) >= 12 && string(first[:4]) == "RIFF" && string(first[8:12]) == "WEBP":
		return FormatWebP
	case isHEIC(first):
		return FormatHEIC
	}
	return FormatUnknown
}

// isHEIC looks through the brands of an ftyp box: one of HEVC in HEIF, and none of AVIF, which shares the generic brands.
func isHEIC(first []byte) bool {
	heic := false
	for _, brand := range fileBrands(first) {
		switch brand {
		case "avif", "avis":
			return false
		case "heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "msf1":
			heic = true
		}
	}
	return heic
}

// fileBrands is the major and the compatible brands of an ISO base media file, nil when it is none. At most 12 are read.
func fileBrands(first []byte) []string {
	if len(first) < 12 || string(first[4:8]) != "ftyp" {
		return nil
	}
	end := min(int64(len(first)), int64(binary.BigEndian.Uint32(first)), 64)
	brands := []string{string(first[8:12])}
	for at := int64(16); at+4 <= end; at += 4 {
		brands = append(brands, string(first[at:at+4]))
	}
	return brands
}

// notTaken ends every sentence about a file that is no photo of a known format.
const notTaken = " Photos must be JPEG, PNG or WebP files."

// describeUnknown says in plain words what a file is that is not taken.
func describeUnknown(data []byte) string {
	if len(data) == 0 {
		return "The file is empty." + notTaken
	}
	for _, k := range otherKinds() {
		if len(data) >= k.at+len(k.magic) && string(data[k.at:k.at+len(k.magic)]) == k.magic {
			return "This is " + k.name + "." + notTaken
		}
	}
	if fileBrands(data) != nil {
		return "This is a video." + notTaken
	}
	if isText(data) {
		return "This is a text file, not a photo." + notTaken
	}
	return "This is not a photo." + notTaken
}

// otherKind is a file that is recognised and not taken.
type otherKind struct {
	at    int
	magic string
	name  string
}

// otherKinds lists the files people send instead of photos; the first that fits counts.
func otherKinds() []otherKind {
	return []otherKind{
		{0, "GIF8", "a GIF picture"},
		{0, "II*\x00", "a TIFF or raw camera picture"},
		{0, "MM\x00*", "a TIFF or raw camera picture"},
		{0, "BM", "a BMP picture"},
		{4, "ftypavi", "an AVIF picture"},
		{0, "\x00\x00\x00\x0cJXL ", "a JPEG XL picture"},
		{0, "\xff\x0a", "a JPEG XL picture"},
		{0, "\x00\x00\x00\x0cjP  ", "a JPEG 2000 picture"},
		{0, "%PDF", "a PDF document"},
		{0, "PK\x03\x04", "a ZIP archive or an office document"},
		{0, "\x1f\x8b", "a compressed archive"},
		{0, "Rar!", "a compressed archive"},
		{0, "7z\xbc\xaf\x27\x1c", "a compressed archive"},
		{0, "MZ", "a program"},
		{0, "\x7fELF", "a program"},
		{0, "<svg", "an SVG drawing"},
		{0, "\xff\xd8", "a JPEG picture that is cut off after its first bytes"},
	}
}

// isText reports whether the first half kilobyte is readable text.
func isText(data []byte) bool {
	head := data[:min(len(data), 512)]
	for len(head) > 0 {
		r, n := utf8.DecodeRune(head)
		if r == utf8.RuneError && n == 1 {
			return len(head) < utf8.UTFMax && len(data) > 512
		}
		if r < ' ' && r != '\n' && r != '\r' && r != '\t' && r != '\f' {
			return false
		}
		head = head[n:]
	}
	return true
}
