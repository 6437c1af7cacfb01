package report

import (
	"bytes"
	"image"
	"image/jpeg"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"

	"undercroft/survey"
	"undercroft/survey/report/pdf"
)

// grain is a JPEG of a size, noisy as a photo is, so that it has a photo's weight; every seed makes another.
func grain(t testing.TB, w, h int, seed uint32) []byte {
	t.Helper()
	img := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for i := range img.Y {
		seed = seed*1664525 + 1013904223 // Numerical Recipes, 2nd ed., 7.1
		img.Y[i] = uint8(i%w*160/w) + uint8(seed>>27)
	}
	for i := range img.Cb {
		img.Cb[i], img.Cr[i] = uint8(110+i%40), uint8(120+i/w%20)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 80}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestPDFOfEveryReport: the demo and a bare survey for every reader in both languages, and every worked case of the calculator for every reader, is a PDF in which pdfcpu, another
// implementation of ISO 32000-1, finds nothing wrong when it takes no liberties, and is the same twice.
func TestPDFOfEveryReport(t *testing.T) {
	models := map[string]Model{"demo": demoModel(t), "bare": Build(bare(), survey.Compute(bare()), WithinReport(), made())}
	for _, name := range caseNames(t) {
		models[filepath.Base(name)], _ = caseModel(t, name)
	}
	model.ConfigPath = "disable"
	conf := model.NewDefaultConfiguration()
	conf.ValidationMode = model.ValidationStrict
	photo := grain(t, 160, 120, 1)
	images := func(string) ([]byte, error) { return photo, nil }
	for name, m := range models {
		for reader, of := range readers() {
			if strings.HasSuffix(name, ".json") && strings.HasSuffix(reader, "-es") {
				continue // the language changes no drawing
			}
			paper := pdf.Letter
			if len(name)%2 == 0 {
				paper = pdf.A4
			}
			var first, second bytes.Buffer
			for _, out := range []*bytes.Buffer{&first, &second} {
				if err := pdf.Write(out, of(m, Options{}), paper, images); err != nil {
					t.Fatalf("%s %s: %v", name, reader, err)
				}
			}
			if !bytes.Equal(first.Bytes(), second.Bytes()) {
				t.Errorf("%s %s: written again it is another file", name, reader)
			}
			if err := api.Validate(bytes.NewReader(first.Bytes()), conf); err != nil {
				t.Errorf("%s %s: %v", name, reader, err)
			}
		}
	}
}
