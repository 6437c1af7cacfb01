package pdf

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// tool runs a program on a file and returns what it says. Without the program the test is skipped, unless the environment variable UNDERCROFT_PDFTOOLS is
// "required".
func tool(t *testing.T, file []byte, name string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("UNDERCROFT_PDFTOOLS") == "required" {
			t.Fatalf("no %s: install poppler-utils and qpdf", name)
		}
		t.Skip("no " + name + " here")
	}
	at := filepath.Join(t.TempDir(), "report.pdf")
	if err := os.WriteFile(at, file, 0o600); err != nil {
		t.Fatal(err)
	}
	for i, a := range args {
		if a == "FILE" {
			args[i] = at
		}
	}
	out, err := exec.CommandContext(t.Context(), path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// TestQPDF: qpdf, which reads every object, finds nothing wrong.
func TestQPDF(t *testing.T) {
	if out := tool(t, written(t, sample(), Letter, samplePhotos(t)), "qpdf", "--check", "FILE"); strings.Contains(strings.ToLower(out), "warning") {
		t.Error(out)
	}
}

// TestTextIsFound: Poppler copies the text as it was written: accents composed, fractions, primes; what no font has is marked, and nothing is lost between lines.
func TestTextIsFound(t *testing.T) {
	out := tool(t, written(t, sample(), A4, samplePhotos(t)), "pdftotext", "-enc", "UTF-8", "FILE", "-")
	for _, want := range []string{"Casa (del río) \uFFFD", "¿Señal de termitas? ✓ Café 12′ 3 5/8″ ± 1/8″", "10′ 6 3/4″", "389.6 ft² computed", "ab12 cd34", "continuación", "4′ 0″", "Stop. The flue ends below the ceiling."} {
		if !strings.Contains(out, want) {
			t.Errorf("the text lacks %q", want)
		}
	}
}

// TestFontsAreSubsets: Poppler finds every font embedded, as a subset, with its way back to Unicode.
func TestFontsAreSubsets(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(tool(t, written(t, sample(), A4, samplePhotos(t)), "pdffonts", "FILE")), "\n")
	if len(lines) != 4 {
		t.Fatalf("want two fonts:\n%s", strings.Join(lines, "\n"))
	}
	for _, l := range lines[2:] {
		if !strings.Contains(l, "yes yes yes") || !strings.Contains(l, "+DejaVuSansCondensed") {
			t.Error(l)
		}
	}
}

// TestStructure: Poppler reads the tree of the structure in the order of the document, with its texts in their parts.
func TestStructure(t *testing.T) {
	out := tool(t, written(t, sample(), A4, samplePhotos(t)), "pdfinfo", "-struct-text", "FILE")
	at := 0
	for _, want := range []string{"H1", `"Casa (del río)`, "TOC", "H2", "Hazards", "Stop. The flue", "LI", "LBody", "Table", "TR", "TH", `"Stick"`, "TD", `"10′ 6 3/4″"`, "Figure", "Plan", "I agree."} {
		i := strings.Index(out[at:], want)
		if i < 0 {
			t.Fatalf("%q is not in the structure after byte %d", want, at)
		}
		at += i
	}
	if strings.Contains(out, "rror") {
		t.Error("Poppler finds an error in the structure")
	}
	if strings.Contains(out, "continuación") || strings.Contains(out, "página 1 de") {
		t.Error("what stands again on each page is in the structure")
	}
}
