package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"log/slog"
	"math"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"undercroft/annotate"
	"undercroft/survey"
	"undercroft/survey/store"
	"undercroft/survey/web/internal/browser"
)

// house is a server that can be stopped and started again on the same data and under the same address, over connections that are counted and can be cut.
type house struct {
	t     *testing.T
	dir   string
	addr  string
	store *store.Store
	http  *http.Server
	bytes atomic.Int64 // that have arrived in requests
	cut   atomic.Int64 // the connection is cut when this many more have arrived; 0 never
	away  atomic.Bool  // every request is cut off unanswered
	lose  atomic.Bool  // the first answer to each request that changes something is lost, after the change was made
	lost  sync.Map     // the requests whose answer was lost
	ways  atomic.Int64 // how many there were
}

func newHouse(t *testing.T) *house {
	t.Helper()
	h := &house{t: t, dir: t.TempDir(), addr: "127.0.0.1:0"}
	h.start()
	t.Cleanup(h.stop)
	return h
}

func (h *house) url(path string) string { return "http://" + h.addr + path }

func (h *house) start() {
	h.t.Helper()
	exe, err := os.Executable()
	if err != nil {
		h.t.Fatal(err)
	}
	s, err := store.Open(context.Background(), store.Config{Dir: h.dir, Now: time.Now})
	if err != nil {
		h.t.Fatal(err)
	}
	server, err := New(Config{Store: s, Photos: annotate.Child{Exe: exe}, Now: time.Now, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		h.t.Fatal(err)
	}
	listener, err := net.Listen("tcp", h.addr)
	if err != nil {
		h.t.Fatal(err)
	}
	h.addr, h.store, h.http = listener.Addr().String(), s, HTTPServer(h.losing(server.Handler()))
	go func(server *http.Server) { _ = server.Serve(countingListener{listener, h}) }(h.http) // ends with stop
}

// losing answers nothing while the house is away; when answers are to be lost, it does what a request asks and cuts the connection instead of answering, once for
// each request.
func (h *house) losing(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if h.away.Load() {
			panic(http.ErrAbortHandler)
		}
		changes := r.Method == http.MethodPut || r.Method == http.MethodPatch || r.Method == http.MethodDelete
		if !h.lose.Load() || !changes {
			next.ServeHTTP(w, r)
			return
		}
		if _, again := h.lost.LoadOrStore(r.Method+r.URL.Path+r.Header.Get("Upload-Offset"), true); again {
			next.ServeHTTP(w, r)
			return
		}
		h.ways.Add(1)
		next.ServeHTTP(httptest.NewRecorder(), r)
		panic(http.ErrAbortHandler)
	})
}

// stop ends the server and closes the store; a second time it does nothing.
func (h *house) stop() {
	if h.http == nil {
		return
	}
	_ = h.http.Close() // cuts what is under way
	if err := h.store.Close(); err != nil {
		h.t.Error(err)
	}
	h.http = nil
}

type countingListener struct {
	net.Listener
	h *house
}

// Accept counts what arrives on each connection.
func (l countingListener) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	return countingConn{c, l.h}, err
}

type countingConn struct {
	net.Conn
	h *house
}

// Read counts, and cuts the connection when its time has come.
func (c countingConn) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	c.h.bytes.Add(int64(n))
	if left := c.h.cut.Load(); left > 0 && c.h.cut.Add(-int64(n)) <= 0 {
		c.h.cut.Store(0)
		_ = c.Close()
		return 0, net.ErrClosed
	}
	return n, err
}

// one is the only survey there is.
func (h *house) one() survey.Record {
	h.t.Helper()
	all, err := h.store.Surveys(context.Background())
	if err != nil || len(all) != 1 {
		h.t.Fatalf("got %d surveys, %v; want 1", len(all), err)
	}
	r, err := h.store.Record(context.Background(), all[0].ID)
	if err != nil {
		h.t.Fatal(err)
	}
	return r
}

func (h *house) surveys() int {
	h.t.Helper()
	all, err := h.store.Surveys(context.Background())
	if err != nil {
		h.t.Fatal(err)
	}
	return len(all)
}

// phone is a browser on the site, with its service worker at work.
type phone struct {
	*house
	tab *browser.Tab
}

// worker opens the list of surveys and waits until this version's shell is kept and the worker has taken the page over.
func (p *phone) worker() {
	p.t.Helper()
	p.tab.Go(p.url("/surveys"))
	p.tab.Wait(`navigator.serviceWorker.controller && navigator.serviceWorker.ready.then((r) => r.active.state === 'activated') && caches.keys().then((keys) => keys.some((k) => k.startsWith('shell-')))`)
}

