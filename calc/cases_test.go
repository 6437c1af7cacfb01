package calc

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// caseTolerance is what a computed figure may differ from its reference, absolute or relative.
const caseTolerance = 1e-6

// TestReferenceCases compares every key of reference plans that were computed by another program from the same rules. Texts of
// issues and cautions may differ; a cutting plan may be another of equal cost.
func TestReferenceCases(t *testing.T) {
	ins, err := filepath.Glob("../testdata/calc-cases/*.in.json")
	if err != nil || len(ins) == 0 {
		t.Fatalf("no reference cases: %v", err)
	}
	for _, path := range ins {
		name := strings.TrimSuffix(filepath.Base(path), ".in.json")
		t.Run(name, func(t *testing.T) {
			got := planOfFile(t, path)
			want := jsonFile(t, strings.TrimSuffix(path, ".in.json")+".out.json")
			compareCase(t, got, want)
		})
	}
}

func planOfFile(t *testing.T, path string) any {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in, err := Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := Compute(in)
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	return jsonOf(t, data)
}

func jsonFile(t *testing.T, path string) any {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return jsonOf(t, data)
}

func jsonOf(t *testing.T, data []byte) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// compareCase compares the keys that the reference has. The cutting plans are compared by what is bought, the takeoff by item, the
// cautions not at all: their rules have names of their own.
func compareCase(t *testing.T, got, want any) {
	t.Helper()
	g, w := got.(map[string]any), want.(map[string]any)
	for key := range w {
		switch key {
		case "cautions":
		case "takeoff":
			for _, line := range w[key].([]any) {
				compareValue(t, "takeoff", itemOf(g[key].([]any), line.(map[string]any)["item"]), line)
			}
		case "cutting":
			compareCutting(t, g[key].([]any), w[key].([]any))
		default:
			compareValue(t, key, g[key], w[key])
		}
	}
}

func itemOf(lines []any, item any) any {
	for _, l := range lines {
		if l.(map[string]any)["item"] == item {
			return l
		}
	}
	return nil
}

func compareCutting(t *testing.T, got, want []any) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("cutting: got %d plans, want %d", len(got), len(want))
	}
	for i := range want {
		g, w := got[i].(map[string]any), want[i].(map[string]any)
		if a, b := len(g["stock"].([]any)), len(w["stock"].([]any)); a != b {
			t.Errorf("cutting %v: got %d sticks, want %d", w["material"], a, b)
		}
		for _, key := range []string{"material", "bought", "used", "optimal", "bound", "unplanned"} {
			compareValue(t, fmt.Sprintf("cutting.%v.%s", w["material"], key), g[key], w[key])
		}
	}
}

func compareValue(t *testing.T, place string, got, want any) {
	t.Helper()
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			t.Errorf("%s: got %v, want an object", place, got)
			return
		}
		for key, v := range w {
			if key == "text" {
				continue
			}
			if _, ok := g[key]; !ok {
				t.Errorf("%s.%s: missing", place, key)
				continue
			}
			compareValue(t, place+"."+key, g[key], v)
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			t.Errorf("%s: got %v, want %v", place, got, want)
			return
		}
		for i := range w {
			compareValue(t, fmt.Sprintf("%s[%d]", place, i), g[i], w[i])
		}
	case float64:
		g, ok := got.(float64)
		if !ok || math.Abs(g-w) > caseTolerance*max(1, math.Abs(w)) {
			t.Errorf("%s: got %v, want %v", place, got, want)
		}
	default:
		if got != want {
			t.Errorf("%s: got %v, want %v", place, got, want)
		}
	}
}
