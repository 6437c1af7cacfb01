package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gowebpki/jcs"
	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
	"undercroft/survey/report/pdf"
)

// finishedDemo is the demo with a revision that was approved, something that was built otherwise, and the finishing of it. work is changed before it is frozen.
func finishedDemo(t *testing.T, change func(in *FinishingInput)) (FinishingInput, Finishing, survey.Finish) {
	t.Helper()
	r, o := told(t)
	v := survey.NextRevision(r.Survey.ID, nil)
	v.By, v.At = "Ana", time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	frozen, _, err := Freeze(v, r, survey.Compute(r), o)
	if err != nil {
		t.Fatal(err)
	}
	approved, err := Thaw(frozen)
	if err != nil {
		t.Fatal(err)
	}
	r.Pins, r.Photos, r.Facts = slices.Clone(r.Pins), slices.Clone(r.Photos), maps.Clone(r.Facts)
	i := slices.IndexFunc(r.Pins, func(p survey.Pin) bool { return p.Kind == survey.PinFixture && p.Values["drop"] != "" })
	r.Pins[i].Values = maps.Clone(r.Pins[i].Values)
	r.Pins[i].Values["drop"] = "3 1/4"
	r.Pins[i].Note = "Neighbour complained, ring Marten first"
	r.Photos = append(r.Photos, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: r.Survey.ID, Number: 99, Caption: "Hose test at the left corner", SHA256: strings.Repeat("9", 64), Screen: shaOf(1), Thumb: shaOf(2), Width: 4032, Height: 3024})
	in := FinishingInput{Record: r, Ceiling: survey.Compute(r), Company: o.Company, Approved: &approved, At: made(), By: survey.Approval{Name: "J. Quill", At: made().AddDate(0, 0, -20)},
		Work: survey.Work{Approved: 1, Open: []string{}, By: "K. Moss", Notes: "One more trim piece at the door.", Test: survey.HoseTest{Result: survey.TestRepaired, At: "2026-11-24 14:10", Minutes: 20, Where: "Left corner: seam sealed", Photos: []int{99}},
			Left: []survey.LeftItem{{Key: "panels", Answer: survey.LeftYes}, {Key: "gutter", Answer: survey.LeftNone}}}}
	for _, b := range AsBuilt(approved, r, in.Ceiling, words.English) {
		b.Why = "the light hung lower"
		in.Work.Built = append(in.Work.Built, b)
	}
	if change != nil {
		change(&in)
	}
	content, sum, err := FreezeFinishing(in)
	if err != nil {
		t.Fatal(err)
	}
	f, err := ThawFinishing(content)
	if err != nil {
		t.Fatal(err)
	}
	again, _, err := FreezeFinishing(in)
	canonical, wrong := jcs.Transform(content)
	digest := sha256.Sum256(content)
	if err != nil || wrong != nil || !bytes.Equal(again, content) || !bytes.Equal(canonical, content) || sum != hex.EncodeToString(digest[:]) {
		t.Errorf("frozen twice it is two contents, or not canonical: %v, %v", err, wrong)
	}
	return in, f, survey.Finish{Seq: 1, Act: survey.Finished, SHA256: sum, Hash: strings.Repeat("d", 64), At: made()}
}

func signedDemo() survey.Finish {
	return survey.Finish{Seq: 2, Act: survey.SignedOff, By: "K. Moss", Name: "Zoë Quill", Consent: "I have seen it.", Address: "192.0.2.7", Agent: "A phone", At: made().Add(time.Hour), Signature: "[[[20,120],[200,40],[420,160]]]", Hash: strings.Repeat("e", 64)}
}

