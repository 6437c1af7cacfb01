package survey

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

// The rows follow RFC 8259 (section 4: names within an object should be unique; section 8.1: UTF-8) and the cases that JSONTestSuite (github.com/nst) collects,
// from memory.
func TestCheckJSON(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{`{}`, ""}, {`[]`, ""}, {`null`, ""}, {`"x"`, ""}, {` {"a":1,"b":{"a":1}} `, ""}, {`[{"a":1},{"a":2}]`, ""}, {`{"é":1,"e":2}`, ""}, {`{"a":"\ud800"}`, ""},
		{strings.Repeat("[", 64) + strings.Repeat("]", 64), ""},
		{``, "too early"}, {`{`, "too early"}, {`{"a"`, "too early"}, {`[1,`, "too early"}, {`nul`, "too early"}, {`"`, "too early"},
		{`{"a":1,"a":2}`, "twice"}, {`{"a":1,"A":2}`, "twice"}, {`[{"x":{"k":1,"K":2}}]`, "twice"}, {`{"s":1,"ſ":2}`, "twice"}, {`{"":1,"":2}`, "twice"}, {`{"a":1,"\u0061":2}`, "twice"},
		{`{} {}`, "after its end"}, {`1 2`, "after its end"}, {`{}]`, "after its end"},
		{strings.Repeat("[", 66) + strings.Repeat("]", 66), "deeper"}, {strings.Repeat(`{"a":`, 100000), "deeper"}, {strings.Repeat("[", 1<<20), "deeper"},
		{"\xff", "UTF-8"}, {"{\"a\":\"\xc0\xaf\"}", "UTF-8"}, {"\xef\xbb\xbf{}", "no JSON"}, {`{'a':1}`, "no JSON"}, {`[NaN]`, "no JSON"}, {`[01]`, "no JSON"}, {"[\"\x00\"]", "no JSON"}, {`{"a":1,}`, "no JSON"},
	} {
		err := CheckJSON([]byte(c.text))
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%.60q: got %v, want %q", c.text, err, c.says)
		}
	}
}

// FuzzCheckJSON: what is let through is valid JSON of one value, and writing what was read and reading it again loses nothing, so that no key was hidden by another.
func FuzzCheckJSON(f *testing.F) {
	for _, text := range []string{`{"facts":[{"key":"width","text":"28'","version":0}]}`, `{"a":1,"A":2}`, `[[[]]]`, `{"k":"\u212a","\u212a":1}`, "\xff", `1e999`, `{"a":{"a":{"a":null}}}`} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if CheckJSON(text) != nil {
			return
		}
		if !json.Valid(text) {
			t.Fatalf("%q is no JSON", text)
		}
		var first, second any
		if err := json.Unmarshal(text, &first); err != nil {
			return // a number that no float holds
		}
		again, err := json.Marshal(first)
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckJSON(again); err != nil {
			t.Fatalf("%q written again is refused: %v", text, err)
		}
		if err := json.Unmarshal(again, &second); err != nil || !reflect.DeepEqual(first, second) {
			t.Fatalf("%q reads differently the second time: %v", text, err)
		}
	})
}
