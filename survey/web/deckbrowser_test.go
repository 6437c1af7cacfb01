package web

import (
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"

	"undercroft/survey/web/internal/browser"
)

// TestPagesInABrowser opens the pages of this file at the narrowest width that WCAG 2.2 asks for (1.4.10, 320 px) and on a desk: nothing
// scrolls sideways, everything pressed is large enough (2.5.8 asks 24 px; 44 is the site's own), and the page breaks no policy of its own.
func TestPagesInABrowser(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house with a name that is rather long")
	w.facts(v.ID, map[string]string{"width": "28' 4", "projection": "14'"})
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	b := browser.Open(t)
	for _, width := range []int64{320, 1280} {
		tab := b.Tab(width, 800, width < 900)
		for _, path := range []string{"/surveys", "/surveys/new", surveyPath(v.ID)} {
			tab.Go(server.URL + path)
			if got := browser.Eval[int64](tab, "document.documentElement.scrollWidth"); got > width {
				t.Errorf("%s is %d px wide in a window of %d", path, got, width)
			}
			small := browser.Eval[string](tab, smallTargets)
			if small != "" {
				t.Errorf("%s at %d px: too small to press: %s", path, width, small)
			}
		}
	}
}

// smallTargets lists what can be pressed and is lower than 44 px. Links inside of text, and radio buttons whose whole answer can be
// pressed, are left out, as WCAG does; the skip link is out of sight until it has the focus.
const smallTargets = `[...document.querySelectorAll('a, button, input, select, textarea')].filter(el => {
	const box = (el.closest('label') || el).getBoundingClientRect();
	return box.width > 1 && box.height > 1 && box.height < 43.5 && !el.closest('p, .src, .skip, .house') && el.checkVisibility();
}).map(el => el.outerHTML.slice(0, 80)).join('\n')`

func TestLengthFieldReadsWhileTyping(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	tab := browser.Open(t).Tab(390, 800, true)
	tab.Go(server.URL + surveyPath(v.ID))
	line := func(key string) string {
		return fmt.Sprintf(`document.querySelector('#c-f-%s-read .say').textContent`, key)
	}
	tab.Type("#c-f-joist-depth", "235 mm")
	tab.Wait(line("joist-depth") + ` === "read as 9\u00a01/4″ (9.252 in)"`)
	tab.Type("#c-f-width", "28")
	tab.Wait(`/Deck width 2′\u00a04″: or 28′\u00a00″\?/.test(document.querySelector('.check-length')?.textContent)`)
	tab.Type("#c-f-width", "28 stones")
	tab.Wait(line("width") + `.includes("cannot be read as a length")`)
	if !browser.Eval[bool](tab, `document.querySelector('#c-f-width').matches('[aria-invalid=true]') && document.querySelector('#c-f-width-read svg').checkVisibility() && !document.querySelector('.check-length')`) {
		t.Error("a wrong length is not marked, or asked about besides")
	}
	tab.Type("#c-f-width", "28' 4")
	tab.Wait(line("width") + ` === "read as 28′\u00a04″"`)
	if browser.Eval[bool](tab, `document.querySelector('#c-f-width').matches('[aria-invalid]')`) {
		t.Error("the mark stays on a length that is right now")
	}
	tab.Type("#c-f-projection", "14'")
	tab.Press(".savebar button")
	tab.Wait(`document.querySelector('form#deck .done')`)
	facts := w.record(v.ID).Facts
	if facts["width"].Text != "28' 4" || !strings.HasPrefix(facts["joist.depth"].Text, "235") {
		t.Errorf("stored %v", facts)
	}
}