// TestCompletionRecordSaysWhatWasBuilt looks for what a client reads about the finished work, and for nothing that is noted for the company alone.
func TestCompletionRecordSaysWhatWasBuilt(t *testing.T) {
	_, f, done := finishedDemo(t, nil)
	text, doc := page(t, f.Record(words.English, done, signedDemo()))
	for _, c := range []struct{ at, want string }{
		{".cover", "The Alder family"}, {".cover", "Fenn Ceilings"}, {".cover", "25 Nov 2026, by K. Moss"}, {".cover", "Revision 1 of 4 Jun 2026, approved by J. Quill on 5 Nov 2026"},
		{"#as-built", "3 1/4″"}, {"#as-built", "the light hung lower"}, {"#as-built", "One more trim piece"}, {"#hose-test", "It dripped, was repaired and tested again: no drip was seen."}, {"#hose-test", "24 Nov 2026, 14:10"},
		{"#hose-test", "20 minutes"}, {"#hose-test", "Left corner: seam sealed"}, {"#hose-test", "promises nothing about other rain"}, {"#hose-test figcaption", "Hose test at the left corner"}, {"#left", "none here"},
		{"#sign-off", "Zoë Quill"}, {"#sign-off", "in person, on the device of K. Moss"}, {"#sign-off", "I have seen it."}, {"#sign-off", done.SHA256}, {"#sign-off", strings.Repeat("e", 64)},
	} {
		if got := flat(doc.Find(c.at).Text()); !strings.Contains(got, c.want) {
			t.Errorf("%s lacks %q: %.300s", c.at, c.want, got)
		}
	}
	if n := doc.Find("#hose-test img").Length(); n != 1 {
		t.Errorf("%d photos of the test", n)
	}
	if doc.Find("#sign-off svg").Length() != 1 || strings.Contains(text, "Marten") || strings.Contains(text, "Photo 99: ") {
		t.Error("no signature, or a note or photo is told as built otherwise")
	}
	_, unsigned := page(t, f.Record(words.English, done, survey.Finish{}))
	if got := flat(unsigned.Find("#sign-off .sign").Text()); !strings.Contains(got, "I do not mean to give up any right") {
		t.Errorf("the place to sign says %q", got)
	}
}

// TestDaysAreOfTheZone: finished in the evening at the server, when it is the next day in UTC, every paper and the page tell the evening's day; a time of an approval says that it is
// in UTC, and so is what is kept.
func TestDaysAreOfTheZone(t *testing.T) {
	evening := time.Date(2026, 11, 24, 19, 10, 0, 0, time.FixedZone("", -7*3600))
	_, f, done := finishedDemo(t, func(in *FinishingInput) { in.At, in.By.At = evening, evening.AddDate(0, 0, -1).UTC() })
	if !f.At.Equal(evening) || f.At.Location() != time.UTC || f.As.At.Location() != time.UTC {
		t.Errorf("kept are %v and %v", f.At, f.As.At)
	}
	_, record := page(t, f.Record(words.English, done, survey.Finish{}))
	_, care := page(t, f.CareSheet(words.English))
	for name, got := range map[string]string{"record": record.Find(".cover").Text(), "care sheet": care.Find(".doc").Text(), "issue": f.Said(words.English).Issue, "care issue": f.CareSheet(words.English).Issue, "page": NewFinishWords(words.English, f).Finished} {
		if got = flat(got); !strings.Contains(got, "24 Nov 2026") || strings.Contains(got, "25 Nov 2026") {
			t.Errorf("%s: %.300s", name, got)
		}
	}
	if got := flat(record.Find(".cover").Text()); !strings.Contains(got, "approved by J. Quill on 24 Nov 2026, 02:10 UTC") {
		t.Errorf("the approval: %s", got)
	}
	if got := NewFinishWords(words.Spanish, f).Finished; flat(got) != "Terminado el 24 nov 2026" {
		t.Errorf("in Spanish the page says %q", got)
	}
}

