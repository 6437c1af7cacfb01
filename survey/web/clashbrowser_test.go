package web

import (
	"fmt"
	"net/http"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

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
		d.tab.PressStill(fmt.Sprintf(`.conflict .btn:nth-child(%d)`, choice.button))
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
	d.tab.Wait(`document.querySelector('.waitstrip').textContent.startsWith('1 pin is waiting on this phone') && document.querySelector('[data-row] [data-unsent]').textContent === 'not sent yet' && document.querySelector('.pin.wait')`)
	if n := len(d.record(d.photo.Survey).Pins); n != 0 {
		t.Fatalf("%d pins arrived without a connection", n)
	}
	d.tab.Offline(false)
	p := d.settled(d.tab, 1)[0]
	d.near(d.tab, "sent later", p.X, p.Y, want)
	d.tab.Wait(`document.querySelector('.waitstrip').hidden`)
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
	d.tab.PressStill(`.conflict .btn:nth-child(2)`)
	d.settled(d.tab, 1)
	d.tab.Wait(`document.querySelector('#pin [name="note"]').value === 'look here'`)

	p = d.record(d.photo.Survey).Pins[0]
	if err := d.store.DeletePin(t.Context(), p.Survey, p.ID, p.Version); err != nil {
		t.Fatal(err)
	}
	d.tab.Type(`#pin [name="note"]`, "and here")
	d.tab.Press(`#pin .btn.main`)
	d.tab.Wait(`document.querySelector('.conflict b')?.textContent.startsWith('Note 1 was deleted by someone else')`)
	d.tab.PressStill(`.conflict .btn:nth-child(1)`)
	if back := d.settled(d.tab, 1)[0]; back.Note != "and here" || back.Number != 1 {
		t.Errorf("keeping mine stored %q as number %d", back.Note, back.Number)
	}
}
