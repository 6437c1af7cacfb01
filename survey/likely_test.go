package survey

import (
	"strings"
	"testing"
)

// Every length that is asked for knows what such lengths mostly are, with the reason, or stands in the list of those that cannot.
func TestEveryLengthHasARange(t *testing.T) {
	fields := append(FactFields(Record{}), WalkFields(Record{})...)
	for _, k := range PinKinds() {
		fields = append(fields, k.Fields...)
	}
	for _, f := range fields {
		if f.Type != TypeLength && f.Type != TypePosition {
			continue
		}
		ranges := []Range{f.Likely}
		if f.LikelyAs != nil {
			ranges = ranges[:0]
			for _, o := range f.Options {
				ranges = append(ranges, f.LikelyAs[o.Value])
			}
			for _, likely := range f.LikelyAs {
				ranges = append(ranges, likely)
			}
		}
		for _, likely := range ranges {
			if likely.Why == "" || likely.High <= likely.Low || !strings.HasSuffix(likely.Why, ".") {
				t.Errorf("the length %s has the range %+v", f.Key, likely)
			}
		}
	}
}

// What such lengths mostly are is what the trade meets; no standard says it (common practice, no source), but for lumber sizes, which are those of
// American Softwood Lumber Standard PS 20, from memory. One row below, one within, one above for each sort of field.
func TestQuestion(t *testing.T) {
	fact := func(key string) Field {
		f, ok := FactField(Record{}, key)
		if !ok {
			t.Fatalf("no fact %s", key)
		}
		return f
	}
	pin := func(kind PinKind, key string) Field {
		for _, f := range PinFields(Record{}, kind) {
			if f.Key == key {
				return f
			}
		}
		t.Fatalf("no field %s of %s", key, kind)
		return Field{}
	}
	taped := pin(PinDimension, "length")
	for _, row := range []struct {
		name          string
		field         Field
		asked, likely string // the first way, empty for none
		fine          string
	}{
		{"a deck 28 inches wide: feet?", fact("width"), "28", "28′\u00a00″", "28' 4"},
		{"a deck 999 feet wide: inches?", fact("width"), "999'", "83′\u00a03″", "100'"},
		{"a projection of 14 inches: feet?", fact("projection"), "14", "14′\u00a00″", "14'"},
		{"joists 16 feet apart: inches?", fact("joist.spacing"), "16'", "1′\u00a04″", "16"},
		{"a first joist 16 feet in: inches?", fact(FirstJoist), "16'", "1′\u00a04″", "16"},
		{"joists 2 inches deep", fact("joist.depth"), "2", "", "9 1/4"},
		{"joists of 9 feet depth: inches?", fact("joist.depth"), "9'", "9″", "11 1/4"},
		{"a ledger two feet below", fact("edge.0.member_drop"), "-2'", "", "-1 1/2"},
		{"a wall of 300 feet: inches?", fact("edge.0.wall_end"), "300'", "25′\u00a00″", "10'"},
		{"a fall of two inches", fact("fall.per_foot"), "2", "", "1/8"},
		{"a base of a foot", fact("base"), "1'", "1″", "1 1/2"},
		{"built down by three feet", fact("max_build_down"), "3'", "3″", "6"},
		{"taped as the width", taped.As("width"), "28", "28′\u00a00″", "28' 4"},
		{"taped as the spacing", taped.As("joist.spacing"), "16'", "1′\u00a04″", "16"},
		{"taped as the projection", taped.As("projection"), "14", "14′\u00a00″", "14'"},
		{"taped as the depth", taped.As("joist.depth"), "9'", "9″", "9 1/4"},
		{"a clearance of 9 inches: feet?", pin(PinClearance, "clearance"), "9", "9′\u00a00″", "8' 2"},
		{"a hanger 7 feet below: inches?", pin(PinHanger, "drop"), "7'", "7″", "7/16"},
		{"a seat six feet wide: inches?", pin(PinHanger, "wx"), "6'", "6″", "1 5/8"},
		{"a seat eight feet long: inches?", pin(PinBracket, "wy"), "8'", "8″", "2"},
		{"a row 16 feet apart: inches?", pin(PinHanger, "row_step"), "16'", "1′\u00a04″", "16"},
		{"a beam 11 feet below: inches?", pin(PinBeam, "drop"), "11'", "11″", "11 1/4"},
		{"a beam four feet wide: inches?", pin(PinBeam, "thick"), "4'", "4″", "4 1/2"},
		{"a post six feet wide: inches?", pin(PinPost, "wx"), "6'", "6″", "5 1/2"},
		{"a post six feet deep: inches?", pin(PinPost, "wy"), "6'", "6″", "5 1/2"},
		{"a light nine feet below: inches?", pin(PinFixture, "drop"), "9'", "9″", "4 3/4"},
		{"a light twelve feet wide: inches?", pin(PinFixture, "wx"), "12'", "1′\u00a00″", "6"},
		{"a level line 30 feet up", pin(PinLevel, "height"), "30'", "2′\u00a06″", "3' 2"},
		{"a door's head 40 feet up: inches?", pin(PinOpening, "head"), "40'", "3′\u00a04″", "6' 8"},
		{"a place 200 feet along", pin(PinPost, "x"), "200'", "16′\u00a08″", "-1 1/2"},
		{"known within 3 feet: inches?", pin(PinPost, "pm"), "3'", "3″", "3/8"},
	} {
		t.Run(row.name, func(t *testing.T) {
			q, ok := Question(row.field, row.asked)
			switch {
			case !ok:
				t.Errorf("%s is not asked about", row.asked)
			case row.likely == "" && len(q.Ways) > 0, row.likely != "" && (len(q.Ways) == 0 || q.Ways[0].Typeset() != row.likely):
				t.Errorf("%s: asked %q with %v, want %q", row.asked, q.Head, q.Ways, row.likely)
			case q.Why == "" || !strings.HasSuffix(q.Head, "?"):
				t.Errorf("the question is %+v", q)
			}
			if q, ok := Question(row.field, row.fine); ok {
				t.Errorf("%s is asked about: %s", row.fine, q.Head)
			}
			if _, err := ReadValue(row.field, row.asked); err != nil {
				t.Errorf("%s may not stand: %v", row.asked, err)
			}
		})
	}
}
