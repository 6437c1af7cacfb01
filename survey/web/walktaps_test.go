package web

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"undercroft/calc/length"
	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// mostTaps is what the first survey of the demo's deck may take: our own goal.
const mostTaps = 350

// shutter is what taking a photo counts: the slot, the shutter, "use".
const shutter = 3

// tapper surveys by touch and counts: every tap and every key is one, a photo three. Only what a finger does is counted, and nothing is done by
// another way than a finger's, but for choosing in the phone's own list of a select (two: the list and the answer) and the camera.
type tapper struct {
	*walk
	id    survey.SurveyID
	names []string
	taps  []int
	pins  int
	photo *desk
	armed string    // the button and kind that the next tap places
	prior [2]string // what the pin before must have: its form is saved by the next pin
	last  bool      // the next length is the last of its form: what is tapped then ends it
}

func (p *tapper) step(name string) {
	p.names, p.taps = append(p.names, name), append(p.taps, 0)
}

func (p *tapper) count(n int) { p.taps[len(p.taps)-1] += n }

func (p *tapper) all() (sum int) {
	for _, n := range p.taps {
		sum += n
	}
	return sum
}

// tap presses one thing.
func (p *tapper) tap(selector string) {
	p.t.Helper()
	p.tab.Wait(fmt.Sprintf(`document.querySelector(%q)?.offsetParent != null`, selector))
	p.count(1)
	p.press(selector)
}

// press taps a thing where it can be seen: a swipe brings it above the pad when that is open. Swipes are not counted.
func (p *tapper) press(selector string) {
	p.t.Helper()
	if !browser.Eval[bool](p.tab, `document.querySelector('.lengthpad')?.hidden === false`) {
		p.tab.Press(selector)
		return
	}
	browser.Eval[bool](p.tab, fmt.Sprintf(`(scrollBy({top: document.querySelector(%q).getBoundingClientRect().bottom + 12 - document.querySelector('.lengthpad').getBoundingClientRect().top, behavior: 'instant'}), true)`, selector))
	b := p.tab.Box(selector)
	p.tab.PressAt(b.X+b.W/2, b.Y+b.H/2)
	if !browser.Eval[bool](p.tab, `document.activeElement?.matches('[data-pad] input') === true`) {
		p.tab.Wait(`document.querySelector('.lengthpad')?.hidden !== false`)
	}
}

// follow presses something that leads to another page.
func (p *tapper) follow(selector string) {
	p.t.Helper()
	p.count(1)
	browser.Eval[bool](p.tab, `(window.stillHere = true)`)
	p.press(selector)
	p.tab.Wait(`window.stillHere === undefined && document.readyState === 'complete'`)
}

// answer taps a ready answer or one of a row, and again where the page moved under the finger; that counts, too.
func (p *tapper) answer(name, value string) {
	p.t.Helper()
	for range 3 {
		p.tap(fmt.Sprintf(`form:not([hidden]) label:has(> input[name=%q][value=%q])`, name, value))
		if browser.Eval[bool](p.tab, fmt.Sprintf(`document.querySelector('input[name=%q][value=%q]').checked`, name, value)) {
			return
		}
	}
	p.t.Fatalf("%s is not answered with %s", name, value)
}

// pick chooses in a select: the list, then the answer.
func (p *tapper) pick(name, value string) {
	p.t.Helper()
	p.count(2)
	p.choose(name, value)
}

// length types a length with the pad's keys, "2 8 ft 4". The field is tapped unless Next has come to it already; Next ends it, or what is
// tapped after the last one.
func (p *tapper) length(name, keys string) {
	p.t.Helper()
	field := fmt.Sprintf(`[name=%q]`, name)
	if !browser.Eval[bool](p.tab, fmt.Sprintf(`document.activeElement === document.querySelector(%q) && document.querySelector('.lengthpad')?.hidden === false`, field)) {
		p.tap(field)
		p.tab.Wait(`document.querySelector('.lengthpad')?.hidden === false`)
	}
	pressed := strings.Fields(keys)
	if same := browser.Eval[string](p.tab, `((b) => b.hidden ? '' : b.textContent)(document.querySelector('.lengthpad [data-do="takeSame"]'))`); same != "" {
		if inches, err := length.Parse(padText(pressed)); err == nil && same == "Same "+inches.Typeset() {
			p.count(1)
			p.tab.Press(`.lengthpad [data-do="takeSame"]`)
			pressed = nil
		}
	}
	if !p.last {
		pressed = append(pressed, "next")
	}
	p.last = false
	for _, key := range pressed {
		p.count(1)
		p.tab.Press(`.lengthpad [data-key="` + key + `"]`)
	}
}

// padText is what keys of the pad say, for the few shapes that are typed here.
func padText(keys []string) string {
	text := ""
	for i, key := range keys {
		switch {
		case key == "ft":
			text += "' "
		case key[0] == '/':
			text += key
		case i+1 < len(keys) && keys[i+1][0] == '/' && i > 0:
			text += " " + key
		default:
			text += key
		}
	}
	return text
}

// lastLength types a length that the form's button ends.
func (p *tapper) lastLength(name, keys string) {
	p.t.Helper()
	p.last = true
	p.length(name, keys)
}

// unfold opens the fold that a field of the pin's form lies in, when it is closed.
func (p *tapper) unfold(name string) {
	p.t.Helper()
	if browser.Eval[bool](p.tab, fmt.Sprintf(`document.querySelector('#pin [name=%q]').closest('details')?.open === false`, name)) {
		p.tap(fmt.Sprintf(`#pin details:has([name=%q]) > summary`, name))
	}
}

