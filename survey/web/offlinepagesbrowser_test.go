package web

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// Pages that were opened before are there without a connection, also after the site has changed to a new version meanwhile; what waits is sent, what older
// versions kept is gone, and no answer of /api is kept.
func TestBrowserNewVersionKeepsWhatWaits(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	home := p.beginOnline("Larkmoor house")
	p.tab.Go(p.url(home))
	p.tab.Wait(`caches.keys().then(async (keys) => (await (await caches.open(keys.find((k) => k.startsWith('pages-')))).match('` + home + `/photos')) !== undefined)`)
	p.offline(true)
	p.tab.Go(p.url(home))
	p.width("28' 4")
	p.tab.Press(`#deck .savebar .btn.main`)
	p.waiting(1)

	// As if all that is kept had been kept by an older version.
	browser.Eval[bool](p.tab, `(async () => {
		const now = (await caches.keys()).find((k) => k.startsWith('pages-')), old = await caches.open('pages-0');
		for (const r of await (await caches.open(now)).keys()) await old.put(r.url, new Response('<link href="/static/0/part/part.css">', {headers: {'Content-Type': 'text/html'}}));
		for (const k of await caches.keys()) if (k !== 'pages-0') await caches.delete(k);
		await (await caches.open('shell-0')).put('/static/0/part/part.css', new Response(''));
		return (await navigator.serviceWorker.getRegistration()).unregister();
	})()`)
	p.offline(false)
	p.worker()
	p.waiting(0)
	if got := p.one().Facts["width"].Text; got != "28' 4" {
		t.Errorf("the width arrived as %q", got)
	}
	kept := browser.Eval[string](p.tab, `(async () => {
		const list = [];
		for (const k of await caches.keys()) for (const r of await (await caches.open(k)).keys()) list.push(k + ' ' + new URL(r.url).pathname);
		return list.join('\n');
	})()`)
	for _, bad := range []string{"/api/", "pages-0 ", "shell-0 ", "/static/0/", "/original"} {
		if strings.Contains(kept, bad) {
			t.Errorf("%q is kept:\n%s", bad, kept)
		}
	}
	p.offline(true)
	p.tab.Go(p.url(home))
	p.tab.Wait(`document.querySelector('[name="f.width"]').value === "28' 4" && getComputedStyle(document.querySelector('.waitstrip')).display === 'none' && document.querySelector('.bar')`)
	p.tab.Go(p.url(home + "/report"))
	p.tab.Wait(`document.querySelector('h1').textContent === 'No connection'`)

	// Whoever has signed out leaves no pages behind; the shell stays.
	p.offline(false)
	p.tab.Go(p.url("/signin?out=1"))
	p.tab.Wait(`caches.keys().then(async (keys) => {
		const kept = await Promise.all(keys.map(async (k) => (await (await caches.open(k)).keys()).map((r) => new URL(r.url).pathname)));
		return kept.flat().includes('/shell/deck') && !kept.flat().some((path) => path.startsWith('/surveys/'));
	})`)
}

// What the browser has removed is said to be gone; what the worker, or a page that was left at once, has sent is not.
func TestBrowserGoneOrSent(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	home := p.beginOnline("Larkmoor house")
	p.tab.Go(p.url(home))
	p.tab.Wait(`document.querySelector('.waitstrip').dataset.waiting === '0'`)
	p.offline(true)
	p.width("28' 4")
	p.tab.Press(`#deck .savebar .btn.main`)
	p.waiting(1)
	p.offline(false)
	p.waiting(0)
	browser.Eval[bool](p.tab, `(localStorage.setItem('undercroft.waiting', '1'), true)`) // as a page leaves it that is closed before it hears what the worker sent
	p.tab.Reload()
	p.waiting(0)
	if browser.Eval[bool](p.tab, `document.querySelector('.waitstrip.stop') !== null`) {
		t.Error("what was sent is said to be gone")
	}

	p.offline(true)
	p.width("29'")
	p.tab.Press(`#deck .savebar .btn.main`)
	p.waiting(1)
	browser.Eval[bool](p.tab, `new Promise((go, no) => { const r = indexedDB.deleteDatabase('undercroft'); r.onsuccess = () => go(true); r.onerror = no; })`)
	browser.Eval[bool](p.tab, `dispatchEvent(new Event('offline'))`)
	p.tab.Wait(`document.querySelector('.waitstrip.stop')?.textContent.startsWith('1 thing that waited on this phone is gone')`)
}

