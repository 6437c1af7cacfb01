package annotate

// A HEIC file is a tree of boxes (ISO/IEC 14496-12 clause 4 and 8.11, ISO/IEC 23008-12 clause 6). Only its meta box is read: the
// list of items, where they lie, and the properties of the primary one. Nothing is decoded.

// maxBoxes bounds the boxes, items and properties of one list; phones write at most a few hundred (tiles of a grid).
const maxBoxes = 2000

// mediaBox is one box; body is without its header.
type mediaBox struct {
	kind string
	body cursor
}

// cursor reads big-endian numbers from the front of a slice. Reading past the end empties it, sets bad and gives 0.
type cursor struct {
	b   []byte
	bad bool
}

func (c *cursor) take(n uint64) []byte {
	if n > uint64(len(c.b)) {
		c.b, c.bad = nil, true
		return nil
	}
	head := c.b[:n]
	c.b = c.b[n:]
	return head
}

// number reads n bytes, at most 8.
func (c *cursor) number(n uint64) uint64 {
	var v uint64
	for _, b := range c.take(n) {
		v = v<<8 | uint64(b)
	}
	return v
}

// version reads the head of a full box: its version; the flags come second.
func (c *cursor) version() (version, flags uint64) {
	return c.number(1), c.number(3)
}

// boxes lists the boxes in c and stops at one whose size is impossible.
func boxes(c cursor) []mediaBox {
	var list []mediaBox
	for len(c.b) >= 8 && len(list) < maxBoxes {
		size, kind, head := c.number(4), string(c.take(4)), uint64(8)
		if size == 1 {
			size, head = c.number(8), 16
		}
		if size == 0 {
			size = head + uint64(len(c.b))
		}
		if size < head {
			break
		}
		body := c.take(size - head)
		if c.bad {
			break
		}
		list = append(list, mediaBox{kind, cursor{b: body}})
	}
	return list
}

// child is the body of the first box of the kind, empty when there is none.
func child(list []mediaBox, kind string) cursor {
	for _, b := range list {
		if b.kind == kind {
			return b.body
		}
	}
	return cursor{}
}

// heicMeta lists the boxes of the meta box.
func heicMeta(data []byte) []mediaBox {
	meta := child(boxes(cursor{b: data}), "meta")
	meta.version()
	return boxes(meta)
}

// heicExif is the TIFF structure of the item of type Exif; its first four bytes say where the structure begins
// (ISO/IEC 23008-12 annex A.2.1).
func heicExif(data []byte) []byte {
	meta := heicMeta(data)
	id, ok := itemOfType(child(meta, "iinf"), "Exif")
	if !ok {
		return nil
	}
	item := cursor{b: itemData(data, meta, id)}
	item.take(item.number(4))
	return item.b
}

// itemOfType finds the first item of the type in an item information box (ISO/IEC 14496-12 8.11.6).
func itemOfType(iinf cursor, kind string) (id uint64, ok bool) {
	version, _ := iinf.version()
	iinf.number(idSize(version))
	for _, entry := range boxes(iinf) {
		c := entry.body
		v, _ := c.version()
		if entry.kind != "infe" || v < 2 {
			continue
		}
		id := c.number(idSize(v - 2))
		c.number(2)
		if string(c.take(4)) == kind {
			return id, true
		}
	}
	return 0, false
}

// idSize is the width of an item number or count: two bytes in version 0 of most boxes, four in later ones.
func idSize(version uint64) uint64 {
	if version == 0 {
		return 2
	}
	return 4
}

// itemData is the first extent of an item by the item location box (ISO/IEC 14496-12 8.11.3): in the file, or in the idat box.
func itemData(data []byte, meta []mediaBox, want uint64) []byte {
	c := child(meta, "iloc")
	version, _ := c.version()
	sizes := c.number(2)
	offsetSize, lengthSize, baseSize, indexSize := sizes>>12, sizes>>8&15, sizes>>4&15, sizes&15
	wide := idSize(version / 2)
	for range min(c.number(wide), maxBoxes) {
		id, method := c.number(wide), uint64(0)
		if version > 0 {
			method = c.number(2) & 15
		} else {
			indexSize = 0
		}
		c.number(2)
		base := c.number(baseSize)
		extents := min(c.number(2), maxBoxes)
		for i := range extents {
			c.number(indexSize)
			offset, length := c.number(offsetSize), c.number(lengthSize)
			if id == want && i == 0 && !c.bad {
				return extent(data, meta, method, base+offset, length)
			}
		}
		if c.bad {
			break
		}
	}
	return nil
}

// extent cuts out length bytes at offset of the file (method 0) or of the idat box (method 1); 0 is all that follows.
func extent(data []byte, meta []mediaBox, method, offset, length uint64) []byte {
	c := cursor{b: data}
	switch method {
	case 0:
	case 1:
		c = child(meta, "idat")
	default:
		return nil
	}
	c.take(offset)
	if length == 0 {
		return c.b
	}
	return c.take(length)
}

// heicSize is the upright size of the primary item by its properties: ispe, turned by irot in quarters (ISO/IEC 23008-12 6.5.3
// and 6.5.10); 0 when it cannot be told. The Exif orientation does not count in HEIC: the container turns the picture.
func heicSize(data []byte) (w, h int) {
	meta := heicMeta(data)
	pitm := child(meta, "pitm")
	version, _ := pitm.version()
	primary := pitm.number(idSize(version))
	props := boxes(child(meta, "iprp"))
	all := boxes(child(props, "ipco"))
	for _, index := range propertiesOf(child(props, "ipma"), primary) {
		if index < 1 || index > uint64(len(all)) {
			continue
		}
		p := all[index-1]
		switch p.kind {
		case "ispe":
			p.body.version()
			w, h = int(p.body.number(4)&0x7fffffff), int(p.body.number(4)&0x7fffffff)
		case "irot":
			if p.body.number(1)%2 == 1 {
				w, h = h, w
			}
		}
	}
	if !fits(w, h) {
		return 0, 0
	}
	return w, h
}

// propertiesOf is the property numbers, from 1, of an item by the property association box (ISO/IEC 14496-12 8.11.14).
func propertiesOf(ipma cursor, want uint64) []uint64 {
	version, flags := ipma.version()
	for range min(ipma.number(4), maxBoxes) {
		id, count := ipma.number(idSize(version)), ipma.number(1)
		var list []uint64
		for range count {
			if flags&1 == 1 {
				list = append(list, ipma.number(2)&0x7fff)
			} else {
				list = append(list, ipma.number(1)&0x7f)
			}
		}
		if ipma.bad {
			return nil
		}
		if id == want {
			return list
		}
	}
	return nil
}