// offline takes all of the phone's connections away, or gives them back. The server does not answer either, since the browser forgets for a moment that it is
// without a connection when a page is replaced by the next.
func (p *phone) offline(off bool) {
	p.t.Helper()
	p.away.Store(off)
	p.tab.Offline(off)
}

// waiting waits until so many things wait on the phone.
func (p *phone) waiting(n int) {
	p.t.Helper()
	p.tab.Wait(fmt.Sprintf(`Number(document.querySelector('.waitstrip')?.dataset.waiting) === %d`, n))
}

// pictures writes n different JPEG files of noise, each of about the given size in bytes, and gives their names and hashes.
func pictures(t *testing.T, n, size int) (files, sums []string) {
	t.Helper()
	dir, noise := t.TempDir(), rand.New(rand.NewPCG(1, 2))
	for i := range n {
		side := int(math.Sqrt(float64(size) / 0.75))
		img := image.NewRGBA(image.Rect(0, 0, side*4/3, side))
		for j := range img.Pix {
			img.Pix[j] = uint8(noise.UintN(256))
		}
		img.SetRGBA(0, 0, color.RGBA{uint8(i), 0, 0, 255})
		var out bytes.Buffer
		if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 60}); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, fmt.Sprintf("IMG_%d.jpg", i+1))
		if err := os.WriteFile(name, out.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(out.Bytes())
		files, sums = append(files, name), append(sums, hex.EncodeToString(sum[:]))
	}
	return files, sums
}

// begin starts a survey on the phone and gives its address there.
func (p *phone) begin(title string) string {
	p.t.Helper()
	p.tab.Go(p.url("/surveys/new"))
	p.tab.Wait(`document.querySelector('[name="f.title"]')`)
	p.tab.Type(`[name="f.title"]`, title)
	p.tab.Press(`.savebar .btn.main`)
	p.tab.Wait(`/^\/surveys\/[0-9a-f-]{36}/.test(location.pathname) && document.querySelector('.waitstrip')?.dataset.waiting`)
	return browser.Eval[string](p.tab, `/^\/surveys\/[0-9a-f-]{36}/.exec(location.pathname)[0]`)
}

// width types the deck's width and puts the length pad away.
func (p *phone) width(text string) {
	p.t.Helper()
	p.tab.Type(`[name="f.width"]`, text)
	browser.Eval[bool](p.tab, `(document.activeElement.blur(), true)`)
}

