package web

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// On a phone: button, tap, kind; the kind stays for the next tap; a drag moves a pin by exactly the finger's way; a reload shows the same.
func TestBrowserPlaceAndMoveByTouch(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	d.arm(d.tab, "In the way")
	first := d.tap(d.tab, 0.31, 0.22)
	d.kind(d.tab, "hanger")
	d.near(d.tab, "first tap", d.settled(d.tab, 1)[0].X, d.settled(d.tab, 1)[0].Y, first)
	second := d.tap(d.tab, 0.7123, 0.5)
	pins := d.settled(d.tab, 2)
	d.near(d.tab, "second tap", pins[1].X, pins[1].Y, second)
	if pins[1].Kind != survey.PinHanger || pins[1].Number != 2 {
		t.Errorf("the second is %s %d", pins[1].Kind, pins[1].Number)
	}

	d.tab.Press(`[data-group-button="In the way"]`)
	d.tab.Press(`[data-group-button="In the way"]`) // asks for the kind, then stops placing
	d.shown(d.tab)
	head := d.tab.Box(`a.pin[data-pin="` + string(pins[1].ID) + `"] .hit`)
	from := [2]float64{head.X + head.W/2, head.Y + head.H/2}
	d.tab.Drag([][2]float64{from, {from[0] - 10, from[1] + 4}, {from[0] - 60, from[1] + 30}, {from[0] - 83, from[1] + 41}})
	d.tab.Wait(`document.querySelector('.mag').hidden`)
	moved := d.settled(d.tab, 2)[1]
	for moved.Version < 2 {
		moved = d.settled(d.tab, 2)[1]
	}
	d.near(d.tab, "drag", moved.X, moved.Y, [2]float64{second[0] - 83, second[1] + 41})

	before := d.places(d.tab)
	d.tab.Reload()
	d.ready(d.tab)
	d.settled(d.tab, 2)
	if after := d.places(d.tab); after != before {
		t.Errorf("after a reload %s, before %s", after, before)
	}
}

// places are the positions of all marks on the picture.
func (d *desk) places(tab *browser.Tab) string {
	d.t.Helper()
	return browser.Eval[string](tab, `[...document.querySelectorAll('.pins > svg')].map((s) => s.getAttribute('x') + ' ' + s.getAttribute('y')).sort().join('; ')`)
}

// A kind with two ends takes two taps; each end is dragged by itself.
func TestBrowserTwoEnds(t *testing.T) {
	for _, size := range [][2]int64{{phoneWidth, phoneHeight}, {deskWidth, deskHeight}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) {
			d := openDesk(t, size[0], size[1])
			d.arm(d.tab, "Measure")
			a := d.tap(d.tab, 0.2, 0.3)
			d.kind(d.tab, "dimension")
			b := d.tap(d.tab, 0.8, 0.35)
			p := d.settled(d.tab, 1)[0]
			d.near(d.tab, "first end", p.X, p.Y, a)
			d.near(d.tab, "second end", *p.X2, *p.Y2, b)
			d.tab.Press(`[data-group-button="Measure"]`)
			d.tab.Press(`[data-group-button="Measure"]`)
			d.shown(d.tab)
			b = d.at(d.tab, *p.X2, *p.Y2)
			d.tab.Drag([][2]float64{b, {b[0] - 12, b[1] + 12}, {b[0] - 40, b[1] + 50}})
			for i := 0; p.Version < 2 && i < 200; i++ {
				p = d.settled(d.tab, 1)[0]
			}
			d.near(d.tab, "dragged end", *p.X2, *p.Y2, [2]float64{b[0] - 40, b[1] + 50})
			a = d.at(d.tab, 0.2, 0.3)
			d.near(d.tab, "the other end stays", p.X, p.Y, a)
		})
	}
}

