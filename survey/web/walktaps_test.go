package web

import (
	"encoding/json"
	"net/http/httptest"
	"regexp"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// mostTaps is what the first survey of the demo's deck may take: our own goal.
const mostTaps = 350

// TestTapsOfAFirstSurvey surveys the demo's deck from nothing on a phone, by touch, through the walk list, and counts; go test -v prints the count by step.
// Places are typed on the pins, so no references are pinned. What comes out is the ceiling of the demo where the facts are the same: its values are typed in
// sixteenths, as the pad has them, the door's sides in whole inches, and nothing before leaving is a Stop.
func TestTapsOfAFirstSurvey(t *testing.T) {
	b := browser.Open(t)
	p := &tapper{walk: &walk{site: newSite(t)}}
	server := httptest.NewServer(p.handler)
	t.Cleanup(server.Close)
	p.tab = b.Tab(phoneWidth, phoneHeight, true)
	p.id = p.survey("Larkmoor house").ID // begun at the office; the site's name and address are no part of the walk
	p.tab.Go(server.URL + "/surveys")

	p.step("open survey, walk")
	p.follow(`main a[href="` + surveyPath(p.id) + `"]`)
	p.follow(`.bar a[href$="/walk"]`)
	p.yard()
	p.walls()
	p.joists()
	p.hanging()
	p.lights()
	p.carried()
	p.levels()
	p.coverAndLeave()
	for i, name := range p.names {
		t.Logf("%4d  %s", p.taps[i], name)
	}
	t.Logf("%4d  in all, %d pins, goal %d", p.all(), p.pins, mostTaps)
	if p.all() > mostTaps {
		t.Errorf("%d taps and keys, at most %d", p.all(), mostTaps)
	}
	p.same()
}

func (p *tapper) yard() {
	p.step("1 size, photo")
	p.length("f.width", "2 8 ft 4")
	p.lastLength("f.projection", "1 4 ft")
	p.shoot("yard", "08-from-yard.jpg")
	p.next("size")

	p.step("2 ground, clearance")
	p.answer("f.means", "scaffold")
	p.on(`#q-ground .wants a`, 1)
	p.place("Measure", "clearance", [2]float64{0.9, 0.6})
	p.length("v.clearance", "8 ft 1 0")
	p.length("v.x", "6")
	p.lastLength("v.y", "6")
	p.keep("y", "6")

	p.step("3 water")
	p.place("Wall", "water", [2]float64{0.085, 0.8})
	p.pick("v.what", "discharge")
	p.keep("what", "discharge")
	p.back()
	p.reuse("ground", 1)
	p.reuse("water", 1)
}

func (p *tapper) walls() {
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

	p.step("6 door")
	p.on(`#q-openings .wants a`, 3)
	p.place("Wall", "opening", [2]float64{0.25, 0.82}, [2]float64{0.71, 0.81})
	p.answer("v.sort", "door")
	p.length("v.x0", "1 2 3")
	p.length("v.x1", "1 9 9")
	p.lastLength("v.head", "6 ft 1 0")
	p.answer("v.swing", "no")
	p.keep("swing", "no")

	p.step("7 exhaust, downspout")
	p.place("In the way", "fixture", [2]float64{0.4, 0.71})
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
	p.back()

	p.step("8 left end")
	p.answer("f.edge.2.kind", "open")
	p.answer("f.edge.3.kind", "open")
	p.reuse("left", 1)
}

func (p *tapper) joists() {
	p.step("9 joists, 3 photos")
	p.answer("f.joist.direction", "y")
	p.answer("r.joist.spacing", "16")
	p.answer("r.joist.depth", "9 1/4")
	p.answer("r.joist.first", "16")
	p.shoot("under.right", "01-underside-right.jpg")
	p.shoot("under.middle", "02-underside-middle.jpg")
	p.shoot("under.left", "03-underside-left.jpg")
	p.next("joists")
	p.follow(`#q-joists .result button`)
}

// hanging pins two rows of hangers, two hangers and two plates at the header. The header itself the demo does not pin: it is put off.
func (p *tapper) hanging() {
	p.step("10 header put off")
	p.follow(`#q-header .foot .btn:not(.main)`)

	p.step("11 two rows, two hangers, two plates")
	p.on(`#q-hangers .wants a`, 3)
	row := func(at [2]float64, x, count, want string) {
		p.place("In the way", "hanger", at)
		p.length("v.drop", "1 /16")
		p.length("v.wx", "1 5 /8")
		p.length("v.wy", "2")
		p.length("v.x", x)
		p.lastLength("v.y", "2 1 /2")
		p.unfold("v.row_count")
		p.digits("v.row_count", count)
		p.lastLength("v.row_step", "1 6")
		p.leave("row_count", want)
	}
	row([2]float64{0.31, 0.63}, "1 3 2", "13", "13")
	row([2]float64{0.05, 0.6}, "4", "6", "6")
	single := func(kind string, at [2]float64, drop, wx, wy, x, y, want string, save func(key, want string)) {
		p.place("In the way", kind, at)
		p.length("v.drop", drop)
		p.length("v.wx", wx)
		p.length("v.wy", wy)
		p.length("v.x", x)
		p.lastLength("v.y", y)
		save("drop", want)
	}
	single("hanger", [2]float64{0.6, 0.48}, "7 /16", "1 7 /8", "2 1 /2", "1 1 6", "6 4 3 /4", "7/16", p.leave)
	single("hanger", [2]float64{0.37, 0.48}, "7 /16", "1 7 /8", "2 1 /2", "1 0 0", "6 4 3 /4", "7/16", p.keep)
	single("bracket", [2]float64{0.79, 0.5}, "1 /2", "3 5 /8", "3 3 /8", "1 2 9 5 /8", "6 2", "1/2", p.leave)
	single("bracket", [2]float64{0.18, 0.5}, "1 /2", "3 5 /8", "3 3 /8", "8 6 1 /4", "6 2", "1/2", p.keep)
}

func (p *tapper) carried() {
	p.step("12 beam, post")
	p.shoot("post", "06-beam-and-post.jpg")
	p.on(`#q-beam .wants a`, 7)
	p.place("In the way", "beam", [2]float64{0.37, 0.42})
	p.answer("v.set", "dropped")
	p.length("v.drop", "9 1 /4")
	p.length("v.thick", "3")
	p.lastLength("v.y0", "1 0 ft 9")
	p.keep("y0", "10' 9")
}

func (p *tapper) levels() {
	p.step("13 four levels")
	for i, at := range [][2]string{{"1 0", "1 0"}, {"1 0", "1 6 0"}, {"3 3 0", "1 6 0"}, {"3 3 0", "1 0"}} {
		p.place("Measure", "level", [2]float64{0.2 + 0.15*float64(i), 0.3 + 0.1*float64(i)})
		p.length("v.x", at[0])
		p.length("v.y", at[1])
		p.lastLength("v.height", "8 ft 1 0")
		if i < 3 {
			p.leave("height", "8' 10")
		} else {
			p.keep("height", "8' 10")
		}
	}
	p.back()
}

// lights pins on the photo that is open from the hangers.
func (p *tapper) lights() {
	p.step("14 light")
	p.place("In the way", "fixture", [2]float64{0.5, 0.37})
	p.pick("v.sort", "light")
	p.answer("v.state", "existing")
	p.answer("v.at", "ceiling")
	p.length("v.drop", "4 1 /2")
	p.length("v.wx", "6 3 /8")
	p.length("v.wy", "6 3 /8")
	p.length("v.x", "1 7 0")
	p.lastLength("v.y", "6 0")
	p.keep("y", "60")
	p.back()
	p.reuse("hangers", 3)
}

func (p *tapper) coverAndLeave() {
	p.step("what we will cover")
	p.follow(`.wc a[href$="/cover"]`)
	p.answer("f.cover.exhaust", "yes")
	p.answer("f.cover.ledger-flashing", "not-seen")
	p.answer("f.cover.junction-boxes", "yes")
	for browser.Eval[bool](p.tab, `document.querySelector('button[name="looked"]') !== null`) {
		p.follow(`button[name="looked"]`)
	}
	p.step("before you leave")
	p.follow(`.bar a[href$="/leave"]`)
	stops := browser.Eval[[]string](p.tab, `[...document.querySelectorAll('.caut.stop b')].map((b) => b.textContent)`)
	if len(stops) > 0 {
		p.t.Errorf("before you leave: %q", stops)
	}
}

var pinIDs = regexp.MustCompile(`"(p)\d+(\.\d+)?"`)

// figures is the ceiling as far as facts, not numbers of pins, make it.
func figures(t *testing.T, r survey.Record) any {
	t.Helper()
	c := survey.Compute(r)
	if c.Plan == nil {
		t.Fatalf("there is no ceiling: %v", c.Refusal)
	}
	text, err := json.Marshal(struct{ Zones, Cutting, Takeoff any }{Zones: c.Plan.Zones, Cutting: c.Plan.Cutting, Takeoff: c.Plan.Takeoff})
	if err != nil {
		t.Fatal(err)
	}
	var out any
	if err := json.Unmarshal(pinIDs.ReplaceAll(text, []byte(`"pin"`)), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// regionFacts are the facts that come from the company's region, and what is only assumed on site.
var regionFacts = []string{"joist.wood", "fall.direction", "fall.per_foot", "rain.inches_per_hour", "rain.roof_ft2", "temperature.install", "temperature.min", "temperature.max", "system"}

// typedDemo is the demo with its values in sixteenths, as they are typed on the pad.
func (p *tapper) typedDemo() survey.Record {
	p.t.Helper()
	r := p.record(p.demo().ID)
	typed := map[string]string{"0.06": "1/16", "1.66": "1 5/8", "0.45": "7/16", "1.9": "1 7/8", "3.6": "3 5/8", "3.4": "3 3/8", "129.7": "129 5/8", "86.3": "86 1/4", "6.4": "6 3/8", "123.2": "123", "199.2": "199"}
	for i := range r.Pins {
		for key, text := range r.Pins[i].Values {
			if as, ok := typed[text]; ok {
				r.Pins[i].Values[key] = as
			}
		}
	}
	return r
}

// same compares the ceiling with that of the demo, its region's values left to the assumptions and its places as well known as they were typed here.
func (p *tapper) same() {
	p.t.Helper()
	r, mine := p.typedDemo(), p.record(p.id)
	for _, pin := range r.Pins {
		if pin.Kind != survey.PinReference {
			delete(pin.Values, "pm")
		}
	}
	for _, key := range regionFacts {
		delete(r.Facts, key)
		delete(mine.Facts, key)
	}
	if diff := cmp.Diff(figures(p.t, r), figures(p.t, mine)); diff != "" {
		p.t.Errorf("the ceiling is not the demo's (-demo +walked):\n%s", diff)
	}
}
