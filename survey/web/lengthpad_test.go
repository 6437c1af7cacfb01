package web

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/calc/length"
	"undercroft/survey"
)

// padVectors reads a file of testdata/pad, whose rows were written by hand from the rules at the head of lengthpadkeys.js.
func padVectors[T any](t *testing.T, file string) []T {
	t.Helper()
	body, err := os.ReadFile(filepath.Join("..", "..", "testdata", "pad", file))
	if err != nil {
		t.Fatal(err)
	}
	var rows []T
	if err := json.Unmarshal(body, &rows); err != nil {
		t.Fatal(err)
	}
	return rows
}

type padRow struct {
	Name, Keys, Typed string
	Read              [][3]any // text, as shown, inches
}

// What the pad types is read by the server as exactly what the pad shows; what the person has not decided yet is refused.
func TestPadTextsAreReadAsShown(t *testing.T) {
	for _, row := range padVectors[padRow](t, "keys.json") {
		t.Run(row.Name, func(t *testing.T) {
			for _, read := range row.Read {
				text, shown, inches := read[0].(string), read[1].(string), read[2].(float64)
				got, err := length.Parse(text)
				if err != nil || float64(got) != inches {
					t.Errorf("%q is read as %v, %v; the pad says %v", text, float64(got), err, inches)
				}
				if plain := strings.ReplaceAll(got.Typeset(), "\u00a0", " "); plain != shown {
					t.Errorf("%q is shown as %s; the pad shows %s", text, plain, shown)
				}
			}
			if len(row.Read) == 1 {
				return
			}
			if got, err := length.Parse(row.Typed); err == nil {
				t.Errorf("the undecided %q is read as %v", row.Typed, got)
			}
		})
	}
}

// The pad's question about an unlikely length is the server's.
func TestLikelyVectors(t *testing.T) {
	type likelyRow struct {
		Name, Text string
		Low, High  float64
		Fits       bool
		Ways       []float64
	}
	for _, row := range padVectors[likelyRow](t, "likely.json") {
		t.Run(row.Name, func(t *testing.T) {
			l, err := length.Parse(row.Text)
			if err != nil {
				t.Fatal(err)
			}
			ways, fits := survey.Likely(survey.Range{Low: row.Low, High: row.High}, row.Text, l)
			if fits != row.Fits || len(ways) != len(row.Ways) {
				t.Fatalf("got %v, fits %v; want %v, fits %v", ways, fits, row.Ways, row.Fits)
			}
			for i, way := range ways {
				if float64(way) != row.Ways[i] {
					t.Errorf("got %v, want %v", ways, row.Ways)
				}
			}
		})
	}
}
