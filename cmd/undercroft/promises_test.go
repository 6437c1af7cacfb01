package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestPromises holds the list of promises in DEVELOPERS.md to what is there: numbered without a gap, each kept in a file that exists, and proven by tests that exist or not kept with
// the reason.
func TestPromises(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, found := strings.Cut(string(text), "\n## Promises\n")
	if !found {
		t.Fatal("DEVELOPERS.md has no section Promises")
	}
	section, _, _ = strings.Cut(section, "\n## ")
	tests, quoted, number := testNames(t), regexp.MustCompile("`([^`]+)`"), 0
	for line := range strings.Lines(section) {
		if !strings.HasPrefix(line, "| P") {
			continue
		}
		number++
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 4 || strings.TrimSpace(cells[0]) != "P"+strconv.Itoa(number) {
			t.Errorf("row %d is no row of four cells with the number P%d: %s", number, number, line)
			continue
		}
		places, proofs := quoted.FindAllStringSubmatch(cells[2], -1), quoted.FindAllStringSubmatch(cells[3], -1)
		if len(places) == 0 {
			t.Errorf("P%d names no file", number)
		}
		for _, place := range places {
			if !isFile("../../" + place[1]) {
				t.Errorf("P%d is kept in %s, which is not there", number, place[1])
			}
		}
		if reason, without := strings.CutPrefix(strings.TrimSpace(cells[3]), "not kept: "); without && len(reason) > 20 {
			continue
		}
		if len(proofs) == 0 {
			t.Errorf("P%d has no proof, and no reason why it is not kept", number)
		}
		for _, proof := range proofs {
			if !tests[proof[1]] && !isFile("../../"+proof[1]) {
				t.Errorf("P%d is proven by %s, which is not there", number, proof[1])
			}
		}
	}
	if number < 50 {
		t.Errorf("only %d promises were read", number)
	}
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// testNames are the tests and fuzz targets of the module.
func testNames(t *testing.T) map[string]bool {
	t.Helper()
	names, declared := map[string]bool{}, regexp.MustCompile(`(?m)^func ((?:Test|Fuzz)\w+)\(\w+ \*testing\.[TF]\)`)
	err := filepath.WalkDir("../..", func(file string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(file, "_test.go") {
			return err
		}
		source, err := os.ReadFile(file)
		for _, name := range declared.FindAllSubmatch(source, -1) {
			names[string(name[1])] = true
		}
		return err
	})
	if err != nil || len(names) < 100 {
		t.Fatalf("%d tests, %v", len(names), err)
	}
	return names
}
