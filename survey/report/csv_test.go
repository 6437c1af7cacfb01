package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/calc"
	"undercroft/survey"
)

// listOf writes a list and reads it back with the standard library's reader.
func listOf(t *testing.T, list List, r survey.Record, c survey.Ceiling) [][]string {
	t.Helper()
	var out bytes.Buffer
	if err := WriteCSV(&out, list, r, c); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// TestListsOfTheDemo: every piece and notch of the plan stands in its list, with the lengths of the plan.
func TestListsOfTheDemo(t *testing.T) {
	r := demoRecord(t)
	c := survey.Compute(r)
	if c.Plan == nil {
		t.Fatal(c.Refusal)
	}
	pieces := 0
	var total float64
	for _, p := range c.Plan.Cutting {
		for _, s := range p.Stock {
			pieces += len(s.Cuts)
			for _, cut := range s.Cuts {
				total += cut
			}
		}
	}
	rows := listOf(t, ListCutting, r, c)[1:]
	var listed float64
	for _, row := range rows {
		v, err := strconv.ParseFloat(row[5], 64)
		if err != nil {
			t.Errorf("the piece %v has no length: %v", row, err)
		}
		listed += v
	}
	if len(rows) != pieces || listed < total-0.01 || listed > total+0.01 {
		t.Errorf("the list has %d pieces of %.3f in, the plan %d of %.3f in", len(rows), listed, pieces, total)
	}
	notches := 0
	for _, z := range c.Plan.Zones {
		notches += len(z.Notches)
	}
	if got := len(listOf(t, ListNotches, r, c)) - 1; got != notches || notches == 0 {
		t.Errorf("the list has %d notches, the plan %d", got, notches)
	}
	if got := len(listOf(t, ListTakeoff, r, c)) - 1; got != len(c.Plan.Takeoff) {
		t.Errorf("the list has %d items, the takeoff %d", got, len(c.Plan.Takeoff))
	}
}

func TestListsWithoutAPlan(t *testing.T) {
	for _, list := range []List{ListTakeoff, ListCutting, ListNotches} {
		if rows := listOf(t, list, survey.Record{}, survey.Ceiling{}); len(rows) != 1 {
			t.Errorf("%s: got %v, want the heads alone", list, rows)
		}
	}
	if err := WriteCSV(&bytes.Buffer{}, "secrets", survey.Record{}, survey.Ceiling{}); survey.KindOf(err) != survey.NotFound {
		t.Errorf("an unknown list: got %v", err)
	}
}

// TestNoCellIsAFormula: whatever the material or the profile is called, no cell begins as OWASP's page on CSV injection lists formulas to begin, and the text can
// still be read.
func TestNoCellIsAFormula(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		label := rapid.OneOf(rapid.SampledFrom([]string{`=HYPERLINK("http://x","y")`, "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "-1.5", "+2", "|x", "%0A=1"}), rapid.String()).Draw(t, "label")
		plan := calc.Plan{Takeoff: []calc.Item{{Item: "panel", Label: label, Unit: label, From: label}}}
		var out bytes.Buffer
		if err := WriteCSV(&out, ListTakeoff, survey.Record{}, survey.Ceiling{Plan: &plan}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for i, cell := range rows[1] {
			if _, err := strconv.ParseFloat(cell, 64); err != nil && cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				t.Errorf("cell %d is taken for a formula: %q", i, cell)
			}
		}
		want := strings.ReplaceAll(label, "\r", "") // which the writer leaves out
		if got := strings.TrimPrefix(rows[1][2], "'"); got != strings.TrimPrefix(want, "'") {
			t.Errorf("got %q back, want %q", got, want)
		}
	})
}
