package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/calc"
)

// sample is a deck to draw: a job, the calculator's input and what it computes of it.
type sample struct {
	name string
	job  drawnJob
	in   calc.Input
	plan calc.Plan
}

// sampleOf makes a sample of an input.
func sampleOf(t *testing.T, name string, in calc.Input) sample {
	t.Helper()
	p, err := calc.Compute(in)
	if err != nil {
		t.Fatalf("compute %s: %v", name, err)
	}
	job := drawnJob{Number: "T-" + name, Name: "Test deck " + name, Surveyed: "2026-11-24", Revision: "1", Issued: "2026-11-25", Outlets: map[string]outlet{"z1": outletRight}}
	if name == "demo" {
		job.Number, job.Name = "D-104", "Sample deck, back of house"
		job.Posts = []post{{4, 130.5, 5.5, 5.5}, {170, 130.5, 5.5, 5.5}, {336, 130.5, 5.5, 5.5}}
		job.Outlets = map[string]outlet{"z1": outletLeft, "z2": outletLeft}
	}
	return sample{name, job, in, p}
}

// decoded is the input that a document describes.
func decoded(t *testing.T, doc string) calc.Input {
	t.Helper()
	in, err := calc.Decode(strings.NewReader(doc))
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// samples are the calculator's reference cases, the demo among them.
func samples(t *testing.T) []sample {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/calc-cases/*.in.json")
	if err != nil || len(paths) < 7 {
		t.Fatalf("found %d reference cases (%v), want 7 or more", len(paths), err)
	}
	var out []sample
	for _, path := range paths {
		doc, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s := sampleOf(t, strings.TrimSuffix(filepath.Base(path), ".in.json"), decoded(t, string(doc)))
		if s.name == "demo" {
			out = append([]sample{s}, out...)
		} else {
			out = append(out, s)
		}
	}
	return out
}
