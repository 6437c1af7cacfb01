package pdf

import "undercroft/survey/report/draw"

// Tag is a standard structure type of ISO 32000-1, 14.8.4.
type Tag string

// The structure types in use. Artifact is what is no part of the document's text: feet, rules, heads that stand again.
const (
	tagH1       Tag = "H1"
	tagH2       Tag = "H2"
	tagH3       Tag = "H3"
	tagP        Tag = "P"
	tagDiv      Tag = "Div"
	tagList     Tag = "L"
	tagItem     Tag = "LI"
	tagLabel    Tag = "Lbl"
	tagBody     Tag = "LBody"
	tagTable    Tag = "Table"
	tagRow      Tag = "TR"
	tagHead     Tag = "TH"
	tagCell     Tag = "TD"
	tagFigure   Tag = "Figure"
	tagTOC      Tag = "TOC"
	tagTOCItem  Tag = "TOCI"
	tagLink     Tag = "Link"
	tagArtifact Tag = "Artifact"
)

// Backend takes what a layout paints, page after page. It is all that the layout knows of a file format.
type Backend interface {
	// AddPage ends the page before and begins one of this size.
	AddPage(w, h float64)
	// Path, Circle and Text paint on the page. A text is clean and its Width measured.
	draw.Painter
	// Drawing paints a drawing, its view's upper left corner at a point, grown by scale and cut off a point outside its view.
	Drawing(d *draw.Drawing, at draw.Point, scale float64)
	// Image paints a photo, named by its SHA-256, into a box.
	Image(sha256 string, box draw.Box)
	// Link makes a box lead to a spot, and belongs to the structure that is open.
	Link(box draw.Box, to spot)
	// Bookmark lists a heading of a level from 1 at a height of the page.
	Bookmark(title string, level int, y float64)
	// Begin opens a part of the structure within the one that is open; alt describes a Figure. End closes it. A part may go on over pages.
	Begin(tag Tag, alt string)
	End()
	// Apart paints what belongs to none of the parts that are open, whose text goes on afterwards.
	Apart(paint func())
}

// nothing is the backend of a dry run: all that counts is how the layout moves on.
type nothing struct{}

func (nothing) AddPage(float64, float64)                   {}
func (nothing) Path(draw.Path)                             {}
func (nothing) Circle(draw.Circle)                         {}
func (nothing) Text(draw.Text)                             {}
func (nothing) Drawing(*draw.Drawing, draw.Point, float64) {}
func (nothing) Image(string, draw.Box)                     {}
func (nothing) Link(draw.Box, spot)                        {}
func (nothing) Bookmark(string, int, float64)              {}
func (nothing) Begin(Tag, string)                          {}
func (nothing) End()                                       {}
func (nothing) Apart(paint func())                         { paint() }
