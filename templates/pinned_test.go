package templates

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/PuerkitoBio/goquery"
	"github.com/google/go-cmp/cmp"
)

// leaderCase is one picture of testdata/leaders.json. Its expected heads were worked out by hand from the distances in leaders.go.
type leaderCase struct {
	Name string  `json:"name"`
	W    float64 `json:"w"`
	H    float64 `json:"h"`
	Pins []struct {
		X  float64  `json:"x"`
		Y  float64  `json:"y"`
		X2 *float64 `json:"x2,omitempty"`
		Y2 *float64 `json:"y2,omitempty"`
		On bool     `json:"on,omitempty"`
	} `json:"pins"`
	Heads [][2]float64 `json:"heads"`
}

func leaderCases(t *testing.T) []leaderCase {
	t.Helper()
	body, err := os.ReadFile("../testdata/leaders.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []leaderCase
	if err := json.Unmarshal(body, &cases); err != nil {
		t.Fatal(err)
	}
	return cases
}

func (c leaderCase) place() [][2]float64 {
	pins := make([]LeaderPin, len(c.Pins))
	for i, p := range c.Pins {
		pins[i] = LeaderPin{X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2, On: p.On}
	}
	var heads [][2]float64
	for _, h := range PlaceHeads(c.W, c.H, pins) {
		heads = append(heads, [2]float64{h.DX, h.DY})
	}
	return heads
}

func TestPlaceHeadsByHand(t *testing.T) {
	for _, c := range leaderCases(t) {
		t.Run(c.Name, func(t *testing.T) {
			if diff := cmp.Diff(c.Heads, c.place()); diff != "" {
				t.Errorf("heads (-want +got):\n%s", diff)
			}
		})
	}
}

// crowd is a picture with n pins at random places, the same for the same seed.
func crowd(seed uint64, n int) leaderCase {
	r := rand.New(rand.NewPCG(seed, 7))
	c := leaderCase{Name: fmt.Sprintf("crowd %d", seed), W: 360 + r.Float64()*600, H: 300 + r.Float64()*600}
	for range n {
		c.Pins = append(c.Pins, struct {
			X  float64  `json:"x"`
			Y  float64  `json:"y"`
			X2 *float64 `json:"x2,omitempty"`
			Y2 *float64 `json:"y2,omitempty"`
			On bool     `json:"on,omitempty"`
		}{X: r.Float64(), Y: r.Float64(), On: r.IntN(5) == 0})
		if p := &c.Pins[len(c.Pins)-1]; r.IntN(6) == 0 {
			x2, y2 := r.Float64(), r.Float64()
			p.X2, p.Y2, p.On = &x2, &y2, true
		}
	}
	return c
}

// Whatever the pins: one head each, at most 56 px off (a diagonal rounds to 57), and with few pins no head hides another's point.
func TestPlaceHeadsProperties(t *testing.T) {
	for seed := range uint64(200) {
		c := crowd(seed, 1+int(seed%12))
		heads := c.place()
		if len(heads) != len(c.Pins) {
			t.Fatalf("%s: got %d heads for %d pins", c.Name, len(heads), len(c.Pins))
		}
		for i, h := range heads {
			if d := math.Hypot(h[0], h[1]); d > 57 || d > 0 && d < 35 || d == 0 && !c.Pins[i].On {
				t.Errorf("%s: head %d stands %.1f px off", c.Name, i, d)
			}
			if len(c.Pins) > 6 {
				continue
			}
			p := c.Pins[i]
			x, y := p.X*c.W+h[0], p.Y*c.H+h[1]
			if p.X2 != nil {
				x, y = (p.X+*p.X2)/2*c.W+h[0], (p.Y+*p.Y2)/2*c.H+h[1]
			}
			for j, q := range c.Pins {
				if d := math.Hypot(q.X*c.W-x, q.Y*c.H-y); j != i && d < 20 && isolated(c, i) {
					t.Errorf("%s: head %d hides the point of pin %d, %.1f px away", c.Name, i, j, d)
				}
			}
		}
	}
}

// isolated tells whether a pin's point has room around it, so that some place must be free.
func isolated(c leaderCase, i int) bool {
	p := c.Pins[i]
	if p.X2 != nil {
		return false
	}
	near := 0
	for j, q := range c.Pins {
		if j != i && math.Hypot((q.X-p.X)*c.W, (q.Y-p.Y)*c.H) < 120 {
			near++
		}
	}
	return near <= 1
}

// The script must place the same heads as the report: it runs in Node.js where there is one, and in the browser tests of survey/web.
func TestScriptPlacesTheSameHeads(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no Node.js here; the browser tests run the same vectors")
	}
	cases := leaderCases(t)
	for seed := range uint64(40) {
		c := crowd(seed, 63)
		c.Heads = c.place()
		cases = append(cases, c)
	}
	vectors, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	copyModule(t, dir, "photo/leaders.js")
	write(t, filepath.Join(dir, "vectors.json"), string(vectors))
	write(t, filepath.Join(dir, "run.mjs"), `import { readFileSync } from 'node:fs';
import { placeHeads } from './leaders.mjs';
for (const c of JSON.parse(readFileSync('vectors.json', 'utf8'))) {
  const got = JSON.stringify(placeHeads(c.w, c.h, c.pins).map((h) => [h.dx, h.dy]));
  if (got !== JSON.stringify(c.heads)) console.log(c.name + ': got ' + got + ' want ' + JSON.stringify(c.heads));
}`)
	runNode(t, node, dir, "run.mjs")
}