// Two fingers zoom about themselves and pan; nothing is drawn again and no pin moves. A second finger takes back what the first began.
func TestBrowserPinch(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	p := d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5})
	d.open(d.tab)
	d.settled(d.tab, 1)
	browser.Eval[bool](d.tab, `(window.drawn = [], new MutationObserver((list) => { window.drawn.push(...list.map((m) => m.target.tagName + ' ' + m.attributeName)); }).observe(document.querySelector('.pins'), {subtree: true, childList: true, attributes: true}), true)`)

	width := d.tab.Box(".view img").W
	middle := d.at(d.tab, 0.5, 0.4)
	fingers := func(kind input.DispatchTouchEventType, half float64) {
		d.tab.Touch(kind, [][2]float64{{middle[0] - half, middle[1]}, {middle[0] + half, middle[1]}})
	}
	d.tab.Touch(input.DispatchTouchEventTypeTouchStart, [][2]float64{{middle[0] - 40, middle[1]}})
	fingers(input.DispatchTouchEventTypeTouchStart, 40)
	for _, half := range []float64{60, 90, 120} {
		fingers(input.DispatchTouchEventTypeTouchMove, half)
	}
	d.tab.Touch(input.DispatchTouchEventTypeTouchEnd, nil)
	d.tab.Wait(fmt.Sprintf(`Math.abs(document.querySelector('.view img').getBoundingClientRect().width - %f) < 0.5`, 3*width))
	if now := d.at(d.tab, 0.5, 0.4); math.Hypot(now[0]-middle[0], now[1]-middle[1]) > 0.5 {
		t.Errorf("the point between the fingers went from %v to %v", middle, now)
	}
	head := d.tab.Box(`a.pin use`)
	if drawn := browser.Eval[string](d.tab, `window.drawn.filter((what) => what !== 'svg style').join(', ')`); drawn != "" {
		t.Errorf("zooming changed among the pins: %s", drawn)
	}
	if want := d.at(d.tab, 0.5, 0.5); math.Abs(head.X+head.W/2-want[0]) > 60 {
		t.Errorf("the pin's head lies at %v, its point at %v", head, want)
	}

	// The first finger drags the pin away, then a second one comes: the pin is back where it was.
	hit := d.tab.Box(`a.pin .hit`)
	from := [2]float64{hit.X + hit.W/2, hit.Y + hit.H/2}
	d.tab.Touch(input.DispatchTouchEventTypeTouchStart, [][2]float64{from})
	for _, dx := range []float64{10, 30, 50} {
		d.tab.Touch(input.DispatchTouchEventTypeTouchMove, [][2]float64{{from[0] - dx, from[1]}})
	}
	if d.places(d.tab) == "50% 50%" {
		t.Error("the drag did not show")
	}
	d.tab.Touch(input.DispatchTouchEventTypeTouchStart, [][2]float64{{from[0] - 50, from[1]}, {from[0] - 100, from[1] + 80}})
	d.tab.Touch(input.DispatchTouchEventTypeTouchEnd, nil)
	d.tab.Wait(`document.querySelector('.mag').hidden`)
	if got := d.places(d.tab); got != "50% 50%" {
		t.Errorf("after the second finger the pin is at %s", got)
	}
	if now := d.settled(d.tab, 1)[0]; now.Version != p.Version {
		t.Errorf("the pin was saved again, version %d", now.Version)
	}
}

// On a desk: place by mouse, type into the form, save, undo, redo, delete, and bring back the same number.
func TestBrowserEditUndoRedo(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	d.arm(d.tab, "In the way")
	want := d.tap(d.tab, 0.4, 0.4)
	d.kind(d.tab, "hanger")
	p := d.settled(d.tab, 1)[0]
	d.near(d.tab, "click", p.X, p.Y, want)
	d.tab.Key(kb.Escape) // stops placing
	d.tab.Wait(`document.querySelector('[data-group-button="In the way"]').getAttribute('aria-pressed') === 'false'`)

	d.tab.Type(`#pin [name="v.drop"]`, "7/16")
	d.tab.Wait(`document.querySelector('#pin [name="v.drop"]').closest('.field').querySelector('.say').textContent === 'read as 7/16″'`)
	d.tab.Press(`#pin .btn.main`)
	d.version(2)
	d.tab.Wait(`document.querySelector('#p1 [data-words]')?.textContent.startsWith('7/16″ below')`)
	d.tab.Type(`#pin [name="v.drop"]`, "a bit")
	d.tab.Allow("422")
	d.tab.Press(`#pin .btn.main`)
	d.tab.Wait(`document.querySelector('#pin [name="v.drop"]').getAttribute('aria-invalid') === 'true' && document.querySelector('#pin .bad .say').textContent.includes('cannot be read')`)
	if now := d.record(d.photo.Survey).Pins[0]; now.Values["drop"] != "7/16" {
		t.Errorf("stored %q", now.Values["drop"])
	}
	d.tab.Press(`[data-tool="undo"]`) // the text that could not be read
	d.tab.Wait(`document.querySelector('#pin [name="v.drop"]').value === '7/16'`)
	d.tab.Press(`[data-tool="undo"]`) // 7/16
	d.version(3)
	if now := d.record(d.photo.Survey).Pins[0]; now.Values["drop"] != "" {
		t.Errorf("undo left %q", now.Values["drop"])
	}
	d.tab.Press(`[data-tool="redo"]`)
	d.version(4)

	d.tab.Press(`#pin [data-delete]`)
	d.settled(d.tab, 0)
	d.tab.Press(`[data-tool="undo"]`)
	back := d.settled(d.tab, 1)[0]
	if back.Number != 1 || back.Values["drop"] != "7/16" || back.X != p.X {
		t.Errorf("undo brought back %+v", back)
	}
}

