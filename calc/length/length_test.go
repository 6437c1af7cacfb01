package length

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// The spellings follow the trade's own: feet, inches and common fractions; 1 in is exactly 25.4 mm (international inch, 1959).
func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{
		{`12' 3 5/8"`, 147.625}, {`12'-3 5/8"`, 147.625}, {`12'3-5/8"`, 147.625}, {`12' 3-5/8`, 147.625}, {`12ft 3.625in`, 147.625},
		{`12 ft 3.625 in`, 147.625}, {`147 5/8`, 147.625}, {`147.625"`, 147.625}, {`147-5/8"`, 147.625}, {`3' `, 36}, {`3ft`, 36},
		{`-1/2"`, -0.5}, {`- 1/2`, -0.5}, {`-12' 3"`, -147}, {`12′ 3⅝″`, 147.625}, {`12’ 3 5/8”`, 147.625}, {`½`, 0.5}, {`3¼"`, 3.25},
		{`¾`, 0.75}, {`⅛`, 0.125}, {`⅜`, 0.375}, {`⅞"`, 0.875}, {"12\u00a0ft\u00a03\u00a0in", 147}, {`3 1⁄2`, 3.5}, {`−2`, -2},
		{`3.75 m`, 3750 / 25.4}, {`3750 mm`, 3750 / 25.4}, {`375cm`, 3750 / 25.4}, {`3.75M`, 3750 / 25.4}, {`-25.4mm`, -1},
		{`0`, 0}, {`0"`, 0}, {`5'6`, 66}, {`.5`, 0.5}, {`3.`, 3}, {`1.5'`, 18}, {`1/64`, 1.0 / 64}, {`31/32"`, 31.0 / 32}, {` 7 in `, 7},
	} {
		got, err := Parse(c.text)
		if err != nil || math.Abs(float64(got)-c.want) > 1e-12*max(1, math.Abs(c.want)) {
			t.Errorf("Parse(%q): got %v, %v; want %v", c.text, float64(got), err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, text := range []string{``, ` `, `-`, `--5`, `+5`, `5"6`, `12''`, `3'-`, `3' 5' 2"`, `1e3`, `1,000`, `1/3`, `2/2`, `5/4`, `3 5`, `3/`, `/8`, `1/128`,
		`three`, `3 5/8/2`, `1.5 1/2`, `12' 3mm`, `m`, `mm`, `in`, `'`, `"`, `NaN`, `Inf`, `0x10`, `5 feet`, `12" 3'`, `1_000`, `3..5`, `1 -2`, `1/2 ft`, `10000000000`,
		`1000000000.1`, `-90000000'`, `99999999 m`, strings.Repeat("9", 400)} {
		got, err := Parse(text)
		var fault *SyntaxError
		if !errors.As(err, &fault) {
			t.Errorf("Parse(%q): got %v, %v; want a SyntaxError", text, got, err)
			continue
		}
		if len(fault.Error()) > 400 {
			t.Errorf("Parse(%.20q…): the message has %d bytes", text, len(fault.Error()))
		}
	}
}

func TestErrorNamesTheText(t *testing.T) {
	_, err := Parse("1/3")
	if err == nil || !strings.Contains(err.Error(), `"1/3"`) || !strings.Contains(err.Error(), `12' 3 5/8"`) {
		t.Errorf("got %v; want the text and a spelling that works", err)
	}
}

func TestString(t *testing.T) {
	for _, c := range []struct {
		l        Inches
		want, ty string
	}{
		{147.625, `12' 3 5/8"`, "12′\u00a03\u00a05/8″"}, {0.75, `3/4"`, "3/4″"}, {0, `0"`, "0″"}, {-0.5, `-1/2"`, "-1/2″"}, {12, `1' 0"`, "1′\u00a00″"},
		{12.5, `1' 0 1/2"`, "1′\u00a00\u00a01/2″"}, {143.99, `12' 0"`, "12′\u00a00″"}, {1.0 / 32, `1/16"`, "1/16″"}, {1.0 / 33, `0"`, "0″"}, {-0.01, `0"`, "0″"},
		{-147.625, `-12' 3 5/8"`, "-12′\u00a03\u00a05/8″"}, {1e300, `1e+300"`, "1e+300″"},
	} {
		if got := c.l.String(); got != c.want {
			t.Errorf("String(%v): got %q, want %q", float64(c.l), got, c.want)
		}
		if got := c.l.Typeset(); got != c.ty {
			t.Errorf("Typeset(%v): got %q, want %q", float64(c.l), got, c.ty)
		}
	}
	for _, l := range []Inches{Inches(math.NaN()), Inches(math.Inf(1)), Inches(math.Inf(-1))} {
		if got := l.String(); got != "?" {
			t.Errorf("String(%v): got %q, want ?", float64(l), got)
		}
	}
}

func TestRounding(t *testing.T) {
	for _, c := range []struct{ l, near, down, up Inches }{
		{0.3125, 0.3125, 0.3125, 0.3125}, {0.32, 0.3125, 0.3125, 0.375}, {0.34375, 0.375, 0.3125, 0.375}, {-0.34375, -0.375, -0.375, -0.3125},
		{0.3125 - 1e-9, 0.3125, 0.3125, 0.3125}, {0.3125 + 1e-9, 0.3125, 0.3125, 0.3125}, {0, 0, 0, 0}, {0.34375 - 1e-9, 0.375, 0.3125, 0.375},
	} {
		if got := c.l.Nearest16(); got != c.near {
			t.Errorf("Nearest16(%v): got %v, want %v", float64(c.l), float64(got), float64(c.near))
		}
		if got := c.l.Down16(); got != c.down {
			t.Errorf("Down16(%v): got %v, want %v", float64(c.l), float64(got), float64(c.down))
		}
		if got := c.l.Up16(); got != c.up {
			t.Errorf("Up16(%v): got %v, want %v", float64(c.l), float64(got), float64(c.up))
		}
	}
}

func TestJSON(t *testing.T) {
	var got []Inches
	if err := json.Unmarshal([]byte(`[3, "12' 3 5/8\"", -0.5, "1/8"]`), &got); err != nil {
		t.Fatal(err)
	}
	if want := []Inches{3, 147.625, -0.5, 0.125}; fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %v, want %v", got, want)
	}
	for _, text := range []string{`null`, `"x"`, `true`, `[1]`, `{}`, `1e400`} {
		var l Inches
		if err := json.Unmarshal([]byte(text), &l); err == nil {
			t.Errorf("%s: got %v, want an error", text, float64(l))
		}
	}
}

// FuzzParse: an error, or a length that prints to text which parses to it, to the nearest sixteenth.
func FuzzParse(f *testing.F) {
	for _, s := range []string{`12' 3 5/8"`, "3.75 m", "-½", "12′ 3⅝″", "1e9", "9'-11 63/64\"", "1000000000", "", "--", "1/3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := Parse(text)
		if err != nil {
			return
		}
		if math.IsNaN(float64(l)) || l > Most || l < -Most {
			t.Fatalf("Parse(%q) = %v", text, float64(l))
		}
		for _, printed := range []string{l.String(), l.Typeset()} {
			back, err := Parse(printed)
			if err != nil || back != l.Nearest16() {
				t.Fatalf("Parse(%q) = %v prints %q, which parses to %v, %v", text, float64(l), printed, float64(back), err)
			}
		}
	})
}

func ExampleParse() {
	l, err := Parse(`12' 3 5/8"`)
	fmt.Println(float64(l), err)
	_, err = Parse("a foot or so")
	fmt.Println(err)
	// Output:
	// 147.625 <nil>
	// length "a foot or so": "a foot or" is not a whole number of inches; write it as 12' 3 5/8" or 147 5/8 or 3.75 m
}

func ExampleInches_String() {
	fmt.Println(Inches(147.6), Inches(0.75), Inches(0))
	// Output: 12' 3 5/8" 3/4" 0"
}
