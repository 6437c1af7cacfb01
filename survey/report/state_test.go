package report

import (
	"bytes"
	"strings"
	"testing"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// TestStateTellsWhatChanged: a state that was kept and read again knows of no change; a hanger that hangs deeper changes the pin and its notches, and nothing of the price.
func TestStateTellsWhatChanged(t *testing.T) {
	r := demoRecord(t)
	packed, sum, err := WriteState(StateOf(r, survey.Compute(r)))
	if err != nil || len(sum) != 64 {
		t.Fatal(sum, err)
	}
	t.Logf("the state has %d bytes", len(packed))
	if _, again, _ := WriteState(StateOf(r, survey.Compute(r))); again != sum {
		t.Error("the same state makes other bytes")
	}
	state, err := ReadState(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	if got := ChangesToBuild(state, r, survey.Compute(r), words.English); len(got) != 0 {
		t.Errorf("nothing changed, and it says %+v", got)
	}
	r.Facts[survey.ScopePrice] = survey.Fact{Key: survey.ScopePrice, Text: "All $1.00", Version: 1}
	r.Facts["ready"] = survey.Fact{Key: "ready", Text: "now", Version: 1}
	if got := ChangesToBuild(state, r, survey.Compute(r), words.English); len(got) != 0 {
		t.Errorf("the price is none of the crew's, and it says %+v", got)
	}
	i := firstOf(t, r, survey.PinHanger)
	was := r.Pins[i].Values["drop"]
	values := map[string]string{}
	for key, text := range r.Pins[i].Values {
		values[key] = text
	}
	values["drop"] = "1 1/2"
	r.Pins[i].Values = values
	var said []string
	for _, d := range ChangesToBuild(state, r, survey.Compute(r), words.English) {
		said = append(said, d.What+": "+d.Was+" > "+d.Now)
	}
	text := strings.ReplaceAll(strings.Join(said, "\n"), "\u00a0", " ")
	if !strings.Contains(text, "Hangs below the joists: ") || !strings.Contains(text, "1 1/2″") || !strings.Contains(text, "Notch on carrier") {
		t.Errorf("from %q it says %s", was, text)
	}
	for name, body := range map[string][]byte{"cut": packed[:len(packed)/2], "no state": []byte("{}"), "nothing": nil} {
		if _, err := ReadState(bytes.NewReader(body)); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func firstOf(t *testing.T, r survey.Record, kind survey.PinKind) int {
	t.Helper()
	for i, p := range r.Pins {
		if p.Kind == kind {
			return i
		}
	}
	t.Fatalf("the demo has no %s", kind)
	return 0
}

// documentText is every word of a document.
func documentText(d document.Document) string {
	var b strings.Builder
	for _, block := range d.Blocks {
		if block.Table != nil {
			for _, row := range block.Table.Rows {
				for _, cell := range row.Cells {
					for _, l := range cell.Lines {
						b.WriteString(lineText(l) + "\n")
					}
				}
			}
		}
		if block.List != nil {
			for _, l := range block.List.Items {
				b.WriteString(lineText(l) + "\n")
			}
		}
	}
	return strings.ReplaceAll(b.String(), "\u00a0", " ")
}

// TestReportsTellOfQuestionsAndVerifiedValues: crew and office read an open question and who verified what, in their language; the homeowner reads neither.
func TestReportsTellOfQuestionsAndVerifiedValues(t *testing.T) {
	r := demoRecord(t)
	i := firstOf(t, r, survey.PinHanger)
	pin := r.Pins[i]
	v, err := survey.VerifyPin(r, survey.Compute(r), pin, map[string]string{"drop": "7/8"}, "B. Quill")
	if err != nil {
		t.Fatal(err)
	}
	v.ID, v.Seq, v.At = survey.NewID(), 1, made()
	r.Pins[i], _ = v.Apply(r)
	r.Verified = []survey.Verification{v}
	ask := survey.Remark{ID: "a", Question: "a", Kind: survey.RemarkAsk, Subject: survey.SubjectPin, Target: string(pin.ID), About: "Hanger", Text: "Is it bent?", By: "B. Quill", At: made()}
	answered := survey.Remark{ID: "b", Question: "b", Kind: survey.RemarkAsk, Subject: survey.SubjectLine, Target: "notches", About: "Notches", Text: "Which saw?", By: "B. Quill", At: made()}
	answer := survey.Remark{ID: "c", Question: "b", Kind: survey.RemarkAnswer, Text: "Any.", By: "K. Vale", At: made()}
	r.Remarks = []survey.Remark{ask, answered, answer}
	m := Build(r, survey.Compute(r), WithinReport(), made())
	for _, test := range []struct {
		reader document.Reader
		lang   words.Lang
		wants  []string
		no     []string
	}{
		{document.Crew, words.English, []string{"Question, Hanger ", "Is it bent?", "Asked by B. Quill, 25 Nov 2026."}, []string{"Which saw?"}},
		{document.Crew, words.Spanish, []string{"Pregunta, ", "Is it bent?", "Preguntado por B. Quill"}, []string{"Which saw?", "Question"}},
		{document.Scope, words.English, nil, []string{"Is it bent?", "B. Quill"}},
	} {
		d := m.Document(test.reader, test.lang, Options{})
		text := documentText(d)
		for _, want := range test.wants {
			if !strings.Contains(text, want) {
				t.Errorf("%s, %s: lacks %q", test.reader, test.lang, want)
			}
		}
		for _, no := range test.no {
			if strings.Contains(text, no) {
				t.Errorf("%s, %s: says %q", test.reader, test.lang, no)
			}
		}
	}
	found := ""
	for _, sheet := range m.Photos {
		for _, p := range sheet.Pins {
			if p.ID == pin.ID {
				found = strings.ReplaceAll(p.Summary(), "\u00a0", " ")
			}
		}
	}
	if !strings.Contains(found, "7/8″ (verified by B. Quill, 25 Nov 2026; before: ") {
		t.Errorf("the pin says %q", found)
	}
}