// copyModule copies a module so that Node.js takes it for one.
func copyModule(t *testing.T, dir, name string) {
	t.Helper()
	body, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	base := filepath.Base(name)
	write(t, filepath.Join(dir, base[:len(base)-len(".js")]+".mjs"), string(body))
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// runNode fails the test with whatever the script prints.
func runNode(t *testing.T, node, dir, script string) {
	t.Helper()
	cmd := exec.Command(node, script)
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%s: %v\n%s", script, err, out)
	}
}

// The geometry of the stage, by properties: what lies under the finger stays there, nothing is lost by going to px and back.
func TestStageGeometry(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no Node.js here; the browser tests place pins through the same module")
	}
	dir := t.TempDir()
	copyModule(t, dir, "photo/geometry.js")
	write(t, filepath.Join(dir, "run.mjs"), geometryChecks)
	runNode(t, node, dir, "run.mjs")
}

const geometryChecks = `import * as g from './geometry.mjs';
const near = (a, b, tol, what) => { if (!(Math.abs(a - b) <= tol)) console.log(what + ': got ' + a + ' want ' + b); };
let seed = 1;
const random = () => (seed = (seed * 48271) % 2147483647) / 2147483647; // Park and Miller's minimal standard generator
for (let i = 0; i < 2000; i++) {
  const w = 200 + random() * 700, h = 200 + random() * 700, width = Math.max(w, 200 + random() * 900), height = h;
  const frame = { width, height, w, h, x: (width - w) / 2, y: 0 };
  let view = g.home(frame);
  for (let k = 0; k < 5; k++) {
    const px = random() * width, py = random() * height, factor = 0.5 + random() * 3, before = g.toFraction(frame, view, px, py);
    const next = g.zoomAbout(frame, view, px, py, factor), after = g.toStage(frame, next, before);
    const room = (stage, size, at) => size > stage && at > stage - size + 1e-9 && at < -1e-9;
    if (room(width, w * next.zoom, next.x)) near(after.x, px, 1e-6, 'the point under the finger moved across');
    if (room(height, h * next.zoom, next.y)) near(after.y, py, 1e-6, 'the point under the finger moved down');
    view = next;
    if (view.zoom < 1 || view.zoom > g.MAX_ZOOM) console.log('zoom ' + view.zoom);
    if (w * view.zoom > width && (view.x > 1e-9 || view.x + w * view.zoom < width - 1e-9)) console.log('a gap beside the photo');
    const f = { x: random(), y: random() }, at = g.toStage(frame, view, f), back = g.toFraction(frame, view, at.x, at.y);
    near(back.x, f.x, 1e-12, 'fraction across'); near(back.y, f.y, 1e-12, 'fraction down');
  }
  const p = { x: random(), y: random(), x2: random(), y2: random() }, m = g.moved(p, 0, random() * 2 - 1, random() * 2 - 1);
  near(m.x2 - m.x, p.x2 - p.x, 1e-12, 'a moved line changed its shape'); near(m.y2 - m.y, p.y2 - p.y, 1e-12, 'a moved line changed its shape');
  for (const v of [m.x, m.y, m.x2, m.y2]) if (v < 0 || v > 1) console.log('moved off the picture: ' + v);
}
const frame = { width: 360, height: 480, x: 0, y: 0, w: 360, h: 480 };
// Two fingers 100 px apart go to 300 px apart about the same middle: three times as large, the middle stays.
const v = g.pinch(frame, g.home(frame), { x: 130, y: 200 }, { x: 230, y: 200 }, { x: 30, y: 200 }, { x: 330, y: 200 });
near(v.zoom, 3, 1e-12, 'pinch'); near(g.toFraction(frame, v, 180, 200).x, 0.5, 1e-12, 'pinch middle');
// A lens of 132 px at 5 times shows 26.4 px of the screen: at 360 px for 3024 pixels that is 221.76 pixels.
near(g.lensBox(frame, g.home(frame), { width: 3024, height: 4032 }, { x: 0.5, y: 0.5 }, 132, 5).w, 221.76, 1e-9, 'lens');
if (g.nearest([{ x: 0, y: 0, reach: 22 }, { x: 30, y: 0, reach: 22 }], 16, 0) !== 1) console.log('nearest');
if (g.nearest([{ x: 0, y: 0, reach: 10 }], 16, 0) !== -1) console.log('nearest out of reach');
`

