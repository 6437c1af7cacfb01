package main

import (
	"os"
	"strings"
	"testing"
)

func TestLocateRefusesWithNothingOnStdout(t *testing.T) {
	for document, says := range map[string]string{
		"":                                       "bad_input",
		`{"refz":[]}`:                            "refz",
		`{"refs":[{"px":1,"py":2,"x":3,"y":4}]}`: "too_few",
	} {
		status, stdout, stderr := command(t, document, "locate", "-")
		if status != exitUsage || stdout != "" || strings.Count(strings.TrimSpace(stderr), "\n") != 0 || !strings.Contains(stderr, says) {
			t.Errorf("locate of %q: status %d, stdout %q, stderr %q; want status 2 and one line with %s", document, status, stdout, stderr, says)
		}
	}
	if status, stdout, stderr := command(t, "", "locate"); status != exitUsage || stdout != "" || !strings.Contains(stderr, "one file") {
		t.Errorf("locate without a file: status %d, stdout %q, stderr %q", status, stdout, stderr)
	}
}

func TestLocateReadsFileAndStandardInput(t *testing.T) {
	const name = "../../testdata/measuring/v3.json"
	status, fromFile, stderr := command(t, "", "locate", name)
	if status != exitOK || !strings.Contains(fromFile, `"x": 255.7198`) {
		t.Fatalf("status %d, stderr %q, printed %.300s", status, stderr, fromFile)
	}
	document, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if _, fromStdin, _ := command(t, string(document), "locate", "-"); fromStdin != fromFile {
		t.Error("standard input gives another answer than the file")
	}
}