// take chooses photos on a survey's page, all at once.
func (p *phone) take(home string, files []string) {
	p.t.Helper()
	p.tab.Go(p.url(home + "/photos"))
	p.tab.Wait(`document.querySelector('[data-widget="photos"]').dataset.ready !== undefined`)
	p.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[name="photos"]`), files))
}

// wantPin is a pin as it was tapped, in fractions of the picture.
type wantPin struct{ x, y float64 }

// pinPhotos opens each waiting photo from the photos page and taps notes on it, and gives them by the photo's name.
func (p *phone) pinPhotos(home string, counts []int) map[string][]wantPin {
	p.t.Helper()
	want := map[string][]wantPin{}
	for i, n := range counts {
		p.tab.Go(p.url(home + "/photos"))
		p.tab.Wait(fmt.Sprintf(`document.querySelectorAll('.sending li .nm a').length === %d`, len(counts)))
		name := browser.Eval[string](p.tab, fmt.Sprintf(`document.querySelectorAll('.sending .nm')[%d].textContent`, i))
		p.tab.Press(fmt.Sprintf(`.sending li:nth-child(%d) .nm a`, i+1))
		p.tab.Wait(`document.querySelector('[data-widget="photo"]')?.dataset.ready !== undefined && document.querySelector('.view img').naturalWidth > 0`)
		before := browser.Eval[int](p.tab, `Number(document.querySelector('.waitstrip').dataset.waiting)`)
		want[name] = p.tapNotes(n)
		p.waiting(before + n)
	}
	return want
}

// tapNotes places notes in a row across the picture.
func (p *phone) tapNotes(n int) []wantPin {
	p.t.Helper()
	p.tab.Press(`[data-group-button="Concern"]`)
	var want []wantPin
	for i := range n {
		browser.Eval[bool](p.tab, `(scrollTo({top: 0, behavior: 'instant'}), true)`)
		x, y := 0.15+0.2*float64(i), 0.3+0.1*float64(i%3)
		b := p.tab.Box(".view img")
		p.tab.PressAt(b.X+x*b.W, b.Y+y*b.H)
		if i == 0 {
			p.tab.Wait(`document.querySelector('[data-kind="note"]').offsetParent !== null`)
			p.tab.Press(`[data-kind="note"]`)
		}
		p.tab.Wait(fmt.Sprintf(`document.querySelectorAll('a.pin').length === %d`, i+1))
		want = append(want, wantPin{x, y})
	}
	return want
}

// complete checks that all has arrived, once, in order.
func (p *phone) complete(r survey.Record, sums []string, want map[string][]wantPin) {
	p.t.Helper()
	if len(r.Photos) != len(sums) {
		p.t.Fatalf("got %d photos, want %d", len(r.Photos), len(sums))
	}
	pins := 0
	for i, photo := range r.Photos {
		if name := fmt.Sprintf("IMG_%d.jpg", i+1); photo.SHA256 != sums[i] || photo.Name != name || photo.Number != i+1 || !photo.Shown() {
			p.t.Errorf("photo %d is %q, number %d, shown %t, and its bytes are right: %t", i+1, photo.Name, photo.Number, photo.Shown(), photo.SHA256 == sums[i])
		}
		got := r.PinsOn(photo.ID)
		if len(got) != len(want[photo.Name]) {
			p.t.Errorf("%s: got %d pins, want %d", photo.Name, len(got), len(want[photo.Name]))
			continue
		}
		for j, w := range want[photo.Name] {
			pins++
			if math.Abs(got[j].X-w.x) > 0.002 || math.Abs(got[j].Y-w.y) > 0.002 || got[j].Kind != survey.PinNote {
				p.t.Errorf("%s: pin %d is a %s at %.4f, %.4f; want a note at %.4f, %.4f", photo.Name, got[j].Number, got[j].Kind, got[j].X, got[j].Y, w.x, w.y)
			}
		}
	}
	if len(r.Pins) != pins {
		p.t.Errorf("got %d pins in all, want %d", len(r.Pins), pins)
	}
}

// notes counts complaints of a page that a missing connection makes.
func allowOffline(tab *browser.Tab) {
	for _, part := range []string{"ERR_INTERNET_DISCONNECTED", "ERR_CONNECTION", "ERR_FAILED", "ERR_EMPTY_RESPONSE", "503"} {
		tab.Allow(part)
	}
}

// pinCounts are 20 pins on six photos.
func pinCounts() []int { return []int{4, 4, 3, 3, 3, 3} }

// A survey begun, measured, photographed and pinned without a connection arrives complete, once and in order.
func TestBrowserSurveyOffline(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	p.offline(true)
	home := p.begin("Larkmoor house")
	p.tab.Go(p.url(home))
	p.width("28' 4")
	p.tab.Press(`.savebar .btn.main`)
	p.waiting(2)
	p.tab.Wait(`document.querySelector('[name="f.width"]').value === "28' 4" && document.querySelector('[data-here]').textContent === 'waiting on this phone'`)

	files, sums := pictures(t, 6, 300_000)
	p.take(home, files)
	p.waiting(8)
	want := p.pinPhotos(home, pinCounts())
	p.waiting(28)
	if n := p.surveys(); n != 0 {
		t.Fatalf("%d surveys arrived without a connection", n)
	}
	p.offline(false)
	p.waiting(0)
	p.complete(p.one(), sums, want)
	if got := p.one().Facts["width"].Text; got != "28' 4" {
		t.Errorf("the width arrived as %q", got)
	}
	p.tab.Reload()
	p.tab.Wait(`document.querySelectorAll('a.pin').length === 3 && document.querySelector('.waitstrip').hidden`)
}

// The same with the browser ended at once while everything waits, and the server stopped and started in between.
func TestBrowserSurveyOfflineKilled(t *testing.T) {
	p, profile := &phone{house: newHouse(t)}, t.TempDir()
	b := browser.OpenProfile(t, profile)
	p.tab = b.Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	p.stop()
	home := p.begin("Larkmoor house")
	files, sums := pictures(t, 6, 300_000)
	p.take(home, files)
	p.waiting(7)
	want := p.pinPhotos(home, pinCounts())
	p.waiting(27)
	b.Crash()

	p.start()
	p.tab = browser.OpenProfile(t, profile).Tab(phoneWidth, phoneHeight, true)
	p.tab.Go(p.url("/surveys"))
	p.waiting(0)
	p.complete(p.one(), sums, want)
}

// Every answer is lost once, after the server has done what was asked: all arrives all the same, once, with what was changed in between.
func TestBrowserAnswersLost(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.tab.Allow("409") // the answer to a change whose first version has arrived unanswered
	p.worker()
	p.offline(true)
	home := p.begin("Larkmoor house")
	p.tab.Go(p.url(home))
	p.width("28' 4")
	p.tab.Press(`#deck .savebar .btn.main`)
	p.waiting(2)
	files, sums := pictures(t, 2, 600_000)
	p.take(home, files)
	p.waiting(4)
	want := p.pinPhotos(home, []int{2, 3})
	p.waiting(9)
	p.lose.Store(true)
	p.offline(false)
	p.waiting(0)
	r := p.one()
	p.complete(r, sums, want)
	if r.Facts["width"].Text != "28' 4" || p.ways.Load() < 9 {
		t.Errorf("the width arrived as %q, and %d answers were lost", r.Facts["width"].Text, p.ways.Load())
	}

	// A pin that is changed while the answer to its first version is lost, and one that is deleted so.
	p.tab.Go(p.url(photoPath(r.Photos[1])))
	p.tab.Wait(`document.querySelector('[data-widget="photo"]')?.dataset.ready !== undefined`)
	p.lost.Clear() // the pins' own answers are lost once more
	lost := p.ways.Load()
	p.tab.Press(`#p5 a`)
	p.tab.Type(`#pin [name="note"]`, "loose nail")
	p.tab.Press(`#pin .btn.main`)
	for end := time.Now().Add(10 * time.Second); p.ways.Load() == lost && time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
	}
	p.away.Store(true) // nothing is sent again before the pin has changed
	p.tab.Type(`#pin [name="note"]`, "loose nails")
	p.tab.Press(`#pin .btn.main`)
	p.tab.Wait(`document.querySelector('#pin [data-status]').textContent === 'not sent yet'`)
	if now, _ := p.one().Pin(r.Pins[4].ID); now.Note != "loose nail" {
		t.Errorf("the first change did not arrive before its answer was lost: %q", now.Note)
	}
	browser.Eval[bool](p.tab, `(document.querySelector('#p4 a').scrollIntoView({block: 'center', behavior: 'instant'}), true)`)
	before := p.tab.Box(`#p4 a`)
	p.away.Store(false)
	p.waiting(0)
	p.tab.Wait(`document.querySelector('#pin [data-fresh="history"]').textContent.includes('Who changed what')`)
	if after := p.tab.Box(`#p4 a`); math.Abs(after.Y-before.Y) > 2 {
		t.Errorf("the row under the finger moved from %.0f to %.0f px when the answer came", before.Y, after.Y)
	}
	p.tab.Press(`#p4 a`)
	p.tab.Press(`#pin [data-delete]`)
	p.tab.Wait(`document.querySelectorAll('a.pin').length === 2 && document.querySelector('[data-widget="photo"]').dataset.unsent === '0'`)
	p.waiting(0)
	notes := ""
	for _, pin := range p.one().PinsOn(r.Photos[1].ID) {
		notes += fmt.Sprintf("%d %s|", pin.Number, pin.Note)
	}
	if notes != "3 |5 loose nails|" {
		t.Errorf("the pins are %q", notes)
	}
}

