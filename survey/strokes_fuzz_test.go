package survey

import (
	"encoding/json"
	"testing"
)

// FuzzReadStrokes: a signature is refused, or every point of it is inside its field, no line is empty, and written again it is the same.
func FuzzReadStrokes(f *testing.F) {
	for _, text := range []string{"", "[]", "[[[12,80],[14,77]]]", "[[[0,0],[600,200]],[[1,1]]]", "[[]]", "[[[601,0]]]", "[[[-1,0]]]", "[[[1]]]", "[[[1,2,3]]]", "[[[1e2,2]]]", "null", "[null]", `[[["1","2"]]]`} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		list, err := ReadStrokes(text)
		if err != nil {
			if list != nil {
				t.Fatalf("%q: an error and %v", text, list)
			}
			return
		}
		points := 0
		for _, line := range list {
			if len(line) == 0 {
				t.Fatalf("%q: an empty line", text)
			}
			for _, p := range line {
				if points++; p[0] < 0 || p[0] > StrokesWide || p[1] < 0 || p[1] > StrokesHigh {
					t.Fatalf("%q: the point %v is outside", text, p)
				}
			}
		}
		if points > maxStrokes {
			t.Fatalf("%d points", points)
		}
		again, err := json.Marshal(list)
		if err != nil {
			t.Fatal(err)
		}
		back, err := ReadStrokes(string(again))
		if err != nil || len(back) != len(list) {
			t.Fatalf("%q came back as %v, %v", text, back, err)
		}
	})
}
