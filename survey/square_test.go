package survey

import (
	"math"
	"strings"
	"testing"

	"undercroft/calc/length"
)

// measured is a survey of which these lengths are typed.
func measured(texts map[string]string) Record {
	r := Record{Survey: Survey{ID: "s"}, Facts: map[string]Fact{}}
	for key, text := range texts {
		r.Facts[key] = Fact{Survey: "s", Key: key, Text: text, Version: 1}
	}
	return r
}

// TestSquareByThreeFourFive: the carpenter's 3-4-5 rule and its multiples (Pythagoras) are square; a diagonal that is longer or shorter is not, and the corner leans the way that the law of cosines says.
func TestSquareByThreeFourFive(t *testing.T) {
	for name, c := range map[string]struct {
		texts  map[string]string
		square bool
		says   string
	}{
		"3-4-5, times 4":               {map[string]string{"width": "16'", "projection": "12'", diagonalIn: "20'", diagonalOut: "20'"}, true, "square within"},
		"5-12-13":                      {map[string]string{"width": "12'", "projection": "5'", diagonalIn: "13'"}, true, "square within"},
		"8-15-17":                      {map[string]string{"width": "15'", "projection": "8'", diagonalOut: "17'"}, true, "square within"},
		"a long diagonal at the right": {map[string]string{"width": "16'", "projection": "12'", diagonalOut: `20' 2"`}, false, "right corner stands 2 1/2″ to the right"},
		"a short one at the right":     {map[string]string{"width": "16'", "projection": "12'", diagonalOut: `19' 10"`}, false, "right corner stands 2 1/2″ to the left"},
		"a short one at the left":      {map[string]string{"width": "16'", "projection": "12'", diagonalIn: `19' 10"`}, false, "left corner stands 2 1/2″ to the right"},
		"no triangle":                  {map[string]string{"width": "16'", "projection": "12'", diagonalIn: "29'"}, false, "cannot be"},
		"a longer outer edge":          {map[string]string{"width": "16'", "projection": "12'", rimKey: `16' 1"`}, false, "1″ longer"},
		"a longer right end":           {map[string]string{"width": "16'", "projection": "12'", leftKey: "12'", rightKey: `12' 3/4"`}, false, "3/4″ longer"},
		"a bowed edge":                 {map[string]string{"width": "16'", "projection": "12'", leftKey: "12'", rightKey: "12'", middleKey: `12' 1/2"`}, false, "bows"},
		"nothing but the sides":        {map[string]string{"width": "16'", "projection": "12'"}, true, ""},
	} {
		got := CheckSquare(measured(c.texts))
		var said []string
		for _, l := range got.Lines {
			said = append(said, l.Text.String())
			if (l.Do.String() == "") == got.OutOfSquare && len(got.Lines) == 1 {
				t.Errorf("%s: what is out of square says what to do, what is not does not: %+v", name, l)
			}
		}
		if got.OutOfSquare == c.square || !strings.Contains(strings.Join(said, "\n"), strings.ReplaceAll(c.says, "2 1/2", "2\u00a01/2")) {
			t.Errorf("%s: out of square %v, says %q, want %q", name, got.OutOfSquare, said, c.says)
		}
	}
}

// TestCornersComeBackToTheTape: the outline that is worked out of sides and diagonals has these sides and diagonals.
func TestCornersComeBackToTheTape(t *testing.T) {
	q := CheckSquare(measured(map[string]string{"width": "28'", "projection": "14'", leftKey: "14'", rightKey: `14' 1"`, diagonalIn: `31' 2"`, diagonalOut: `31' 5"`}))
	if len(q.Corners) != 4 {
		t.Fatalf("no corners: %+v", q)
	}
	distance := func(i, k int) float64 {
		return math.Hypot(float64(q.Corners[i].X-q.Corners[k].X), float64(q.Corners[i].Y-q.Corners[k].Y))
	}
	for _, c := range []struct {
		i, k int
		want length.Inches
	}{{0, 1, 28 * 12}, {0, 3, 14 * 12}, {1, 2, 14*12 + 1}, {1, 3, 31*12 + 2}, {0, 2, 31*12 + 5}} {
		if got := distance(c.i, c.k); math.Abs(got-float64(c.want)) > 1e-9 {
			t.Errorf("from corner %d to %d it is %g, taped %g", c.i+1, c.k+1, got, float64(c.want))
		}
	}
}

func TestHoles(t *testing.T) {
	r := measured(map[string]string{"width": "28'", "projection": "14'"})
	fact, err := HoleFact(r, 60, 48, 40, 60)
	if err != nil || fact.Key != "hole" {
		t.Fatalf("%+v, %v", fact, err)
	}
	r.Facts["hole"] = fact
	if second, err := HoleFact(r, 200, 48, 40, 60); err != nil || second.Key != "hole.2" {
		t.Errorf("%+v, %v", second, err)
	}
	for name, at := range map[string][4]length.Inches{"over another": {80, 60, 60, 20}, "outside": {330, 48, 40, 60}, "at the edge": {0, 48, 40, 60}, "no width": {60, 48, 0, 60}} {
		if _, err := HoleFact(r, at[0], at[1], at[2], at[3]); KindOf(err) != Invalid {
			t.Errorf("%s: got %v, want it refused", name, err)
		}
	}
	l := measured(map[string]string{"outline": "0, 0\n24', 0\n24', 10'\n14', 10'\n14', 16'\n0, 16'"})
	if _, err := HoleFact(l, 13*12, 8*12, 24, 36); err == nil || !strings.Contains(Message(err), "reach") {
		t.Errorf("over the inner corner of an L: got %v, want it refused", err)
	}
	if in := Assemble(r).Input; len(in.Holes) != 1 || len(in.Holes[0]) != 4 {
		t.Errorf("the calculator gets %+v", in.Holes)
	}
}
