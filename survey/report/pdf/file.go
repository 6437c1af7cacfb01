package pdf

import (
	"fmt"
	"io"
	"slices"
	"sync"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"github.com/carlos7ags/folio/core"
	pdffile "github.com/carlos7ags/folio/document"
	"github.com/carlos7ags/folio/font"
	"github.com/carlos7ags/folio/image"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// parsed are the regular and the bold font, read once; they are part of the program, so a fault in them is a fault of the program.
var parsed = sync.OnceValue(func() [2]font.Face {
	var out [2]font.Face
	for i, ttf := range [][]byte{dejavusanscondensed.TTF, dejavusanscondensedbold.TTF} {
		f, err := font.ParseTTF(ttf)
		if err != nil {
			panic(fmt.Errorf("parse the font of the reports: %w", err))
		}
		out[i] = f
	}
	return out
})

// file is the backend that makes the PDF. The first error is kept and reported by write.
type file struct {
	fonts  [2]*letters
	doc    document.Document
	images func(string) ([]byte, error)
	out    *pdffile.Writer
	pages  []*page
	photos map[string]*photo
	root   *part
	open   *part
	marks  []bookmark
	err    error
}

// page is one page on its way to the file.
type page struct {
	operators
	w, h  float64
	dict  *core.PdfDictionary
	ref   *core.PdfIndirectReference
	parts []*part // by marked content ID
	notes []*note
	shown []*photo
}

// photo is one embedded JPEG.
type photo struct {
	name string
	ref  *core.PdfIndirectReference
}

// note is a link on a page.
type note struct {
	box  draw.Box
	to   spot
	part *part
	page *page
	key  int
	ref  *core.PdfIndirectReference
}

// bookmark is one line of the outline.
type bookmark struct {
	title string
	level int
	page  int
	y     float64
}

func newFile(doc document.Document, images func(string) ([]byte, error)) *file {
	f := &file{doc: doc, images: images, out: pdffile.NewWriter("1.7"), photos: map[string]*photo{}, root: &part{tag: "Document"}}
	f.open = f.root
	faces := parsed()
	f.fonts = [2]*letters{newLetters(faces[0]), newLetters(faces[1])}
	return f
}

// page is the page that is being painted.
func (f *file) page() *page { return f.pages[len(f.pages)-1] }

// AddPage begins a page.
func (f *file) AddPage(w, h float64) {
	f.shut()
	p := &page{w: w, h: h, dict: core.NewPdfDictionary()}
	p.fonts, p.height = f.fonts, h
	p.ref = f.out.AddObject(p.dict)
	f.pages = append(f.pages, p)
}

// Path, Circle and Text paint within the part that is open.
func (f *file) Path(p draw.Path)     { f.mark(); f.page().Path(p) }
func (f *file) Circle(c draw.Circle) { f.mark(); f.page().Circle(c) }
func (f *file) Text(t draw.Text)     { f.mark(); f.page().Text(t) }

// Drawing paints a drawing under a matrix of its own.
func (f *file) Drawing(d *draw.Drawing, at draw.Point, scale float64) {
	f.mark()
	p := f.page()
	p.within(d.View, at, scale)
	d.Paint(&p.operators)
	p.op("Q")
}

// Image paints a photo and embeds it when it is the first time.
func (f *file) Image(sha256 string, box draw.Box) {
	f.mark()
	ph, known := f.photos[sha256]
	if !known {
		ph = &photo{name: fmt.Sprintf("I%d", len(f.photos)+1)}
		f.photos[sha256] = ph
		if err := f.embed(ph, sha256); err != nil && f.err == nil {
			f.err = err
		}
	}
	p := f.page()
	if !slices.Contains(p.shown, ph) {
		p.shown = append(p.shown, ph)
	}
	p.op("q")
	p.op("cm", box.W(), 0, 0, box.H(), box.X0, p.h-box.Y1)
	p.name(ph.name)
	p.op("Do")
	p.op("Q")
}

// embed puts the bytes of a JPEG into the file as they are.
func (f *file) embed(ph *photo, sha256 string) error {
	data, err := f.images(sha256)
	if err != nil {
		return fmt.Errorf("open photo %s: %w", sha256, err)
	}
	img, err := image.NewJPEG(data)
	if err != nil {
		return fmt.Errorf("read photo %s: %w", sha256, err)
	}
	ph.ref, _ = img.BuildXObject(f.out.AddObject)
	return nil
}

// Link makes a box lead to a spot.
func (f *file) Link(box draw.Box, to spot) {
	n := &note{box: box, to: to, part: f.open, page: f.page()}
	f.page().notes = append(f.page().notes, n)
	f.open.kids = append(f.open.kids, kid{note: n})
}

// Bookmark lists a heading.
func (f *file) Bookmark(title string, level int, y float64) {
	f.marks = append(f.marks, bookmark{title, level, len(f.pages), y})
}

// write finishes all parts of the file and writes it.
func (f *file) write(w io.Writer) error {
	f.shut()
	if f.err != nil {
		return f.err
	}
	catalog, tree := core.NewPdfDictionary(), core.NewPdfDictionary()
	root, treeRef := f.out.AddObject(catalog), f.out.AddObject(tree)
	f.finishPages(tree, treeRef)
	viewer := dict("PrintScaling", name("None"), "DisplayDocTitle", core.NewPdfBoolean(true))
	fields := []any{"Type", name("Catalog"), "Pages", treeRef, "Lang", core.NewPdfTextString(f.doc.Lang), "MarkInfo", dict("Marked", core.NewPdfBoolean(true)),
		"StructTreeRoot", f.structure(), "ViewerPreferences", viewer}
	if outlines := f.outline(); outlines != nil {
		fields = append(fields, "Outlines", outlines, "PageMode", name("UseOutlines"))
	}
	fillDict(catalog, fields...)
	f.out.SetRoot(root)
	title := joined(draw.Clean(f.doc.Title), draw.Clean(f.doc.House))
	f.out.SetInfo(f.out.AddObject(dict("Title", core.NewPdfTextString(title), "Producer", core.NewPdfTextString("Undercroft"))))
	_, err := f.out.WriteToWithOptions(w, pdffile.WriteOptions{Deterministic: true, CompressionLevel: 6})
	return err
}

// finishPages writes contents, resources and links of all pages.
func (f *file) finishPages(tree *core.PdfDictionary, treeRef *core.PdfIndirectReference) {
	kids := core.NewPdfArray()
	fonts := dict("F0", f.out.AddObject(f.fonts[0].build(f.out.AddObject)), "F1", f.out.AddObject(f.fonts[1].build(f.out.AddObject)))
	key := len(f.pages)
	for i, p := range f.pages {
		kids.Add(p.ref)
		resources := dict("Font", fonts)
		if len(p.shown) > 0 {
			images := core.NewPdfDictionary()
			for _, ph := range p.shown {
				images.Set(ph.name, ph.ref)
			}
			resources.Set("XObject", images)
		}
		fillDict(p.dict, "Type", name("Page"), "Parent", treeRef, "MediaBox", numbers(0, 0, p.w, p.h), "Resources", resources,
			"Contents", f.out.AddObject(core.NewPdfStreamCompressed(p.buf)), "StructParents", core.NewPdfInteger(i), "Tabs", name("S"))
		if len(p.notes) == 0 {
			continue
		}
		notes := core.NewPdfArray()
		for _, n := range p.notes {
			n.key = key
			key++
			n.ref = f.out.AddObject(dict("Type", name("Annot"), "Subtype", name("Link"), "Rect", numbers(n.box.X0, p.h-n.box.Y1, n.box.X1, p.h-n.box.Y0),
				"Border", numbers(0, 0, 0), "F", core.NewPdfInteger(4), "StructParent", core.NewPdfInteger(n.key), "Dest", f.dest(n.to.page, n.to.y)))
			notes.Add(n.ref)
		}
		p.dict.Set("Annots", notes)
	}
	fillDict(tree, "Type", name("Pages"), "Kids", kids, "Count", core.NewPdfInteger(len(f.pages)))
}

// dest is the place of a height on a page, at the reader's own magnification.
func (f *file) dest(page int, y float64) *core.PdfArray {
	p := f.pages[min(max(page, 1), len(f.pages))-1]
	return core.NewPdfArray(p.ref, name("XYZ"), core.NewPdfNull(), core.NewPdfReal(p.h-y), core.NewPdfNull())
}

func name(s string) *core.PdfName { return core.NewPdfName(s) }

func numbers(list ...float64) *core.PdfArray {
	a := core.NewPdfArray()
	for _, v := range list {
		a.Add(core.NewPdfReal(v))
	}
	return a
}

// dict makes a dictionary of keys and values by turns.
func dict(fields ...any) *core.PdfDictionary {
	d := core.NewPdfDictionary()
	fillDict(d, fields...)
	return d
}

func fillDict(d *core.PdfDictionary, fields ...any) {
	for i := 0; i+1 < len(fields); i += 2 {
		d.Set(fields[i].(string), fields[i+1].(core.PdfObject))
	}
}
