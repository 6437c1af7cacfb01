package annotate

import (
	"encoding/binary"
	"errors"
	"slices"
)

// Bounds of the camera's notes. The library that reads them trusts every number in them, so none is handed on unchecked.
const (
	maxBlock   = 64 << 10 // bytes of the block; what lies behind is not looked at (CIPA DC-008 4.7.2: one JPEG segment)
	maxEntries = 512      // entries of one directory
	maxValue   = 8 << 10  // bytes of one value
)

// EXIF tags that are read (CIPA DC-008 4.6).
const (
	tagMake         = 0x010F
	tagModel        = 0x0110
	tagOrientation  = 0x0112
	tagExifIFD      = 0x8769
	tagGPSIFD       = 0x8825
	tagTaken        = 0x9003 // DateTimeOriginal
	tagOffsetTaken  = 0x9011 // OffsetTimeOriginal
	tagFocalLength  = 0x920A
	tagFocal35      = 0xA405
	tagLatitudeRef  = 1
	tagLatitude     = 2
	tagLongitudeRef = 3
	tagLongitude    = 4
	tagAltitudeRef  = 5
	tagAltitude     = 6
	tagBearingRef   = 16
	tagBearing      = 17
)

// Types of values (TIFF 6.0 section 2; UTF-8 is type 129 of EXIF 3.0, IFD is type 13 of TIFF/EP).
const (
	typeASCII = 2
	typeLong  = 4
	typeIFD   = 13
	typeUTF8  = 129
)

// byteOrder is one of the two orders of encoding/binary.
type byteOrder interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

// errNotTIFF says that a block does not begin like a TIFF structure or that its first directory cannot be read.
var errNotTIFF = errors.New("the block is no TIFF structure")

// ifdEntry is one checked value of a directory: it lies inside the block and is at most maxValue long.
type ifdEntry struct {
	tag   uint16
	typ   uint16
	count uint32
	value []byte
}

// notes is what is wanted of a TIFF structure, by directory, each sorted by tag and without doubles.
type notes struct {
	order           byteOrder
	main, exif, gps []ifdEntry
}

// parseNotes takes the wanted tags out of a TIFF structure. It follows the Exif and the GPS pointer of the first directory and no
// other link: no chain, no thumbnail, no maker's note. A value that is not wanted, not of a known type, empty, too long or not
// inside the block is left out, and the others are kept. Of a tag that stands twice the first counts.
func parseNotes(block []byte) (notes, error) {
	block = block[:min(len(block), maxBlock)]
	n := notes{}
	switch {
	case len(block) < 8:
		return n, errNotTIFF
	case string(block[:4]) == "II*\x00":
		n.order = binary.LittleEndian
	case string(block[:4]) == "MM\x00*":
		n.order = binary.BigEndian
	default:
		return n, errNotTIFF
	}
	first := n.order.Uint32(block[4:])
	if first < 8 {
		return n, errNotTIFF
	}
	main, ok := readIFD(block, n.order, first, []uint16{tagMake, tagModel, tagOrientation, tagExifIFD, tagGPSIFD})
	if !ok {
		return n, errNotTIFF
	}
	n.main = slices.DeleteFunc(slices.Clone(main), isPointer)
	var exifErr, gpsErr error
	n.exif, exifErr = subIFD(block, n.order, main, tagExifIFD, []uint16{tagTaken, tagOffsetTaken, tagFocalLength, tagFocal35})
	n.gps, gpsErr = subIFD(block, n.order, main, tagGPSIFD, []uint16{tagLatitudeRef, tagLatitude, tagLongitudeRef, tagLongitude,
		tagAltitudeRef, tagAltitude, tagBearingRef, tagBearing})
	return n, errors.Join(exifErr, gpsErr)
}

func isPointer(e ifdEntry) bool { return e.tag == tagExifIFD || e.tag == tagGPSIFD }

// subIFD follows the pointer tag of the directory main; no pointer is no error.
func subIFD(block []byte, order byteOrder, main []ifdEntry, pointer uint16, wanted []uint16) ([]ifdEntry, error) {
	for _, e := range main {
		if e.tag != pointer {
			continue
		}
		if e.typ != typeLong && e.typ != typeIFD || e.count != 1 {
			return nil, errNotTIFF
		}
		sub, ok := readIFD(block, order, order.Uint32(e.value), wanted)
		if !ok {
			return nil, errNotTIFF
		}
		return sub, nil
	}
	return nil, nil
}

