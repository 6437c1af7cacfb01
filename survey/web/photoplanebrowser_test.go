package web

import (
	"fmt"
	"math"
	"net/http/httptest"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// openHeader opens the demo's photo of the header, which has four references.
func openHeader(t *testing.T, width, height int64) *desk {
	t.Helper()
	b := browser.Open(t)
	d := &desk{site: newSite(t)}
	server := httptest.NewServer(d.handler)
	t.Cleanup(server.Close)
	d.photo, _ = d.photographedDemo()
	d.url = server.URL + photoPath(d.photo)
	d.tab = b.Tab(width, height, width < 700)
	d.open(d.tab)
	return d
}

// drawn tells whether something matches that takes room on the screen.
func (d *desk) drawn(selector string) bool {
	d.t.Helper()
	return browser.Eval[bool](d.tab, fmt.Sprintf(`[...document.querySelectorAll('%s')].some((el) => getComputedStyle(el).display !== 'none' && getComputedStyle(el).visibility !== 'hidden' && el.getClientRects().length > 0)`, selector))
}

// The three layers are switched by their buttons; what is shown is remembered, and nothing but the pins is drawn without a script's help.
func TestBrowserLayers(t *testing.T) {
	for _, size := range [][2]int64{{phoneWidth, phoneHeight}, {deskWidth, deskHeight}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) {
			d := openHeader(t, size[0], size[1])
			layers := func(when string, ceiling, grid, pins bool) {
				t.Helper()
				for selector, want := range map[string]bool{".o-seam": ceiling, ".o-row": ceiling, ".seamt": ceiling, ".o-grid": grid, ".pins .pin": pins} {
					if got := d.drawn(selector); got != want {
						t.Errorf("%s: %s drawn %v, want %v", when, selector, got, want)
					}
				}
				for tool, want := range map[string]bool{"ceiling": ceiling, "grid": grid, "pins": pins} {
					if got := browser.Eval[string](d.tab, fmt.Sprintf(`document.querySelector('[data-tool="%s"]').getAttribute('aria-pressed')`, tool)); got != fmt.Sprint(want) {
						t.Errorf("%s: the button %s is pressed: %s", when, tool, got)
					}
				}
			}
			layers("at first", true, false, true)
			if b := d.tab.Box(`[data-tool="ceiling"]`); b.W < 44 || b.H < 44 {
				t.Errorf("the button measures %v by %v px", b.W, b.H)
			}
			d.tab.Press(`[data-tool="ceiling"]`)
			d.tab.Press(`[data-tool="grid"]`)
			d.tab.Press(`[data-tool="pins"]`)
			layers("switched", false, true, false)
			d.tab.Reload()
			d.ready(d.tab)
			layers("after a reload", false, true, false)
			d.tab.Press(`[data-tool="pins"]`)
			d.tab.Press(`[data-tool="ceiling"]`)
			layers("switched back", true, true, true)
			browser.Eval[bool](d.tab, `(sessionStorage.clear(), true)`)
			d.tab.NoScript()
			d.tab.Go(d.url)
			d.tab.Wait(`document.querySelector('.view img').complete`)
			if !d.drawn(".o-seam") || !d.drawn(".rowt") || d.drawn(".o-grid") || d.drawn(`[data-tool="ceiling"]`) {
				t.Error("without script the ceiling is not drawn, or something cannot be switched off")
			}
		})
	}
}

// Zooming moves and scales the ceiling with the picture: a seam stays where it is on the picture, and its line keeps its width.
func TestBrowserCeilingZoomsWithThePicture(t *testing.T) {
	d := openHeader(t, deskWidth, deskHeight)
	const where = `(() => { const l = [...document.querySelectorAll('.seamt')].find((t) => t.textContent === '9').parentNode, p = l.ownerSVGElement.getBoundingClientRect(), img = document.querySelector('.view img').getBoundingClientRect();
		return [parseFloat(l.getAttribute('x')) / 100 * p.width + p.x - img.x, img.width]; })()`
	before := browser.Eval[[]float64](d.tab, where)
	browser.Eval[bool](d.tab, `(window.drawn = 0, new MutationObserver((list) => { window.drawn += list.length; }).observe(document.querySelector('.ov.ceil'), {subtree: true, childList: true, attributes: true, attributeFilter: ['points']}), true)`)
	d.tab.Press(`[data-tool="in"]`)
	d.tab.Press(`[data-tool="in"]`)
	d.tab.Wait(fmt.Sprintf(`document.querySelector('.view img').getBoundingClientRect().width > %f`, 2*before[1]))
	after := browser.Eval[[]float64](d.tab, where)
	if math.Abs(after[0]/after[1]-before[0]/before[1]) > 1e-4 {
		t.Errorf("carrier 9 went from %.5f to %.5f of the picture", before[0]/before[1], after[0]/after[1])
	}
	if n := browser.Eval[int](d.tab, `window.drawn`); n != 0 {
		t.Errorf("zooming drew %d shapes anew", n)
	}
}

