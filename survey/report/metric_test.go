package report

import (
	"testing"

	"undercroft/calc/words"
	"undercroft/survey/report/document"
)

// TestMetric: an inch is exactly 25.4 mm (NIST SP 811, appendix B.8). The metric lengths are by hand from that.
func TestMetric(t *testing.T) {
	for in, want := range map[string]string{
		"10′\u00a06\u00a03/4″":                "10′\u00a06\u00a03/4″\u00a0(3.22\u00a0m)",   // 126.75 in are 3219.45 mm
		"3/16″":                               "3/16″\u00a0(5\u00a0mm)",                    // 4.7625 mm
		"cut 12\u00a01/16″ wide":              "cut 12\u00a01/16″\u00a0(306\u00a0mm) wide", // 306.3875 mm
		"0″":                                  "0″\u00a0(0\u00a0mm)",
		"-1/2″":                               "-1/2″\u00a0(-13\u00a0mm)",                                        // 12.7 mm
		"39\u00a03/8″":                        "39\u00a03/8″\u00a0(1.00\u00a0m)",                                 // 1000.125 mm
		"28′\u00a04″ × 14′\u00a00″":           "28′\u00a04″\u00a0(8.64\u00a0m) × 14′\u00a00″\u00a0(4.27\u00a0m)", // 8636 mm, 4267.2 mm
		`10' 6 3/4"`:                          `10' 6 3/4"`,                                                      // as a person types it: left alone
		"plain text, 12 in, 3 1/2 of a thing": "plain text, 12 in, 3 1/2 of a thing",
	} {
		if got := withMetric(in); got != want {
			t.Errorf("%q:\ngot  %q\nwant %q", in, got, want)
		}
	}
}

// TestMetricLeavesPeoplesTextsAlone: only what the program prints is converted.
func TestMetricLeavesPeoplesTextsAlone(t *testing.T) {
	r := demoRecord(t)
	r.Survey.Access = "Gate 36″ wide"
	m := demoModel(t)
	m.Site.Access = r.Survey.Access
	found, metric := false, 0
	linesOf(m.Document(document.Crew, words.English, Options{Metric: true}), func(l document.Line) {
		for _, s := range l {
			found = found || s.Text == "Gate 36″ wide"
			if s.Text == "10′\u00a06\u00a03/4″\u00a0(3.22\u00a0m)" {
				metric++
			}
		}
	})
	if !found || metric == 0 {
		t.Errorf("typed text unchanged: %v; converted lengths: %d", found, metric)
	}
}