// readIFD reads the wanted entries of the directory at offset. It fails when the directory is not wholly inside the block or has
// more than maxEntries.
func readIFD(block []byte, order byteOrder, offset uint32, wanted []uint16) ([]ifdEntry, bool) {
	size := int64(len(block))
	if int64(offset) < 8 || int64(offset)+2 > size {
		return nil, false
	}
	n := int64(order.Uint16(block[offset:]))
	if n > maxEntries || int64(offset)+2+12*n > size {
		return nil, false
	}
	var entries []ifdEntry
	for i := range n {
		e, ok := readEntry(block, order, int64(offset)+2+12*i)
		if !ok || !slices.Contains(wanted, e.tag) || slices.ContainsFunc(entries, func(f ifdEntry) bool { return f.tag == e.tag }) {
			continue
		}
		entries = append(entries, e)
	}
	slices.SortFunc(entries, func(a, b ifdEntry) int { return int(a.tag) - int(b.tag) })
	return entries, true
}

// readEntry checks the twelve bytes of an entry at offset at and the value they point to. A text longer than maxValue is cut.
func readEntry(block []byte, order byteOrder, at int64) (ifdEntry, bool) {
	raw := block[at : at+12]
	e := ifdEntry{tag: order.Uint16(raw), typ: order.Uint16(raw[2:]), count: order.Uint32(raw[4:])}
	length := int64(e.count) * typeSize(e.typ)
	if length == 0 {
		return e, false
	}
	from := at + 8
	if length > 4 {
		from = int64(order.Uint32(raw[8:]))
	}
	if from+length > int64(len(block)) {
		return e, false
	}
	if e.typ == typeUTF8 {
		e.typ = typeASCII
	}
	if length > maxValue {
		if e.typ != typeASCII {
			return e, false
		}
		length, e.count = maxValue, maxValue
	}
	e.value = block[from : from+length]
	return e, true
}

// typeSize is the size of one value of the type in bytes, 0 for a type that is not known (TIFF 6.0 section 2).
func typeSize(typ uint16) int64 {
	switch typ {
	case 1, typeASCII, 6, 7, typeUTF8:
		return 1
	case 3, 8:
		return 2
	case typeLong, 9, 11, typeIFD:
		return 4
	case 5, 10, 12:
		return 8
	}
	return 0
}

// encode writes the notes as a TIFF structure of our own: one directory with the two pointers, the Exif and the GPS directory,
// and the values behind them, nothing shared and nothing chained.
func (n notes) encode() []byte {
	mainLen, exifLen := dirLen(len(n.main)+2), dirLen(len(n.exif))
	exifAt := 8 + mainLen
	gpsAt := exifAt + exifLen
	main := append(slices.Clone(n.main), n.pointer(tagExifIFD, exifAt), n.pointer(tagGPSIFD, gpsAt))
	dirs := slices.Concat([]byte("II*\x00"), make([]byte, 4))
	if n.order == binary.BigEndian {
		copy(dirs, "MM\x00*")
	}
	n.order.PutUint32(dirs[4:], 8)
	valuesAt := gpsAt + dirLen(len(n.gps))
	var values []byte
	for _, dir := range [][]ifdEntry{main, n.exif, n.gps} {
		dirs, values = n.appendDir(dirs, values, valuesAt, dir)
	}
	return append(dirs, values...)
}

func dirLen(entries int) int { return 2 + 12*entries + 4 }

func (n notes) pointer(tag uint16, at int) ifdEntry {
	return ifdEntry{tag, typeLong, 1, n.order.AppendUint32(nil, uint32(at))} // #nosec G115 -- the whole block is under 64 KiB
}

// appendDir appends one directory to dirs and its long values to values, which will stand at valuesAt.
func (n notes) appendDir(dirs, values []byte, valuesAt int, entries []ifdEntry) (newDirs, newValues []byte) {
	dirs = n.order.AppendUint16(dirs, uint16(len(entries))) // #nosec G115 -- three dozen tags at most
	for _, e := range entries {
		dirs = n.order.AppendUint16(dirs, e.tag)
		dirs = n.order.AppendUint16(dirs, e.typ)
		dirs = n.order.AppendUint32(dirs, e.count)
		if len(e.value) <= 4 {
			dirs = append(append(dirs, e.value...), make([]byte, 4-len(e.value))...)
			continue
		}
		dirs = n.order.AppendUint32(dirs, uint32(valuesAt+len(values))) // #nosec G115 -- the whole block is under 64 KiB
		values = append(values, e.value...)
		if len(values)%2 == 1 {
			values = append(values, 0)
		}
	}
	return n.order.AppendUint32(dirs, 0), values
}
