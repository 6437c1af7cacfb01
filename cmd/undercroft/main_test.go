package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"
)

// TestMain lets the test program stand in for the real one where that runs itself: the child process that reads a photo.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == "photo" {
		os.Exit(runPhoto(os.Args[2:], os.Stdout, os.Stderr))
	}
	status := m.Run()
	os.RemoveAll(buildFolder())
	os.Exit(status)
}

// command runs a command as a shell would and gives its status and both outputs.
func command(t *testing.T, stdin string, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	status = run(context.Background(), args, environment{strings.NewReader(stdin), &out, &errs, func(string) string { return "" }})
	return status, out.String(), errs.String()
}

func TestHelp(t *testing.T) {
	for _, name := range []string{"serve", "demo", "report", "export", "import", "verify", "user", "calc", "photo", "locate"} {
		status, stdout, _ := command(t, "", name, "--help")
		if status != exitOK || !strings.Contains(stdout, "undercroft "+name) {
			t.Errorf("%s --help: status %d, printed %q", name, status, stdout)
		}
		if _, general, _ := command(t, "", "--help"); !strings.Contains(general, "\n  "+name) {
			t.Errorf("the general help does not name %s", name)
		}
	}
}

func TestWrongUse(t *testing.T) {
	for _, test := range []struct {
		name string
		args []string
		says string
	}{
		{"no such command", []string{"paint"}, `no command "paint"`},
		{"no such flag", []string{"serve", "-colour"}, "colour"},
		{"calc without a file", []string{"calc"}, "one file"},
		{"calc of a file that is not there", []string{"calc", "nowhere.json"}, "nowhere.json"},
		{"notes in a language that it does not know", []string{"calc", "--notes", "fr", "-"}, `"fr"`},
		{"a report without a survey", []string{"report", "-o", "x.html"}, "one survey"},
		{"a report that is neither page nor PDF", []string{"report", "demo", "-o", "x.doc"}, ".pdf"},
		{"serve with a stray word", []string{"serve", "now"}, `"now"`},
	} {
		t.Run(test.name, func(t *testing.T) {
			status, stdout, stderr := command(t, "", test.args...)
			if status != exitUsage || stdout != "" || !strings.Contains(stderr, test.says) {
				t.Errorf("status %d, stdout %q, stderr %q; want status 2, nothing on stdout, and %q said", status, stdout, stderr, test.says)
			}
		})
	}
}

func TestCalcRefusesWithNothingOnStdout(t *testing.T) {
	for _, document := range []string{"", "{", `{"outlines": []}`, `{"outline": [[0,0],[1,0]]}`} {
		status, stdout, stderr := command(t, document, "calc", "-")
		if status != exitUsage || stdout != "" || strings.Count(strings.TrimSpace(stderr), "\n") != 0 || stderr == "" {
			t.Errorf("calc of %q: status %d, stdout %q, stderr %q; want status 2 and one clear line", document, status, stdout, stderr)
		}
	}
}

func TestCalcReadsStandardInput(t *testing.T) {
	document, err := os.ReadFile("../../testdata/calc-cases/plain.in.json")
	if err != nil {
		t.Fatal(err)
	}
	status, stdout, stderr := command(t, string(document), "calc", "--json", "-")
	if status != exitOK || !strings.Contains(stdout, `"fall_per_foot"`) {
		t.Errorf("status %d, stderr %q", status, stderr)
	}
	if _, spanish, _ := command(t, string(document), "calc", "--notes", "es", "-"); !strings.Contains(spanish, "canal") {
		t.Error("no Spanish notes")
	}
	status, stdout, stderr = command(t, string(document), "calc", "-")
	if status != exitOK || !strings.Contains(stdout, "29") || strings.Contains(stdout, `"fall_per_foot"`) {
		t.Errorf("the sheet: status %d, stderr %q, printed\n%s", status, stderr, stdout)
	}
}
