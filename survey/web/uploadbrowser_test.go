package web

import (
	"bytes"
	"image"
	"image/jpeg"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// Photos chosen on the page are sent in the order in which they were chosen and come into the grid by their numbers; one that is too large is said before
// a byte is sent.
func TestBrowserUpload(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	dir := t.TempDir()
	files := []string{filepath.Join(dir, "ledger & post.jpg"), filepath.Join(dir, "two.jpg"), filepath.Join(dir, "notes.txt"), filepath.Join(dir, "huge.jpg")}
	for i, body := range [][]byte{gradient(t), portrait(t), []byte("no picture"), nil} {
		if err := os.WriteFile(files[i], body, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Truncate(files[3], survey.MaxPhotoBytes+1); err != nil {
		t.Fatal(err)
	}
	d.tab.Go(strings.TrimSuffix(d.url, "/"+string(d.photo.ID)))
	d.tab.Wait(`document.querySelector('[data-widget="photos"]').dataset.ready !== undefined`)
	d.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[name="photos"]`), files))
	d.tab.Wait(`document.querySelectorAll('.shots li').length === 4 && document.querySelectorAll('.sending li').length === 0 && document.querySelector('.add [role="alert"]')`)
	if got := browser.Eval[string](d.tab, `document.querySelector('.add [role="alert"]').textContent`); !strings.Contains(got, "huge.jpg") || !strings.Contains(got, "more than the 40 MB") {
		t.Errorf("of the one that is too large it says %q", got)
	}
	var names []string
	for _, p := range d.record(d.photo.Survey).Photos[1:] {
		names = append(names, p.Name)
	}
	if strings.Join(names, "|") != "ledger & post.jpg|two.jpg|notes.txt" {
		t.Errorf("got photos %q", names)
	}
	order := browser.Eval[string](d.tab, `[...document.querySelectorAll('.shots b')].map((b) => b.textContent).join(' ')`)
	if order != "1 2 3 4" {
		t.Errorf("the grid shows %s", order)
	}
}

// Shown larger than the derivative is, the original takes its place: the same picture, so points stay exact. The photo is stored turned
// (Exif orientation 6) and must come upright both ways.
func TestBrowserOriginalWhenZoomed(t *testing.T) {
	d := openDesk(t, deskWidth, deskHeight)
	id := survey.NewID()
	d.put("/api/surveys/"+string(d.photo.Survey)+"/photos/"+id, bytes.NewReader(turned(t))).wants(http.StatusCreated)
	d.url = strings.TrimSuffix(d.url, string(d.photo.ID)) + id
	d.photo, _ = d.record(d.photo.Survey).Photo(survey.PhotoID(id))
	if d.photo.Width != 3000 || d.photo.Height != 4000 {
		t.Fatalf("the upright photo measures %d by %d", d.photo.Width, d.photo.Height)
	}
	d.open(d.tab)
	for range 5 {
		d.tab.Press(`[data-tool="in"]`)
	}
	d.tab.Wait(`document.querySelector('.view img').src.endsWith('/original') && document.querySelector('.view img').complete`)
	d.tab.Wait(`document.querySelector('.view img').naturalWidth === 3000`)
	d.shown(d.tab)
	d.arm(d.tab, "Concern")
	stage := d.tab.Box(".stage")
	want := [2]float64{stage.X + stage.W*0.61, stage.Y + stage.H*0.37}
	d.tab.PressAt(want[0], want[1])
	d.kind(d.tab, "concern")
	p := d.settled(d.tab, 1)[0]
	d.near(d.tab, "tap on the original", p.X, p.Y, want)
}

// turned is a JPEG of 4000 by 3000 pixels that says it must be turned a quarter to the right.
func turned(t *testing.T) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 4000, 3000))
	for i := range img.Pix {
		img.Pix[i] = uint8(i / 50)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	// An APP1 segment with one big-endian IFD of one entry: tag 0x0112, a SHORT, 6 (Exif 2.3, section 4.6.4).
	exif := []byte{0xff, 0xe1, 0, 34, 'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0}
	return append(append([]byte{0xff, 0xd8}, exif...), out.Bytes()[2:]...)
}

// A photo that waits can be taken back, after being asked; without that it arrives by itself once there is a connection.
func TestBrowserUploadCancelled(t *testing.T) {
	d := openDesk(t, phoneWidth, phoneHeight)
	files, _ := pictures(t, 2, 50_000)
	d.tab.Go(strings.TrimSuffix(d.url, "/"+string(d.photo.ID)))
	d.tab.Wait(`document.querySelector('[data-widget="photos"]').dataset.ready !== undefined`)
	d.tab.Allow("ERR_INTERNET_DISCONNECTED")
	d.tab.Offline(true)
	d.tab.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[name="photos"]`), files))
	d.tab.Wait(`document.querySelectorAll('.sending li').length === 2`)
	d.tab.Press(`.sending li .acts .btn:last-child`)
	d.tab.Wait(`document.querySelector('.twoways')?.textContent.includes('exist only on this phone')`)
	d.tab.Press(`.twoways .btn:first-child`)
	d.tab.Wait(`document.querySelectorAll('.sending li').length === 2 && !document.querySelector('.twoways .caut')`)
	d.tab.Press(`.sending li .acts .btn:last-child`)
	d.tab.Wait(`document.querySelector('.twoways .caut')`)
	d.tab.Press(`.twoways .drop`)
	d.tab.Wait(`document.querySelectorAll('.sending li').length === 1`)
	d.tab.Offline(false)
	d.tab.Wait(`document.querySelectorAll('.shots li').length === 2 && document.querySelectorAll('.sending li').length === 0`)
	if photos := d.record(d.photo.Survey).Photos; len(photos) != 2 || photos[1].Name != "IMG_2.jpg" {
		t.Errorf("got %d photos, the last one %q", len(photos), photos[len(photos)-1].Name)
	}
}
