package web

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// desk is the editor in a browser: a photo of 1200 by 1600 pixels, as upright as a phone takes it, on a server of its own.
type desk struct {
	*site
	url   string
	photo survey.Photo
	tab   *browser.Tab
}

const (
	phoneWidth, phoneHeight = 360, 740
	deskWidth, deskHeight   = 1280, 900
)

// openDesk opens the photo's page in a browser of the given width, a phone below 700 px.
func openDesk(t *testing.T, width, height int64) *desk {
	t.Helper()
	b := browser.Open(t)
	d := &desk{site: newSite(t)}
	server := httptest.NewServer(d.handler)
	t.Cleanup(server.Close)
	v := d.survey("Larkmoor house")
	id := survey.NewID()
	d.put("/api/surveys/"+string(v.ID)+"/photos/"+id, bytes.NewReader(portrait(t))).wants(http.StatusCreated)
	d.photo, _ = d.record(v.ID).Photo(survey.PhotoID(id))
	d.url = server.URL + photoPath(d.photo)
	d.tab = b.Tab(width, height, width < 700)
	d.open(d.tab)
	return d
}

// open goes to the photo and waits until the script has started.
func (d *desk) open(tab *browser.Tab) {
	d.t.Helper()
	tab.Go(d.url)
	d.ready(tab)
}

func (d *desk) ready(tab *browser.Tab) {
	d.t.Helper()
	tab.Wait(`document.querySelector('[data-widget="photo"]').dataset.ready !== undefined && document.querySelector('.view img').complete`)
}

