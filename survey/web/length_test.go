package web

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestReadLength(t *testing.T) {
	w := newSite(t)
	for _, row := range []struct {
		key, text string
		want      lengthAnswer
	}{
		{"joist.depth", "235 mm", lengthAnswer{Read: "9\u00a01/4″", Exact: "(9.252 in)"}},
		{"width", "28' 4", lengthAnswer{Read: "28′\u00a04″"}},
		{"width", "", lengthAnswer{Accepts: "feet, inches, fractions; a bare number is inches"}},
		{"base", "", lengthAnswer{Accepts: "assumed 0″ until it is said"}},
		{"edge.7.wall_end", "5'", lengthAnswer{Read: "5′\u00a00″"}},
		{"rain.inches_per_hour", "3.4", lengthAnswer{Read: "3.4 in/h"}},
		{"pin.hanger.drop", "7/16", lengthAnswer{Read: "7/16″"}},
		{"nothing", "-1/2", lengthAnswer{Read: "-1/2″"}},
		{"pin.hanger.drop", "30", lengthAnswer{Read: "2′\u00a06″", Check: &lengthCheck{Head: "Hangs below the joists 2′\u00a06″: is it right?",
			Why: "Metal and fixtures mostly hang less than 12″ below the joists (common practice, no source).", Keep: "Keep 2′\u00a06″"}}},
		{"width", "28", lengthAnswer{Read: "2′\u00a04″", Check: &lengthCheck{Head: "Deck width 2′\u00a04″: or 28′\u00a00″?",
			Why: "Decks are mostly 3′ to 100′ along the house (common practice, no source).", Keep: "Keep 2′\u00a04″", Ways: []lengthWay{{"28' 0\"", "28′\u00a00″"}}}}},
		{"width", "14'' 0", lengthAnswer{Problem: `"14'' 0" cannot be read as a length. Write 12' 3 5/8" or 147 5/8.`}},
	} {
		var got lengthAnswer
		w.get("/api/length?key=" + url.QueryEscape(row.key) + "&text=" + url.QueryEscape(row.text)).wants(http.StatusOK).json(&got)
		if diff := cmp.Diff(row.want, got); diff != "" {
			t.Errorf("%s %q (-want +got):\n%s", row.key, row.text, diff)
		}
	}
}
