package web

import (
	"testing"

	"undercroft/survey/web/internal/browser"
)

// A slow phone connection, "slow 4G" as Lighthouse throttles it (its constants, from memory): 150 ms there and back, 1.6 Mbit/s down.
const (
	slowTrip  = 0.150     // s
	slowBytes = 1.6e6 / 8 // bytes a second
	slowLimit = 1.0       // s until the photo's page can be used
	slowTrips = 3         // one after another: to connect, for the page, for what it links
)

// TestPhotoPageOnASlowPhone opens the demo's photo page as a first visit on a slow connection. What must be there before a pin can be placed (the page, its styles and scripts and the
// small picture) has to fit into a second of that connection, all of it asked for at once by the page itself; the time that it took here is only printed.
func TestPhotoPageOnASlowPhone(t *testing.T) {
	b := browser.Open(t)
	base := startDemo(t)
	look := b.Tab(phoneWidth, phoneHeight, true)
	look.Go(base + "/surveys")
	survey := browser.Eval[string](look, `document.querySelector('a[href*="/surveys/0"]').href`)
	look.Go(survey + "/photos")
	photo := browser.Eval[string](look, `document.querySelector('main a[href*="/photos/0"]').href`)

	tab := b.Tab(phoneWidth, phoneHeight, true)
	tab.Fresh()
	tab.Slow(slowTrip, slowBytes)
	tab.Go(photo)
	tab.Wait(`document.querySelector('[data-widget="photo"]').dataset.ready !== undefined && document.querySelector('.view .soon').complete`)
	const needed = `performance.getEntries().filter((e) => e.transferSize !== undefined && !/(screen\.jpg|original)/.test(e.name))`
	bytes := browser.Eval[float64](tab, needed+`.reduce((sum, e) => sum + e.transferSize, 0)`)
	late := browser.Eval[[]string](tab, needed+`.map((e) => e.name).filter((name) => name.includes('/static/') && ![...document.querySelectorAll('link, script')].some((el) => (el.href ?? el.src) === name || el.src === name))`)
	at := browser.Eval[float64](tab, `Math.max(...`+needed+`.map((e) => e.responseEnd)) / 1000`)
	want := slowTrips*slowTrip + bytes/slowBytes
	t.Log(browser.Eval[[]string](tab, needed+`.map((e) => e.name.replace(/.*\//, "") + " " + e.transferSize + " " + Math.round(e.responseEnd))`))
	t.Logf("%.0f KB are needed, %.2f s by the connection's own figures; %.2f s here", bytes/1000, want, at)
	if want > slowLimit {
		t.Errorf("%.0f KB take %.2f s on this connection, more than %.1f s", bytes/1000, want, slowLimit)
	}
	if len(late) > 0 {
		t.Errorf("these are asked for only when a script has come: %v", late)
	}
}
