package words_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"undercroft/calc"
	"undercroft/calc/words"
	"undercroft/survey"
)

// TestPhrases: a phrase is said in its language, phrases within it too; what has no translation is said in English; a part is cut by each language.
func TestPhrases(t *testing.T) {
	zone := words.Say("zone %s", "2")
	for _, c := range []struct {
		phrase  words.Phrase
		lang    words.Lang
		english string
	}{
		{zone, words.English, "zone 2"}, {zone, words.Spanish, "zona 2"},
		{words.Say("because of %s", words.Say("ripped furring strips")), words.Spanish, "por: listones aserrados a medida"},
		{words.Say("Nobody has ever said this: %d %%.", 5), words.Spanish, "Nobody has ever said this: 5 %."},
		{words.Join(", ", words.Say("brick"), words.Say("stucco")), words.Spanish, "ladrillo, estuco"},
		{words.Join(", "), words.Spanish, ""}, {words.Phrase{}, words.Spanish, ""},
		{words.Say("70 % of the screw's root; not into a check"), words.Spanish, "70 % del núcleo del tornillo; no en una grieta"},
		{words.Join(" ", words.Say("Rotten wood. Two"), words.Say("words. More.")).Only(words.First), words.English, "Rotten wood."},
		{words.Join(" ", words.Say("Rotten wood. Two"), words.Say("words. More.")).Only(words.Rest), words.English, "Two words. More."},
		{words.Say("Stop.").Only(words.Rest), words.Spanish, ""}, {words.Say("Stop.").Only(words.First), words.Spanish, "Pare."},
	} {
		if got := c.phrase.In(c.lang); got != c.english {
			t.Errorf("%q in %s: got %q, want %q", c.phrase.Format, c.lang, got, c.english)
		}
	}
	if !words.Has(words.Spanish, "not into a check; shim the hollows") || words.Has(words.Spanish, "not into a check; nobody said this") || !words.Has(words.English, "anything") {
		t.Error("a text of parts is translated when all of its parts are")
	}
}

// letters tells whether a format says anything besides its figures and marks.
func letters(text string) bool {
	return strings.ContainsFunc(verb.ReplaceAllString(text, ""), unicode.IsLetter)
}

// unnamed are texts that are the same in every language: names of profiles, and a unit that stands alone.
func unnamed(text string) bool { return slices.Contains([]string{"vinyl-12", "metal-16", "in"}, text) }

// allTexts are the texts of the source and those of the data that the program carries.
func allTexts(t *testing.T) map[string][]string {
	t.Helper()
	texts := sourceTexts(t)
	add := func(where string, list ...string) {
		for _, text := range list {
			texts[text] = append(texts[text], where)
		}
	}
	for _, q := range survey.CoverQuestions() {
		add("cover question "+q.Key, q.Label, q.Group, q.Caution.Source)
		for _, a := range q.Caution.Said.Args {
			add("cover question "+q.Key, a.(words.Phrase).Format)
		}
	}
	fields := append(survey.FactFields(survey.Record{}), survey.ScopeFields()...)
	for _, k := range survey.PinKinds() {
		add("kind of pin", k.Label)
		fields = append(fields, survey.PinFields(survey.Record{}, k.Kind)...)
	}
	for _, f := range fields {
		add("field "+f.Key, f.Label, f.Group)
		for _, o := range f.Options {
			add("answer of "+f.Key, o.Label)
			if strings.HasSuffix(f.Key, "surface") {
				add("surface", o.Value)
			}
		}
	}
	sys, err := calc.Resolve(calc.SystemSelection{})
	if err != nil {
		t.Fatal(err)
	}
	add("profile", sys.SealantProduct, sys.Release, sys.FurringMaterial)
	for _, g := range sys.GutterShapes {
		add("profile", g.Name)
	}
	add("material", "panel", "carrier", "furring", "channel")
	add("unit", "cartridge", "each", "hour", "ft")
	add("shape of a panel", "notched", "angled")
	add("rule", ruleNames(t)...)
	delete(texts, "")
	return texts
}

// TestEveryTextHasSpanish: nothing that the program says on paper is missing in the catalogue.
func TestEveryTextHasSpanish(t *testing.T) {
	texts := allTexts(t)
	if len(texts) < 900 {
		t.Fatalf("only %d texts were found in the source", len(texts))
	}
	for _, text := range sorted(texts) {
		if letters(text) && !unnamed(text) && !words.Has(words.Spanish, text) {
			t.Errorf("%s: no Spanish for %q", texts[text][0], text)
		}
	}
}

// TestNoSpanishIsUnused: every entry of the catalogue is a text, or a part between semicolons of one.
func TestNoSpanishIsUnused(t *testing.T) {
	used := map[string]bool{}
	for text := range allTexts(t) {
		used[text] = true
		for part := range strings.SplitSeq(text, "; ") {
			used[part] = true
		}
	}
	for _, text := range sorted(words.SpanishTexts()) {
		if !used[text] {
			t.Errorf("nothing says %q", text)
		}
	}
}