// portrait is a JPEG of 1200 by 1600 pixels with a grid of lines.
func portrait(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 1200, 1600))
	for y := range 1600 {
		for x := range 1200 {
			c := color.RGBA{uint8(90 + x/20), uint8(80 + y/30), 60, 255}
			if x%100 == 0 || y%100 == 0 {
				c = color.RGBA{230, 230, 220, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// at is where a fraction of the picture lies in the window now, on screen, whatever the zoom.
func (d *desk) at(tab *browser.Tab, x, y float64) [2]float64 {
	d.t.Helper()
	b := tab.Box(".view img")
	return [2]float64{b.X + x*b.W, b.Y + y*b.H}
}

// tap presses at a fraction of the picture.
func (d *desk) tap(tab *browser.Tab, x, y float64) [2]float64 {
	d.t.Helper()
	p := d.at(tab, x, y)
	tab.PressAt(p[0], p[1])
	return p
}

// shown scrolls the stage to the top of the window.
func (d *desk) shown(tab *browser.Tab) {
	d.t.Helper()
	browser.Eval[bool](tab, `(scrollTo({top: 0, behavior: 'instant'}), true)`)
}

// settled waits until everything has arrived, and gives the pins as they are stored.
func (d *desk) settled(tab *browser.Tab, n int) []survey.Pin {
	d.t.Helper()
	tab.Wait(fmt.Sprintf(`document.querySelectorAll('a.pin').length === %d && document.querySelector('[data-widget="photo"]').dataset.unsent === '0'`, n))
	pins := d.record(d.photo.Survey).Pins
	if len(pins) != n {
		d.t.Fatalf("got %d pins stored, want %d", len(pins), n)
	}
	return pins
}

// near compares a stored fraction with a place in the window: within half a px of the screen.
func (d *desk) near(tab *browser.Tab, what string, x, y float64, want [2]float64) {
	d.t.Helper()
	got := d.at(tab, x, y)
	if dist := math.Hypot(got[0]-want[0], got[1]-want[1]); dist > 0.5 {
		d.t.Errorf("%s: stored %.6f, %.6f lies %.2f px off", what, x, y, dist)
	}
}

// arm presses one of the four buttons and, when a kind is given, chooses it after the tap.
func (d *desk) arm(tab *browser.Tab, group string) {
	d.t.Helper()
	tab.Press(fmt.Sprintf(`[data-group-button="%s"]`, group))
	d.shown(tab)
}

func (d *desk) kind(tab *browser.Tab, kind string) {
	d.t.Helper()
	tab.Wait(fmt.Sprintf(`document.querySelector('[data-kind="%s"]').offsetParent !== null`, kind))
	tab.Press(fmt.Sprintf(`[data-kind="%s"]`, kind))
	d.shown(tab)
}

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

// Two people at the same pin: the second sees both versions and chooses; nothing is overwritten before that.
func TestBrowserTwoEditors(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5, Values: map[string]string{"drop": "7/16"}})
	for _, choice := range []struct {
		button      int
		typed, drop string
	}{{1, "1", "1"}, {2, "3", "2"}} {
		d.open(d.tab)
		d.tab.Wait(`document.querySelector('#p1')`)
		d.tab.Press(`#p1 a`)
		d.tab.Wait(`document.querySelector('#pin [name="v.drop"]')`)
		p := d.record(d.photo.Survey).Pins[0]
		p.Values["drop"] = "2"
		d.putPin(p, "").wants(http.StatusOK)
		d.tab.Allow("409")
		d.tab.Type(`#pin [name="v.drop"]`, choice.typed)
		d.tab.Press(`#pin .btn.main`)
		d.tab.Wait(`document.querySelector('.conflict .versions')`)
		cells := browser.Eval[string](d.tab, `[...document.querySelectorAll('.versions tbody td')].map((c) => c.textContent).join('|')`)
		if cells != choice.typed+"|2" {
			t.Errorf("side by side: %q", cells)
		}
		if now := d.record(d.photo.Survey).Pins[0]; now.Values["drop"] != "2" {
			t.Errorf("overwritten with %q before the choice", now.Values["drop"])
		}
		d.tab.Press(fmt.Sprintf(`.conflict .btn:nth-child(%d)`, choice.button))
		d.tab.Wait(`!document.querySelector('.conflict')`)
		d.settled(d.tab, 1)
		d.tab.Wait(fmt.Sprintf(`document.querySelector('#pin [name="v.drop"]').value === '%s'`, choice.drop))
		if now := d.record(d.photo.Survey).Pins[0]; now.Values["drop"] != choice.drop {
			t.Errorf("choosing %d stored %q", choice.button, now.Values["drop"])
		}
	}
}

// Without a connection a change stays on the page, says so, and arrives once there is one again.
func TestBrowserLostConnection(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	d.tab.Allow("ERR_INTERNET_DISCONNECTED")
	d.tab.Offline(true)
	d.arm(d.tab, "Concern")
	want := d.tap(d.tab, 0.6, 0.3)
	d.kind(d.tab, "note")
	d.tab.Wait(`!document.querySelector('[data-part="waiting"]').hidden && document.querySelector('[data-row] [data-unsent]').textContent === 'not sent yet' && document.querySelector('.pin.wait')`)
	if n := len(d.record(d.photo.Survey).Pins); n != 0 {
		t.Fatalf("%d pins arrived without a connection", n)
	}
	d.tab.Offline(false)
	p := d.settled(d.tab, 1)[0]
	d.near(d.tab, "sent later", p.X, p.Y, want)
	d.tab.Wait(`document.querySelector('[data-part="waiting"]').hidden`)
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

// Sixty-three pins: drawing them all again stays under a frame's time many times over, with room for slow phones and busy machines.
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
	if ms > 100 {
		t.Errorf("a frame of zooming with 63 pins takes %.1f ms", ms)
	}
}

// Photos chosen on the page are sent two at a time and come into the grid in the order of their numbers; one that is too large is said before a
// byte is sent.
func TestBrowserUpload(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	dir := t.TempDir()
	files := []string{filepath.Join(dir, "ledger & post.jpg"), filepath.Join(dir, "two.jpg"), filepath.Join(dir, "notes.txt"), filepath.Join(dir, "huge.jpg")}
	for i, body := range [][]byte{gradient(t), portrait(t), []byte("no picture"), nil} {
		if err := os.WriteFile(files[i], body, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Truncate(files[3], survey.MaxPhotoBytes+1); err != nil {
		t.Fatal(err)
	}
	d.tab.Go(strings.TrimSuffix(d.url, "/"+string(d.photo.ID)))
	d.tab.Wait(`document.querySelector('[data-widget="photos"]').dataset.ready !== undefined`)
	d.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[type="file"]`), files))
	d.tab.Wait(`document.querySelectorAll('.shots li').length === 4 && document.querySelectorAll('.sending li').length === 1`)
	if got := browser.Eval[string](d.tab, `document.querySelector('.sending li').textContent`); !strings.Contains(got, "huge.jpg") || !strings.Contains(got, "more than the 40 MB") {
		t.Errorf("of the one that is too large it says %q", got)
	}
	photos := d.record(d.photo.Survey).Photos
	var names []string
	for _, p := range photos[1:] {
		names = append(names, p.Name)
	}
	if len(names) != 3 || !strings.Contains(strings.Join(names, "|"), "ledger & post.jpg") {
		t.Errorf("got photos %q", names)
	}
	order := browser.Eval[string](d.tab, `[...document.querySelectorAll('.shots b')].map((b) => b.textContent).join(' ')`)
	if order != "1 2 3 4" {
		t.Errorf("the grid shows %s", order)
	}
}

// Without script the page still works: the marks lead to list and form, and a form places a pin.
func TestBrowserWithoutScript(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	p := d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinPost, X: 0.25, Y: 0.75})
	page := d.get(photoPath(d.photo)).page()
	mark := page.Find(`.pins a.pin`)
	if mark.AttrOr("href", "") != "#p1" || mark.AttrOr("data-pin", "") != string(p.ID) {
		t.Error("the mark leads nowhere")
	}
	if page.Find("#p1 a").AttrOr("href", "") != photoPath(d.photo)+"?pin="+string(p.ID)+"#pin" {
		t.Error("the list leads to no form")
	}

	d.tab.NoScript()
	d.tab.Go(d.url + "?kind=hanger")
	d.tab.Type(`#pin [name="v.drop"]`, "7/16")
	d.tab.Type(`#pin [name="at.x"]`, "12.5")
	d.tab.Type(`#pin [name="at.y"]`, "75")
	d.tab.Press(`#pin .btn.main`)
	var pins []survey.Pin
	for end := time.Now().Add(20 * time.Second); len(pins) < 2 && time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		pins = d.record(d.photo.Survey).Pins
	}
	if len(pins) != 2 || pins[1].X != 0.125 || pins[1].Y != 0.75 || pins[1].Values["drop"] != "7/16" {
		t.Errorf("the form placed %+v", pins)
	}
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

// A drag that the browser takes away, or that Escape ends, leaves the pin where it was.
func TestBrowserDragTakenBack(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5})
	d.open(d.tab)
	drag := func(end string) {
		browser.Eval[bool](d.tab, `(() => {
			const hit = document.querySelector('a.pin .hit').getBoundingClientRect(), x = hit.x + hit.width / 2, y = hit.y + hit.height / 2;
			const send = (type, dx, on) => on.dispatchEvent(new PointerEvent(type, {bubbles: true, pointerId: 7, pointerType: 'touch', clientX: x + dx, clientY: y}));
			send('pointerdown', 0, document.querySelector('a.pin .hit'));
			for (const dx of [12, 40, 80]) send('pointermove', dx, window);
			if (document.querySelector('.pins > svg').getAttribute('x') === '50%') throw new Error('the drag did not show');
			`+end+`;
			return true;
		})()`)
		d.tab.Wait(`document.querySelector('.mag').hidden`)
		if got := d.places(d.tab); got != "50% 50%" {
			t.Errorf("after %s the pin is at %s", end, got)
		}
	}
	drag(`send('pointercancel', 80, window)`)
	drag(`(document.dispatchEvent(new KeyboardEvent('keydown', {key: 'Escape', bubbles: true})), send('pointerup', 80, window))`)
	if now := d.settled(d.tab, 1)[0]; now.Version != 1 {
		t.Errorf("the pin was saved again, version %d", now.Version)
	}
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

// Deleting what somebody else changed meanwhile asks, and so does changing what somebody else deleted.
func TestBrowserConflictsAboutDeleting(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	d.tab.Allow("409")
	d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinNote, X: 0.5, Y: 0.5})
	d.open(d.tab)
	d.tab.Press(`#p1 a`)
	d.tab.Wait(`document.querySelector('#pin [data-delete]')`)
	p := d.record(d.photo.Survey).Pins[0]
	p.Note = "look here"
	d.putPin(p, "").wants(http.StatusOK)
	d.tab.Press(`#pin [data-delete]`)
	d.tab.Wait(`document.querySelector('.conflict b')?.textContent.startsWith('You deleted Note 1, but someone else changed it')`)
	d.tab.Press(`.conflict .btn:nth-child(2)`)
	d.settled(d.tab, 1)
	d.tab.Wait(`document.querySelector('#pin [name="note"]').value === 'look here'`)

	p = d.record(d.photo.Survey).Pins[0]
	if err := d.store.DeletePin(t.Context(), p.Survey, p.ID, p.Version); err != nil {
		t.Fatal(err)
	}
	d.tab.Type(`#pin [name="note"]`, "and here")
	d.tab.Press(`#pin .btn.main`)
	d.tab.Wait(`document.querySelector('.conflict b')?.textContent.startsWith('Note 1 was deleted by someone else')`)
	d.tab.Press(`.conflict .btn:nth-child(1)`)
	if back := d.settled(d.tab, 1)[0]; back.Note != "and here" || back.Number != 1 {
		t.Errorf("keeping mine stored %q as number %d", back.Note, back.Number)
	}
}

// Shown larger than the derivative is, the original takes its place: the same picture, so points stay exact. The photo is stored turned
// (Exif orientation 6) and must come upright both ways.
func TestBrowserOriginalWhenZoomed(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	id := survey.NewID()
	d.put("/api/surveys/"+string(d.photo.Survey)+"/photos/"+id, bytes.NewReader(turned(t))).wants(http.StatusCreated)
	d.url = strings.TrimSuffix(d.url, string(d.photo.ID)) + id
	d.photo, _ = d.record(d.photo.Survey).Photo(survey.PhotoID(id))
	if d.photo.Width != 3000 || d.photo.Height != 4000 {
		t.Fatalf("the upright photo measures %d by %d", d.photo.Width, d.photo.Height)
	}
	d.open(d.tab)
	for range 5 {
		d.tab.Press(`[data-tool="in"]`)
	}
	d.tab.Wait(`document.querySelector('.view img').src.endsWith('/original') && document.querySelector('.view img').complete`)
	d.tab.Wait(`document.querySelector('.view img').naturalWidth === 3000`)
	d.shown(d.tab)
	d.arm(d.tab, "Concern")
	stage := d.tab.Box(".stage")
	want := [2]float64{stage.X + stage.W*0.61, stage.Y + stage.H*0.37}
	d.tab.PressAt(want[0], want[1])
	d.kind(d.tab, "concern")
	p := d.settled(d.tab, 1)[0]
	d.near(d.tab, "tap on the original", p.X, p.Y, want)
}

// turned is a JPEG of 4000 by 3000 pixels that says it must be turned a quarter to the right.
func turned(t *testing.T) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 4000, 3000))
	for i := range img.Pix {
		img.Pix[i] = uint8(i / 50)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	// An APP1 segment with one big-endian IFD of one entry: tag 0x0112, a SHORT, 6 (Exif 2.3, section 4.6.4).
	exif := []byte{0xff, 0xe1, 0, 34, 'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0}
	return append(append([]byte{0xff, 0xd8}, exif...), out.Bytes()[2:]...)
}

// An upload that breaks off says so, can be tried again, and arrives once.
func TestBrowserUploadAgain(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	file := filepath.Join(t.TempDir(), "beam.jpg")
	if err := os.WriteFile(file, gradient(t), 0o600); err != nil {
		t.Fatal(err)
	}
	d.tab.Go(strings.TrimSuffix(d.url, "/"+string(d.photo.ID)))
	d.tab.Wait(`document.querySelector('[data-widget="photos"]').dataset.ready !== undefined`)
	d.tab.Allow("ERR_INTERNET_DISCONNECTED")
	d.tab.Offline(true)
	d.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[type="file"]`), []string{file}))
	d.tab.Wait(`document.querySelector('.sending li small.stop')?.textContent.includes('The connection broke')`)
	d.tab.Offline(false)
	d.tab.Press(`.sending .btn:not([hidden])`)
	d.tab.Wait(`document.querySelectorAll('.shots li').length === 2 && document.querySelectorAll('.sending li').length === 0`)
	if n := len(d.record(d.photo.Survey).Photos); n != 2 {
		t.Errorf("got %d photos", n)
	}
}
