package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/gowebpki/jcs"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// frozenDemo is the demo's survey frozen as its first revision.
func frozenDemo(t *testing.T, r survey.Record) (content []byte, sum string) {
	t.Helper()
	v := survey.NextRevision(r.Survey.ID, nil)
	v.By, v.At = "Ana", time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	content, sum, err := Freeze(v, r, survey.Compute(r), Options{Company: survey.Company{Name: "Fenn & Daughter", Terms: "Half on order."}})
	if err != nil {
		t.Fatal(err)
	}
	return content, sum
}

// TestFrozenContentIsCanonical: the same survey makes the same bytes, in the order and spelling of RFC 8785, and the sum is theirs.
func TestFrozenContentIsCanonical(t *testing.T) {
	r := demoRecord(t)
	content, sum := frozenDemo(t, r)
	if again, _ := frozenDemo(t, r); !bytes.Equal(content, again) {
		t.Error("frozen twice it is two contents")
	}
	canonical, err := jcs.Transform(content)
	if err != nil || !bytes.Equal(canonical, content) {
		t.Errorf("%v: it is not in canonical form", err)
	}
	if digest := sha256.Sum256(content); hex.EncodeToString(digest[:]) != sum {
		t.Error("the sum is not that of the content")
	}
}

// TestThawedReportsAreThoseThatWereIssued: each report in each language comes back as it was written, with the revision's name and fingerprint on it.
func TestThawedReportsAreThoseThatWereIssued(t *testing.T) {
	r := demoRecord(t)
	content, sum := frozenDemo(t, r)
	c, err := Thaw(content)
	if err != nil {
		t.Fatal(err)
	}
	model := Build(r, survey.Compute(r), WithinReport(), c.At)
	for _, reader := range []document.Reader{document.Crew, document.Scope, document.Survey} {
		for _, lang := range []words.Lang{words.English, words.Spanish} {
			for _, metric := range []bool{false, true} {
				got, err := c.Document(reader, lang, metric, sum)
				if err != nil {
					t.Fatal(err)
				}
				if got.Print != survey.Fingerprint(sum) || !strings.Contains(got.Issue, "1") || strings.Contains(got.Issue, "raft") {
					t.Errorf("%s in %s says %q and %q of its revision", reader, lang, got.Issue, got.Print)
				}
				want := model.Document(reader, lang, Options{Metric: metric, Company: c.Company})
				want.Issue, want.Print = got.Issue, got.Print
				text := func(d document.Document) string {
					b, err := json.Marshal(d)
					if err != nil {
						t.Fatal(err)
					}
					return string(b)
				}
				if text(got) != text(want) {
					t.Errorf("%s in %s came back as another document", reader, lang)
				}
			}
		}
	}
	if _, err := c.Document("stranger", words.English, false, sum); survey.KindOf(err) != survey.NotFound {
		t.Errorf("a reader that there is none of: %v", err)
	}
	for _, text := range []string{`{"format":2}`, `{}`, `[`, ``} {
		if _, err := Thaw([]byte(text)); err == nil {
			t.Errorf("%q was read as a revision", text)
		}
	}
}