// TestNothingBuiltOtherwise: the record says so, and what was open when it was finished.
func TestNothingBuiltOtherwise(t *testing.T) {
	_, f, done := finishedDemo(t, func(in *FinishingInput) { in.Work.Built = nil; in.Work.Notes = "" })
	_, doc := page(t, f.Record(words.English, done, survey.Finish{}))
	if got := flat(doc.Find("#as-built").Text()); !strings.Contains(got, "Nothing: it was built as approved.") {
		t.Errorf("got %q", got)
	}
	_, f, done = finishedDemo(t, func(in *FinishingInput) { in.Work.Built = nil })
	_, doc = page(t, f.Record(words.English, done, survey.Finish{}))
	if got := flat(doc.Find("#as-built").Text()); strings.Contains(got, "built as approved") || !strings.Contains(got, "Nothing of what the plan and the survey show.") || !strings.Contains(got, "One more trim piece") {
		t.Errorf("with notes alone: %q", got)
	}
	_, f, done = finishedDemo(t, func(in *FinishingInput) {
		in.Approved, in.Work.Approved, in.Work.Built, in.Work.Open, in.Work.Although, in.Work.Test = nil, 0, nil, []string{"no-approval", "untested", "left.debris"}, "frost", survey.HoseTest{Result: survey.TestNotMade}
	})
	_, doc = page(t, f.Record(words.English, done, survey.Finish{}))
	for at, want := range map[string]string{"#as-built": "nothing to hold the work against", "#hose-test": "No test was made.", ".cover .caut": "No revision was approved by the client. No hose test was made. Not done: Offcuts, screws and dust are gone. Why it was finished all the same: frost"} {
		if got := flat(doc.Find(at).Text()); !strings.Contains(got, want) {
			t.Errorf("%s lacks %q: %q", at, want, got)
		}
	}
	if doc.Find("#hose-test img").Length() != 0 {
		t.Error("a photo of a test that was not made")
	}
}

// TestCareSheetIsOfThisCeiling: gutters by side and panels by number come from the plan; the contractor's own text stands as typed.
func TestCareSheetIsOfThisCeiling(t *testing.T) {
	_, f, _ := finishedDemo(t, nil)
	_, doc := page(t, f.CareSheet(words.English))
	for _, c := range []struct{ at, want string }{
		{"#gutters", "Outer side"}, {"#gutters", "28′ 4″"}, {"#service", "To reach the light 8"}, {"#own", "Hose it down."}, {"#safety", "29 CFR 1926.1053(b)(5)(i)"}, {"#safety", "licensed electrician"}, {"#safety", "Local codes and licensed practice come first"},
		{"#does", "not wind-driven rain at open sides, condensation, splash or ice"}, {"#after", "Stay out from under it"}, {"#never", "grill"},
	} {
		if got := flat(doc.Find(c.at).Text()); !strings.Contains(got, c.want) {
			t.Errorf("%s lacks %q: %.600s", c.at, c.want, got)
		}
	}
}

// TestPapersOfFinishedWork: in both languages each is a PDF in which pdfcpu, another implementation of ISO 32000-1, finds nothing wrong; none calls the ceiling dry, watertight or
// waterproof; and Spanish is Spanish.
func TestPapersOfFinishedWork(t *testing.T) {
	_, f, done := finishedDemo(t, nil)
	model.ConfigPath = "disable"
	conf := model.NewDefaultConfiguration()
	conf.ValidationMode = model.ValidationStrict
	photo := grain(t, 160, 120, 1)
	for name, doc := range map[string]document.Document{
		"record": f.Record(words.English, done, survey.Finish{}), "record es": f.Record(words.Spanish, done, signedDemo()), "care": f.CareSheet(words.English), "care es": f.CareSheet(words.Spanish),
	} {
		var out bytes.Buffer
		if err := pdf.Write(&out, doc, pdf.Letter, func(string) ([]byte, error) { return photo, nil }); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if err := api.Validate(bytes.NewReader(out.Bytes()), conf); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		text, _ := page(t, doc)
		for _, never := range []string{" dry", "watertight", "waterproof", "impermeable", " seco", "hermétic"} {
			if strings.Contains(strings.ToLower(text), never) {
				t.Errorf("%s says %q", name, never)
			}
		}
		if strings.HasSuffix(name, "es") && (doc.Lang != "es" || strings.Contains(text, "Hose test</") || !strings.Contains(text, "canaleta") && name == "care es") {
			t.Errorf("%s is not Spanish", name)
		}
	}
}

func TestThawFinishing(t *testing.T) {
	for _, text := range []string{`{"format":2}`, `{}`, `[`, ``} {
		if _, err := ThawFinishing([]byte(text)); err == nil {
			t.Errorf("%q was read as a finishing", text)
		}
	}
}
