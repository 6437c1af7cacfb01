package web

import (
	"bytes"
	"image"
	"image/color"
	"image/gif"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// unshown is a picture that browsers open and this server does not: a GIF of 120 by 80 pixels.
func unshown(t *testing.T) []byte {
	t.Helper()
	img := image.NewPaletted(image.Rect(0, 0, 120, 80), color.Palette{color.White, color.RGBA{150, 60, 40, 255}})
	for i := range img.Pix {
		img.Pix[i] = uint8(i / 120 % 2)
	}
	var out bytes.Buffer
	if err := gif.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// A photo that cannot be shown takes a client's JPEG as its picture, keeps its original byte for byte, and is not replaced once it is shown.
func TestPreviewByTheClient(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	id := survey.NewID()
	path := "/api/surveys/" + string(v.ID) + "/photos/" + id
	original := unshown(t)
	w.put(path, bytes.NewReader(original)).wants(http.StatusCreated)
	if p := w.record(v.ID).Photos[0]; p.Shown() || p.Meta.Problem == "" {
		t.Fatalf("a GIF is shown, or does not say why not: %+v", p)
	}
	w.put(path+"/preview", strings.NewReader("no picture")).wants(http.StatusUnprocessableEntity)
	w.put(path+"/preview", bytes.NewReader(portrait(t))).wants(http.StatusOK)
	p := w.record(v.ID).Photos[0]
	if !p.Shown() || p.Meta.Problem != "" || !strings.Contains(strings.Join(p.Meta.Warnings, " "), "made by the phone") {
		t.Errorf("with its preview: %+v", p)
	}
	if p.Width != 1200 || p.Height != 1600 {
		t.Errorf("size: got %d x %d, want the preview's", p.Width, p.Height)
	}
	if got := w.get(photoPath(p) + "/original").wants(http.StatusOK).Body.Bytes(); !bytes.Equal(got, original) {
		t.Error("the original is not what was sent")
	}
	screen := p.Screen
	w.put(path+"/preview", bytes.NewReader(unshown(t))).wants(http.StatusOK)
	if got := w.record(v.ID).Photos[0].Screen; got != screen {
		t.Error("a second preview replaced the first")
	}
	w.put("/api/surveys/"+string(v.ID)+"/photos/"+survey.NewID()+"/preview", bytes.NewReader(portrait(t))).wants(http.StatusNotFound)
}

// The page makes the preview by itself when the browser can open what the server cannot.
func TestBrowserMakesThePreview(t *testing.T) {
	b := browser.Open(t)
	w := newSite(t)
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	v := w.survey("Larkmoor house")
	file := filepath.Join(t.TempDir(), "IMG_1.gif")
	if err := os.WriteFile(file, unshown(t), 0o600); err != nil {
		t.Fatal(err)
	}
	tab := b.Tab(phoneWidth, phoneHeight, true)
	tab.Go(server.URL + surveyPath(v.ID) + "/photos")
	tab.Do(chromedp.SetUploadFiles(`input[name="photos"]`, []string{file}))
	tab.Wait(`document.querySelector('[data-part="grid"] a.shot img[src]')?.naturalWidth > 0`)
	if p := w.record(v.ID).Photos[0]; !p.Shown() || p.Width != 120 || p.Height != 80 {
		t.Errorf("got %+v, want the browser's picture of 120 by 80 pixels", p)
	}
}
