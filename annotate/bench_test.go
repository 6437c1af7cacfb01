package annotate

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"
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
	var used usage
	for b.Loop() {
		res, state, err := child.run(b.Context(), path, out)
		if err != nil || res.Screen == "" {
			b.Fatal(res, err)
		}
		used.add(state)
	}
	used.report(b)
}

// BenchmarkThumbnailer12MP is the reference: vipsthumbnail (libvips) makes the same two derivatives of the same file, one run each. It reads
// less: no hash, no Exif, no quality. It is skipped where the program is not installed.
func BenchmarkThumbnailer12MP(b *testing.B) {
	program, err := exec.LookPath("vipsthumbnail")
	if err != nil {
		b.Skip("vipsthumbnail is not installed")
	}
	path, out := twelveMegapixels(b), b.TempDir()
	var used usage
	for b.Loop() {
		for _, side := range []int{ScreenSide, ThumbSide} {
			cmd := exec.CommandContext(b.Context(), program, path, "-s", strconv.Itoa(side), "-o", filepath.Join(out, strconv.Itoa(side)+".jpg"))
			if message, err := cmd.CombinedOutput(); err != nil {
				b.Fatalf("%v: %s", err, message)
			}
			used.add(cmd.ProcessState)
		}
	}
	used.report(b)
}

// usage sums the processor time of finished processes and keeps the largest resident size of one.
type usage struct {
	cpu  time.Duration
	peak int64
}

func (u *usage) add(state *os.ProcessState) {
	u.cpu += state.UserTime() + state.SystemTime()
	u.peak = max(u.peak, peakBytes(state))
}

func (u *usage) report(b *testing.B) {
	b.ReportMetric(u.cpu.Seconds()/float64(b.N), "cpu-s/op")
	b.ReportMetric(float64(u.peak)/(1<<20), "peak-MB")
}
