package web

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"os"
	"strconv"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// The photos of the walk with references, by the order in which they are taken.
const (
	shotRight = 4 + iota
	shotMiddle
	shotLeft
	shotHeader
	shotPost
)

// structurePoints are testdata/measuring/demo-structure.json: where points of the joists' plane lie in the demo's photos.
type structurePoints struct {
	Mark   string
	Photos map[string]struct {
		References []struct {
			Joist int
			At    string
			X, Y  float64
		}
		Points []struct {
			What string
			X, Y float64
			Plan [2]float64
		}
	}
}

// TestTapsWithReferences surveys the demo's deck as it is meant to be: five references by the structure on each of four photos, and what hangs there is
// located by its photo, no place of it typed. What comes out agrees with the ceiling of the demo: the same zones, rows, carriers and notches in the same
// states, and every place within its own ± of the demo's.
func TestTapsWithReferences(t *testing.T) {
	b := browser.Open(t)
	p := &tapper{walk: &walk{site: newSite(t)}}
	server := httptest.NewServer(p.handler)
	t.Cleanup(server.Close)
	data, err := os.ReadFile("../../testdata/measuring/demo-structure.json")
	if err != nil {
		t.Fatal(err)
	}
	var points structurePoints
	if err := json.Unmarshal(data, &points); err != nil {
		t.Fatal(err)
	}
	p.tab = b.Tab(phoneWidth, phoneHeight, true)
	p.id = p.survey("Larkmoor house").ID // begun at the office; the site's name and address are no part of the walk
	p.tab.Go(server.URL + "/surveys")

	p.step("open survey, walk")
	p.follow(`main a[href="` + surveyPath(p.id) + `"]`)
	p.follow(`.bar a[href$="/walk"]`)
	p.around()
	p.joists()
	p.step("11 row, hangers, plates")
	p.open("hangers")
	p.shoot("ledger", "04-header-hangers.jpg")
	p.under(points)
	p.end()
	for i, name := range p.names {
		t.Logf("%4d  %s", p.taps[i], name)
	}
	t.Logf("%4d  in all, %d pins, goal %d", p.all(), p.pins, mostTaps)
	if p.all() > mostTaps {
		t.Errorf("%d taps and keys, at most %d", p.all(), mostTaps)
	}
	p.agrees(points)
}

// around answers what is asked before one stands under the deck. What is seen from below is pinned there.
func (p *tapper) around() {
	p.step("1 size, photo")
	p.length("f.width", "2 8 ft 4")
	p.lastLength("f.projection", "1 4 ft")
	p.shoot("yard", "08-from-yard.jpg")
	p.next("size")
	p.step("2 ground, clearance")
	p.answer("f.means", "scaffold")
	p.reuse("ground", 1)
	p.step("3 water")
	p.on(`#q-water .wants a`, 1)
	p.place("Wall", "water", [2]float64{0.085, 0.8})
	p.pick("v.what", "discharge")
	p.keep("what", "discharge")
	p.back()
	p.open("water")
	p.reuse("water", 1)
	p.step("4 right end")
	p.answer("f.edge.1.kind", "wall")
	p.answer("f.edge.1.surface", "brick")
	p.lastLength("f.edge.1.wall_end", "5 ft")
	p.shoot("right", "07-brick-return.jpg")
	p.next("right")
	p.step("5 house wall")
	p.answer("f.edge.0.surface", "fiber-cement")
	p.answer("f.built_before_1978", "no")
	p.shoot("house", "05-ledger-and-siding.jpg")
	p.next("house")
	p.step("8 left end")
	p.open("left")
	p.answer("f.edge.2.kind", "open")
	p.answer("f.edge.3.kind", "open")
	p.reuse("left", 1)
}

// open opens a question that is not open already.
func (p *tapper) open(step string) {
	p.t.Helper()
	if browser.Eval[bool](p.tab, fmt.Sprintf(`!document.querySelector('#q-%s').open`, step)) {
		p.tap(fmt.Sprintf(`#q-%s > summary`, step))
	}
}

// under goes from photo to photo: first what holds the photo, then what is seen on it.
func (p *tapper) under(points structurePoints) {
	p.open("joists")
	p.on(fmt.Sprintf(`#q-joists .slot a[href$=%q]`, photoPath(p.record(p.id).Photos[shotRight-1])), shotRight)
	p.references(points, "01-underside-right.jpg")
	p.step("2 ground, clearance")
	p.place("Measure", "clearance", points.at("01-underside-right.jpg", "clearance"))
	p.lastLength("v.clearance", "8 ft 1 0")
	p.leave("clearance", "8' 10")
	p.level(points, "01-underside-right.jpg")
	p.onward(shotMiddle)
	p.references(points, "02-underside-middle.jpg")
	p.level(points, "02-underside-middle.jpg")
	p.hangerRow()
	p.step("6 door")
	p.place("Wall", "opening", [2]float64{0.250193, 0.82026}, [2]float64{0.709109, 0.81263})
	p.answer("v.sort", "door")
	p.length("v.head", "6 ft 1 0")
	p.answer("v.swing", "no")
	p.leave("swing", "no")
	p.step("14 light")
	p.place("In the way", "fixture", points.at("02-underside-middle.jpg", "light"))
	p.pick("v.sort", "light")
	p.answer("v.state", "existing")
	p.answer("v.at", "ceiling")
	p.length("v.drop", "4 1 /2")
	p.length("v.wx", "6 3 /8")
	p.lastLength("v.wy", "6 3 /8")
	p.keep("wy", "6 3/8")
	p.onward(shotLeft)
	p.references(points, "03-underside-left.jpg")
	p.level(points, "03-underside-left.jpg")
	p.onWall()
	p.onward(shotHeader)
	p.references(points, "04-header-hangers.jpg")
	p.level(points, "04-header-hangers.jpg")
	p.headerHangers()
}