var (
	verb   = regexp.MustCompile(`%(?:\[(\d+)\])?([-+#0]*[\d.]*)([a-zA-Z%])`)
	figure = regexp.MustCompile(`\d+(?:[./]\d+)*`)
)

// verbs are the verbs of a format by the argument that each prints.
func verbs(format string) map[int]string {
	out, next := map[int]string{}, 1
	for _, m := range verb.FindAllStringSubmatch(format, -1) {
		if m[3] == "%" {
			continue
		}
		if m[1] != "" {
			_, _ = fmt.Sscan(m[1], &next)
		}
		out[next] = m[2] + m[3]
		next++
	}
	return out
}

// TestFormatsAgree: both languages print the same arguments in the same way, and name the same figures.
func TestFormatsAgree(t *testing.T) {
	for english, spanish := range words.SpanishTexts() {
		if a, b := verbs(english), verbs(spanish); !maps.Equal(a, b) {
			t.Errorf("%q prints %v, %q %v", english, a, spanish, b)
		}
		if len(verbs(english)) > 0 && strings.Count(english, "%%") != strings.Count(spanish, "%%") {
			t.Errorf("%q and %q have not the same percent signs", english, spanish)
		}
		figures := func(s string) []string {
			return slices.Sorted(slices.Values(figure.FindAllString(verb.ReplaceAllString(s, ""), -1)))
		}
		if a, b := figures(english), figures(spanish); !slices.Equal(a, b) {
			t.Errorf("%q has the figures %v, %q %v", english, a, spanish, b)
		}
	}
}

// TestSpanishIsWritten: opening marks, accents, no English left, nothing promised. The words that take an accent are those of the Ortografía
// of the Real Academia Española (2010), rules of the acute accent; the list is from memory.
func TestSpanishIsWritten(t *testing.T) {
	bare := regexp.MustCompile(`(?i)\b(\p{L}+(cion|sion)|tambien|segun|asi|aqui|ahi|despues|numero|codigo|tecnico|poliza|ningun[ao]s?ó|dia|dias|angulo|limite|linea|area|oxido|camara|practica comun|atras|detras|vacio|minimo|maximo|silice|publico|electrico)\b`)
	english := regexp.MustCompile(`(?i)\b(the|and|of|is|are|with|from|not|for|where|below|above|row|gutter|joist|ledger|carrier|furring|pin|crew|scope)\b`)
	names := strings.NewReplacer("HEPA", "", "NDS Commentary", "", "Vinyl Siding Institute", "", "NSPC 2006 Illustrated", "")
	promise := regexp.MustCompile(`(?i)\b(impermeab\p{L}*|herm[eé]tic\p{L}*|estanc[oa]s?|a prueba de agua|libre de agua)\b`)
	other := regexp.MustCompile(`(?i)\b(canal[oó]n(es)?|colgador(es)?|viga de pared|tiras?|plafón|tablero|soleras?|cubierta de madera|elevador|bajada de agua|ranura de madera)\b`)
	dry := regexp.MustCompile(`(?i)\bsec[oa]s?\b`)
	for en, es := range words.SpanishTexts() {
		if strings.Count(es, "?") != strings.Count(es, "¿") || strings.Count(es, "!") != strings.Count(es, "¡") {
			t.Errorf("%q: a question or exclamation is not opened", es)
		}
		if m := bare.FindString(es); m != "" {
			t.Errorf("%q: %q has lost its accent", es, m)
		}
		if m := english.FindString(names.Replace(es)); m != "" {
			t.Errorf("%q: %q is English", es, m)
		}
		if m := other.FindString(es); m != "" {
			t.Errorf("%q: %q has another name in the glossary of es.go", es, m)
		}
		if m := promise.FindString(es); m != "" {
			t.Errorf("%q promises %q", es, m)
		}
		if dry.MatchString(strings.ReplaceAll(es, " en seco", "")) {
			t.Errorf("%q calls something dry", es)
		}
		if en != "No." && strings.HasSuffix(en, ".") != strings.HasSuffix(es, ".") || strings.TrimSpace(es) != es || strings.Contains(es, "  ") {
			t.Errorf("%q ends or is spaced otherwise than %q", es, en)
		}
		a, b := []rune(names.Replace(en) + " ")[0], []rune(es)[0]
		if unicode.IsLetter(a) && unicode.IsLetter(b) && unicode.IsUpper(a) && unicode.IsLower(b) && !months[en] {
			t.Errorf("%q begins with a capital, %q does not", en, es)
		}
	}
}

// months are written small in Spanish.
var months = map[string]bool{"Jan": true, "Feb": true, "Mar": true, "Apr": true, "May": true, "Jun": true, "Jul": true, "Aug": true, "Sep": true, "Oct": true, "Nov": true, "Dec": true}
