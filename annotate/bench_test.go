package annotate

import (
	"os"
	"path/filepath"
	"testing"
)

// twelveMegapixels is a JPEG of 4000 x 3000: that of the photo collection, or a made one where there is none.
func twelveMegapixels(b *testing.B) string {
	b.Helper()
	path := filepath.Join("..", "..", "shared", "photos", "big", "made_phone_12MP_4000x3000.jpg")
	if _, err := os.Stat(path); err != nil {
		return writeTemp(b, "made.jpg", encodeJPEG(b, noise(4000, 3000, 5)))
	}
	return path
}

// BenchmarkMake12MP takes in one 12 MP photo in this process.
func BenchmarkMake12MP(b *testing.B) {
	path, out := twelveMegapixels(b), b.TempDir()
	b.ReportAllocs()
	for b.Loop() {
		if res, err := Make(b.Context(), path, out); err != nil || res.Screen == "" {
			b.Fatal(res, err)
		}
	}
}

// BenchmarkChild12MP takes in one 12 MP photo in a child process, and tells the largest resident size of the child.
func BenchmarkChild12MP(b *testing.B) {
	path, out, child := twelveMegapixels(b), b.TempDir(), testChild(b, "work")
	var peak int64
	for b.Loop() {
		res, state, err := child.run(b.Context(), path, out)
		if err != nil || res.Screen == "" {
			b.Fatal(res, err)
		}
		peak = max(peak, peakBytes(state))
	}
	b.ReportMetric(float64(peak)/(1<<20), "peak-MB")
}
