package report

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/pdfcpu/pdfcpu/pkg/api"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
	"undercroft/survey/report/pdf"
)

// childFolder is the environment variable by which the benchmark tells its child process where the photos are.
const childFolder = "UNDERCROFT_PDF_CHILD"

// longReport is the demo's report for the crew with as many photos more as make twenty, and at least 40 pages.
func longReport(t testing.TB) document.Document {
	t.Helper()
	r := demoRecord(t)
	doc := Build(r, survey.Compute(r), WithinReport(), made()).Document(document.Crew, words.English, Options{})
	var blocks []document.Block
	n := 0
	for pass := range 5 {
		for i, b := range doc.Blocks {
			switch {
			case b.Photo != nil && n < 20:
				n++
				photo := *b.Photo
				photo.SHA256, photo.ID, photo.Width, photo.Height = fmt.Sprint("photo-", n), fmt.Sprint("photo-of-the-benchmark-", n), 1600, 1200
				blocks = append(blocks, document.Block{Photo: &photo})
				if pass > 0 && doc.Blocks[i+1].Table != nil {
					table := *doc.Blocks[i+1].Table
					table.Rows = append([]document.Row(nil), table.Rows...)
					for k := range table.Rows {
						table.Rows[k].ID = ""
					}
					blocks = append(blocks, document.Block{Table: &table})
				}
			case pass == 0:
				blocks = append(blocks, b)
			}
		}
	}
	doc.Blocks = blocks
	return doc
}

// TestPDFChild is the child process of the benchmark: it composes and writes the report once and prints its peak of memory.
func TestPDFChild(t *testing.T) {
	dir := os.Getenv(childFolder)
	if dir == "" {
		t.Skip("it is run by BenchmarkPDF")
	}
	out, err := os.Create(filepath.Join(dir, "child.pdf"))
	if err != nil {
		t.Fatal(err)
	}
	if err := pdf.Write(out, longReport(t), pdf.Letter, folderImages(dir)); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		t.Skip(err)
	}
	fmt.Println(regexp.MustCompile(`VmHWM:\s+\d+ kB`).FindString(string(status)))
}

func folderImages(dir string) ImageSource {
	return func(sum string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, sum)) }
}

// BenchmarkPDF writes a report of at least 40 pages with 20 photos of 1600 x 1200, and lets Chromium print the HTML of the same report in the same run. The goals on the
// machine it was made on: 1 s, 120 MB in a process of its own, and a fifth of Chromium's time. Chromium's own start, taken from printing an empty page, is told apart.
func BenchmarkPDF(b *testing.B) {
	dir := b.TempDir()
	for n := range 20 {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprint("photo-", n+1)), grain(b, 1600, 1200, uint32(n)), 0o600); err != nil {
			b.Fatal(err)
		}
	}
	var doc document.Document
	if !b.Run("compose", func(b *testing.B) {
		for b.Loop() {
			doc = longReport(b)
		}
	}) {
		return
	}
	b.Run("write", func(b *testing.B) {
		b.ReportAllocs()
		var out bytes.Buffer
		for b.Loop() {
			out.Reset()
			if err := pdf.Write(&out, doc, pdf.Letter, folderImages(dir)); err != nil {
				b.Fatal(err)
			}
		}
		pages, err := api.PageCount(bytes.NewReader(out.Bytes()), nil)
		if err != nil || pages < 40 {
			b.Fatalf("%d pages: %v", pages, err)
		}
		b.ReportMetric(float64(pages), "pages")
		b.ReportMetric(float64(out.Len())/1e6, "MB")
	})
	b.Run("process", func(b *testing.B) {
		peak := 0.0
		for b.Loop() {
			cmd := exec.Command(os.Args[0], "-test.run=^TestPDFChild$", "-test.v")
			cmd.Env = append(os.Environ(), childFolder+"="+dir)
			out, err := cmd.CombinedOutput()
			if err != nil {
				b.Fatalf("%v\n%s", err, out)
			}
			if m := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(out); m != nil {
				kb, _ := strconv.ParseFloat(string(m[1]), 64) // digits only
				peak = max(peak, kb/1024)
			}
		}
		b.ReportMetric(peak, "peak-MB")
	})
	b.Run("chromium", func(b *testing.B) { benchChromium(b, doc, dir) })
}

// benchChromium prints the report's HTML, and an empty page to know the start of the program.
func benchChromium(b *testing.B, doc document.Document, dir string) {
	path, err := exec.LookPath("chromium")
	if name := os.Getenv("CHROMIUM"); name != "" {
		path, err = exec.LookPath(name)
	}
	if err != nil || os.Getenv("UNDERCROFT_BROWSER") == "off" {
		b.Skip("no browser here")
	}
	var page strings.Builder
	if err := WriteHTML(&page, doc, "letter", folderImages(dir)); err != nil {
		b.Fatal(err)
	}
	printed := func(name, html string) time.Duration {
		at := filepath.Join(dir, name)
		if err := os.WriteFile(at, []byte(html), 0o600); err != nil {
			b.Fatal(err)
		}
		start := time.Now()
		cmd := exec.Command(path, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", "--user-data-dir="+b.TempDir(), "--print-to-pdf="+at+".pdf", "file://"+at)
		if out, err := cmd.CombinedOutput(); err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
		return time.Since(start)
	}
	var start, whole time.Duration
	runs := 0
	for b.Loop() {
		start += printed("empty.html", "<!doctype html><title>x</title>")
		whole += printed("report.html", page.String())
		runs++
	}
	b.ReportMetric(start.Seconds()/float64(runs), "s-start")
	b.ReportMetric(whole.Seconds()/float64(runs), "s-print")
	b.ReportMetric((whole-start).Seconds()/float64(runs), "s-print-less-start")
}
