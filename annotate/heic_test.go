package annotate

import (
	"bytes"
	"encoding/binary"
	"slices"
	"testing"
)

// isoBox is one box of an ISO base media file (ISO/IEC 14496-12 4.2).
func isoBox(kind string, body ...[]byte) []byte {
	all := slices.Concat(body...)
	return slices.Concat(binary.BigEndian.AppendUint32(nil, uint32(8+len(all))), []byte(kind), all)
}

// heicFile is a HEIC file without picture data: a primary item of 4000 x 3000 turned by quarters, and an Exif item that lies in
// the file (method 0) or in the idat box (method 1), with ids and offsets of the widths of box version 0 or later ones.
func heicFile(tiff []byte, quarters, method byte, wide bool) []byte {
	id := func(v byte) []byte { return []byte{0, v} }
	version := byte(0)
	if wide {
		id, version = func(v byte) []byte { return []byte{0, 0, 0, v} }, 1
	}
	exifItem := slices.Concat([]byte{0, 0, 0, 6}, []byte(exifPrefix), tiff)
	infe := func(v byte, kind string) []byte {
		return isoBox("infe", []byte{2 + version, 0, 0, 0}, id(v), []byte{0, 0}, []byte(kind), []byte{0})
	}
	ispe := isoBox("ispe", []byte{0, 0, 0, 0}, binary.BigEndian.AppendUint32(nil, 4000), binary.BigEndian.AppendUint32(nil, 3000))
	build := func(offset int) []byte {
		iloc := slices.Concat([]byte{2 * version, 0, 0, 0, 0x44, 0x00}, id(1), id(2))
		if method == 1 && !wide {
			iloc[0] = 1
		}
		if iloc[0] > 0 {
			iloc = append(iloc, 0, method)
		}
		iloc = slices.Concat(iloc, []byte{0, 0, 0, 1}, binary.BigEndian.AppendUint32(nil, uint32(offset)), binary.BigEndian.AppendUint32(nil, uint32(len(exifItem))))
		meta := isoBox("meta", []byte{0, 0, 0, 0},
			isoBox("pitm", []byte{version, 0, 0, 0}, id(1)),
			isoBox("iinf", []byte{version, 0, 0, 0}, id(2), infe(1, "hvc1"), infe(2, "Exif")),
			isoBox("iloc", iloc),
			isoBox("iprp", isoBox("ipco", ispe, isoBox("irot", []byte{quarters})),
				isoBox("ipma", []byte{version, 0, 0, 0, 0, 0, 0, 1}, id(1), []byte{2, 1, 0x82})),
			isoBox("idat", exifItem))
		return slices.Concat(isoBox("ftyp", []byte("heic\x00\x00\x00\x00mif1heic")), meta, isoBox("mdat", exifItem))
	}
	if method == 1 {
		return build(0)
	}
	return build(len(build(0)) - len(exifItem))
}

func TestHEIC(t *testing.T) {
	tiff := exifTIFF(binary.BigEndian, 6)
	for _, wide := range []bool{false, true} {
		for method := range byte(2) {
			for quarters := range byte(4) {
				data := heicFile(tiff, quarters, method, wide)
				m := Read(bytes.NewReader(data), int64(len(data)))
				w, h := 4000, 3000
				if quarters%2 == 1 {
					w, h = 3000, 4000
				}
				if m.Format != FormatHEIC || m.Make != "Canary" || m.Orientation != 6 || m.Width != w || m.Height != h {
					t.Errorf("wide %v, method %d, %d quarters: %+v", wide, method, quarters, m)
				}
			}
		}
	}
	if m := inspect(heicFile(tiff, 0, 2, true), 1); m.Make != "" {
		t.Errorf("an unknown way to store an item was read: %+v", m)
	}
	data := heicFile(tiff, 1, 1, true)
	for n := range data { // cut off anywhere: never a panic, which would be a warning
		if m := inspect(data[:n], int64(n)); len(m.Warnings) > 1 {
			t.Errorf("cut at %d: %v", n, m.Warnings)
		}
	}
}
