package pdf

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/survey/report/document"
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

// TestHeadingsStayWithWhatFollows: no heading is the last thing on its page, and no page has more than two photos, whatever comes in which order.
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
		last, photos := map[int]bool{}, map[int]int{}
		for _, e := range r.all {
			if e.within(tagArtifact) {
				continue
			}
			last[e.page] = e.within(tagH2) || e.within(tagH3)
			if e.kind == "image" {
				photos[e.page]++
			}
		}
		for page := range r.size {
			if last[page+1] {
				rt.Errorf("page %d ends with a heading", page+1)
			}
			if photos[page+1] > 2 {
				rt.Errorf("page %d has %d photos", page+1, photos[page+1])
			}
		}
	})
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