// version waits until the first pin is stored with this version.
func (d *desk) version(n int) {
	d.t.Helper()
	d.tab.Wait(fmt.Sprintf(`fetch('/surveys/%s/photos/%s').then((r) => r.text()).then((t) => new DOMParser().parseFromString(t, 'text/html').querySelector('[data-pins]').dataset.pins).then((p) => JSON.parse(p)[0].version === %d)`, d.photo.Survey, d.photo.ID, n))
}

// With the keyboard alone: a button, the cross hair, the kind, then nudges by one pixel of the photo, Shift by ten.
func TestBrowserKeyboardOnly(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	focus := func(selector string) {
		browser.Eval[bool](d.tab, `(document.querySelector('`+selector+`').focus(), true)`)
	}
	focus(`[data-group-button="Concern"]`)
	d.tab.Key(kb.Enter)
	focus(`.stage`)
	d.tab.Key(kb.ArrowRight) // the cross hair appears in the middle
	d.tab.Key(kb.ArrowRight)
	d.tab.Key(kb.Enter)
	d.tab.Wait(`document.activeElement.dataset.kind === 'concern'`)
	d.tab.Key(kb.Enter)
	p := d.settled(d.tab, 1)[0]
	middle := d.tab.Box(".stage")
	d.near(d.tab, "cross hair", p.X, p.Y, [2]float64{middle.X + middle.W/2 + 8, middle.Y + middle.H/2})

	d.tab.Key(kb.Escape)
	focus(`a.pin`)
	d.tab.Key(kb.ArrowLeft)
	d.tab.Key(kb.ArrowDown, chromedp.ModifierShift)
	d.tab.Wait(`document.querySelector('a.pin') && true`)
	var now survey.Pin
	for range 100 {
		if now = d.settled(d.tab, 1)[0]; now.Version > 1 {
			break
		}
	}
	if dx, dy := (now.X-p.X)*1200, (now.Y-p.Y)*1600; math.Abs(dx+1) > 1e-6 || math.Abs(dy-10) > 1e-6 {
		t.Errorf("moved by %.6f, %.6f pixels of the photo, want -1, 10", dx, dy)
	}
	d.tab.Key("z", chromedp.ModifierCtrl)
	for range 100 {
		if now = d.settled(d.tab, 1)[0]; now.Version > 2 {
			break
		}
	}
	if now.X != p.X || now.Y != p.Y {
		t.Errorf("undo left the pin at %v, %v, not %v, %v", now.X, now.Y, p.X, p.Y)
	}
	focus(`a.pin`)
	d.tab.Key(kb.Delete)
	d.settled(d.tab, 0)
}

// The script's heads are those of the report: the vectors of testdata/leaders.json in a real browser.
func TestBrowserLeaders(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	vectors, err := os.ReadFile(filepath.Join("..", "..", "testdata", "leaders.json"))
	if err != nil {
		t.Fatal(err)
	}
	wrong := browser.Eval[string](d.tab, fmt.Sprintf(`import('%s').then(({placeHeads}) => %s.map((c) => {
		const got = JSON.stringify(placeHeads(c.w, c.h, c.pins).map((h) => [h.dx, h.dy])), want = JSON.stringify(c.heads);
		return got === want ? '' : c.name + ': ' + got + ' want ' + want + '\n';
	}).join(''))`, d.server.pages.Address("photo/leaders.js"), vectors))
	if wrong != "" {
		t.Error(wrong)
	}
}

