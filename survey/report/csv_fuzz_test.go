package report

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"
)

// FuzzCell: no text becomes a cell that a spreadsheet takes for a formula (OWASP, "CSV Injection": = + - @, tab, carriage return, line feed), a reader gets
// it back as it was but for the apostrophe and for carriage returns, and it stays one cell.
func FuzzCell(f *testing.F) {
	for _, text := range []string{"", "=1+1", "+1", "-1.5", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", `=HYPERLINK("http://x")`, `"=1"`, ",=1", "'=1", "|x", "%0A=1", "-NaN", "+Inf", "-0x1p-2", "\ufeff=1", "＝1", "\x00=1", " =1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var out strings.Builder
		w := csv.NewWriter(&out)
		if err := w.Write([]string{"first", inert(text), "last"}); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
		if err != nil || len(rows) != 1 || len(rows[0]) != 3 {
			t.Fatalf("%q became %q: %v", text, out.String(), err)
		}
		cell := rows[0][1]
		if _, err := strconv.ParseFloat(cell, 64); err != nil && cell != "" && strings.ContainsRune("=+-@\t\r\n\x00", rune(cell[0])) {
			t.Errorf("%q is taken for a formula", cell)
		}
		if strings.TrimPrefix(cell, "'") != strings.TrimPrefix(strings.ReplaceAll(text, "\r\n", "\n"), "'") {
			t.Errorf("%q came back as %q", text, cell)
		}
	})
}
