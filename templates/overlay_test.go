package templates

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/PuerkitoBio/goquery"
	"github.com/google/go-cmp/cmp"
)

// band is a closed shape of two sides, the second running back.
func band(kind, label string, left, right [][2]float64) CeilingShape {
	points := append([][2]float64{}, left...)
	for i := len(right) - 1; i >= 0; i-- {
		points = append(points, right[i])
	}
	return CeilingShape{Kind: kind, Points: points, Closed: true, Label: label}
}

// Worked by hand on a picture of 1000 by 1000 pixels that is shown 500 px wide.
func TestLayCeilingByHand(t *testing.T) {
	photo := PinPhoto("/p.jpg", "", 1000, 1000, 500, nil).LayCeiling([]CeilingShape{
		{Kind: "seam", Points: [][2]float64{{0.5, 0.8}, {0.5, 0.4}, {0.5, -1}}, Label: "7"},
		{Kind: "seam", Points: [][2]float64{{0.25, 1.5}, {0.25, 0.5}}, Label: "3"},
		{Kind: "seam", Points: [][2]float64{{2, 2}, {3, 3}}, Label: "99"},
		band("row", "row 1 · 1/2″", [][2]float64{{-1, 0.30}, {2, 0.30}}, [][2]float64{{-1, 0.32}, {2, 0.32}}),
		{Kind: "notch", Closed: true, Points: [][2]float64{{0.49, 0.78}, {0.51, 0.78}, {0.51, 0.80}, {0.49, 0.80}}, Label: "check: notch 1/4″", Check: true},
	}, 500)
	over := photo.Ceiling
	want := []OverLabel{
		{Class: "seamt", Text: "7", Anchor: "middle", Left: "50.00000%", Top: "80.00000%", DX: "0", DY: "15.5"},        // 11 px beyond its end, the baseline 4.5 px lower
		{Class: "seamt", Text: "3", Anchor: "middle", Left: "25.00000%", Top: "100.00000%", DX: "0", DY: "-8.5"},       // its end is cut off: 13 px along the seam
		{Class: "rowt", Text: "row 1 · 1/2″", Anchor: "end", Left: "100.00000%", Top: "32.00000%", DX: "-3", DY: "15"}, // below the lower corner at the border
	}
	if diff := cmp.Diff(want, over.Labels); diff != "" {
		t.Errorf("labels (-want +got):\n%s", diff)
	}
	if len(over.Chips) != 1 || over.Chips[0].Text != "check: notch 1/4″" || over.Chips[0].Tight || over.Chips[0].DY != "-42" || over.Chips[0].Top != "79.00000%" {
		t.Errorf("chips: %+v", over.Chips)
	}
	if got := over.Shapes[0].Points; got != "500,800 500,-1000" {
		t.Errorf("a straight seam has the points %s", got)
	}
	if got := over.Keys; len(got) != 3 || got[0].Kind != "seam" || got[1].Kind != "row" || got[2].Kind != "check" {
		t.Errorf("keys: %+v", got)
	}
}

// A number that a pin's head would hide says so; beside the head it stays.
func TestLabelsKeepClearOfHeads(t *testing.T) {
	seam := []CeilingShape{{Kind: "seam", Points: [][2]float64{{0.5, 0.8}, {0.5, 0.2}}, Label: "7"}}
	for name, c := range map[string]struct {
		x, y  float64
		tight bool
	}{"on it": {0.5, 0.8, true}, "far off": {0.2, 0.3, false}} {
		t.Run(name, func(t *testing.T) {
			photo := PinPhoto("", "", 100, 100, 500, []PinnedPin{{Kind: "note", X: c.x, Y: c.y}})
			photo.Marks[0].Head.DX, photo.Marks[0].Head.DY = 0, 0
			if got := photo.LayCeiling(seam, 500).Ceiling.Labels[0]; got.Tight != c.tight {
				t.Errorf("got %+v", got)
			}
		})
	}
}

// A chip with no room says so; the pins' heads come first.
func TestChipsKeepClearOfHeads(t *testing.T) {
	var pins []PinnedPin
	for _, at := range [][2]float64{{0.2, 0.2}, {0.5, 0.2}, {0.8, 0.2}, {0.2, 0.5}, {0.8, 0.5}, {0.2, 0.8}, {0.5, 0.8}, {0.8, 0.8}, {0.5, 0.35}, {0.35, 0.5}, {0.65, 0.5}} {
		pins = append(pins, PinnedPin{Kind: "note", X: at[0], Y: at[1]})
	}
	notch := []CeilingShape{{Kind: "notch", Closed: true, Points: [][2]float64{{0.5, 0.5}}, Label: "notch 3/16″"}}
	if chip := PinPhoto("", "", 100, 100, 120, pins).LayCeiling(notch, 120).Ceiling.Chips[0]; !chip.Tight {
		t.Errorf("a chip of 83 px finds room among eleven heads on 120 px: %+v", chip)
	}
	if chip := PinPhoto("", "", 100, 100, 900, pins).LayCeiling(notch, 900).Ceiling.Chips[0]; chip.Tight {
		t.Errorf("a chip finds no room on 900 px: %+v", chip)
	}
}