// at is where a point lies in a photo.
func (s structurePoints) at(file, what string) [2]float64 {
	for _, point := range s.Photos[file].Points {
		if point.What == what {
			return [2]float64{point.X, point.Y}
		}
	}
	panic("no " + what + " on " + file)
}

// onward goes to the next photo.
func (p *tapper) onward(number int) {
	p.t.Helper()
	p.on(`.top a[aria-label="Next photo"]`, number)
}

// references pins five of them: the joist by its steps or its digits, whichever is less, and where on it. The next tap saves what was said; where nothing
// had to be said, Next does.
func (p *tapper) references(points structurePoints, file string) {
	p.t.Helper()
	p.step("references of photo " + file[1:2])
	for _, ref := range points.Photos[file].References {
		p.place("Measure", "reference", [2]float64{ref.X, ref.Y})
		said := p.joist(ref.Joist)
		if where := browser.Eval[string](p.tab, `document.querySelector('#pin form').elements['v.at'].value`); where != ref.At {
			p.answer("v.at", ref.At)
			said = true
		}
		if ref.At == survey.AtMark && browser.Eval[string](p.tab, `document.querySelector('#pin [name="v.out"]').value`) == "" {
			p.lastLength("v.out", "6 ft")
		}
		if !said {
			p.tap(`#pin [data-next]`)
			p.kept(p.pins, "joist", strconv.Itoa(ref.Joist))
			continue
		}
		p.leave("joist", strconv.Itoa(ref.Joist))
	}
}

// joist says which joist it is, if the form does not say so already.
func (p *tapper) joist(joist int) (said bool) {
	p.t.Helper()
	now, digits := browser.Eval[int](p.tab, `Number(document.querySelector('#pin [name="v.joist"]').value)`), strconv.Itoa(joist)
	steps, button := joist-now, `#pin .stepper button:last-child`
	if steps < 0 {
		steps, button = -steps, `#pin .stepper button:first-child`
	}
	if steps > 1+len(digits) {
		p.digits("v.joist", digits)
		return true
	}
	for range steps {
		p.tap(button)
	}
	return steps > 0
}

func (p *tapper) level(points structurePoints, file string) {
	p.t.Helper()
	p.step("13 four levels")
	p.place("Measure", "level", points.at(file, "level"))
	p.lastLength("v.height", "8 ft 1 0")
	p.keep("height", "8' 10")
}

// hangerRow is one pin for all hangers along the ledger; the two joists that stop at the header have none there.
func (p *tapper) hangerRow() {
	p.step("11 row, hangers, plates")
	p.place("In the way", "hanger", [2]float64{0.314229, 0.631766})
	p.offer("1/16")
	p.offer("1 5/8")
	p.answer("v.row_at", "ledger")
	p.tap(`.joists .joist:nth-child(14)`)
	p.tap(`.joists .joist:nth-child(15)`)
	p.leave("row_out", "14, 15")
}

// offer takes a ready answer.
func (p *tapper) offer(text string) {
	p.t.Helper()
	p.tap(fmt.Sprintf(`#pin [data-fill*='"%s"']`, text))
}

// onWall is what photo 3 shows: an exhaust and a downspout.
func (p *tapper) onWall() {
	p.step("7 exhaust, downspout")
	p.place("In the way", "fixture", [2]float64{0.403, 0.712})
	p.pick("v.sort", "exhaust")
	p.answer("v.state", "existing")
	p.answer("v.at", "wall")
	p.lastLength("v.drop", "1 3")
	p.leave("drop", "13")
	p.place("In the way", "fixture", [2]float64{0.11, 0.7})
	p.pick("v.sort", "leader")
	p.answer("v.state", "existing")
	p.answer("v.at", "wall")
	p.keep("at", "wall")
}

func (p *tapper) headerHangers() {
	p.step("11 row, hangers, plates")
	p.place("In the way", "hanger", [2]float64{0.60119, 0.48405})
	p.length("v.drop", "7 /16")
	p.length("v.wx", "1 7 /8")
	p.lastLength("v.wy", "2 1 /2")
	p.leave("wy", "2 1/2")
	p.place("In the way", "hanger", [2]float64{0.371257, 0.481605})
	p.tap(`#pin [data-same]`)
	p.leave("wy", "2 1/2")
	p.place("In the way", "bracket", [2]float64{0.787705, 0.506749})
	p.length("v.drop", "1 /2")
	p.length("v.wx", "3 5 /8")
	p.lastLength("v.wy", "3 3 /8")
	p.leave("wy", "3 3/8")
	p.place("In the way", "bracket", [2]float64{0.18162, 0.500489})
	p.tap(`#pin [data-same]`)
	p.keep("wy", "3 3/8")
	p.back()
}

// end is what remains: the header, which is put off as in the demo, the beam and its post's photo, what is overhead, and the checks.
func (p *tapper) end() {
	p.step("10 header put off")
	p.open("header")
	p.follow(`#q-header .foot .btn:not(.main)`)
	p.step("12 beam, post")
	p.open("beam")
	p.shoot("post", "06-beam-and-post.jpg")
	p.on(`#q-beam .wants a`, shotPost)
	p.place("In the way", "beam", [2]float64{0.37, 0.42})
	p.answer("v.set", "dropped")
	p.length("v.drop", "9 1 /4")
	p.length("v.thick", "3")
	p.lastLength("v.y0", "1 0 ft 9")
	p.keep("y0", "10' 9")
	p.back()
	p.coverAndLeave()
}