// digits types on the phone's keyboard.
func (p *tapper) digits(name, text string) {
	p.t.Helper()
	p.count(1 + len(text))
	p.tab.Type(fmt.Sprintf(`[name=%q]`, name), text)
}

// shoot takes a photo into a slot and waits until it has arrived.
func (p *tapper) shoot(slot, file string) {
	p.t.Helper()
	path, err := filepath.Abs(filepath.Join("../../cmd/undercroft/demo/photos", file))
	if err != nil {
		p.t.Fatal(err)
	}
	p.count(shutter)
	p.tab.Wait(`document.querySelector('[data-widget="walk"]')?.dataset.ready !== undefined`)
	p.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(fmt.Sprintf(`[data-slot="slot.%s"] input[type="file"]`, slot)), []string{path}))
	p.tab.Wait(fmt.Sprintf(`document.querySelector('[data-slot="slot.%s"] [data-state] .fine') !== null`, slot))
}

// reuse lets a photo that is there fill a question's slot, which ends the question.
func (p *tapper) reuse(step string, number int) {
	p.t.Helper()
	p.follow(fmt.Sprintf(`#q-%s .offers button[value=%q]`, step, p.record(p.id).Photos[number-1].ID))
}

// on opens the photo to pin on.
func (p *tapper) on(selector string, number int) {
	p.t.Helper()
	p.follow(selector)
	p.photo = &desk{site: p.site, tab: p.tab, photo: p.record(p.id).Photos[number-1]}
	p.photo.ready(p.tab)
	p.armed = ""
}

// place puts a pin on the open photo: the button, the tap, the kind; for another of the same kind the tap alone. A kind with two ends has two taps.
func (p *tapper) place(group, kind string, ends ...[2]float64) {
	p.t.Helper()
	p.photo.shown(p.tab)
	if p.armed != group+kind {
		if p.armed != "" && strings.HasPrefix(p.armed, group) {
			p.count(1)
			p.tab.Press(fmt.Sprintf(`[data-group-button=%q]`, group)) // asks for another kind
			p.tap(fmt.Sprintf(`[data-kind=%q]`, kind))
		} else {
			p.count(1)
			p.photo.arm(p.tab, group)
			p.count(1)
			p.photo.tap(p.tab, ends[0][0], ends[0][1])
			p.tap(fmt.Sprintf(`[data-kind=%q]`, kind))
			ends = ends[1:]
		}
		p.photo.shown(p.tab)
	}
	for _, end := range ends {
		p.count(1)
		p.photo.tap(p.tab, end[0], end[1])
	}
	p.armed = group + kind
	p.pins++
	if p.prior[0] != "" {
		p.kept(p.pins-1, p.prior[0], p.prior[1])
		p.prior[0] = ""
	}
	p.tab.Wait(fmt.Sprintf(`document.querySelector('#pin input[name="kind"]')?.value === %q`, kind))
}

// keep saves the open pin's form and waits until it has arrived with a value.
func (p *tapper) keep(key, want string) {
	p.t.Helper()
	p.tap(`#pin button.main`)
	p.tab.Wait(`document.querySelector('.lengthpad')?.hidden !== false`)
	p.kept(p.pins, key, want)
}

// leave leaves the open pin's form to be saved by the next pin of its kind.
func (p *tapper) leave(key, want string) { p.prior = [2]string{key, want} }

func (p *tapper) kept(number int, key, want string) {
	p.t.Helper()
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		if pins := p.record(p.id).Pins; len(pins) >= number && pins[number-1].Values[key] == want {
			return
		}
	}
	p.t.Fatalf("pin %d is not kept with %s %q: %+v", number, key, want, p.record(p.id).Pins)
}

// back goes to the walk list.
func (p *tapper) back() {
	p.t.Helper()
	p.follow(`.bar a[href$="/walk"]`)
}

// next ends a question.
func (p *tapper) next(step string) {
	p.t.Helper()
	p.follow(`#q-` + step + ` .foot .main`)
}

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
	p.pick("v.state", "existing")
	p.pick("v.at", "wall")
	p.lastLength("v.drop", "1 3")
	p.leave("drop", "13")
	p.place("In the way", "fixture", [2]float64{0.11, 0.7})
	p.pick("v.sort", "leader")
	p.pick("v.state", "existing")
	p.pick("v.at", "wall")
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
	p.pick("v.set", "dropped")
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
	p.pick("v.state", "existing")
	p.pick("v.at", "ceiling")
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

// same compares the ceiling with that of the demo, its values in sixteenths as they were typed here and its region's values left to the assumptions.
func (p *tapper) same() {
	p.t.Helper()
	r := p.record(p.demo().ID)
	typed := map[string]string{"0.06": "1/16", "1.66": "1 5/8", "0.45": "7/16", "1.9": "1 7/8", "3.6": "3 5/8", "3.4": "3 3/8", "129.7": "129 5/8", "86.3": "86 1/4", "6.4": "6 3/8", "123.2": "123", "199.2": "199"}
	for i := range r.Pins {
		for key, text := range r.Pins[i].Values {
			if as, ok := typed[text]; ok {
				r.Pins[i].Values[key] = as
			}
		}
		if r.Pins[i].Kind != survey.PinReference {
			delete(r.Pins[i].Values, "pm")
		}
	}
	mine := p.record(p.id)
	for _, key := range []string{"joist.wood", "fall.direction", "fall.per_foot", "rain.inches_per_hour", "rain.roof_ft2", "temperature.install", "temperature.min", "temperature.max", "system"} {
		delete(r.Facts, key)
		delete(mine.Facts, key)
	}
	if diff := cmp.Diff(figures(p.t, r), figures(p.t, mine)); diff != "" {
		p.t.Errorf("the ceiling is not the demo's (-demo +walked):\n%s", diff)
	}
}
