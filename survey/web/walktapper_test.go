package web

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/chromedp/chromedp"

	"undercroft/calc/length"
	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// shutter is what taking a photo counts: the slot, the shutter, "use".
const shutter = 3

// tapper surveys by touch and counts: every tap and every key is one, a photo three. Only what a finger does is counted, and nothing is done by
// another way than a finger's, but for choosing in the phone's own list of a select (two: the list and the answer) and the camera.
type tapper struct {
	*walk
	id    survey.SurveyID
	names []string
	taps  []int
	now   int // the step that is counted
	pins  int
	photo *desk
	armed string    // the button and kind that the next tap places
	prior [2]string // what the pin before must have: its form is saved by the next pin
	last  bool      // the next length is the last of its form: what is tapped then ends it
}

// step begins a step, or goes on with one that was begun before.
func (p *tapper) step(name string) {
	if p.now = slices.Index(p.names, name); p.now < 0 {
		p.now, p.names, p.taps = len(p.names), append(p.names, name), append(p.taps, 0)
	}
}

func (p *tapper) count(n int) { p.taps[p.now] += n }

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
	p.tab.Wait(fmt.Sprintf(`document.querySelector(%q).closest('.field').querySelector('.say').textContent.startsWith('read as')`, fmt.Sprintf(`[name=%q]`, name))) // what is tapped next stands still
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
		if browser.Eval[bool](p.tab, `document.querySelector('.lengthpad')?.hidden === false`) { // the pad stands where the buttons are
			p.tap(`.lengthpad [data-key="next"]`)
			p.tab.Wait(`document.querySelector('.lengthpad').hidden`)
		}
		if p.armed != "" && strings.HasPrefix(p.armed, group) {
			p.count(1)
			p.tab.Press(fmt.Sprintf(`[data-group-button=%q]`, group)) // asks for another kind
			p.tap(fmt.Sprintf(`[data-kind=%q]`, kind))
		} else {
			p.count(1)
			p.photo.arm(p.tab, group)
			p.tab.Wait(fmt.Sprintf(`document.querySelector('[data-group-button=%q]').getAttribute('aria-pressed') === 'true'`, group))
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
	p.tab.Wait(`!document.querySelector('#pin form').dataset.opens || document.querySelector('.lengthpad')?.hidden === false`)
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
