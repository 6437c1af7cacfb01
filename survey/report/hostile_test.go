package report

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/types"

	"undercroft/survey"
	"undercroft/survey/report/pdf"
)

// hostileTexts would end a string, a name, a stream or an object of a PDF and begin an action (ISO 32000-1, 7.3 and 12.6), be a formula in a spreadsheet, or markup on a page.
func hostileTexts() []string {
	return []string{
		`) >> endobj 1 0 obj << /OpenAction << /S /JavaScript /JS (app.alert\(1\)) >> >> endobj (`, `\) /AA << /O << /S /Launch /F (calc.exe) >> >> \(`, `> /S /URI /URI (http://evil.example) <`,
		"endstream\nendobj\n<< /Type /Filespec /EF << /F 1 0 R >> >>", `#2FJavaScript /JS /Launch /EmbeddedFile`, `(((((\`, `=HYPERLINK("http://evil.example","x")`, "@SUM(1+1)*cmd|' /C calc'!A0",
		`<script>alert(1)</script>"><x-hostile onload=alert(1)>`, "þÿ\u0000)\u0000/\u0000J\u0000S", "\u202e)gnp.exe", "%%EOF\r\nstartxref\r\n0\r\n%%EOF",
	}
}

// hostileRecord is the demo's deck with these texts wherever somebody, or a camera, could have put one.
func hostileRecord(t *testing.T) (survey.Record, Options) {
	t.Helper()
	r, o := told(t)
	next := 0
	text := func() string { next++; return hostileTexts()[next%len(hostileTexts())] }
	v := &r.Survey
	v.Title, v.Address, v.Client, v.Contact, v.Surveyor, v.Access, v.Notes = text(), text(), text(), text(), text(), text(), text()
	for i := range r.Photos {
		p := &r.Photos[i]
		p.Name, p.Caption, p.Meta.Make, p.Meta.Model = text(), text(), text(), text()
	}
	for i := range r.Pins {
		r.Pins[i].Note, r.Pins[i].By = text(), text()
		info, _ := survey.KindInfo(r.Pins[i].Kind)
		for _, f := range info.Fields {
			if f.Type == survey.TypeText && r.Pins[i].Values[f.Key] != "" {
				r.Pins[i].Values[f.Key] = text()
			}
		}
	}
	for _, f := range survey.ScopeFields() {
		r.Facts[f.Key] = survey.Fact{Survey: v.ID, Key: f.Key, Text: text(), Version: 1}
	}
	c := &o.Company
	c.Name, c.Address, c.Phone, c.License, c.Terms, c.Cancellation, c.Care = text(), text(), text(), text(), text(), text(), text()
	return r, o
}

// active are the keys and names of a PDF that make a reader do something, open something else or carry a file (ISO 32000-1, 7.11, 12.6 and 12.7).
var active = []string{"JS", "JavaScript", "OpenAction", "AA", "Launch", "EmbeddedFile", "EmbeddedFiles", "Filespec", "EF", "AcroForm", "XFA", "RichMedia", "URI", "SubmitForm", "ImportData", "GoToR", "GoToE", "Movie", "Sound"}

// accuse looks through an object of a PDF for what is active.
func accuse(t *testing.T, name string, object types.Object) {
	t.Helper()
	switch object := object.(type) {
	case types.Dict:
		for key, value := range object {
			if slices.Contains(active, key) {
				t.Errorf("%s: a dictionary has /%s", name, key)
			}
			accuse(t, name, value)
		}
	case types.Array:
		for _, value := range object {
			accuse(t, name, value)
		}
	case types.StreamDict:
		accuse(t, name, object.Dict)
	case types.Name:
		if slices.Contains(active, string(object)) {
			t.Errorf("%s: a name is /%s", name, object)
		}
	}
}

// TestPDFsDoNothing: whatever was typed, each report as a PDF is well formed for pdfcpu, another implementation of ISO 32000-1, and holds no script, no action, no link to elsewhere and no
// file, in all of its objects.
func TestPDFsDoNothing(t *testing.T) {
	r, o := hostileRecord(t)
	m := Build(r, survey.Compute(r), WithinReport(), made())
	model.ConfigPath = "disable"
	photo := grain(t, 160, 120, 1)
	for name, of := range readers() {
		var out bytes.Buffer
		if err := pdf.Write(&out, of(m, o), pdf.Letter, func(string) ([]byte, error) { return photo, nil }); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		conf := model.NewDefaultConfiguration()
		conf.ValidationMode = model.ValidationStrict
		read, err := api.ReadAndValidate(bytes.NewReader(out.Bytes()), conf)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		objects := 0
		for _, entry := range read.Table {
			if entry != nil && !entry.Free {
				objects++
				accuse(t, name, entry.Object)
			}
		}
		if objects < 20 {
			t.Errorf("%s: only %d objects", name, objects)
		}
	}
}

// TestFilesOfHostileTextsAreInert: the same texts in the report as a file bring no element and no handler, and in the lists no formula.
func TestFilesOfHostileTextsAreInert(t *testing.T) {
	r, o := hostileRecord(t)
	ceiling := survey.Compute(r)
	m := Build(r, ceiling, WithinReport(), made())
	shown := 0
	for name, of := range readers() {
		text, doc := page(t, of(m, o))
		if n := doc.Find("script, iframe, object, embed, base, form, [onload], [onerror], x-hostile").Length(); n > 0 {
			t.Errorf("%s: %d elements of the texts", name, n)
		}
		shown += strings.Count(text, "x-hostile")
	}
	if shown == 0 {
		t.Error("the texts are on no page")
	}
	for _, list := range []List{ListTakeoff, ListCutting, ListNotches} {
		var out bytes.Buffer
		if err := WriteCSV(&out, list, r, ceiling); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			for _, cell := range row {
				if _, err := strconv.ParseFloat(cell, 64); err != nil && cell != "" && strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
					t.Errorf("%s: the cell %q is a formula", list, cell)
				}
			}
		}
	}
}
