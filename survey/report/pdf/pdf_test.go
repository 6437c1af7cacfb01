package pdf

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"

	"undercroft/survey/report/document"
)

// written writes a document and fails the test on an error.
func written(t testing.TB, doc document.Document, paper Paper, images func(string) ([]byte, error)) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, doc, paper, images); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// strict is the configuration under which pdfcpu, another implementation of ISO 32000, takes no liberties.
func strict() *model.Configuration {
	model.ConfigPath = "disable"
	c := model.NewDefaultConfiguration()
	c.ValidationMode = model.ValidationStrict
	return c
}

func valid(t testing.TB, file []byte) {
	t.Helper()
	if err := api.Validate(bytes.NewReader(file), strict()); err != nil {
		t.Errorf("pdfcpu, strict: %v", err)
	}
}

// TestWrite: every kind of block on both papers is valid, the same bytes each time, with each photo's own bytes in it once and nothing that acts or tells more than the document.
func TestWrite(t *testing.T) {
	images := samplePhotos(t)
	sizes := map[Paper]paperSize{Letter: {8.5 * 72, 11 * 72}, A4: {595.28, 841.89}} // 210 x 297 mm by ISO 216, at 72 points an inch of 25.4 mm
	for name, paper := range map[string]Paper{"letter": Letter, "a4": A4} {
		t.Run(name, func(t *testing.T) {
			size := sizes[paper]
			doc := sample()
			file := written(t, doc, paper, images)
			valid(t, file)
			if !bytes.Equal(file, written(t, doc, paper, images)) {
				t.Error("written again it is another file")
			}
			for _, sum := range []string{"sum0", "sum1"} {
				photo, _ := images(sum)
				if n := bytes.Count(file, photo); n != 1 {
					t.Errorf("the bytes of photo %s are in the file %d times", sum, n)
				}
			}
			for _, bad := range []string{"/JavaScript", "/JS", "/OpenAction", "/AA", "/Launch", "/URI", "/EmbeddedFile", "/AcroForm", "/Metadata", "/Author", "/Creator", "/CreationDate", "/ModDate"} {
				if bytes.Contains(file, []byte(bad)) {
					t.Errorf("the file has %s", bad)
				}
			}
			for _, good := range []string{"/PrintScaling /None", "/Marked true", "/Lang (es)", "/DisplayDocTitle true", "/Alt (Plan of the deck)", "/Scope /Column"} {
				if !bytes.Contains(file, []byte(good)) {
					t.Errorf("the file lacks %s", good)
				}
			}
			if got := bytes.Count(file, []byte("+DejaVuSansCondensed")); got == 0 {
				t.Error("no font is a subset")
			}
			dims, err := api.PageDims(bytes.NewReader(file), strict())
			if err != nil {
				t.Fatal(err)
			}
			wide := 0
			for _, d := range dims {
				switch {
				case d.Width == size.W && d.Height == size.H:
				case d.Width == size.H && d.Height == size.W:
					wide++
				default:
					t.Errorf("a page of %v", d)
				}
			}
			if wide != 1 {
				t.Errorf("%d whole sheets, want 1", wide)
			}
		})
	}
}

// TestWriteErrors: what cannot be printed says why.
func TestWriteErrors(t *testing.T) {
	gone := errors.New("no such file")
	photo := document.Document{Blocks: []document.Block{{Photo: &document.Photo{SHA256: "ab", Width: 4, Height: 3, Alt: "x"}}}}
	short := rows(2)
	short.Table.Rows[1].Cells = short.Table.Rows[1].Cells[:1]
	if err := Write(&bytes.Buffer{}, sample(), "legal", samplePhotos(t)); err == nil || !strings.Contains(err.Error(), `no paper "legal"`) {
		t.Errorf("got %v for a paper that is not known", err)
	}
	for name, c := range map[string]struct {
		doc    document.Document
		images func(string) ([]byte, error)
		want   string
	}{
		"nothing in it":        {document.Document{}, nil, "empty"},
		"photo gone":           {photo, func(string) ([]byte, error) { return nil, gone }, "open photo ab: no such file"},
		"photo is no JPEG":     {photo, func(string) ([]byte, error) { return []byte("GIF89a"), nil }, "read photo ab"},
		"a row short of cells": {document.Document{Blocks: []document.Block{short}}, nil, "row 2 of the table has 1 cells for 3 columns"},
		"a table of nothing":   {document.Document{Blocks: []document.Block{{Table: &document.Table{}}}}, nil, "without columns"},
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			err := Write(&b, c.doc, Letter, c.images)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
			if b.Len() > 0 {
				t.Errorf("%d bytes were written before the error", b.Len())
			}
		})
	}
}

