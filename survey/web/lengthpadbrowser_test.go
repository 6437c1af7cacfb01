package web

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// The pad's keys in a real browser, by the vectors that the server's reading is tested with.
func TestBrowserPadVectors(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	vectors := func(file string) []byte {
		body, err := os.ReadFile(filepath.Join("..", "..", "testdata", "pad", file))
		if err != nil {
			t.Fatal(err)
		}
		return body
	}
	wrong := browser.Eval[string](d.tab, fmt.Sprintf(`Promise.all([import('%s'), import('%s')]).then(([{refusal, readings, typed, likely}, {typeset}]) => {
		const plain = (s) => s.replaceAll('\u00a0', ' ');
		const keys = %s.map((c) => {
			let keys = [], refused = '';
			for (const key of c.keys.split(' ').filter(Boolean)) {
				if (refusal(keys, key)) refused = key;
				else keys.push(key);
			}
			const found = readings(keys);
			const again = found.map((f) => JSON.stringify(readings(f.keys).map((g) => g.text)) === JSON.stringify([f.text]));
			const got = JSON.stringify([typed(keys), found.map((f) => [f.text, plain(typeset(f.inches)), f.inches]), refused, again.every(Boolean)]);
			const want = JSON.stringify([c.typed, c.read, c.refused ?? '', true]);
			return got === want ? '' : c.name + ': ' + got + ' want ' + want + '\n';
		});
		const asked = %s.map((c) => {
			const feet = /^(-)?(?:(\d+)')?(?: ?([\d.]+))?(?: (\d+)\/(\d+))?$/.exec(c.text);
			const inches = (feet[1] ? -1 : 1) * (Number(feet[2] ?? 0) * 12 + Number(feet[3] ?? 0) + (feet[4] ? feet[4] / feet[5] : 0));
			const got = JSON.stringify(likely(inches, c.text, c.low, c.high)), want = JSON.stringify(c.fits ? null : c.ways);
			return got === want ? '' : c.name + ': ' + got + ' want ' + want + '\n';
		});
		return [...keys, ...asked].join('');
	})`, d.server.pages.Address("part/lengthpadkeys.js"), d.server.pages.Address("part/typeset.js"), vectors("keys.json"), vectors("likely.json")))
	if wrong != "" {
		t.Error(wrong)
	}
}

// padKeys presses keys of the pad.
func (d *desk) padKeys(keys ...string) {
	d.t.Helper()
	for _, key := range keys {
		d.tab.Press(`.lengthpad [data-key="` + key + `"]`)
	}
}

// On a phone every length is typed under the thumb: the bar makes room, the photo keeps its place, two readings and unlikely lengths are asked, and
// Next goes on.
func TestBrowserLengthPad(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	p := d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5})
	d.tab.Go(d.url + "?pin=" + string(p.ID))
	d.ready(d.tab)
	d.tab.Press(`[name="v.drop"]`)
	d.tab.Wait(`!document.querySelector('.lengthpad').hidden`)
	if bar := browser.Eval[bool](d.tab, `document.querySelector('.bar').offsetParent === null`); !bar {
		t.Error("the bottom bar is still there while the pad is open")
	}
	if b, pad := d.tab.Box(".stage"), d.tab.Box(".lengthpad"); b.H < 192 || b.Y < -0.5 || b.Y+192 > pad.Y+0.5 {
		t.Errorf("the photo is at %v with the pad at %v; it keeps 192 px", b, pad)
	}
	for _, key := range []string{"1", "0", "/16", "next"} {
		if b := d.tab.Box(`.lengthpad [data-key="` + key + `"]`); b.H < 44 || b.W < 44 {
			t.Errorf("the key %s is %v px", key, b)
		}
	}

	// Two ways are asked, and Next waits.
	d.padKeys("1", "1", "/16", "next")
	d.tab.Wait(`document.querySelectorAll('.choices .btn').length === 2 && !document.querySelector('.lengthpad').hidden`)
	d.tab.Press(`.choices .btn:nth-child(1)`)
	value := func(name string) string {
		return browser.Eval[string](d.tab, `document.querySelector('[name="`+name+`"]').value`)
	}
	if got := value("v.drop"); got != "11/16" {
		t.Errorf("the chosen reading is %q", got)
	}

	// An unlikely length is asked; to type on is an answer.
	d.padKeys("back", "back", "back", "back", "back", "3", "0", "next")
	d.tab.Wait(`document.querySelector('.lengthpad .caut') !== null`)
	d.padKeys("back", "back", "7", "/16")
	if got := browser.Eval[bool](d.tab, `document.querySelector('.lengthpad .caut') === null`); !got {
		t.Error("the question stays after typing on")
	}
	d.tab.Wait(`/7.16″/.test(document.querySelector('.padfield .read').textContent)`)
	d.padKeys("next")
	d.tab.Wait(`document.activeElement.name === 'v.wx'`)

	// To keep an unlikely one is an answer, too.
	d.padKeys("9", "ft", "next")
	d.tab.Wait(`document.querySelector('.lengthpad .caut') !== null`)
	d.tab.Press(`.lengthpad .caut .btn:last-child`)
	d.padKeys("next")
	d.tab.Wait(`document.activeElement.name === 'v.wy'`)
	d.padKeys("2")
	d.tab.Press(`.lengthpad [data-do="close"]`)
	d.tab.Wait(`document.querySelector('.lengthpad').hidden`)
	d.tab.Press(`.form .btn.main`)
	saved := d.settled(d.tab, 1)[0]
	for i := 0; saved.Version < 2 && i < 200; i++ {
		saved = d.settled(d.tab, 1)[0]
	}
	if saved.Values["drop"] != "7/16" || saved.Values["wx"] != "9'" || saved.Values["wy"] != "2" {
		t.Errorf("saved %v", saved.Values)
	}
}

// On the smallest phone a question leaves every key in sight, for either thumb, however long it is.
func TestBrowserPadFitsUnderAQuestion(t *testing.T) {
	d := openDesk(t, phoneWidth, 640)
	p := d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5})
	d.tab.Go(d.url + "?pin=" + string(p.ID))
	d.ready(d.tab)
	d.tab.Press(`[name="v.drop"]`)
	d.tab.Wait(`!document.querySelector('.lengthpad').hidden`)
	for _, thumb := range []string{"right", "left"} {
		if thumb == "left" {
			d.tab.Press(`.lengthpad [data-do="mirror"]`)
		}
		d.padKeys("4", "0", "0")
		d.tab.Wait(`document.querySelector('.lengthpad .caut p + p') !== null`)
		for _, long := range []bool{false, true} {
			if long {
				d.tab.Wait(`(document.querySelector('.lengthpad .caut p + p').textContent += ' And so on.'.repeat(30), true)`)
			}
			for _, part := range []string{`[data-key="1"]`, `[data-key="/2"]`, `[data-key="0"]`, `[data-key="/16"]`, `[data-key="next"]`, `.caut .btn`} {
				if b := d.tab.Box(`.lengthpad ` + part); b.Y < 192 || b.Y+b.H > 640.5 || b.H < 44 {
					t.Errorf("%s thumb, long %v: %s is at %v of 640 px", thumb, long, part, b)
				}
			}
			if b := d.tab.Box(".stage"); b.Y < -0.5 || b.H < 191.5 {
				t.Errorf("%s thumb, long %v: the photo is at %v", thumb, long, b)
			}
		}
		d.padKeys("back", "back", "back")
	}
}
