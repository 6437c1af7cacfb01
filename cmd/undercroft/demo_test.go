package main

import (
	"io"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"undercroft/annotate"
	"undercroft/calc"
	"undercroft/survey"
)

// demoRecord is the demo survey as the store would hold it, without its photos' pictures.
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
		f, err := demoFiles.Open("demo/photos/" + p.File)
		if err != nil {
			t.Fatal(err)
		}
		info, err := f.Stat()
		if err != nil {
			t.Fatal(err)
		}
		meta := annotate.Read(f.(io.ReaderAt), info.Size())
		r.Photos = append(r.Photos, survey.Photo{ID: survey.PhotoID(p.File), Number: i + 1, Width: meta.Width, Height: meta.Height, Meta: meta})
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

// One can leave the demo's house: nothing is missing, every question about what will be covered has an answer, and what is left to check is what
// the demo leaves open on purpose.
func TestDemoCanBeLeft(t *testing.T) {
	r := demoRecord(t)
	for i := range r.Photos {
		r.Photos[i].Screen = "a picture" // which a record without the store does not have
	}
	var got []string
	for _, item := range survey.Leave(r, survey.Compute(r)).Items {
		got = append(got, string(item.Severity)+" "+item.Rule)
	}
	want := []string{"check no-clearance", "check profile-confirmed", "check references-no-check", "check cover-not-seen", "note cover-yes", "note cover-yes"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
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

// The demo's photos are rendered from a scene whose measures are known exactly. With what was typed of their places taken away, its hangers
// and brackets must be located through their photos where the scene has them: within the 95 % ellipse's longer half axis.
func TestDemoPinsAreLocatedWhereTheSceneHasThem(t *testing.T) {
	scene := map[string][2]float64{"On the header.": {0, 64.75}, "Plate at the header’s right end.": {129.7, 62}, "Plate at the header’s left end.": {86.3, 62}}
	r := demoRecord(t)
	located := 0
	for i, p := range r.Pins {
		want, ok := scene[p.Note]
		if !ok {
			continue
		}
		if want[0] == 0 { // two hangers have the same note; each stands at its own joist
			want[0] = map[string]float64{"116": 116, "100": 100}[p.Values["x"]]
		}
		values := maps.Clone(p.Values)
		delete(values, "x")
		delete(values, "y")
		r.Pins[i].Values = values
		at, ok := survey.Assemble(r).Located[p.ID]
		if off := math.Hypot(at.X-want[0], at.Y-want[1]); !ok || off > at.PM() || at.PM() > 1 {
			t.Errorf("pin %d: located %v at %.2f, %.2f ± %.2f; the scene has it at %v", p.Number, ok, at.X, at.Y, at.PM(), want)
		}
		located++
	}
	if located != 4 {
		t.Errorf("looked at %d pins, want 4", located)
	}
}
