package web

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// desk is the editor in a browser: a photo of 1200 by 1600 pixels, as upright as a phone takes it, on a server of its own.
type desk struct {
	*site
	url   string
	photo survey.Photo
	tab   *browser.Tab
}

const (
	phoneWidth, phoneHeight = 360, 740
	deskWidth, deskHeight   = 1280, 900
)

// openDesk opens the photo's page in a browser of the given width, a phone below 700 px.
func openDesk(t *testing.T, width, height int64) *desk {
	t.Helper()
	b := browser.Open(t)
	d := &desk{site: newSite(t)}
	server := httptest.NewServer(d.handler)
	t.Cleanup(server.Close)
	v := d.survey("Larkmoor house")
	id := survey.NewID()
	d.put("/api/surveys/"+string(v.ID)+"/photos/"+id, bytes.NewReader(portrait(t))).wants(http.StatusCreated)
	d.photo, _ = d.record(v.ID).Photo(survey.PhotoID(id))
	d.url = server.URL + photoPath(d.photo)
	d.tab = b.Tab(width, height, width < 700)
	d.open(d.tab)
	return d
}

// open goes to the photo and waits until the script has started.
func (d *desk) open(tab *browser.Tab) {
	d.t.Helper()
	tab.Go(d.url)
	d.ready(tab)
}

func (d *desk) ready(tab *browser.Tab) {
	d.t.Helper()
	tab.Wait(`document.querySelector('[data-widget="photo"]').dataset.ready !== undefined && document.querySelector('.view img').complete`)
}

// portrait is a JPEG of 1200 by 1600 pixels with a grid of lines.
func portrait(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 1200, 1600))
	for y := range 1600 {
		for x := range 1200 {
			c := color.RGBA{uint8(90 + x/20), uint8(80 + y/30), 60, 255}
			if x%100 == 0 || y%100 == 0 {
				c = color.RGBA{230, 230, 220, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// at is where a fraction of the picture lies in the window now, on screen, whatever the zoom.
func (d *desk) at(tab *browser.Tab, x, y float64) [2]float64 {
	d.t.Helper()
	b := tab.Box(".view img")
	return [2]float64{b.X + x*b.W, b.Y + y*b.H}
}

// tap presses at a fraction of the picture.
func (d *desk) tap(tab *browser.Tab, x, y float64) [2]float64 {
	d.t.Helper()
	p := d.at(tab, x, y)
	tab.PressAt(p[0], p[1])
	return p
}

// shown scrolls the stage to the top of the window.
func (d *desk) shown(tab *browser.Tab) {
	d.t.Helper()
	browser.Eval[bool](tab, `(scrollTo({top: 0, behavior: 'instant'}), true)`)
}

// settled waits until everything has arrived, and gives the pins as they are stored.
func (d *desk) settled(tab *browser.Tab, n int) []survey.Pin {
	d.t.Helper()
	tab.Wait(fmt.Sprintf(`document.querySelectorAll('a.pin').length === %d && document.querySelector('[data-widget="photo"]').dataset.unsent === '0'`, n))
	pins := d.record(d.photo.Survey).Pins
	if len(pins) != n {
		d.t.Fatalf("got %d pins stored, want %d", len(pins), n)
	}
	return pins
}

// near compares a stored fraction with a place in the window: within half a px of the screen.
func (d *desk) near(tab *browser.Tab, what string, x, y float64, want [2]float64) {
	d.t.Helper()
	got := d.at(tab, x, y)
	if dist := math.Hypot(got[0]-want[0], got[1]-want[1]); dist > 0.5 {
		d.t.Errorf("%s: stored %.6f, %.6f lies %.2f px off", what, x, y, dist)
	}
}

// arm presses one of the four buttons and, when a kind is given, chooses it after the tap.
func (d *desk) arm(tab *browser.Tab, group string) {
	d.t.Helper()
	tab.Press(fmt.Sprintf(`[data-group-button="%s"]`, group))
	d.shown(tab)
}

func (d *desk) kind(tab *browser.Tab, kind string) {
	d.t.Helper()
	tab.Wait(fmt.Sprintf(`document.querySelector('[data-kind="%s"]').offsetParent !== null`, kind))
	tab.Press(fmt.Sprintf(`[data-kind="%s"]`, kind))
	d.shown(tab)
}

// Without script the page still works: the marks lead to list and form, and a form places a pin.
func TestBrowserWithoutScript(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	p := d.pin(survey.Pin{Survey: d.photo.Survey, Photo: d.photo.ID, Kind: survey.PinPost, X: 0.25, Y: 0.75})
	page := d.get(photoPath(d.photo)).page()
	mark := page.Find(`.pins a.pin`)
	if mark.AttrOr("href", "") != "#p1" || mark.AttrOr("data-pin", "") != string(p.ID) {
		t.Error("the mark leads nowhere")
	}
	if page.Find("#p1 a").AttrOr("href", "") != photoPath(d.photo)+"?pin="+string(p.ID)+"#pin" {
		t.Error("the list leads to no form")
	}

	d.tab.NoScript()
	d.tab.Go(d.url + "?kind=hanger")
	d.tab.Type(`#pin [name="v.drop"]`, "7/16")
	d.tab.Type(`#pin [name="at.x"]`, "12.5")
	d.tab.Type(`#pin [name="at.y"]`, "75")
	d.tab.Press(`#pin .btn.main`)
	var pins []survey.Pin
	for end := time.Now().Add(20 * time.Second); len(pins) < 2 && time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		pins = d.record(d.photo.Survey).Pins
	}
	if len(pins) != 2 || pins[1].X != 0.125 || pins[1].Y != 0.75 || pins[1].Values["drop"] != "7/16" {
		t.Errorf("the form placed %+v", pins)
	}
}