// Forms that are sent without a connection: what they say about the survey waits and is sent; what needs the server says that nothing was sent.
func TestBrowserFormsOffline(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	home := p.beginOnline("Larkmoor house")
	id := survey.SurveyID(strings.TrimPrefix(home, "/surveys/"))
	p.tab.Go(p.url(home + "/cover"))
	p.tab.Wait(`document.querySelector('#cover')`)
	p.tab.Go(p.url(home))
	p.tab.Wait(`document.querySelector('#site')`)

	p.offline(true)
	p.tab.Type(`[name="f.address"]`, "12 Mill Lane")
	p.tab.Press(`#site .btn.main`)
	p.waiting(1)
	p.tab.Go(p.url(home + "/cover"))
	open := browser.Eval[int](p.tab, `document.querySelector('button[name="looked"]').closest('section').querySelectorAll('fieldset').length`)
	p.tab.Press(`button[name="looked"]`)
	p.waiting(1 + open)
	p.tab.Wait(fmt.Sprintf(`document.querySelectorAll('[data-here]').length === %d && document.querySelector('.cov input[value="no"]').checked`, open))
	p.tab.Go(p.url(home + "/leave"))
	if browser.Eval[bool](p.tab, `document.querySelector('main form') !== null`) {
		browser.Eval[bool](p.tab, `(document.querySelector('main form').submit(), true)`)
		p.tab.Wait(`document.querySelector('h1')?.textContent.startsWith('Not sent')`)
		p.waiting(1 + open)
	}

	// Somebody else writes the client's name meanwhile: another field, so both stand.
	v := p.one().Survey
	v.Client = "R. Vance"
	if _, err := p.store.UpdateSurvey(context.Background(), v); err != nil {
		t.Fatal(err)
	}
	p.offline(false)
	p.waiting(0)
	r := p.one()
	if r.Survey.ID != id || r.Survey.Address != "12 Mill Lane" || r.Survey.Client != "R. Vance" || r.Survey.Title != "Larkmoor house" {
		t.Errorf("got %+v", r.Survey)
	}
	answers := 0
	for _, fact := range r.Facts {
		if fact.Text == survey.AnswerNo {
			answers++
		}
	}
	if answers != open {
		t.Errorf("%d answers arrived, want %d", answers, open)
	}
}

// Undo and redo go on after the page was opened again, also for a pin that was deleted and sent.
func TestBrowserUndoAfterReload(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinNote, X: 0.5, Y: 0.5, Note: "first"})
	d.open(d.tab)
	d.tab.Press(`#p1 a`)
	d.tab.Type(`#pin [name="note"]`, "second")
	d.tab.Press(`#pin .btn.main`)
	d.tab.Wait(`document.querySelector('[data-widget="photo"]').dataset.unsent === '0' && document.querySelector('#pin [data-status]').textContent === 'saved'`)
	d.tab.Press(`#pin [data-delete]`)
	d.settled(d.tab, 0)
	for _, want := range []string{"second", "first"} {
		d.tab.Reload()
		d.ready(d.tab)
		d.tab.Press(`[data-tool="undo"]`)
		if got := d.settled(d.tab, 1)[0]; got.Note != want || got.Number != 1 {
			t.Errorf("undo gave pin %d %q, want 1 %q", got.Number, got.Note, want)
		}
	}
	d.tab.Reload()
	d.ready(d.tab)
	d.tab.Press(`[data-tool="redo"]`)
	if got := d.settled(d.tab, 1)[0]; got.Note != "second" {
		t.Errorf("redo gave %q", got.Note)
	}
}