// TestChangesSince makes one change at a time and wants it told, and nothing that the change does not touch.
func TestChangesSince(t *testing.T) {
	demo := demoRecord(t)
	content, _ := frozenDemo(t, demo)
	old, err := Thaw(content)
	if err != nil {
		t.Fatal(err)
	}
	since := func(change func(*survey.Record)) []Difference {
		r := demo
		r.Photos, r.Pins, r.Facts = slices.Clone(r.Photos), slices.Clone(r.Pins), maps.Clone(r.Facts)
		change(&r)
		return ChangesSince(old, r, survey.Compute(r), old.Company, words.English)
	}
	if same := since(func(*survey.Record) {}); len(same) != 0 {
		t.Fatalf("nothing has changed, and it tells of %v", same)
	}
	type want struct{ what, was, now string }
	pinOf := func(r *survey.Record, kind survey.PinKind) *survey.Pin {
		i := slices.IndexFunc(r.Pins, func(p survey.Pin) bool { return p.Kind == kind && p.Values["drop"] != "" })
		r.Pins[i].Values = maps.Clone(r.Pins[i].Values)
		return &r.Pins[i]
	}
	for name, c := range map[string]struct {
		change func(*survey.Record)
		want   []want
	}{
		"a width that is disputed": {func(r *survey.Record) { r.Facts["width"] = survey.Fact{Key: "width", Text: "29'"} }, []want{
			{"The ceiling", "was computed", "cannot"}, {"Deck width", "", "29′"}}},
		"a hanger hangs lower": {func(r *survey.Record) { pinOf(r, survey.PinHanger).Values["drop"] = `1 1/2"` }, []want{
			{"Panels", "first 6″", "first"}, {"Notch on carrier 2,", "check on site", "cut"}, {"Pin 7, Hanger: Hangs", "1/16″", "1/2″"}}},
		"a steeper fall": {func(r *survey.Record) { r.Facts["fall.per_foot"] = survey.Fact{Key: "fall.per_foot", Text: `1/4"`} }, []want{
			{"Fall per foot", "1/8″", "1/4″"}, {"Furring", "rows", "rows"}}},
		"another client": {func(r *survey.Record) { r.Survey.Client = "M. Ash" }, []want{{"Client", "", "M. Ash"}}},
		"a photo went":   {func(r *survey.Record) { r.Photos = r.Photos[:len(r.Photos)-1] }, []want{{"Photo", "was there", ""}}},
	} {
		got := since(c.change)
		for _, w := range c.want {
			if !slices.ContainsFunc(got, func(d Difference) bool {
				return strings.Contains(d.What, w.what) && strings.Contains(d.Was, w.was) && strings.Contains(d.Now, w.now)
			}) {
				t.Errorf("%s: nothing says %v in\n%v", name, w, got)
			}
		}
		for _, d := range got {
			if d.Was == d.Now {
				t.Errorf("%s: %v is no difference", name, d)
			}
		}
	}
	if got := since(func(r *survey.Record) { r.Survey.Client = "M. Ash" }); len(got) != 1 {
		t.Errorf("one text changed, and it tells of %v", got)
	}
	moved := old.Company
	moved.Terms = "All at the end."
	if got := ChangesSince(old, demo, survey.Compute(demo), moved, words.English); cmp.Diff([]Difference{{"Terms", "", "reads differently now"}}, got) != "" {
		t.Errorf("other terms: %v", got)
	}
}

// TestCrewIsToldWhatHasChanged: once a revision was issued, crew and office read at the head of the report what has changed since, each in its language; a crew is told
// no price, and the homeowner, who approves each revision as a whole, nothing.
func TestCrewIsToldWhatHasChanged(t *testing.T) {
	r := demoRecord(t)
	r.Facts = maps.Clone(r.Facts)
	content, _ := frozenDemo(t, r)
	old, err := Thaw(content)
	if err != nil {
		t.Fatal(err)
	}
	text := func(r survey.Record, reader document.Reader, lang words.Lang, last *Content) string {
		return strings.Join(spokenLines(Build(r, survey.Compute(r), WithinReport(), made()).Document(reader, lang, Options{Company: old.Company, Last: last})), "\n")
	}
	if got := text(r, document.Crew, words.English, nil); strings.Contains(got, "since") && strings.Contains(got, "Revision 1") {
		t.Error("without a revision it speaks of one")
	}
	if got := text(r, document.Crew, words.English, &old); !strings.Contains(got, "Revision 1 of 4\u00a0Jun\u00a02026. Nothing in this report has changed since.") || strings.Contains(got, "What has changed") {
		t.Error("nothing has changed, and it does not say so")
	}
	r.Facts["fall.per_foot"] = survey.Fact{Key: "fall.per_foot", Text: `1/4"`}
	r.Facts[survey.ScopePrice] = survey.Fact{Key: survey.ScopePrice, Text: "All $4,321.00"}
	crew := text(r, document.Crew, words.English, &old)
	for _, want := range []string{"Changed since the last issue: ", "Revision 1 of 4\u00a0Jun\u00a02026 is superseded.", "What has changed", "Fall per foot\n1/8″\n1/4″"} {
		if !strings.Contains(crew, want) {
			t.Errorf("the crew is not told %q", want)
		}
	}
	if strings.Index(crew, "What has changed") > strings.Index(crew, "Hazards and cautions") {
		t.Error("the changes do not come first")
	}
	if office := text(r, document.Survey, words.English, &old); strings.Contains(crew, "4,321") || !strings.Contains(office, "4,321") {
		t.Error("the price is for the office, not for the crew")
	}
	changes := regexp.MustCompile(`(?s)Lo que cambió.*?Peligros y precauciones`).FindString(text(r, document.Crew, words.Spanish, &old))
	if left := englishWord.FindString(changes); changes == "" || left != "" {
		t.Errorf("%q is left in the Spanish changes: %s", left, changes)
	}
	if strings.Count(changes, "Pendiente por pie") != 1 {
		t.Errorf("one change is told more than once: %s", changes)
	}
	if es := text(r, document.Crew, words.Spanish, &old); !strings.Contains(es, "Lo que cambió") || !strings.Contains(es, "La Revisión 1 del 4\u00a0jun\u00a02026 queda reemplazada.") {
		t.Error("the Spanish crew is not told")
	}
	if got, want := text(r, document.Scope, words.English, &old), text(r, document.Scope, words.English, nil); got != want {
		t.Error("the homeowner's scope differs by the revision before it")
	}
}
