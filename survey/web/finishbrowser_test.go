package web

import (
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// TestBrowserFinishes walks the end of a job on a phone of 360 px: the crew looks at what is asked, sends a photo of the hose test, finishes, hands the phone over, the client draws
// a signature and signs off, a change afterwards is told, and the survey is opened again.
func TestBrowserFinishes(t *testing.T) {
	b := browser.Open(t)
	w := newSite(t)
	house, _ := w.approvedHouse()
	w.facts(house.ID, map[string]string{"fall.per_foot": "1/4"})
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	tab := b.Tab(360, 740, true)
	tab.Allow("422") // the first try lacks almost everything
	shots := os.Getenv("UNDERCROFT_SHOTS")
	shot := func(name string) {
		if shots != "" {
			tab.FullShot(shots + "/" + name + ".png")
		}
	}
	axe := axeSource(t)
	narrow := func(what string) {
		t.Helper()
		if axe != "" {
			accuse(t, what, runAxe(t, tab, axe))
		}
		if wide := browser.Eval[float64](tab, `document.scrollingElement.scrollWidth`); wide > 360 {
			t.Errorf("%s is %g px wide: %v", what, wide, browser.Eval[[]string](tab, strings.ReplaceAll(tooWide, "321", "361")))
		}
		if low := browser.Eval[[]string](tab, `[...document.querySelectorAll('main .btn, main .seg label, main select')].filter((el) => el.offsetParent && !el.classList.contains('vh') && el.getBoundingClientRect().height < 44).map((el) => el.outerHTML.slice(0, 80))`); len(low) > 0 {
			t.Errorf("%s has controls lower than 44 px: %v", what, low)
		}
	}
	tab.Go(server.URL + finishPath(house.ID))
	narrow("the form")
	shot("finish-1-form")
	tab.Press(`button[value="finish"].main`)
	tab.Wait(`document.querySelectorAll('.problem li').length > 8`)
	narrow("the form with its problems")
	shot("finish-2-problems")
	fill := func(name, text string) {
		browser.Eval[bool](tab, `(() => { const el = document.querySelector('[name="f.'+`+"`"+name+"`"+`+'"]'); el.value = `+"`"+text+"`"+`; el.dispatchEvent(new Event('input', {bubbles: true})); return true; })()`)
	}
	fill(survey.FinishWhyAll, "steeper was wished")
	fill(survey.FinishResult, "none")
	fill(survey.FinishTestAt, "2026-05-30 14:10")
	fill(survey.FinishMinutes, "20")
	fill(survey.FinishPhoto, "1")
	fill(survey.FinishBy, "K. Moss")
	for n := range browser.Eval[int](tab, `document.querySelectorAll('.leftlist fieldset').length`) {
		tab.Press(`.leftlist fieldset:nth-child(` + string(rune('1'+n)) + `) .seg label:first-child`)
	}
	shot("finish-3-filled")
	tab.Press(`button[value="finish"].main`)
	tab.Wait(`document.querySelector('#done') && document.querySelector('aside.endstrip')`)
	narrow("the finished survey")
	shot("finish-4-done")
	tab.Press(`#done .btn.main`)
	tab.Wait(`document.querySelector('form[data-form="signoff"]') && !document.querySelector('#signpad').hidden`)
	narrow("the sign-off")
	shot("finish-5-sign")
	browser.Eval[bool](tab, `(() => { document.querySelector('.signpad').scrollIntoView({block: 'center'}); return true; })()`)
	pad := tab.Box(".signpad")
	tab.Drag([][2]float64{{pad.X + 30, pad.Y + 60}, {pad.X + 90, pad.Y + 20}, {pad.X + 200, pad.Y + 70}})
	tab.Type("#name", "Zoë Quill")
	tab.Press("#consent")
	tab.Press(`form[data-form="signoff"] .btn.main`)
	tab.Wait(`document.querySelector('#sign .lead') && document.querySelector('#sign .lead').textContent.includes('Signed off by Zoë Quill')`)
	narrow("the signed record")
	shot("finish-6-signed")
	acts, err := w.store.Finishes(t.Context(), house.ID)
	if err != nil || len(acts) != 2 || len(acts[1].Signature) < 20 || acts[1].By != "K. Moss" {
		t.Fatalf("got %+v, %v", acts, err)
	}
	w.now = w.now.Add(3600e9)
	w.facts(house.ID, map[string]string{"fall.per_foot": "3/16"})
	tab.Go(server.URL + finishPath(house.ID))
	tab.Wait(`document.querySelector('aside.endstrip').textContent.includes('Changed after finishing')`)
	narrow("the survey that was changed")
	shot("finish-7-changed")
	tab.Type(`[name="f.reason"]`, "a panel is missing")
	tab.Type(`[name="f.by"]`, "Ana")
	tab.Press(`#reopen .btn`)
	tab.Wait(`document.querySelector('#finish') && document.querySelector('.caut.note').textContent.includes('a panel is missing')`)
	shot("finish-8-again")
	desk := b.Tab(1280, 900, false)
	desk.Go(server.URL + finishPath(house.ID))
	if wide := browser.Eval[float64](desk, `document.scrollingElement.scrollWidth`); wide > 1280 {
		t.Errorf("at a desk the form is %g px wide", wide)
	}
	if shots != "" {
		desk.FullShot(shots + "/finish-9-desk.png")
	}
}
