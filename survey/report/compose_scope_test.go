package report

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// told is the demo with what a homeowner's scope says besides the plan, and the contractor's texts.
func told(t *testing.T) (survey.Record, Options) {
	t.Helper()
	r := demoRecord(t)
	for key, text := range map[string]string{
		survey.ScopeFinish: "White, satin", survey.ScopeIncluded: "Hose test with you\n\nClean-up", survey.ScopeExcluded: "Stain on the joists", survey.ScopeRepairs: "Flashing at the ledger: Alder’s roofer",
		survey.ScopeBefore: "Move the planters", survey.ScopePrice: "Ceiling $4,680.00\nGutters and downspouts $960.00", survey.ScopePriceAt: "Sales tax included.",
	} {
		r.Facts[key] = survey.Fact{Survey: r.Survey.ID, Key: key, Text: text, Version: 1}
	}
	return r, Options{Company: survey.Company{Name: "Fenn Ceilings", License: "C-104 of the State", Terms: "Half on order.\n\nHalf at the end.", Cancellation: "You may cancel within three days.", Care: "Hose it down.", ValidDays: 30}}
}

// page writes a document as the self-contained file and parses it.
func page(t *testing.T, doc document.Document) (string, *goquery.Document) {
	t.Helper()
	jpg := picture(t)
	var out bytes.Buffer
	if err := WriteHTML(&out, doc, "letter", func(string) ([]byte, error) { return jpg, nil }); err != nil {
		t.Fatal(err)
	}
	parsed, err := goquery.NewDocumentFromReader(bytes.NewReader(out.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), parsed
}

// TestScopeSaysWhatIsAgreed looks for what the homeowner approves, where they look for it. The sum and the date are by hand: 4,680 and 960
// dollars are 5,640; thirty days after 25 November is 25 December.
func TestScopeSaysWhatIsAgreed(t *testing.T) {
	r, o := told(t)
	_, doc := page(t, Build(r, survey.Compute(r), WithinReport(), made()).Document(document.Scope, words.English, o))
	for _, c := range []struct{ at, want string }{
		{".cover", "The Alder family"}, {".cover", "Fenn Ceilings"}, {".cover", "C-104 of the State"}, {"#plan", "falls 1/8″ in every foot"}, {"#plan", "not wind-driven rain at open sides, condensation, splash or ice"},
		{"#included", "390 ft², in 2 parts"}, {"#included", "2 gutters, each 28′ 4″ long with 1 downspout"}, {"#included", "An opening in the ceiling for: light 8"}, {"#included", "Hose test with you"}, {"#included", "White, satin"},
		{"#not-included", "Electrical, gas and plumbing"}, {"#not-included", "Stain on the joists"}, {"#fixtures", "Light"}, {"#fixtures", "existing"}, {"#fixtures", "Stays, in an opening of the ceiling."}, {"#fixtures", "Dryer or bath exhaust"},
		{"#repairs", "Ledger flashing missing or doubtful: it could not be seen."}, {"#repairs", "Alder’s roofer"}, {"#before", "Move the planters"}, {"#before", "Clear the space under the deck"},
		{"#please-know", "Local codes and licensed practice come first"}, {"#please-know", "licensed electrician"}, {"#please-know", "ask a licensed professional"}, {"#care", "Hose it down."}, {"#care", "To reach the light 8"},
		{"#price", "$5,640.00"}, {"#price", "$960.00"}, {"#price", "Holds until 25 Dec 2026."}, {"#price", "Sales tax included."}, {"#terms", "Half at the end."}, {"#cancellation", "three days"}, {"#approval .sign", "I approve exactly what this scope says"}, {"#approval .sign", "Signature"},
	} {
		if got := flat(doc.Find(c.at).Text()); !strings.Contains(got, c.want) {
			t.Errorf("%s lacks %q: %.300s", c.at, c.want, got)
		}
	}
	if n := doc.Find("#photos img").Length(); n != 8 {
		t.Errorf("%d photos, want 8", n)
	}
	if doc.Find("#plan svg.drawn").Length() != 2 {
		t.Error("the plan is not drawn for both widths")
	}
}

// internalWords finds what withCanaries has put into a survey.
func internalWords() *regexp.Regexp {
	return regexp.MustCompile(`CANARY|12\.345|98\.765|10:14|cccccccc`)
}

// withCanaries is a survey with a word in every text that is the office's or the crew's own.
func withCanaries(t *testing.T) (Model, Options) {
	t.Helper()
	const canary = "CANARY"
	r, o := told(t)
	r.Survey.Notes, r.Survey.Contact, r.Survey.Access, r.Survey.Surveyor = canary+" notes", canary+" contact", canary+" access", canary+" surveyor"
	lat, lon := 12.345678, -98.765432
	for i := range r.Photos {
		p := &r.Photos[i]
		p.Name, p.SHA256 = canary+".jpg", strings.Repeat("c", 64)
		p.Meta.Make, p.Meta.Model, p.Meta.Latitude, p.Meta.Longitude, p.Meta.Warnings, p.Meta.Taken = canary, canary, &lat, &lon, []string{canary}, "2026-09-14T10:14:00"
	}
	for i := range r.Pins {
		r.Pins[i].Note, r.Pins[i].By = canary+" note", canary+" by"
		if r.Pins[i].Kind == survey.PinReference {
			r.Pins[i].Values["name"] = canary + " reference"
		}
	}
	r.Facts["ready"] = survey.Fact{Key: "ready", Text: "2026-11-25T12:00:00Z", Version: 1}
	r.Facts["ready.by"], r.Facts["ready.reason"] = survey.Fact{Key: "ready.by", Text: canary, Version: 1}, survey.Fact{Key: "ready.reason", Text: canary, Version: 1}
	return Build(r, survey.Compute(r), WithinReport(), made()), o
}

// TestScopeHasNothingInternal looks for what is internal in every scope: in the document's data, and in the file.
func TestScopeHasNothingInternal(t *testing.T) {
	m, o := withCanaries(t)
	for _, lang := range []words.Lang{words.English, words.Spanish} {
		doc := m.Document(document.Scope, lang, o)
		data, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		text, _ := page(t, doc)
		for name, s := range map[string]string{"document": string(data), "file": text} {
			if at := internalWords().FindStringIndex(s); at != nil {
				t.Errorf("the scope's %s in %s says …%s…", name, lang, s[max(0, at[0]-80):min(len(s), at[1]+80)])
			}
		}
		if doc.Internal {
			t.Error("the scope is marked internal")
		}
	}
	office := m.Document(document.Survey, words.English, o)
	_, parsed := page(t, office)
	if got := parsed.Find("#files").Text(); !office.Internal || !strings.Contains(got, "12.34568") || !strings.Contains(got, "CANARY") {
		t.Errorf("the office's own report lacks what the camera wrote: %.200s", got)
	}
}

// TestScopePromisesNothingTooMuch: in no language is anything called dry, watertight or waterproof, and the one sentence of what the ceiling does
// not do is there.
func TestScopePromisesNothingTooMuch(t *testing.T) {
	forbidden := regexp.MustCompile(`(?i)\b(dry|drier|watertight|water-tight|waterproof\w*|leakproof|leak-proof|rainproof|sec[oa]s?|impermeables?|herm[eé]tic[oa]s?|estanc[oa]s?)\b`)
	r, o := told(t)
	models := map[string]Model{"demo": Build(r, survey.Compute(r), WithinReport(), made())}
	for _, name := range caseNames(t) {
		models[filepath.Base(name)], _ = caseModel(t, name)
	}
	for name, m := range models {
		for _, lang := range []words.Lang{words.English, words.Spanish} {
			doc := m.Document(document.Scope, lang, o)
			said := false
			linesOf(doc, func(l document.Line) {
				for _, s := range l {
					if at := forbidden.FindString(s.Text); at != "" {
						t.Errorf("%s in %s: %q is said in %q", name, lang, at, s.Text)
					}
					said = said || strings.Contains(s.Text, words.In(lang, "Catches rain that falls through the boards; not wind-driven rain at open sides, condensation, splash or ice."))
				}
			})
			if !said {
				t.Errorf("%s in %s: it does not say what the ceiling does not do", name, lang)
			}
		}
	}
}

// TestScopeThatIsNotReady: while something stops the job there is no place to sign, nor when nothing is planned.
func TestScopeThatIsNotReady(t *testing.T) {
	r := demoRecord(t)
	r.Facts["fall.direction"] = survey.Fact{Survey: r.Survey.ID, Key: "fall.direction", Text: "+x", Version: 2}
	for name, m := range map[string]Model{"stopped": Build(r, survey.Compute(r), WithinReport(), made()), "not planned": Build(bare(), survey.Compute(bare()), WithinReport(), made())} {
		doc := m.Document(document.Scope, words.English, Options{})
		stops, signs := 0, 0
		for _, b := range doc.Blocks {
			if b.Caution != nil && b.Caution.Weight == document.Stop {
				stops++
			}
			if b.Sign != nil {
				signs++
			}
		}
		if stops != 1 || signs != 0 {
			t.Errorf("%s: %d stops and %d places to sign, want 1 and none", name, stops, signs)
		}
	}
}

// TestPriceThatCannotBeAdded is printed as it was typed, without a total.
func TestPriceThatCannotBeAdded(t *testing.T) {
	r := demoRecord(t)
	r.Facts[survey.ScopePrice] = survey.Fact{Survey: r.Survey.ID, Key: survey.ScopePrice, Text: "Ceiling $4,680.00\nGutters to be agreed", Version: 1}
	_, doc := page(t, Build(r, survey.Compute(r), WithinReport(), made()).Document(document.Scope, words.English, Options{}))
	if got := flat(doc.Find("#price").Text()); !strings.Contains(got, "Gutters to be agreed") || strings.Contains(got, "Total") {
		t.Errorf("got %q", got)
	}
}
