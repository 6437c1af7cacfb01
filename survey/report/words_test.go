package report

import "testing"

func TestWidthStaysInInches(t *testing.T) {
	for _, c := range []struct {
		inches width
		want   string
	}{{12.0625, "12\u00a01/16″"}, {6, "6″"}, {0.5, "1/2″"}, {0, "0″"}, {11.999, "12″"}, {24.0625, "24\u00a01/16″"}} {
		if got := c.inches.Typeset(); got != c.want {
			t.Errorf("width %v: got %q, want %q", float64(c.inches), got, c.want)
		}
	}
}

func TestWords(t *testing.T) {
	named := things{"p8": {ID: "p8", Label: "Light\u00a08"}, "p16.1": {ID: "p16.1", Label: "Hanger\u00a016.1"}}
	for _, c := range []struct{ in, want string }{
		{"To reach the light p8: panel 15.", "To reach the light 8: panel 15."},
		{"check p16.1 on site", "check hanger\u00a016.1 on site"},
		{"p99 is not known", "p99 is not known"},
		{`8' 8 1/2" at 12"`, "8′\u00a08\u00a01/2″ at 12″"},
		{"the panel's end", "the panel's end"},
	} {
		if got := named.words(c.in); got != c.want {
			t.Errorf("words(%q): got %q, want %q", c.in, got, c.want)
		}
	}
}

func TestCommonEnding(t *testing.T) {
	if got := commonEnding([]string{"One. Both end so.", "Two, and more. Both end so."}); got != "Both end so." {
		t.Errorf("got %q", got)
	}
	for _, texts := range [][]string{nil, {"Alone. The end."}, {"One. So.", "Two. Not so."}} {
		if got := commonEnding(texts); got != "" {
			t.Errorf("%q: got %q, want nothing", texts, got)
		}
	}
}

func TestNumbersForPeople(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{percent(0.0001), "under 1\u00a0%"}, {percent(0.999), "99\u00a0%"}, {percent(1), "100\u00a0%"}, {percent(0), "0\u00a0%"}, {percent(0.123), "12\u00a0%"}, {percent(1.2), "120\u00a0%"},
		{dollars(120450), "$1,204.50"}, {dollars(5), "$0.05"}, {dollars(-99), "-$0.99"}, {dollars(123456789), "$1,234,567.89"},
		{ranges([]int{1, 2, 3, 5, 7, 8}), "1–3, 5, 7–8"}, {ranges(nil), ""}, {down(126.8095), "10′\u00a06\u00a03/4″"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
	if head, rest := cutSentence("Use screws no. 8 here. Then stop."); head != "Use screws no. 8 here." || rest != "Then stop." {
		t.Errorf("got %q and %q", head, rest)
	}
}
