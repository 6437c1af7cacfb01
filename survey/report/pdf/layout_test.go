package pdf

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// TestSheetIsToScale: the frame of 738 x 540 pt stands in the middle of the landscape page at 100 %: 27 pt beside and 36 above on Letter (11 x 8 1/2 in).
func TestSheetIsToScale(t *testing.T) {
	for name, c := range map[string]struct {
		paper Paper
		x, y  float64
	}{"letter": {Letter, 27, 36}, "a4": {A4, (841.89 - 738) / 2, (595.28 - 540) / 2}} {
		t.Run(name, func(t *testing.T) {
			r, found := record(t, sample(), c.paper), false
			for _, e := range r.all {
				if size := r.size[e.page-1]; e.kind == "drawing" && size[0] > size[1] {
					found = true
					if e.scale != 1 || abs(e.at.X-c.x) > 0.01 || abs(e.at.Y-c.y) > 0.01 {
						t.Errorf("at %.2f, %.2f grown by %g, want at %.2f, %.2f by 1", e.at.X, e.at.Y, e.scale, c.x, c.y)
					}
				}
			}
			if !found {
				t.Error("no whole sheet")
			}
		})
	}
}

func abs(v float64) float64 { return max(v, -v) }

// TestContents: the contents name the page on which each part really begins, their links lead there, and every foot counts the pages.
func TestContents(t *testing.T) {
	r := record(t, sample(), Letter)
	want := map[string]int{}
	for _, m := range r.marks {
		if m.level == 2 {
			want[m.title[2:]] = m.page
		}
	}
	var title string
	got, feet := map[string]int{}, 0
	for _, e := range r.all {
		switch text := strings.TrimSpace(e.text.S); {
		case e.kind == "text" && e.within(tagTOC) && want[text] > 0:
			title = text
		case e.kind == "link" && e.within(tagTOC):
			title = ""
			got[fmt.Sprint("link ", e.to.page)]++
		case e.kind == "text" && e.within(tagTOC) && title != "":
			var n int
			if _, err := fmt.Sscan(text, &n); err != nil {
				t.Errorf("%q is no page", text)
			}
			got[title] = n
		case e.kind == "text" && text == fmt.Sprintf("página %d de %d", e.page, len(r.size)):
			feet++
		}
	}
	for text, page := range want {
		if got[text] != page || got[fmt.Sprint("link ", page)] == 0 {
			t.Errorf("%s: the contents say page %d, it begins on %d", text, got[text], page)
		}
	}
	if len(want) != 5 || feet != len(r.size) {
		t.Errorf("%d parts, %d feet on %d pages", len(want), feet, len(r.size))
	}
	short := sample()
	short.Blocks = short.Blocks[:8]
	if r := record(t, short, Letter); r.begun[tagTOC] != 0 || len(r.size) > 4 {
		t.Errorf("a document of %d pages has contents", len(r.size))
	}
}

// TestTablesOverPages: every page of a table has its head, in the structure once; at least two rows stand below it, and no row is torn.
func TestTablesOverPages(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n, above := rapid.IntRange(1, 120).Draw(rt, "rows"), rapid.IntRange(0, 45).Draw(rt, "lines above")
		doc := document.Document{Blocks: []document.Block{para(strings.Repeat("line\n", above) + "line"), rows(n)}}
		r := record(t, doc, Letter)
		heads, cells, pages := map[int]int{}, map[int]int{}, map[int]bool{}
		for _, e := range r.all {
			if e.kind != "text" {
				continue
			}
			if e.text.S == "Length" {
				heads[e.page]++
			}
			if e.within(tagCell) {
				pages[e.page] = true
				if strings.HasPrefix(e.text.S, "10′") {
					cells[e.page]++
				}
				if strings.HasPrefix(e.text.S, "cut square") {
					cells[e.page] += 1000 // the other line of the same row
				}
			}
		}
		for page := range pages {
			if heads[page] != 1 {
				rt.Errorf("page %d has %d heads", page, heads[page])
			}
			if cells[page]%1000 != cells[page]/1000 {
				rt.Errorf("page %d tears a row", page)
			}
			if n > 1 && cells[page]%1000 < 2 {
				rt.Errorf("page %d has one row", page)
			}
		}
		if r.begun[tagHead] != 3 || r.begun[tagRow] != n+1 || r.begun[tagTable] != 1 {
			rt.Errorf("%d heads, %d rows, %d tables in the structure", r.begun[tagHead], r.begun[tagRow], r.begun[tagTable])
		}
	})
}

