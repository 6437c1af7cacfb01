package bundle

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestEveryForgedRecordIsFound makes 200 random single changes to what a bundle says of what was issued, sent, asked, answered, decided and done before that, sums the bundle up anew
// as a forger would, and opens it. Every one is refused.
func TestEveryForgedRecordIsFound(t *testing.T) {
	s, _ := newStore(t)
	packed := export(t, s, house(t, s))
	if _, err := open(packed); err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(7, 72))
	const tries = 200
	found, sections := 0, map[string]int{}
	for range tries {
		var what, section string
		forged := summed(t, packed, surveyName, func(body []byte) []byte {
			var text string
			text, section, what = forgedLine(r, string(body))
			return []byte(text)
		})
		sections[section]++
		if _, err := open(forged); survey.KindOf(err) == survey.Invalid {
			found++
		} else {
			t.Errorf("%s: %s: got %v", section, what, err)
		}
	}
	if found != tries || len(sections) < 6 {
		t.Errorf("found %d of %d, in %v", found, tries, sections)
	}
	t.Logf("found %d of %d: %v", found, tries, sections)
}

var (
	topLevel = regexp.MustCompile(`^ "(\w+)": \[`)
	letter   = regexp.MustCompile(`[0-9A-Za-z]`)
	leaf     = regexp.MustCompile(`^(\s+"(\w+)": "?)([^"\\]+?)("?,?)$`)
)

// forgedLine changes a letter or a digit of one value among the records of a survey.json, which has a line for each value.
func forgedLine(r *rand.Rand, text string) (forged, section, what string) {
	lines := strings.Split(text, "\n")
	var at []int
	in := make([]string, len(lines))
	for i, line := range lines {
		if m := topLevel.FindStringSubmatch(line); m != nil {
			section = m[1]
		}
		if in[i] = section; slices.Contains([]string{"revisions", "reports", "links", "questions", "decisions", "seals", "filings", "history"}, section) && leaf.MatchString(line) && letter.MatchString(leaf.FindStringSubmatch(line)[3]) {
			at = append(at, i)
		}
	}
	i := at[r.IntN(len(at))]
	m := leaf.FindStringSubmatch(lines[i])
	value := []byte(m[3])
	letters := letter.FindAllIndex(value, -1)
	at2 := letters[r.IntN(len(letters))][0]
	value[at2] = map[bool]byte{true: '2', false: '1'}[value[at2] == '1']
	was := lines[i]
	lines[i] = m[1] + string(value) + m[4]
	return strings.Join(lines, "\n"), in[i], strings.TrimSpace(was) + " → " + strings.TrimSpace(lines[i])
}
