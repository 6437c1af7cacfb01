package pdf

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"testing"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// recorded is one thing that a layout painted: where, and within which parts of the structure.
type recorded struct {
	page  int
	tags  []Tag
	text  draw.Text
	kind  string // "text", "drawing", "image", "link"
	at    draw.Point
	scale float64
	to    spot
	box   draw.Box
}

// recorder is a backend that remembers.
type recorder struct {
	t     testing.TB
	size  [][2]float64
	open  []Tag
	all   []recorded
	marks []bookmark
	begun map[Tag]int
}

func (r *recorder) add(e recorded) {
	e.page, e.tags = len(r.size), append([]Tag(nil), r.open...)
	r.all = append(r.all, e)
}

func (r *recorder) AddPage(w, h float64) { r.size = append(r.size, [2]float64{w, h}) }
func (r *recorder) Path(draw.Path)       {}
func (r *recorder) Circle(draw.Circle)   {}
func (r *recorder) Text(t draw.Text)     { r.add(recorded{kind: "text", text: t}) }
func (r *recorder) Drawing(_ *draw.Drawing, at draw.Point, scale float64) {
	r.add(recorded{kind: "drawing", at: at, scale: scale})
}
func (r *recorder) Image(_ string, box draw.Box) { r.add(recorded{kind: "image", box: box}) }
func (r *recorder) Link(box draw.Box, to spot)   { r.add(recorded{kind: "link", box: box, to: to}) }
func (r *recorder) Bookmark(s string, l int, y float64) {
	r.marks = append(r.marks, bookmark{s, l, len(r.size), y})
}
func (r *recorder) Begin(tag Tag, alt string) {
	if tag == tagFigure && alt == "" {
		r.t.Error("a figure that nobody describes")
	}
	r.open = append(r.open, tag)
	r.begun[tag]++
}
func (r *recorder) End() { r.open = r.open[:len(r.open)-1] }
func (r *recorder) Apart(paint func()) {
	open := r.open
	r.open = nil
	paint()
	r.open = open
}

// within tells whether an entry lies in a part of this tag.
func (e recorded) within(tag Tag) bool {
	for _, t := range e.tags {
		if t == tag {
			return true
		}
	}
	return false
}

// record lays a document out as Write does, on a recorder.
func record(t testing.TB, doc document.Document, paper Paper) *recorder {
	t.Helper()
	size, _ := paper.size()
	plan := planned(doc, size)
	r := &recorder{t: t, begun: map[Tag]int{}}
	got := layOut(doc, size, plan, r)
	if got.pages != plan.pages || len(r.size) != got.pages {
		t.Errorf("the plan says %d pages, the layout %d, painted %d", plan.pages, got.pages, len(r.size))
	}
	if len(r.open) != 0 {
		t.Errorf("left open: %v", r.open)
	}
	return r
}

// jpegOf is a JPEG of a size, told apart by its shade.
func jpegOf(t testing.TB, w, h int, shade uint8) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = shade + uint8(i%w/8)
	}
	img.SetGray(0, 0, color.Gray{shade})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func line(text string) document.Line { return document.Line{{Text: text}} }

func head(level int, number, text string) document.Block {
	return document.Block{Heading: &document.Heading{Level: level, Number: number, Text: text, ID: "h-" + number + text}}
}

func para(text string) document.Block { return document.Block{Text: &document.Text{Line: line(text)}} }

// rows is a table of n rows.
func rows(n int) document.Block {
	t := document.Table{Columns: []document.Column{{Head: "Stick"}, {Head: "Length", Right: true}, {Head: "What it is for", Weight: 1}}, Caption: line("Lengths along the fall.")}
	for i := range n {
		t.Rows = append(t.Rows, document.Row{ID: fmt.Sprintf("r%d-%d", n, i), Cells: []document.Cell{{Lines: []document.Line{line(fmt.Sprint(i + 1))}}, {Lines: []document.Line{line("10′ 6 3/4″")}}, {Lines: []document.Line{line("carrier"), line("cut square")}}}})
	}
	return document.Block{Table: &t}
}

// picture is a small drawing.
func picture(w, h float64) *draw.Drawing {
	d := &draw.Drawing{Title: "Plan", Desc: "A box.", View: draw.Box{X1: w, Y1: h}}
	d.Rect(draw.Box{X0: 1, Y0: 1, X1: w - 1, Y1: h - 1}, draw.Style{Pen: draw.Medium, Fill: draw.WaterPale, Dash: []float64{3, 2}})
	d.Circle(draw.Point{X: w / 2, Y: h / 2}, h/4, draw.Style{Pen: draw.Thin, Ink: draw.Alert})
	d.Text(draw.Text{At: draw.Point{X: w / 2, Y: h / 2}, S: "4′ 0″", Anchor: draw.Middle, Up: true})
	return d
}