// A connection that is cut in the middle of a photo: what has arrived is not sent again.
func TestBrowserPhotoCutOff(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	home := p.beginOnline("Larkmoor house")
	files, sums := pictures(t, 1, 4_000_000)
	info, err := os.Stat(files[0])
	if err != nil {
		t.Fatal(err)
	}
	before := p.bytes.Load()
	p.cut.Store(info.Size() / 2)
	p.take(home, files)
	p.tab.Wait(`document.querySelectorAll('.shots li').length === 1 && document.querySelectorAll('.sending li').length === 0`)
	if p.cut.Load() != 0 {
		t.Error("the connection was not cut")
	}
	p.complete(p.one(), sums, nil)
	sent := p.bytes.Load() - before
	t.Logf("%d bytes sent for a photo of %d", sent, info.Size())
	if sent < info.Size() || float64(sent) > 1.25*float64(info.Size()) {
		t.Errorf("%d bytes were sent for a photo of %d, more than 1.25 times as much", sent, info.Size())
	}
}

// beginOnline starts a survey on the server and opens its photos.
func (p *phone) beginOnline(title string) string {
	p.t.Helper()
	v, err := p.store.CreateSurvey(context.Background(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: title})
	if err != nil {
		p.t.Fatal(err)
	}
	return surveyPath(v.ID)
}

