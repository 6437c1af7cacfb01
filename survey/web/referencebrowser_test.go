package web

import (
	"fmt"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// Five references by the structure with one thumb: the place is said at once, and they take at most 18 taps, a quarter of the 72 that four photos may take.
func TestBrowserReferencesByStructure(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	d.facts(d.photo.Survey, map[string]string{"width": "28' 4", "projection": "14'", "joist.direction": "y", "joist.spacing": "16", survey.FirstJoist: "16", survey.JoistCount: "21"})
	d.open(d.tab)
	taps := 0
	press := func(selector string) {
		d.tab.Press(selector)
		taps++
	}
	point := func(x, y float64) {
		d.shown(d.tab)
		d.tap(d.tab, x, y)
		taps++
	}
	press(`[data-group-button="Measure"]`)
	point(0.7, 0.3)
	press(`[data-kind="reference"]`)
	result := func(want string) {
		d.tab.Wait(fmt.Sprintf(`(document.querySelector('.form .result')?.textContent ?? '').replaceAll('\u00a0', ' ').startsWith(%q)`, want))
	}
	result("x 13′ 8″ ± 3/8″ · y 1 1/2″ ± 3/8″") // joist 11 of 21, in the middle
	press(`.stepper button:first-child`)
	result("x 15′ 0″ ± 3/8″")
	press(`.form [data-next]`)
	point(0.6, 0.3)
	press(`.stepper button:last-child`)
	press(`.form [data-next]`)
	point(0.6, 0.8)
	press(`.form [name="v.at"][value="rim"]`)
	result("x 13′ 8″ ± 3/8″ · y 13′ 10 1/2″")
	press(`.form [data-next]`)
	point(0.75, 0.8)
	press(`.stepper button:first-child`)
	press(`.form [data-next]`)
	point(0.4, 0.8)
	press(`.stepper button:last-child`)
	press(`.form .acts .btn.main`)
	pins := d.settled(d.tab, 5)
	want := [][2]string{{"10", "ledger"}, {"11", "ledger"}, {"11", "rim"}, {"10", "rim"}, {"11", "rim"}}
	for i := 0; pins[4].Values["joist"] == "" && i < 200; i++ {
		pins = d.settled(d.tab, 5)
	}
	for i, p := range pins {
		if p.Kind != survey.PinReference || p.Values["joist"] != want[i][0] || p.Values["at"] != want[i][1] || p.Values["x"] != "" {
			t.Errorf("reference %d is %v, want %v", p.Number, p.Values, want[i])
		}
	}
	t.Logf("five references by the structure: %d taps", taps)
	if taps > 18 {
		t.Errorf("five references took %d taps, more than 18", taps)
	}
	d.tab.Wait(`/joist 10 at the ledger/.test(document.querySelector('.plist').textContent)`)
	if n := browser.Eval[int](d.tab, `document.querySelectorAll('.stepper button').length`); n != 2 {
		t.Errorf("there are %d steps", n)
	}
}
