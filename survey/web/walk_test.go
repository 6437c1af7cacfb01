package web

import (
	"fmt"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// walk is one person with one browser who makes a survey from nothing.
type walk struct {
	*site
	tab  *browser.Tab
	base string // address of the survey
}

// TestFromNothingToTheReport is the whole way: start a survey, type the deck, send two photos, pin a hanger, a wall surface and a level, see
// the ceiling change with them, and open the report that shows them; once by touch on a phone, once at a desk.
func TestFromNothingToTheReport(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"phone", phoneWidth, phoneHeight}, {"desk", deskWidth, deskHeight}} {
		t.Run(size.name, func(t *testing.T) {
			b := browser.Open(t)
			w := &walk{site: newSite(t)}
			server := httptest.NewServer(w.handler)
			t.Cleanup(server.Close)
			w.tab = b.Tab(size.width, size.height, size.width < 700)
			w.startSurvey(server.URL)
			w.typeDeck()
			w.sendPhotos("04-header-hangers.jpg", "05-ledger-and-siding.jpg")
			w.tab.Go(w.base + "/ceiling")
			before := w.text("main")
			w.pinHanger()
			w.pinWallAndLevel()
			w.tab.Go(w.base + "/ceiling")
			after := w.text("main")
			w.changed(before, after)
			w.readReport()
		})
	}
}

// go presses a link or button that leads to another page and waits for that.
func (w *walk) follow(selector string) {
	w.t.Helper()
	browser.Eval[bool](w.tab, `(window.stillHere = true)`)
	w.tab.Press(selector)
	w.tab.Wait(`window.stillHere === undefined && document.readyState === 'complete'`)
}

// text is what an element says, spaces made one.
func (w *walk) text(selector string) string {
	w.t.Helper()
	return strings.Join(strings.Fields(browser.Eval[string](w.tab, fmt.Sprintf(`document.querySelector(%q).textContent`, selector))), " ")
}

// choose picks an answer of a select or a row of answers.
func (w *walk) choose(name, value string) {
	w.t.Helper()
	browser.Eval[bool](w.tab, fmt.Sprintf(`(() => { const el = document.querySelector('select[name=%[1]q]') ?? document.querySelector('input[name=%[1]q][value=%[2]q]');
		if (el.matches('select')) { el.value = %[2]q; if (el.value !== %[2]q) throw new Error('no such answer'); } else { el.checked = true; }
		el.dispatchEvent(new Event('input', {bubbles: true})); el.dispatchEvent(new Event('change', {bubbles: true})); return true; })()`, name, value))
}

func (w *walk) startSurvey(address string) {
	w.t.Helper()
	w.tab.Go(address)
	w.follow(`a[href="/surveys/new"]`)
	w.tab.Type(`[name="f.title"]`, "Quarry Lane deck")
	w.follow(`main button.main`)
	w.base = strings.TrimSuffix(browser.Eval[string](w.tab, `location.origin + location.pathname`), "/walk")
	if !strings.Contains(w.base, "/surveys/") {
		w.t.Fatalf("the new survey is at %s", w.base)
	}
}

func (w *walk) typeDeck() {
	w.t.Helper()
	w.tab.Go(w.base)
	for _, f := range [][2]string{{"f.width", `28' 4"`}, {"f.projection", "14 ft"}, {"f.joist.spacing", "16"}} {
		w.tab.Type(fmt.Sprintf(`[name=%q]`, f[0]), f[1])
	}
	w.choose("f.joist.direction", "y")
	w.choose("f.built_before_1978", "no")
	w.follow(`form[action$="/deck"] .savebar button.main, form[action$="/deck"] button.main`)
	if got := browser.Eval[string](w.tab, `document.querySelector('[name="f.width"]').value`); got != `28' 4"` {
		w.t.Errorf("the width was kept as %q", got)
	}
}

func (w *walk) sendPhotos(names ...string) {
	w.t.Helper()
	w.tab.Go(w.base + "/photos")
	var paths []string
	for _, name := range names {
		path, err := filepath.Abs(filepath.Join("../../cmd/undercroft/demo/photos", name))
		if err != nil {
			w.t.Fatal(err)
		}
		paths = append(paths, path)
	}
	w.tab.Do(chromedp.SetUploadFiles(`input[name="photos"]`, paths))
	w.tab.Wait(fmt.Sprintf(`document.querySelectorAll('[data-part="grid"] a.shot img[src]').length === %d`, len(names)))
}

// openPhoto opens the n-th photo of the grid.
func (w *walk) openPhoto(n int) *desk {
	w.t.Helper()
	w.tab.Go(w.base + "/photos")
	w.tab.Go(browser.Eval[string](w.tab, fmt.Sprintf(`document.querySelectorAll('[data-part="grid"] a.shot')[%d].href`, n)))
	id := w.base[strings.LastIndex(w.base, "/")+1:]
	summaries, err := w.store.Surveys(w.t.Context())
	if err != nil || len(summaries) != 1 || string(summaries[0].ID) != id {
		w.t.Fatalf("got %+v, %v; want the one survey %s", summaries, err, id)
	}
	d := &desk{site: w.site, tab: w.tab, photo: w.record(summaries[0].ID).Photos[n]}
	d.ready(w.tab)
	return d
}