// TestHeadingsStayWithWhatFollows: no heading is the last thing on its page, and no photo lies on another or beyond the
// margins, whatever comes in which order.
func TestHeadingsStayWithWhatFollows(t *testing.T) {
	kinds := map[string]func(i int) document.Block{
		"text":    func(int) document.Block { return para(strings.Repeat("Words of a paragraph. ", 30)) },
		"table":   func(i int) document.Block { return rows(4 + i%9) },
		"photo":   func(int) document.Block { return sample().Blocks[16] },
		"caution": func(i int) document.Block { return sample().Blocks[4+i%3] },
		"sheet": func(int) document.Block {
			return document.Block{Figure: &document.Figure{Drawing: picture(738, 540), Alt: "x", Sheet: true}}
		},
		"figure": func(int) document.Block {
			return document.Block{Figure: &document.Figure{Drawing: picture(400, 200), Alt: "x"}}
		},
		"list": func(int) document.Block { return sample().Blocks[7] },
	}
	rapid.Check(t, func(rt *rapid.T) {
		doc := document.Document{Labels: document.Labels{PageOf: "{n}/{all}"}}
		for i, kind := range rapid.SliceOfN(rapid.SampledFrom([]string{"text", "table", "photo", "caution", "sheet", "figure", "list"}), 1, 25).Draw(rt, "kinds") {
			if rapid.Bool().Draw(rt, "head") {
				doc.Blocks = append(doc.Blocks, head(2+i%2, fmt.Sprint(i), "Head"))
			}
			doc.Blocks = append(doc.Blocks, kinds[kind](i))
		}
		r := record(t, doc, A4)
		last, photos := map[int]bool{}, map[int][]draw.Box{}
		for _, e := range r.all {
			if e.within(tagArtifact) {
				continue
			}
			last[e.page] = e.within(tagH2) || e.within(tagH3)
			if e.kind == "image" {
				for _, other := range photos[e.page] {
					if e.box.Overlaps(other, 0) {
						rt.Errorf("page %d: two photos at %v and %v", e.page, e.box, other)
					}
				}
				if photos[e.page] = append(photos[e.page], e.box); !e.box.Within(draw.Box{X0: margin, Y0: margin, X1: 595.28 - margin, Y1: 841.89 - margin - footRoom}.Grow(0.01)) {
					rt.Errorf("page %d: a photo at %v", e.page, e.box)
				}
			}
		}
		for page := range r.size {
			if last[page+1] {
				rt.Errorf("page %d ends with a heading", page+1)
			}
		}
	})
}

// TestPhotosInRows: photos that follow each other stand two in a row, upright and wide ones alike, the one that is left over as small as the others; eight of them
// take no more than two pages.
func TestPhotosInRows(t *testing.T) {
	doc := document.Document{}
	for i := range 9 {
		p := document.Photo{SHA256: "sum0", Width: 400, Height: 300, Alt: "x", Caption: line(strings.Repeat("Words of a caption. ", i%3*8))}
		if i == 3 {
			p.Width, p.Height = 300, 400
		}
		doc.Blocks = append(doc.Blocks, document.Block{Photo: &p})
	}
	for name, paper := range map[string]Paper{"letter": Letter, "a4": A4} {
		t.Run(name, func(t *testing.T) {
			r := record(t, doc, paper)
			var boxes []recorded
			for _, e := range r.all {
				if e.kind == "image" {
					boxes = append(boxes, e)
				}
			}
			if len(boxes) != 9 || boxes[7].page > 2 {
				t.Fatalf("%d photos, the eighth on page %d", len(boxes), boxes[7].page)
			}
			for i, e := range boxes {
				if wide := e.box.W() > e.box.H(); wide == (i == 3) || max(e.box.W(), e.box.H()) < 200 {
					t.Errorf("photo %d is %.0f x %.0f", i+1, e.box.W(), e.box.H())
				}
				if i%2 == 1 && (e.page != boxes[i-1].page || e.box.Y0 != boxes[i-1].box.Y0) {
					t.Errorf("photo %d does not stand beside photo %d", i+1, i)
				}
			}
			for i, e := range r.all { // a caption lies below its own photo, within its half
				if e.kind == "text" && i > 0 && e.within(tagP) && e.text.At.X+e.text.Width > margin+(r.size[0][0]-2*margin-rowGap)/2 && e.text.At.X < r.size[0][0]/2-1 {
					t.Errorf("caption from %.0f to %.0f", e.text.At.X, e.text.At.X+e.text.Width)
				}
			}
		})
	}
}

