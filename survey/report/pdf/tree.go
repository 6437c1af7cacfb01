package pdf

import (
	"strconv"

	"github.com/carlos7ags/folio/core"
)

// part is one element of the structure tree (ISO 32000-1, 14.7). Artifacts are parts that no tree holds.
type part struct {
	tag    Tag
	alt    string
	above  *part
	kids   []kid
	page   *page // the first page on which it is painted
	marked bool  // a marked stretch of this part is open on the page
	ref    *core.PdfIndirectReference
}

// kid is what a part holds: another part, a marked stretch of a page's content, or a link.
type kid struct {
	part *part
	page *page
	id   int
	note *note
}

// Begin opens a part within the open one.
func (f *file) Begin(tag Tag, alt string) {
	f.shut()
	p := &part{tag: tag, alt: alt, above: f.open}
	if tag != tagArtifact && !f.artifact() {
		f.open.kids = append(f.open.kids, kid{part: p})
	}
	f.open = p
}

// End closes the open part.
func (f *file) End() {
	f.shut()
	f.open = f.open.above
}

// Apart paints below the root of the tree.
func (f *file) Apart(paint func()) {
	f.shut()
	open := f.open
	f.open = f.root
	paint()
	f.open = open
}

// artifact tells whether the open part or one round it is no part of the text.
func (f *file) artifact() bool {
	for p := f.open; p != nil; p = p.above {
		if p.tag == tagArtifact {
			return true
		}
	}
	return false
}

// mark opens a marked stretch of the open part before something is painted.
func (f *file) mark() {
	p := f.open
	if p.marked {
		return
	}
	p.marked = true
	pg := f.page()
	if f.artifact() {
		pg.name(string(tagArtifact))
		pg.op("BMC")
		return
	}
	id := len(pg.parts)
	pg.parts = append(pg.parts, p)
	p.kids = append(p.kids, kid{page: pg, id: id})
	if p.page == nil {
		p.page = pg
	}
	pg.name(string(p.tag))
	pg.buf = append(pg.buf, "<</MCID "+strconv.Itoa(id)+">> "...)
	pg.op("BDC")
}

// shut closes the marked stretch that is open.
func (f *file) shut() {
	if f.open.marked {
		f.open.marked = false
		f.page().op("EMC")
	}
}

// structure writes the tree and what leads from pages and links back to it.
func (f *file) structure() *core.PdfIndirectReference {
	root := core.NewPdfDictionary()
	ref := f.out.AddObject(root)
	top := f.element(f.root, ref)
	nums := core.NewPdfArray()
	for i, p := range f.pages {
		list := core.NewPdfArray()
		for _, q := range p.parts {
			list.Add(q.ref)
		}
		nums.Add(core.NewPdfInteger(i))
		nums.Add(f.out.AddObject(list))
	}
	last := len(f.pages)
	for _, p := range f.pages {
		for _, n := range p.notes {
			nums.Add(core.NewPdfInteger(n.key))
			nums.Add(n.part.ref)
			last = n.key + 1
		}
	}
	fillDict(root, "Type", name("StructTreeRoot"), "K", top, "ParentTree", f.out.AddObject(dict("Nums", nums)), "ParentTreeNextKey", core.NewPdfInteger(last))
	return ref
}

// element writes a part with all below it.
func (f *file) element(p *part, above *core.PdfIndirectReference) *core.PdfIndirectReference {
	d := dict("Type", name("StructElem"), "S", name(string(p.tag)), "P", above)
	p.ref = f.out.AddObject(d)
	if p.page != nil {
		d.Set("Pg", p.page.ref)
	}
	if p.alt != "" {
		d.Set("Alt", core.NewPdfTextString(p.alt))
	}
	if p.tag == tagHead {
		d.Set("A", dict("O", name("Table"), "Scope", name("Column")))
	}
	kids := core.NewPdfArray()
	for _, k := range p.kids {
		switch {
		case k.part != nil:
			kids.Add(f.element(k.part, p.ref))
		case k.note != nil:
			kids.Add(dict("Type", name("OBJR"), "Obj", k.note.ref, "Pg", k.note.page.ref))
		case k.page == p.page:
			kids.Add(core.NewPdfInteger(k.id))
		default:
			kids.Add(dict("Type", name("MCR"), "Pg", k.page.ref, "MCID", core.NewPdfInteger(k.id)))
		}
	}
	d.Set("K", kids)
	return p.ref
}