// While a pin is dragged the magnifier says where on the plan it is, with its ±, as the server would; afterwards form and list do.
func TestBrowserMagnifierSaysThePlace(t *testing.T) {
	d := openHeader(t, deskWidth, deskHeight)
	hanger := d.numbered(d.photo, survey.PinHanger)
	d.change(d.photo.Survey, hanger.Number, map[string]string{"x": "", "y": ""})
	d.open(d.tab)
	n := len(d.record(d.photo.Survey).PinsOn(d.photo.ID))
	d.tab.Wait(fmt.Sprintf(`document.querySelectorAll('a.pin').length === %d`, n))
	browser.Eval[bool](d.tab, `(window.said = [], new MutationObserver(() => { const p = document.querySelector('.mag p'); window.said.push([...p.querySelectorAll('span')].map((s) => s.textContent).join('; ')); }).observe(document.querySelector('.mag p'), {childList: true, characterData: true, subtree: true}), true)`)
	head := d.tab.Box(`a.pin[data-pin="` + string(hanger.ID) + `"] .hit`)
	from := [2]float64{head.X + head.W/2, head.Y + head.H/2}
	d.tab.Drag([][2]float64{from, {from[0] - 10, from[1]}, {from[0] - 60, from[1] + 20}})
	d.tab.Wait(`document.querySelector('.mag').hidden && document.querySelector('[data-widget="photo"]').dataset.unsent === '0'`)
	moved, _ := d.record(d.photo.Survey).Pin(hanger.ID)
	located := survey.Compute(d.record(d.photo.Survey)).Located[hanger.ID]
	said := browser.Eval[string](d.tab, `window.said.at(-1)`)
	if moved.Version <= hanger.Version+1 {
		t.Fatal("the drag was not saved")
	}
	want := fmt.Sprintf("x %s ±\u00a0", lengthText(located.X))
	if len(said) < len(want) || said[:len(want)] != want {
		t.Errorf("the magnifier said %q, the server %q", said, want)
	}
	d.tab.Wait(fmt.Sprintf(`document.querySelector('#pin dl.place')?.textContent.includes('%s')`, lengthText(located.X)))
	d.tab.Wait(fmt.Sprintf(`document.querySelector('[data-row="%s"]').textContent.includes('%s')`, hanger.ID, planPlace(located.X, located.Y)))
}

// The ceiling is drawn anew after a change: typed a foot off, the pin is in dispute and there is no ceiling; a button settles it and it is back.
func TestBrowserDispute(t *testing.T) {
	for button, choice := range map[string]string{"A": settleTyped, "B": settleLocated} {
		t.Run(button, func(t *testing.T) {
			d := openHeader(t, deskWidth, deskHeight)
			hanger := d.numbered(d.photo, survey.PinHanger)
			d.tab.Press(fmt.Sprintf(`#p%d a`, hanger.Number))
			d.tab.Wait(`document.querySelector('#pin [name="v.x"]')`)
			browser.Eval[bool](d.tab, `(document.querySelector('#pin [name="v.x"]').value = '', true)`)
			d.tab.Type(`#pin [name="v.x"]`, "128")
			d.tab.Press(`#pin .btn.main`)
			d.tab.Wait(`document.querySelector('#pin .dispute') && !document.querySelector('#nodraw').hidden && !document.querySelector('.o-seam')`)
			if got := browser.Eval[string](d.tab, `document.querySelector('[data-tool="ceiling"]').getAttribute('aria-disabled')`); got != "true" {
				t.Error("the button for the ceiling does not say that it cannot")
			}
			d.tab.Press(`#pin .dispute button[value="` + choice + `"]`)
			d.tab.Wait(`!document.querySelector('#pin .dispute') && document.querySelector('#nodraw').hidden && document.querySelector('.o-seam')`)
			saved, _ := d.record(d.photo.Survey).Pin(hanger.ID)
			if stands := saved.Values["typed_stands"] == "yes" && saved.Values["x"] == "128"; stands != (choice == settleTyped) {
				t.Errorf("saved as %v", saved.Values)
			}
			if cleared := saved.Values["x"] == "" && saved.Values["y"] == ""; cleared != (choice == settleLocated) {
				t.Errorf("saved as %v", saved.Values)
			}
			if shown := d.drawn(`#pin [data-seldom]`); shown != (choice == settleTyped) {
				t.Errorf("the question whether the typed place stands is shown: %v", shown)
			}
		})
	}
}

// While references are placed the page says how many of the four have their place: the one that was just placed has none yet.
func TestBrowserReferencesCounted(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	d.arm(d.tab, "Measure")
	d.tap(d.tab, 0.3, 0.3)
	d.kind(d.tab, "reference")
	d.settled(d.tab, 1)
	d.tab.Wait(`document.querySelector('[data-part="tell"]').textContent.endsWith('0 of 4 references have their place.')`)
	d.tab.Wait(`document.querySelector('[data-part="cautions"]').textContent.includes('0 of 4 references.')`)
	d.change(d.photo.Survey, 1, map[string]string{"x": "1' 0", "y": "2' 0"})
	d.open(d.tab)
	d.tab.Wait(`document.querySelector('[data-part="geometry"]').dataset.references === '1'`)
}
