package web

import (
	"net/http"
	"net/url"
	"testing"
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
		{"pin.hanger.drop", "30", lengthAnswer{Problem: "Hangs below the joists of 2' 6\"? Expected 0\" to 2' 0\"."}},
		{"width", "14'' 0", lengthAnswer{Problem: `"14'' 0" cannot be read as a length. Write 12' 3 5/8" or 147 5/8.`}},
	} {
		var got lengthAnswer
		w.get("/api/length?key=" + url.QueryEscape(row.key) + "&text=" + url.QueryEscape(row.text)).wants(http.StatusOK).json(&got)
		if got != row.want {
			t.Errorf("%s %q: got %+v, want %+v", row.key, row.text, got, row.want)
		}
	}
}
