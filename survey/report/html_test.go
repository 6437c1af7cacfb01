package report

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// picture is a JPEG of 8 by 6 pixels.
func picture(t *testing.T) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := jpeg.Encode(&out, image.NewGray(image.Rect(0, 0, 8, 6)), nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// file writes a model as the self-contained file and parses it.
func file(t *testing.T, m Model) (string, *goquery.Document) {
	t.Helper()
	jpg := picture(t)
	var out bytes.Buffer
	if err := WriteHTML(&out, m.Document(document.Crew, words.English, Options{}), "letter", func(string) ([]byte, error) { return jpg, nil }); err != nil {
		t.Fatal(err)
	}
	doc, err := goquery.NewDocumentFromReader(bytes.NewReader(out.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), doc
}

// flat is a text with every run of spaces as one.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// TestFileNeedsNothingElse: no script, no link to a style, pictures inside, and every address leads to a place in the file itself.
func TestFileNeedsNothingElse(t *testing.T) {
	text, doc := file(t, demoModel(t))
	if n := doc.Find("script, link, iframe, object, embed, base, form, [style], [onclick], [onload]").Length(); n > 0 {
		t.Errorf("%d elements that a file on its own must not have", n)
	}
	if n := doc.Find("style").Length(); n != 1 {
		t.Errorf("%d style elements, want 1", n)
	}
	if n := doc.Find("img").Length(); n != 8 {
		t.Errorf("%d pictures, want 8", n)
	}
	for _, attr := range []string{"src", "srcset", "href", "xlink:href", "poster", "action", "data"} {
		doc.Find("[" + strings.ReplaceAll(attr, ":", `\:`) + "]").Each(func(_ int, el *goquery.Selection) {
			value := el.AttrOr(attr, "")
			switch {
			case attr == "src" && strings.HasPrefix(value, "data:image/jpeg;base64,"):
			case attr == "href" && strings.HasPrefix(value, "#"):
				if doc.Find(value).Length() != 1 {
					t.Errorf("%s leads to %d places", value, doc.Find(value).Length())
				}
			default:
				t.Errorf("%s=%.60q is outside of the file", attr, value)
			}
		})
	}
	style := strings.ReplaceAll(doc.Find("style").Text(), ": ", ":")
	for _, bad := range []string{"@import", "url(", "http:", "https:"} {
		if strings.Contains(style, bad) {
			t.Errorf("the styles contain %q", bad)
		}
	}
	for _, want := range []string{"@media print", "@page", "size:letter;margin:14mm", "table-header-group"} {
		if !strings.Contains(style, want) {
			t.Errorf("the styles lack %q", want)
		}
	}
	for _, bad := range []string{imageMark, styleMark, "/static/", "ZgotmplZ", "<no value>", "%!"} {
		if strings.Contains(text, bad) {
			t.Errorf("the file contains %q", bad)
		}
	}
}

// TestReportShowsTheDemo looks for what the crew builds by, where they look for it.
func TestReportShowsTheDemo(t *testing.T) {
	_, doc := file(t, demoModel(t))
	for _, c := range []struct{ at, want string }{
		{".cover h1", "Larkmoor house"}, {".cover", "14 Larkmoor Lane"}, {".cover", "The Alder family"}, {".cover", "Side gate on the left"}, {".cover", "14 Sep 2026"},
		{".cover", "389.6 ft²"}, {".cover", "58"}, {"#panels", "29 × 10′ 6 3/4″"}, {"#panels", "29 × 2′ 9 7/8″"}, {"#panels", "12 1/16″"},
		{"#furring", "1 5/16″"}, {"#furring", "rip to 3/8″"}, {"#notches", "Hanger 16.5"}, {"#notches", "3/16″"}, {"#cutouts", "Light 8"}, {"#service", "To reach the light 8"},
		{"#fixings", "carbide"}, {"#fixings", "Fiber-cement"}, {"#fixings", "Brick"}, {"#cutting", "29 of 14′"}, {"#bring", "Furring screw"}, {"#bring", "Shroud and HEPA vacuum"}, {"#water", "gpm"}, {"#movement", "End gap to leave at 55 °F"},
		{"#checks", "structure is for a licensed professional"}, {"#hazards", "ladder"}, {"#hazards", "silica"}, {"#hazards", "electric"}, {"#hazards", "29 CFR 1926"}, {"#work", "snap a line"}, {"#verify", "± 13/16″"},
		{"#questions", "Ask the office"}, {"#assumed", "assumed"}, {"#methods", "Manning"}, {"#photos", "Notch 3/16″ deep in zone 1"}, {"#photos", "at 14′ 2″ along, 5′ 0″ out ± 13/16″"},
	} {
		if got := flat(doc.Find(c.at).Text()); !strings.Contains(got, c.want) {
			t.Errorf("%s lacks %q: %.300s", c.at, c.want, got)
		}
	}
	if n := doc.Find("#plan svg.drawn, #section svg.drawn").Length(); n != 4 {
		t.Errorf("%d drawings, want plan and section in two widths", n)
	}
	for _, part := range []string{"#plan", "#section", "#notches", "#furring", "#cutting", "#fixings"} {
		if doc.Find(part+" .whole svg").Length() == 0 {
			t.Errorf("%s has no sheet", part)
		}
	}
	if n := doc.Find("#cutting td.drawing svg").Length(); n < 4 {
		t.Errorf("%d bars, want one for each way to cut a stick", n)
	}
	m := demoModel(t)
	pins := 0
	for _, p := range m.Photos {
		pins += len(p.Pins)
	}
	if n := doc.Find("#photos tr[id^=pin-]").Length(); n != pins || n == 0 {
		t.Errorf("%d pins listed, want %d", n, pins)
	}
}

// TestCautionsNameRuleAndSource: each hazard says its rule, what called it up and where the rule is from, and the section defers to local
// codes and licensed practice.
func TestCautionsNameRuleAndSource(t *testing.T) {
	_, doc := file(t, demoModel(t))
	cautions := doc.Find("#hazards .caut")
	if cautions.Length() < 5 {
		t.Fatalf("only %d cautions", cautions.Length())
	}
	cautions.Each(func(_ int, c *goquery.Selection) {
		rule := flat(c.Find(".rule").Text())
		for _, want := range []string{"because of ", "rule ", "source: "} {
			if !strings.Contains(rule, want) {
				t.Errorf("%q lacks %q", rule, want)
			}
		}
	})
	text := strings.ToLower(flat(doc.Find("#hazards").Text()))
	if !strings.Contains(text, "local code") || !strings.Contains(text, "licensed") {
		t.Error("the cautions do not defer to local code and licensed practice")
	}
}

// TestKeyTablesSayWhereFiguresCameFrom: a source stands in the caption, or in every row.
func TestKeyTablesSayWhereFiguresCameFrom(t *testing.T) {
	_, doc := file(t, demoModel(t))
	for part, want := range map[string]string{"#furring": "rule 4", "#panels": "rule 5", "#notches": "rule 6", "#cutouts": "rule 6", "#cutting": "rule 7", "#takeoff + table": "rule 8", "#water": "rule 9", "#movement": "rule 11", "#checks": "rule 12"} {
		found := doc.Find(part + " caption, " + part + " .small")
		if strings.HasSuffix(part, "table") {
			found = doc.Find(part + " caption")
		}
		if !strings.Contains(flat(found.Text()), "computed · "+want) {
			t.Errorf("%s does not say that its figures came by %s: %.200s", part, want, flat(found.Text()))
		}
	}
	sourced := regexp.MustCompile(`taped|typed|located|assumed|computed`)
	if n := doc.Find(".cover dd").FilterFunction(func(_ int, dd *goquery.Selection) bool { return strings.Contains(dd.Text(), "computed · rule") }).Length(); n != 6 {
		t.Errorf("%d key figures say by which rule they came, want 6", n)
	}
	doc.Find("#sources table:first-of-type tbody tr:not(.group), #assumed table tbody tr:not(.group)").Each(func(_ int, row *goquery.Selection) {
		if !sourced.MatchString(row.Find("td:last-child").Text()) {
			t.Errorf("fact %q has no source", flat(row.Text()))
		}
	})
	if !strings.Contains(doc.Find("#assumed").Text(), "assumed · profile vinyl-12") {
		t.Error("the profile's figures do not say that they are assumed")
	}
}

// TestNothingIsCalledDry: the ceiling catches rain that falls through the boards; nothing is promised beyond. "Dry sweeping" is what the
// silica rule (29 CFR 1926.1153) forbids, and stays.
func TestNothingIsCalledDry(t *testing.T) {
	forbidden := regexp.MustCompile(`(?i)\b(dry|drier|watertight|water-tight|waterproof\w*|leakproof)\b`)
	for name, m := range map[string]Model{"computed": demoModel(t), "not computed": Build(bare(), survey.Compute(bare()), WithinReport(), made())} {
		_, doc := file(t, m)
		doc.Find("style").Remove()
		text := regexp.MustCompile(`(?i)\bdry sweeping`).ReplaceAllString(flat(doc.Text()), "")
		if at := forbidden.FindStringIndex(text); at != nil {
			t.Errorf("%s: the report says …%s…", name, text[max(0, at[0]-60):min(len(text), at[1]+60)])
		}
	}
}

// TestReportWithoutCeiling still shows site, photos and pins, and says what is missing.
func TestReportWithoutCeiling(t *testing.T) {
	r := bare()
	_, doc := file(t, Build(r, survey.Compute(r), WithinReport(), made()))
	text := flat(doc.Find("main").Text())
	for _, want := range []string{"Bare house", "No ceiling yet", "Deck projection is not known.", "Photo 1: Underside", "soft at the ledger", "28′ 4″"} {
		if !strings.Contains(text, want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	if doc.Find("#furring, #takeoff, svg.drawn").Length() > 0 {
		t.Error("there are tables of a ceiling that was not computed")
	}
	if doc.Find("img").Length() != 1 || doc.Find("#pin-1").Length() != 1 {
		t.Error("the photo or its pin is not shown")
	}
}

// TestRefusalIsShown: an outline that crosses itself is refused by the calculator; page and report say so in its words.
func TestRefusalIsShown(t *testing.T) {
	r := demoRecord(t)
	r.Facts["outline"] = survey.Fact{Survey: r.Survey.ID, Key: "outline", Text: "0, 0\n340, 168\n340, 0\n0, 168", Version: 1}
	c := survey.Compute(r)
	if c.Plan != nil || c.Refusal == "" {
		t.Fatalf("plan %v, refusal %q", c.Plan, c.Refusal)
	}
	_, doc := file(t, Build(r, c, WithinReport(), made()))
	if got := flat(doc.Find("#issues .caut.stop").Text()); !strings.Contains(got, "Stop.") || !strings.Contains(got, "refused") {
		t.Errorf("the report says %q", got)
	}
	if doc.Find("img").Length() != 8 {
		t.Error("the photos are gone")
	}
}

// TestHostileTextsAreInert: what people type is shown as they typed it and is never markup.
func TestHostileTextsAreInert(t *testing.T) {
	r := bare()
	const evil = `<script>alert(1)</script>" onerror="x`
	r.Survey.Title, r.Survey.Access, r.Survey.Notes, r.Photos[0].Caption, r.Pins[0].Note = evil, evil, evil, evil, `src="report-file-image/`+evil
	_, doc := file(t, Build(r, survey.Compute(r), WithinReport(), made()))
	if doc.Find("script, [onerror]").Length() > 0 {
		t.Error("typed text became markup")
	}
	if got := doc.Find(".cover h1").Text(); got != evil {
		t.Errorf("title: got %q", got)
	}
	if doc.Find("img").Length() != 1 {
		t.Error("a typed text became a picture")
	}
}

func TestMissingPictureIsAnError(t *testing.T) {
	gone := errors.New("gone")
	err := WriteHTML(&bytes.Buffer{}, demoModel(t).Document(document.Crew, words.English, Options{}), "letter", func(string) ([]byte, error) { return nil, gone })
	if !errors.Is(err, gone) {
		t.Errorf("got %v, want the picture's error", err)
	}
}

func TestPhotoThatCannotBeShown(t *testing.T) {
	r := bare()
	r.Photos[0].Screen, r.Photos[0].Meta.Problem = "", "The file is cut off."
	_, doc := file(t, Build(r, survey.Compute(r), WithinReport(), made()))
	if !strings.Contains(doc.Find("#photos .shot").Text(), "The file is cut off.") || doc.Find("img").Length() != 0 {
		t.Error("the report does not say why a photo is not shown")
	}
}