// The baseline of a mark's number stands in the symbol, for scripts, and in markTextY, for pages: they must agree, for every kind.
func TestMarksAgree(t *testing.T) {
	body, err := os.ReadFile("part/pinmarks.html")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`<symbol id="k-([a-z]+)" data-text-y="([^"]+)"`).FindAllStringSubmatch(string(body), -1)
	if len(found) != 14 {
		t.Errorf("got %d marks, want 14", len(found))
	}
	for _, f := range found {
		if got := markTextY(f[1]); got != f[2] {
			t.Errorf("%s: page has %s, symbol has %s", f[1], got, f[2])
		}
	}
}

// The part draws each pin as static SVG: exact points in percent, lines in pixels of the photo, nothing inline.
func TestPinnedPhotoPart(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	x2, y2 := 0.75, 0.5
	photo := PinPhoto("/screen.jpg", "Header", 1200, 1600, 660, []PinnedPin{
		{Kind: "hanger", Number: 14, X: 1.0 / 3, Y: 0.25, Label: "Hanger 14", ID: "a", Caution: true, Count: 19},
		{Kind: "dimension", Number: 114, X: 0.25, Y: 0.5, X2: &x2, Y2: &y2, Label: "Length 114"},
	})
	var out bytes.Buffer
	if err := set.Template("surveys").ExecuteTemplate(&out, "pin-overlay", photo); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"style=", "<script", "ZgotmplZ", "href=\"\""} {
		if bytes.Contains(out.Bytes(), []byte(bad)) {
			t.Errorf("the part contains %s", bad)
		}
	}
	page, err := goquery.NewDocumentFromReader(&out)
	if err != nil {
		t.Fatal(err)
	}
	if got := page.Find("svg.ov").AttrOr("viewBox", page.Find("svg.ov").AttrOr("viewbox", "")); got != "0 0 1200 1600" {
		t.Errorf("viewBox %q", got)
	}
	pin := page.Find("a.pin").First()
	if x, y := pin.Parent().AttrOr("x", ""), pin.Parent().AttrOr("y", ""); x != "33.33333%" || y != "25.00000%" {
		t.Errorf("the first point is at %s, %s", x, y)
	}
	if got := pin.Find("g").First().AttrOr("transform", ""); got != "translate(0 36)" {
		t.Errorf("its head is at %s", got)
	}
	if got := pin.Find("text").Text(); got != "14×19" {
		t.Errorf("it reads %q", got)
	}
	line := page.Find("line.dimline")
	if got := line.AttrOr("x1", "") + " " + line.AttrOr("y1", "") + " " + line.AttrOr("x2", "") + " " + line.AttrOr("y2", ""); got != "300 800 900 800" {
		t.Errorf("the line runs %s", got)
	}
	if page.Find("svg.end").Length() != 2 || page.Find("a.pin text.n3").Text() != "114" {
		t.Error("the length lacks its ends or its small number")
	}
}