// Sixty-three pins: a zoom makes none of them anew, whatever it costs on the machine at hand; what a frame took is logged and not judged.
func TestBrowserManyPins(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	for i := range 63 {
		kind := survey.PinKinds()[2+i%10]
		pin := survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: kind.Kind, X: 0.05 + 0.1*float64(i%9), Y: 0.05 + 0.13*float64(i/9)}
		if kind.Ends == 2 {
			x, y := pin.X+0.05, pin.Y
			pin.X2, pin.Y2 = &x, &y
		}
		d.pin(pin)
	}
	d.open(d.tab)
	d.settled(d.tab, 63)
	before := d.tab.Box(".view img").W
	browser.Eval[bool](d.tab, `(window.made = 0, new MutationObserver((list) => { for (const m of list) window.made += m.addedNodes.length; }).observe(document.querySelector('.pins'), {subtree: true, childList: true}), true)`)
	ms := browser.Eval[float64](d.tab, `(async () => {
		const wait = () => new Promise((r) => requestAnimationFrame(() => setTimeout(r)));
		const stage = document.querySelector('.stage'), times = [];
		for (let i = 0; i < 20; i++) {
			const start = performance.now();
			stage.dispatchEvent(new WheelEvent('wheel', {deltaY: -40, clientX: 100, clientY: 200, cancelable: true}));
			await wait();
			times.push(performance.now() - start);
		}
		return times.sort((a, b) => a - b)[10];
	})()`)
	t.Logf("a frame of zooming with 63 pins: median %.1f ms", ms)
	if after := d.tab.Box(".view img").W; after <= before {
		t.Errorf("the picture was %.0f px wide and is %.0f: nothing was zoomed", before, after)
	}
	if made := browser.Eval[int](d.tab, `window.made`); made != 0 {
		t.Errorf("zooming made %d parts of pins anew", made)
	}
	redraw := browser.Eval[float64](d.tab, `(() => {
		const pin = document.querySelector('a.pin'), times = [], x = pin.parentNode.getAttribute('x');
		for (let i = 0; i < 21; i++) {
			const start = performance.now();
			pin.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true, cancelable: true}));
			pin.getBoundingClientRect();
			times.push(performance.now() - start);
		}
		return pin.parentNode.getAttribute('x') === x ? -1 : times.sort((a, b) => a - b)[10];
	})()`)
	if redraw < 0 {
		t.Error("the arrow key moved no pin, so nothing was drawn")
	}
	t.Logf("drawing all of 63 pins again with their layout: median %.1f ms", redraw)
}

// A tap is exact at any zoom: with the photo four times as large a pixel of the screen is a quarter of one before.
func TestBrowserExactWhenZoomed(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	d.tab.Press(`[data-tool="in"]`)
	d.tab.Press(`[data-tool="in"]`)
	d.tab.Press(`[data-tool="in"]`)
	d.shown(d.tab)
	width := d.tab.Box(".stage").W
	d.tab.Wait(fmt.Sprintf(`document.querySelector('.view img').getBoundingClientRect().width > %f`, width))
	d.arm(d.tab, "Wall")
	stage := d.tab.Box(".stage")
	want := [2]float64{stage.X + stage.W*0.3 + 0.25, stage.Y + stage.H*0.7 + 0.5}
	d.tab.PressAt(want[0], want[1])
	d.kind(d.tab, "water")
	p := d.settled(d.tab, 1)[0]
	d.near(d.tab, "zoomed tap", p.X, p.Y, want)

	// With nothing to place, the mouse pans, and never past the photo's edge.
	d.tab.Key(kb.Escape)
	d.tab.Key(kb.Escape)
	d.tab.Wait(`document.querySelector('[data-group-button="Wall"]').getAttribute('aria-pressed') === 'false'`)
	d.tab.Drag([][2]float64{{stage.X + 300, stage.Y + 300}, {stage.X + 320, stage.Y + 320}, {stage.X + 3000, stage.Y + 3000}})
	d.tab.Wait(fmt.Sprintf(`Math.abs(document.querySelector('.view img').getBoundingClientRect().left - %f) < 0.5`, stage.X))
	if now := d.settled(d.tab, 1)[0]; now.Version != 1 {
		t.Errorf("panning saved the pin again, version %d", now.Version)
	}
	d.tab.Press(`[data-tool="whole"]`)
	d.tab.Wait(fmt.Sprintf(`document.querySelector('.view img').getBoundingClientRect().width < %f`, width))
}

// The four arrow buttons move by one pixel of the photo at full size, for both ends or one.
func TestBrowserArrowButtons(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	x2, y2 := 0.75, 0.5
	p := d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinDimension, X: 0.25, Y: 0.5, X2: &x2, Y2: &y2})
	d.open(d.tab)
	d.tab.Press(`#p1 a`)
	d.tab.Wait(`document.querySelector('#pin [data-nudge="1 0"]')`)
	if b := d.tab.Box(`#pin [data-nudge="1 0"]`); b.W < 44 || b.H < 44 {
		t.Errorf("the arrow button measures %v by %v px", b.W, b.H)
	}
	d.tab.Press(`#pin [data-nudge="1 0"]`)
	d.tab.Press(`#pin .ends label:nth-child(3)`)
	d.tab.Press(`#pin [data-nudge="0 -1"]`)
	var now survey.Pin
	for range 200 {
		if now = d.settled(d.tab, 1)[0]; now.Version > p.Version {
			break
		}
	}
	got := [4]float64{now.X * 1200, now.Y * 1600, *now.X2 * 1200, *now.Y2 * 1600}
	if want := [4]float64{301, 800, 901, 799}; math.Abs(got[0]-want[0])+math.Abs(got[1]-want[1])+math.Abs(got[2]-want[2])+math.Abs(got[3]-want[3]) > 1e-6 {
		t.Errorf("the ends lie at %v, want %v", got, want)
	}
}
