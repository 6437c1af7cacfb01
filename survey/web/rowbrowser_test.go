package web

import (
	"fmt"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// A row of hangers at every joist is one answer: its ends and the joists that stop at the header are filled in, others are left out by a press each, and
// what was typed for a single one is brought back when the row is taken back.
func TestBrowserRowFromJoistToJoist(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	d.facts(d.photo.Survey, map[string]string{"width": "28' 4", "projection": "14'", "joist.direction": "y", "joist.spacing": "16", survey.FirstJoist: "16"})
	d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinBeam, X: 0.2, Y: 0.2,
		Values: map[string]string{"set": "flush", "y0": "5'", "thick": "3", "x0": "7'", "x1": "11'", "gap_to": "0"}})
	p := d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5,
		Values: map[string]string{"drop": "1/16", "wx": "1 5/8", "wy": "2", "x": "132", "y": "2 1/2"}})
	d.tab.Go(d.url + "?pin=" + string(p.ID))
	d.ready(d.tab)
	value := func(key string) string {
		return browser.Eval[string](d.tab, fmt.Sprintf(`document.querySelector('.form form').elements['v.%[1]s'].value`, key))
	}
	if browser.Eval[bool](d.tab, `document.querySelector('.form [data-group="`+survey.RowGroup+`"]').checkVisibility()`) {
		t.Error("the joists of a row are asked of a single hanger")
	}

	d.tab.Press(`.form [name="v.row_at"][value="ledger"]`)
	d.tab.Wait(`/^One pin, 19 of them\. Each stands at its joist . 3.8″/.test(document.querySelector('.form .group .result').textContent.replaceAll('\u00a0', ' '))`)
	if from, to, out, x := value("row_from"), value("row_to"), value("row_out"), value("x"); from != "1" || to != "21" || out != "14, 15" || x != "" {
		t.Errorf("the row is from %s to %s without %s, with x %q", from, to, out, x)
	}
	if n := browser.Eval[int](d.tab, `document.querySelectorAll('.joist[aria-pressed="true"]').length`); n != 2 {
		t.Errorf("%d joists are shown as left out", n)
	}
	if b := d.tab.Box(`.joist`); b.W < 44 || b.H < 44 {
		t.Errorf("a joist is %v px", b)
	}
	d.tab.Press(`.form [name="v.row_at"][value=""]`)
	if value("x") != "132" || value("row_to") != "" {
		t.Errorf("taken back, x is %q and the last joist %q", value("x"), value("row_to"))
	}
	d.tab.Press(`.form [name="v.row_at"][value="ledger"]`)
	d.tab.Press(`.joists .joist:nth-child(2)`)
	d.tab.Press(`.form [data-group="` + survey.RowGroup + `"] .pair .field:last-child .stepper button:first-child`)
	d.tab.Wait(`/^One pin, 17 of them/.test(document.querySelector('.form .group .result').textContent)`)
	d.tab.Press(`.form .acts .btn.main`)
	d.tab.Wait(`document.querySelector('.pins .count:not([display="none"])') !== null && /×17/.test(document.querySelector('.plist').textContent)`)
	if label := browser.Eval[string](d.tab, `document.querySelector('.pins a[data-pin="`+string(p.ID)+`"]').getAttribute('aria-label')`); label == "" {
		t.Error("the row has no name")
	}
	for _, pin := range d.settled(d.tab, 2) {
		if pin.ID != p.ID {
			continue
		}
		row, ok := pin.Row()
		if !ok || row.String() != "joists 1 to 20 along the ledger, without 2, 14, 15" || pin.Count() != 17 || pin.Values["x"] != "" {
			t.Errorf("saved %v", pin.Values)
		}
	}
}