// Two people at once, one of them without a connection: both versions are shown, nothing is overwritten before a choice, and both choices hold.
func TestBrowserOfflineConflicts(t *testing.T) {
	for _, row := range []struct {
		name        string
		button      int
		note, width string
	}{{"mine stands", 1, "mine", "28' 4"}, {"theirs stands", 2, "theirs", "27'"}} {
		t.Run(row.name, func(t *testing.T) {
			p := &phone{house: newHouse(t)}
			p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
			allowOffline(p.tab)
			p.tab.Allow("409")
			p.worker()
			home := p.beginOnline("Larkmoor house")
			files, _ := pictures(t, 1, 100_000)
			p.take(home, files)
			p.tab.Wait(`document.querySelectorAll('.shots li').length === 1`)
			p.tab.Press(`.shots a`)
			p.tab.Wait(`document.querySelector('[data-widget="photo"]')?.dataset.ready !== undefined`)
			p.tapNotes(1)
			p.tab.Wait(`document.querySelector('[data-widget="photo"]').dataset.unsent === '0'`)
			p.tab.Go(p.url(home))
			p.tab.Wait(`document.querySelector('[name="f.width"]')`)
			p.tab.Go(p.url(photoPath(p.one().Photos[0])))
			p.tab.Wait(`document.querySelector('[data-widget="photo"]')?.dataset.ready !== undefined`)

			p.offline(true)
			p.tab.Press(`[data-row] a`)
			p.tab.Type(`#pin [name="note"]`, "mine")
			p.tab.Press(`#pin .btn.main`)
			p.waiting(1)
			p.tab.Go(p.url(home))
			p.width("28' 4")
			p.tab.Press(`#deck .savebar .btn.main`)
			p.waiting(2)

			pin := p.one().Pins[0]
			pin.Note = "theirs"
			if _, err := p.store.PutPin(t.Context(), pin); err != nil {
				t.Fatal(err)
			}
			if _, err := p.store.PutFacts(t.Context(), pin.Survey, []survey.Fact{{Survey: pin.Survey, Key: "width", Text: "27'"}}); err != nil {
				t.Fatal(err)
			}
			p.offline(false)
			p.tab.Wait(`document.querySelector('.waitstrip').textContent.includes('2 were changed by someone else: choose which stands')`)
			p.tab.Press(`.waitstrip a`)
			p.tab.Wait(`document.querySelectorAll('.sending .versions').length === 2`)
			cells := browser.Eval[string](p.tab, `[...document.querySelectorAll('.sending .versions tbody tr')].map((r) => r.textContent).join('|')`)
			if cells != "Noteminetheirs|Deck width28' 427'" {
				t.Errorf("side by side: %q", cells)
			}
			if r := p.one(); r.Pins[0].Note != "theirs" || r.Facts["width"].Text != "27'" {
				t.Errorf("overwritten before the choice: %q, %q", r.Pins[0].Note, r.Facts["width"].Text)
			}
			for range 2 {
				n := browser.Eval[int](p.tab, `document.querySelectorAll('.sending li').length`)
				p.tab.Press(fmt.Sprintf(`.twoways .row .btn:nth-child(%d)`, row.button))
				p.tab.Wait(fmt.Sprintf(`document.querySelectorAll('.sending li').length === %d`, n-1))
			}
			p.waiting(0)
			if r := p.one(); r.Pins[0].Note != row.note || r.Facts["width"].Text != row.width || len(r.Pins) != 1 {
				t.Errorf("settled as %q and %q", r.Pins[0].Note, r.Facts["width"].Text)
			}
		})
	}
}

// A phone without room says aloud that a photo was not kept and what to do, and keeps it once there is room.
func TestBrowserNoRoom(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	home := p.beginOnline("Larkmoor house")
	p.tab.Go(p.url(home + "/photos"))
	p.tab.Wait(`document.querySelector('[data-widget="photos"]').dataset.ready !== undefined`)
	p.offline(true)
	p.tab.Quota(p.url(""), 2_000_000)
	files, _ := pictures(t, 2, 3_000_000)
	p.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[name="photos"]`), files[:1]))
	p.tab.Wait(`document.querySelector('[role="alert"]')?.textContent.includes('this phone has no room left')`)
	if n := browser.Eval[int](p.tab, `document.querySelectorAll('.sending li').length`); n != 0 {
		t.Errorf("%d photos are said to wait", n)
	}
	p.tab.Quota(p.url(""), -1)
	p.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[name="photos"]`), files[1:]))
	p.tab.Wait(`document.querySelectorAll('.sending li').length === 1 && !document.querySelector('[role="alert"]')`)
}