// place puts a pin on the photo by its button, a tap and its kind, and types its values; it is then the photo's pin number pins.
func (w *walk) place(d *desk, group, kind string, x, y float64, pins int, values, answers map[string]string) {
	w.t.Helper()
	d.shown(w.tab)
	d.arm(w.tab, group)
	d.tap(w.tab, x, y)
	d.kind(w.tab, kind)
	w.tab.Wait(fmt.Sprintf(`document.querySelector('#pin input[name="kind"]')?.value === %q`, kind))
	for name, text := range values {
		w.tab.Type(fmt.Sprintf(`#pin [name="v.%s"]`, name), text)
	}
	for name, answer := range answers {
		w.choose("v."+name, answer)
	}
	w.tab.Press(`#pin button.main`)
	w.kept(d, pins, values, answers)
}

// kept waits until the photo's newest pin is stored with these values and the page has nothing left to send.
func (w *walk) kept(d *desk, pins int, values, answers map[string]string) {
	w.t.Helper()
	var last survey.Pin
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		list := w.record(d.photo.Survey).PinsOn(d.photo.ID)
		if len(list) != pins {
			continue
		}
		last = list[pins-1]
		missing := 0
		for _, want := range []map[string]string{values, answers} {
			for name, text := range want {
				if last.Values[name] != text {
					missing++
				}
			}
		}
		if missing == 0 {
			w.tab.Wait(fmt.Sprintf(`document.querySelectorAll('a.pin').length === %d && document.querySelector('[data-widget="photo"]').dataset.unsent === '0'`, pins))
			return
		}
	}
	w.t.Fatalf("the pin was kept as %+v, want values %v and answers %v", last, values, answers)
}

// pinHanger pins a hanger that hangs deeper than the furring at its place is thick, across most of a panel, so that a carrier meets it.
func (w *walk) pinHanger() {
	w.t.Helper()
	d := w.openPhoto(0)
	w.place(d, "In the way", "hanger", 0.60, 0.48, 1, map[string]string{"drop": "1 1/4", "wx": "11", "wy": "2 1/2", "x": `9' 8"`, "y": `64 3/4`}, nil)
}

func (w *walk) pinWallAndLevel() {
	w.t.Helper()
	d := w.openPhoto(1)
	w.place(d, "Wall", "wall", 0.5, 0.6, 1, nil, map[string]string{"edge": "0", "surface": "brick"})
	w.place(d, "Measure", "level", 0.3, 0.3, 2, map[string]string{"x": "10", "y": "10", "height": `8' 10"`}, nil)
}

// changed checks that the computed ceiling followed the pins: what the hanger meets, a headroom for the level (102 3/4 in, the worked case
// testdata/calc-cases/plain), brick for the wall.
func (w *walk) changed(before, after string) {
	w.t.Helper()
	if asks := "The surface of a wall is not known."; !strings.Contains(before, asks) || strings.Contains(after, asks) {
		w.t.Errorf("%q: on the ceiling page before the pins %v, after %v; want it before only", asks, strings.Contains(before, asks), strings.Contains(after, asks))
	}
	for _, word := range []string{"Brick", "8′ 6 3/4″"} {
		if strings.Contains(before, word) || !strings.Contains(after, word) {
			w.t.Errorf("%q: on the ceiling page before the pins %v, after %v; want it after only", word, strings.Contains(before, word), strings.Contains(after, word))
		}
	}
	if strings.Contains(before, "Hanger 1") || !strings.Contains(after, "Hanger 1") {
		w.t.Error("the ceiling page does not speak of the hanger, or did before it was pinned")
	}
}

// readReport opens the report and finds the photos and pins in it.
func (w *walk) readReport() {
	w.t.Helper()
	w.tab.Go(w.base + "/report")
	w.tab.Wait(`[...document.querySelectorAll('main img, main image')].every((img) => img.complete ?? true)`)
	drawn := browser.Eval[string](w.tab, `[...document.querySelectorAll('main .shot svg.over')].map((svg) => [...svg.querySelectorAll('text')].filter((t) => /^\d+$/.test(t.textContent)).length).join(' ')`)
	listed := browser.Eval[string](w.tab, `[...document.querySelectorAll('#photos tr[id^=pin-]')].map((row) => row.querySelector('td:last-child b').textContent.replace(':', '').trim()).join(', ')`)
	if drawn != "1 2" || listed != "Hanger, Wall surface, Level" {
		w.t.Errorf("on the report's photos the pins drawn are %q and those listed %q, want the hanger, the wall and the level", drawn, listed)
	}
	report := w.text("main")
	for _, word := range []string{"Quarry Lane deck", "Hanger", "1 1/4″", "Brick", "8′ 10″", "28′ 4″"} {
		if !strings.Contains(report, word) {
			w.t.Errorf("the report does not say %q", word)
		}
	}
}