// TestPinnedPhotosShareAPage: two photos with short tables below them are made small enough to share a page, never less than 200 pt high; a table begins on the
// page of its photo.
func TestPinnedPhotosShareAPage(t *testing.T) {
	for name, c := range map[string]struct {
		rows  int
		pages int
		high  float64
	}{"short": {1, 2, 250}, "long": {9, 4, photoHigh}} {
		t.Run(name, func(t *testing.T) {
			doc := document.Document{}
			for i := range 4 {
				doc.Blocks = append(doc.Blocks, head(3, "", fmt.Sprint("Photo ", i)), sample().Blocks[16], rows(c.rows))
			}
			r := record(t, doc, Letter)
			if len(r.size) != c.pages {
				t.Errorf("%d pages, want %d", len(r.size), c.pages)
			}
			page := 0
			for _, e := range r.all {
				if e.kind == "image" {
					if page = e.page; e.box.H() < photoLow || e.box.H() > c.high {
						t.Errorf("a photo %.0f pt high", e.box.H())
					}
				}
				if e.kind == "text" && e.text.S == "1" && e.within(tagCell) && e.page != page {
					t.Errorf("the table of a photo on page %d begins on page %d", page, e.page)
				}
			}
		})
	}
}

// TestSheetsWait: a sheet of paper without a heading of its own comes after the page that speaks of it, which the text after it fills; it tears no table, and lies
// in no other part of the structure.
func TestSheetsWait(t *testing.T) {
	sheet := document.Block{Figure: &document.Figure{ID: "s", Drawing: picture(738, 540), Alt: "x", Sheet: true}}
	doc := document.Document{Blocks: []document.Block{head(2, "1", "Furring"), para("Before."), sheet, head(2, "2", "Panels"), rows(70), para("After."), head(2, "3", "Plan"), sheet}}
	r := record(t, doc, Letter)
	at := map[string]int{}
	var wide []int
	for _, e := range r.all {
		at[strings.TrimSpace(e.text.S)] = e.page
		if e.kind == "drawing" {
			wide = append(wide, e.page)
			if len(e.tags) != 1 {
				t.Errorf("the sheet on page %d lies in %v", e.page, e.tags)
			}
		}
	}
	if len(wide) != 2 || at["Panels"] != 1 || at["After."]+1 != wide[0] || at["3 · Plan"] != wide[1] || wide[1] != wide[0]+1 {
		t.Errorf("sheets on %v, text on %v", wide, at)
	}
	doc.Blocks[4] = document.Block{List: &document.List{Items: slices.Repeat([]document.Line{line("an item")}, 90)}}
	r = record(t, doc, Letter)
	if w := r.size[1][0]; w != 792 {
		t.Errorf("the second page is %g wide: the sheet did not come when the first was full", w)
	}
	valid(t, written(t, doc, Letter, nil))
}

// TestLinks: a span leads to where its target is painted, one to nowhere is plain text.
func TestLinks(t *testing.T) {
	r, n := record(t, sample(), Letter), 0
	for i, e := range r.all {
		if e.kind != "link" || e.within(tagTOC) {
			continue
		}
		n++
		if text := strings.TrimSpace(r.all[i+1].text.S); text == "plan" && r.size[e.to.page-1][0] != 792 {
			t.Errorf("the plan is said to be on page %d", e.to.page)
		}
	}
	if n != 2 {
		t.Errorf("%d links, want 2", n)
	}
}