// TestUgly: what people and machines really put into a document comes out as a valid file.
func TestUgly(t *testing.T) {
	long := strings.Repeat("Donaudampfschiff", 60)
	for name, blocks := range map[string][]document.Block{
		"only a break":            {{Break: &document.Break{}}},
		"empty texts":             {para(""), para("\n\n"), {List: &document.List{Items: []document.Line{nil}}}, {Facts: &document.Facts{Items: []document.Fact{{}}}}, {Heading: &document.Heading{Level: 2}}, {Heading: &document.Heading{Level: 2, Number: "\x00 ", Aside: " \x00", Text: "\x01"}}, {Photo: &document.Photo{}}, {Caution: &document.Caution{}}, {Sign: &document.Sign{}}},
		"emoji, NFD and controls": {para("👷🏽\u200d♂️ e\u0301 \x00\x01\x7f \u202e \ufffe (((( \\ %")},
		"words wider than a page": {para(long), rows(3), {Table: &document.Table{Columns: []document.Column{{Head: long}, {Head: "b"}, {Head: long}}, Rows: []document.Row{{Cells: []document.Cell{{Lines: []document.Line{line(long)}}, {}, {}}}}}}, head(2, "1", long), {Caution: &document.Caution{Head: long, Body: line(long)}}},
		"two thousand rows":       {rows(2000)},
		"a row taller than pages": {{Table: &document.Table{Columns: []document.Column{{Head: "a"}, {Head: "b", Weight: 1}}, Rows: []document.Row{{Cells: []document.Cell{{Lines: []document.Line{line("x")}}, {Lines: []document.Line{line(strings.Repeat("word ", 6000))}}}}}}}},
		"a caution of pages":      {{Caution: &document.Caution{Head: "Read.", Body: line(strings.Repeat("word ", 3000))}}},
		"a sheet first and last":  {{Figure: &document.Figure{Drawing: picture(738, 540), Alt: "x", Sheet: true}}, {Break: &document.Break{}}, {Figure: &document.Figure{Drawing: picture(738, 540), Alt: "x", Sheet: true}}},
		"no drawing":              {{Figure: &document.Figure{Alt: "x"}}, {Figure: &document.Figure{Alt: "x", Drawing: picture(0, 0)}}},
	} {
		t.Run(name, func(t *testing.T) {
			doc := document.Document{Title: "T", House: strings.Repeat("House ", 80), Lang: "en", Issue: "Draft", Blocks: blocks, Labels: document.Labels{PageOf: "page {n} of {all}", Continued: "continued"}}
			for _, paper := range []Paper{Letter, A4} {
				valid(t, written(t, doc, paper, nil))
				inside(t, record(t, doc, paper))
			}
		})
	}
}

// inside fails when a text or a picture reaches over a page's margins by more than a hair.
func inside(t *testing.T, r *recorder) {
	t.Helper()
	for _, e := range r.all {
		w, h := r.size[e.page-1][0], r.size[e.page-1][1]
		side := margin - 0.5
		if w > h {
			side = 26
		}
		if e.kind == "text" && (e.text.At.X < side || e.text.At.X+e.text.Width > w-side || e.text.At.Y > h-12 || e.text.At.Y < 12) {
			t.Fatalf("page %d: %.40q from %.1f to %.1f at %.1f is outside the margins of a %.0f × %.0f page", e.page, e.text.S, e.text.At.X, e.text.At.X+e.text.Width, e.text.At.Y, w, h)
		}
		if e.kind == "text" && w < h && e.text.Size != faceFoot.size && e.text.At.Y > h-margin-footRoom+1 {
			t.Fatalf("page %d: %.40q at %.1f runs into the foot", e.page, e.text.S, e.text.At.Y)
		}
	}
}
