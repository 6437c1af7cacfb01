package web

import (
	"fmt"
	"testing"

	"undercroft/survey/web/internal/browser"
)

// Whoever waits to send gives up the place in the browser's queue when the page is left, since the browser may keep that page asleep at the head of the queue.
func TestBrowserLeftPagesDoNotQueue(t *testing.T) {
	p := &phone{house: newHouse(t)}
	b := browser.Open(t)
	p.tab = b.Tab(phoneWidth, phoneHeight, true)
	p.worker()
	home := p.beginOnline("Larkmoor house")
	sending := b.Tab(phoneWidth, phoneHeight, true)
	sending.Allow("favicon.ico")
	sending.Go(p.url("/healthz"))
	sending.Wait(`(navigator.locks.request('undercroft-send', () => new Promise(() => {})), true)`)
	sending.Wait(`navigator.locks.query().then(({held}) => held.length === 1)`)
	for _, path := range []string{home, home + "/photos", home + "/cover", home + "/leave"} {
		p.tab.Go(p.url(path))
		sending.Wait(`navigator.locks.query().then(({pending}) => pending.length > 0)`)
	}
	if n := browser.Eval[int](sending, `new Promise((done) => setTimeout(() => navigator.locks.query().then(({pending}) => done(pending.length)), 500))`); n > 1 {
		t.Errorf("%d pages wait to send, one is open", n)
	}
}

// A lock that nobody has, or whose holder has said nothing for longer than any request takes, is done without; whoever has it and sends is waited for.
func TestBrowserLockThatDoesNotWork(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	said := browser.Eval[string](d.tab, fmt.Sprintf(`Promise.all([import('%s'), import('%s')]).then(async ([{turn}, {outbox}]) => {
		let held = [];
		Object.defineProperty(navigator, 'locks', {value: {
			request: (name, {signal}) => new Promise((_, no) => signal.addEventListener('abort', () => no(signal.reason))),
			query: async () => ({held}),
		}});
		const nobody = await turn.take(async () => 'nobody has it');
		held = [{name: 'undercroft-send'}];
		const now = Date.now;
		let over = false, waited = true;
		const take = turn.take(async () => { waited = over; return 'silent'; });
		for (let k = 1; k <= 8; k++) { // the holder sends for 80 s
			await new Promise((go) => setTimeout(go, 500));
			Date.now = () => now() + k * 10000;
			outbox.tell('progress', {});
		}
		over = true;
		Date.now = () => now() + 200000;
		return [nobody, await take, waited].join();
	})`, d.server.pages.Address("offline/turn.js"), d.server.pages.Address("offline/outbox.js")))
	if said != "nobody has it,silent,true" {
		t.Errorf("got %q", said)
	}
}
