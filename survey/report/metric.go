package report

import (
	"regexp"
	"strconv"
	"strings"
)

// typesetLength is a length as length.Typeset prints it: feet with inches, or inches alone, with a fraction or without.
var typesetLength = regexp.MustCompile(`-?(?:(\d+)′(?:\x{a0}|$))?(?:(\d+)(?:\x{a0}(\d+)/(\d+))?|(\d+)/(\d+))″`)

// Millimetres in an inch: exact by definition (NIST SP 811, appendix B.8).
const mmPerInch = 25.4

// withMetric puts the metric length after every length of a text that this program printed: 10′ 6 3/4″ (3.22 m). What people typed with their
// own marks is not touched.
func withMetric(text string) string {
	if !strings.Contains(text, "″") {
		return text
	}
	return typesetLength.ReplaceAllStringFunc(text, func(l string) string { return l + "\u00a0(" + metricOf(l) + ")" })
}

// metricOf converts a printed length: whole millimetres below a metre, hundredths of a metre from there on.
func metricOf(printed string) string {
	m := typesetLength.FindStringSubmatch(printed)
	number := func(i int) float64 {
		v, _ := strconv.ParseFloat(m[i], 64) // an empty part counts as 0
		return v
	}
	inches := number(1)*12 + number(2)
	if m[4] != "" {
		inches += number(3) / number(4)
	}
	if m[6] != "" {
		inches += number(5) / number(6)
	}
	sign := ""
	if strings.HasPrefix(printed, "-") {
		sign = "-"
	}
	if mm := inches * mmPerInch; mm < 1000 {
		return sign + strconv.FormatFloat(mm, 'f', 0, 64) + "\u00a0mm"
	}
	return sign + strconv.FormatFloat(inches*mmPerInch/1000, 'f', 2, 64) + "\u00a0m"
}
