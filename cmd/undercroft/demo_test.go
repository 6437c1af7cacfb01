package main

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"undercroft/calc"
	"undercroft/survey"
)

// demoRecord is the demo survey as the store would hold it, without reading its photos.
func demoRecord(t *testing.T) survey.Record {
	t.Helper()
	demo, err := readDemo()
	if err != nil {
		t.Fatal(err)
	}
	r := survey.Record{Survey: survey.Survey{ID: "s", Title: demo.Survey.Title}, Facts: map[string]survey.Fact{}}
	for key, text := range demo.Facts {
		r.Facts[key] = survey.Fact{Key: key, Text: text}
	}
	for i, p := range demo.Photos {
		r.Photos = append(r.Photos, survey.Photo{ID: survey.PhotoID(p.File), Number: i + 1})
	}
	for i, p := range demo.Pins {
		r.Pins = append(r.Pins, survey.Pin{ID: survey.PinID(survey.InputID(i + 1)), Photo: survey.PhotoID(demo.Photos[p.Photo-1].File), Kind: p.Kind,
			Number: i + 1, X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2, Values: p.Values, Note: p.Note})
	}
	return r
}

// The demo's pins and facts are the same deck as testdata/calc-cases/demo.in.json, whose right answer the calculator's own tests
// check: what is assembled from photos, pins and facts must come to the same plan.
func TestDemoIsTheDeckOfTheCase(t *testing.T) {
	r := demoRecord(t)
	for _, p := range r.Pins {
		if err := survey.ValidatePin(r, p); err != nil {
			t.Errorf("pin %d: %v", p.Number, err)
		}
	}
	got := survey.Compute(r)
	if got.Plan == nil {
		t.Fatalf("the demo has no plan: %s %+v", got.Refusal, got.Findings)
	}
	f, err := os.Open("../../testdata/calc-cases/demo.in.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in, err := calc.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	want, err := calc.Compute(in)
	if err != nil {
		t.Fatal(err)
	}
	anyOrder := cmpopts.SortSlices(func(a, b calc.Notch) bool { return a.Carrier < b.Carrier || a.Carrier == b.Carrier && a.From < b.From })
	ignored := []cmp.Option{cmpopts.EquateApprox(0, 1e-9), cmpopts.EquateEmpty(), cmpopts.IgnoreFields(calc.Notch{}, "Obstruction"), cmpopts.IgnoreFields(calc.CutOut{}, "Obstruction"), anyOrder}
	for _, part := range []struct {
		name      string
		got, want any
	}{{"plane", got.Plan.Plane, want.Plane}, {"zones", got.Plan.Zones, want.Zones}, {"cutting", got.Plan.Cutting, want.Cutting}, {"access", got.Plan.Access, want.Access}} {
		if diff := cmp.Diff(part.want, part.got, ignored...); diff != "" {
			t.Errorf("%s (-case +demo):\n%s", part.name, diff)
		}
	}
}

// Everything in the demo counts: no pin is left out, nothing is missing.
func TestDemoIsComplete(t *testing.T) {
	c := survey.Compute(demoRecord(t))
	if i := slices.IndexFunc(c.Findings, func(f survey.Finding) bool { return true }); i >= 0 {
		t.Errorf("the demo has a finding: %+v", c.Findings[i])
	}
}

// The README shows the picture of the demo's report that lies beside the demo.
func TestReadmePictureIsThere(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(readme), "cmd/undercroft/demo/report.png") {
		t.Error("README.md does not show the report")
	}
	if _, err := os.Stat("demo/report.png"); err != nil {
		t.Error(err)
	}
}