// Points that are left out lie within a third of a pixel of the line that stays.
func TestStraighten(t *testing.T) {
	bent := [][2]float64{{0, 0}, {100, 0.2}, {200, 0}, {300, 5}, {400, 0}}
	if diff := cmp.Diff([][2]float64{{0, 0}, {200, 0}, {300, 5}, {400, 0}}, straighten(bent)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for _, short := range [][][2]float64{nil, {{1, 2}}, {{1, 2}, {3, 4}}} {
		if got := straighten(short); len(got) != len(short) {
			t.Errorf("%d points became %d", len(short), len(got))
		}
	}
	if got := straighten([][2]float64{{0, 0}, {50, 50}, {0, 0}}); len(got) != 3 {
		t.Errorf("a line back to its start lost its far point: %v", got)
	}
}

func TestOnPicture(t *testing.T) {
	for name, c := range map[string]struct {
		a, b, from, to [2]float64
		ok             bool
	}{
		"inside":          {[2]float64{0.1, 0.2}, [2]float64{0.3, 0.4}, [2]float64{0.1, 0.2}, [2]float64{0.3, 0.4}, true},
		"through":         {[2]float64{-1, 0.5}, [2]float64{3, 0.5}, [2]float64{0, 0.5}, [2]float64{1, 0.5}, true},
		"past the corner": {[2]float64{-0.5, 0.9}, [2]float64{0.5, 1.9}, [2]float64{}, [2]float64{}, false},
		"beside":          {[2]float64{1.5, 0}, [2]float64{1.5, 1}, [2]float64{}, [2]float64{}, false},
		"a point":         {[2]float64{0.5, 0.5}, [2]float64{0.5, 0.5}, [2]float64{0.5, 0.5}, [2]float64{0.5, 0.5}, true},
	} {
		from, to, ok := OnPicture(c.a, c.b)
		if ok != c.ok || ok && (from != c.from || to != c.to) {
			t.Errorf("%s: got %v, %v, %v", name, from, to, ok)
		}
	}
}

// The script places chips as the server does, whatever is taken.
func TestScriptPlacesTheSameChips(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no Node.js here; the browser tests run the same module")
	}
	type chipCase struct {
		W, H  float64
		Taken []map[string]float64
		Chips []map[string]float64
		Want  []map[string]any
	}
	var cases []chipCase
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 3))
		c := chipCase{W: 300 + r.Float64()*500, H: 300 + r.Float64()*500}
		f := labelField{w: c.W, h: c.H}
		for range r.IntN(30) {
			b := textBox{r.Float64() * c.W, r.Float64() * c.H, 36, 36}
			f.taken = append(f.taken, b)
			c.Taken = append(c.Taken, map[string]float64{"x": b.x, "y": b.y, "w": b.w, "h": b.h})
		}
		for range r.IntN(12) {
			at := [2]float64{r.Float64(), r.Float64()}
			wide := 60 + r.Float64()*80
			way, free := f.chipPlace(at, wide)
			c.Chips = append(c.Chips, map[string]float64{"x": at[0] * c.W, "y": at[1] * c.H, "wide": wide})
			c.Want = append(c.Want, map[string]any{"dx": way[0], "dy": way[1], "free": free})
		}
		cases = append(cases, c)
	}
	vectors, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	copyModule(t, dir, "photo/chips.js")
	write(t, filepath.Join(dir, "vectors.json"), string(vectors))
	write(t, filepath.Join(dir, "run.mjs"), `import { readFileSync } from 'node:fs';
import { fitting, placeChips } from './chips.mjs';
for (const c of JSON.parse(readFileSync('vectors.json', 'utf8'))) {
  placeChips(c.Chips ?? [], c.Taken ?? [], { w: c.W, h: c.H }).forEach((got, i) => {
    const want = c.Want[i];
    if (Math.abs(got.dx - want.dx) > 1e-9 || got.dy !== want.dy || got.free !== want.free) console.log(JSON.stringify({ got, want }));
  });
}
const box = (x, y) => ({ x, y, w: 20, h: 10 });
const got = fitting([box(0, 0), box(19, 9), box(20, 0), box(85, 0), box(50, 50)], [box(40, 45)], { w: 100, h: 100 }).join();
if (got !== 'true,false,true,false,false') console.log('fitting: ' + got);`)
	runNode(t, node, dir, "run.mjs")
}

// The part draws the ceiling in two layers, shapes and texts, without anything inline.
func TestCeilingOverPart(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	draw := func(shapes []CeilingShape) *goquery.Document {
		var out bytes.Buffer
		photo := PinPhoto("/screen.jpg", "", 1200, 1600, 660, []PinnedPin{{Kind: "hanger", Number: 4, X: 0.5, Y: 0.5}}).LayCeiling(shapes, 660)
		if err := set.Template("surveys").ExecuteTemplate(&out, "ceiling-over", photo.Ceiling); err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"style=", "<script", "ZgotmplZ"} {
			if bytes.Contains(out.Bytes(), []byte(bad)) {
				t.Errorf("the part contains %s", bad)
			}
		}
		page, err := goquery.NewDocumentFromReader(&out)
		if err != nil {
			t.Fatal(err)
		}
		return page
	}
	page := draw([]CeilingShape{
		band("row", "row 1 · 1″", [][2]float64{{0, 0.1}, {1, 0.1}}, [][2]float64{{0, 0.2}, {1, 0.2}}),
		{Kind: "edge", Points: [][2]float64{{0, 0.9}, {1, 0.9}}},
	})
	if layers := page.Find("svg.ceil"); layers.Length() != 2 || !layers.Eq(1).HasClass("ovt") {
		t.Errorf("got %d layers, want the shapes and the texts over them", layers.Length())
	}
	if got := page.Find("polygon.o-row").AttrOr("points", ""); got != "0,160 1200,160 1200,320 0,320" {
		t.Errorf("the row has the points %s", got)
	}
	if page.Find("polyline.case.c-edge + polyline.o-edge").Length() != 1 || page.Find("text.rowt").Text() != "row 1 · 1″" {
		t.Error("the high edge lacks its casing, or the row its words")
	}
	if draw(nil).Find("polygon, polyline, text").Length() != 0 {
		t.Error("a photo without a ceiling has shapes")
	}
}