// sample has every kind of block, in Spanish where it matters.
func sample() document.Document {
	blocks := []document.Block{
		{Heading: &document.Heading{Level: 1, Text: "Casa (del río) 🏠", Aside: "Informe", ID: "top"}},
		{Text: &document.Text{Style: document.Lead, Line: line("¿Señal de termitas? ✓ Cafe\u0301 12′ 3 5/8″ ± 1/8″")}},
		{Facts: &document.Facts{Items: []document.Fact{{Name: "Address", Value: []document.Line{line("14 Larkmoor Lane"), line("side gate")}}, {Name: "Area", Value: []document.Line{{{Text: "389.6 ft²", Bold: true}, {Text: " computed", Soft: true, To: "h-2Tables"}}}}}}},
		head(2, "1", "Hazards"),
		{Caution: &document.Caution{ID: "c1", Weight: document.Stop, Word: "Stop.", Head: "The flue ends below the ceiling.", Body: line("Move it first."), Rule: line("rule flue")}},
		{Caution: &document.Caution{Weight: document.Warn, Word: "Check.", Head: "Hanger 7 is rusted.", Body: line("Look at it.")}},
		{Caution: &document.Caution{Weight: document.Note, Word: "Note.", Head: "Most falls are from low ladders."}},
		{List: &document.List{Items: []document.Line{line("one"), line("two\nin two lines")}}}, {List: &document.List{Ordered: true, Items: []document.Line{line("first")}}}, {List: &document.List{Boxes: true, Items: []document.Line{line("done")}}},
		{Break: &document.Break{}},
		head(2, "2", "Tables"), rows(60),
		{Table: &document.Table{Columns: []document.Column{{Head: "Cuts"}, {Head: "To scale", Weight: 1}}, Total: true, Rows: []document.Row{{Cells: []document.Cell{{Lines: []document.Line{line("2 × 4′ 0″")}}, {Drawing: picture(120, 20)}}}, {Cells: []document.Cell{{Lines: []document.Line{line("all")}}, {Lines: []document.Line{line("8′ 0″")}}}}}}},
		{Table: &document.Table{Columns: []document.Column{{Head: "Nothing"}}, Caption: line("No notch is cut.")}},
		head(2, "3", "Photos"),
	}
	for i := range 3 {
		blocks = append(blocks, document.Block{Photo: &document.Photo{ID: fmt.Sprint("photo-", i), SHA256: fmt.Sprint("sum", i%2), Width: 400, Height: 300, OverWidth: 520, Over: picture(520, 390), Alt: "Underside of the deck", Caption: line("Photo")}})
	}
	blocks = append(blocks, document.Block{Photo: &document.Photo{Problem: "The photo has not come yet.", Alt: "none"}},
		head(2, "4", "Plan"), document.Block{Figure: &document.Figure{ID: "plan", Drawing: picture(738, 540), Alt: "Plan of the deck", Sheet: true}},
		head(2, "5", "Detail"), document.Block{Figure: &document.Figure{Drawing: picture(900, 300), Alt: "A detail", Caption: line("Not to scale.")}},
		para("See the \x00 plan."), document.Block{Text: &document.Text{Style: document.Small, Line: document.Line{{Text: "to the "}, {Text: "plan", To: "plan"}, {Text: " and "}, {Text: "nowhere", To: "no-such-id"}}}},
		document.Block{Sign: &document.Sign{Text: line("I agree."), Lines: []string{"Name", "Date", "Signature"}}})
	return document.Document{Reader: document.Crew, Lang: "es", Title: "Informe", House: "Casa (del río)", Issue: "Revisión 3 · 4 jun 2026", Print: "ab12 cd34", Blocks: blocks,
		Labels: document.Labels{Contents: "Contenido", PageOf: "página {n} de {all}", Continued: "continuación"}}
}

// samplePhotos are the pictures of the sample.
func samplePhotos(t testing.TB) func(string) ([]byte, error) {
	photos := map[string][]byte{"sum0": jpegOf(t, 400, 300, 40), "sum1": jpegOf(t, 400, 300, 90)}
	return func(sum string) ([]byte, error) { return photos[sum], nil }
}
