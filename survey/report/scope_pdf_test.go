package report

import (
	"bytes"
	"compress/zlib"
	"encoding/hex"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"undercroft/calc/words"
	"undercroft/survey/report/document"
	"undercroft/survey/report/pdf"
)

// pdfText is the text that Poppler copies from a PDF. Without Poppler the test is skipped, unless the environment variable UNDERCROFT_PDFTOOLS is "required".
func pdfText(t *testing.T, file []byte) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("UNDERCROFT_PDFTOOLS") == "required" {
			t.Fatal("no pdftotext: install poppler-utils")
		}
		t.Skip("no pdftotext here")
	}
	at := filepath.Join(t.TempDir(), "report.pdf")
	if err := os.WriteFile(at, file, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), tool, "-enc", "UTF-8", at, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// pdfBytes are a PDF's bytes as they are, those of its streams unpacked (RFC 1950), those of its strings of hexadecimal digits, and its strings of UTF-16BE (ISO 32000-1, 7.9.2.2) as UTF-8.
func pdfBytes(t *testing.T, file []byte) string {
	t.Helper()
	all := bytes.Clone(file)
	unpacked := 0
	for rest := file; ; {
		_, after, found := bytes.Cut(rest, []byte("stream\n"))
		if !found {
			break
		}
		rest = after
		z, err := zlib.NewReader(bytes.NewReader(after))
		if err != nil {
			continue // a JPEG, or the end of a stream
		}
		body, err := io.ReadAll(z)
		if err != nil {
			t.Fatalf("a stream that cannot be unpacked: %v", err)
		}
		all, unpacked = append(all, body...), unpacked+1
	}
	if unpacked == 0 {
		t.Fatal("no stream was unpacked")
	}
	for _, digits := range regexp.MustCompile(`<([0-9A-Fa-f]{4,})>`).FindAllSubmatch(all, -1) {
		if body, err := hex.DecodeString(string(digits[1])); err == nil {
			all = append(all, body...)
		}
	}
	wide := make([]uint16, len(all))
	for i := range len(all) - 1 {
		wide[i] = uint16(all[i])<<8 | uint16(all[i+1])
	}
	text := string(all)
	for first := range 2 { // strings of two-byte letters begin at even or at odd places
		var half []uint16
		for i := first; i < len(wide); i += 2 {
			half = append(half, wide[i])
		}
		text += string(utf16.Decode(half))
	}
	return text
}

// TestScopePDFHasNothingInternal looks for the words of TestScopeHasNothingInternal in the scope as a PDF: in its text and in all its bytes. The office's PDF
// has them, so that the search is known to find.
func TestScopePDFHasNothingInternal(t *testing.T) {
	m, o := withCanaries(t)
	photo := grain(t, 160, 120, 1)
	write := func(reader document.Reader, lang words.Lang) []byte {
		var out bytes.Buffer
		if err := pdf.Write(&out, m.Document(reader, lang, o), pdf.Letter, func(string) ([]byte, error) { return photo, nil }); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	in := func(file []byte) map[string]string {
		return map[string]string{"text": pdfText(t, file), "bytes": pdfBytes(t, file)}
	}
	for _, lang := range []words.Lang{words.English, words.Spanish} {
		for name, s := range in(write(document.Scope, lang)) {
			if at := internalWords().FindStringIndex(s); at != nil {
				t.Errorf("the %s of the scope's PDF in %s says …%q…", name, lang, s[max(0, at[0]-80):min(len(s), at[1]+80)])
			}
		}
	}
	office := in(write(document.Survey, words.English))
	if !internalWords().MatchString(office["text"]) {
		t.Error("the text of the office's PDF has none of the words: the search finds nothing")
	}
	m.Site.Title = "CANARY house (río)"
	if !strings.Contains(pdfBytes(t, write(document.Scope, words.English)), "CANARY") {
		t.Error("a title is not found among the bytes: the search finds nothing")
	}
}
