package bundle

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
	"undercroft/survey/store"
)

// saidHouse is the house with a review, a question with two answers, a measured value and one that was taken back.
func saidHouse(tb testing.TB, s *store.Store) (id survey.SurveyID, state string) {
	tb.Helper()
	ctx := tb.Context()
	id = house(tb, s)
	r := must(s.Record(ctx, id))(tb)
	state = must(s.ReceiveBlob(ctx, strings.NewReader("the state that was reviewed"), survey.MaxPhotoBytes))(tb).SHA256
	must(s.Review(ctx, survey.Review{Survey: id, By: "B. Quill", Revision: 2, SHA256: state}))(tb)
	ask := survey.Remark{ID: survey.NewID(), Survey: id, Kind: survey.RemarkAsk, Subject: survey.SubjectPin, Target: string(r.Pins[0].ID), About: "Note 1 on photo 1", Text: "How deep is it?", By: "B. Quill"}
	ask.Question = ask.ID
	must(s.Remark(ctx, ask))(tb)
	for _, kind := range []survey.RemarkKind{survey.RemarkAnswer, survey.RemarkAsk, survey.RemarkAnswer} {
		must(s.Remark(ctx, survey.Remark{ID: survey.NewID(), Survey: id, Question: ask.ID, Kind: kind, Text: "As said: " + string(kind), Photo: r.Photos[0].ID, By: "K. Vale"}))(tb)
	}
	for _, text := range []string{"28' 1/2\"", "27' 11\""} {
		v := must(survey.VerifyFact(must(s.Record(ctx, id))(tb), "width", text, "B. Quill"))(tb)
		v.ID = survey.NewID()
		must(s.Verify(ctx, v))(tb)
	}
	r = must(s.Record(ctx, id))(tb)
	back := must(survey.Withdraw(r, r.Verified[1].ID, "B. Quill"))(tb)
	back.ID = survey.NewID()
	must(s.Verify(ctx, back))(tb)
	return id, state
}

// TestWhatWasSaidTravels: export, import, export is the same file, and nothing of what was said is lost on the way.
func TestWhatWasSaidTravels(t *testing.T) {
	s, _ := newStore(t)
	id, state := saidHouse(t, s)
	packed := export(t, s, id)
	b, err := open(packed)
	if err != nil {
		t.Fatal(err)
	}
	if b.sums[blobFile(state)] != state {
		t.Error("the state that was reviewed is not in the bundle")
	}
	other, _ := newStore(t)
	if err := b.Import(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	want, got := must(s.Record(t.Context(), id))(t), must(other.Record(t.Context(), id))(t)
	if len(got.Remarks) != 4 || len(got.Reviews) != 1 || len(got.Verified) != 3 {
		t.Fatalf("got %+v", got)
	}
	for name, diff := range map[string]string{"remarks": cmp.Diff(want.Remarks, got.Remarks), "reviews": cmp.Diff(want.Reviews, got.Reviews), "verified values": cmp.Diff(want.Verified, got.Verified)} {
		if diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
	if again := export(t, other, id); !bytes.Equal(packed, again) {
		t.Error("exported from there it is another bundle")
	}
}

// TestRemarksThatAreRefused changes what hangs on nothing, with every sum of the bundle mended.
func TestRemarksThatAreRefused(t *testing.T) {
	s, _ := newStore(t)
	id, state := saidHouse(t, s)
	packed := export(t, s, id)
	r := must(s.Record(t.Context(), id))(t)
	text := func(old, by string) []byte { return summed(t, packed, surveyName, replaced(old, by)) }
	for name, c := range map[string]struct {
		packed []byte
		want   string
	}{
		"an answer to nothing":        {text(`"question": "`+r.Remarks[0].ID+`",`+"\n   \"kind\": \"answer\"", `"question": "`+survey.NewID()+`",`+"\n   \"kind\": \"answer\""), "remark 2 is not in order"},
		"a question without words":    {text("How deep is it?", ""), "remark 1 is not in order"},
		"reading direction":           {text("How deep is it?", "\u202eHow deep"), "remark 1 is not in order"},
		"two of one id":               {text(`"id": "`+r.Remarks[1].ID, `"id": "`+r.Remarks[0].ID), "remark 2 is not in order"},
		"of a later revision":         {text("\"revision\": 2,\n   \"sha256\": \""+state, "\"revision\": 3,\n   \"sha256\": \""+state), "review 1 is not in order"},
		"a state that is not there":   {text(`"sha256": "`+state, `"sha256": "`+strings.Repeat("0", 64)), "is missing"},
		"a state that was taken away": {rebuilt(t, packed, func(name string, body []byte) []byte { return without(name, blobFile(state), body) }), "SHA256SUMS names"},
		"takes back what is not":      {text(`"withdraws": "`+r.Verified[1].ID, `"withdraws": "`+survey.NewID()), "verified value 3 is not in order"},
		"verified by nobody":          {text("\"before\": \"verified by B. Quill\",\n   \"withdraws\": \""+r.Verified[1].ID+"\",\n   \"by\": \"B. Quill\"", "\"before\": \"\",\n   \"withdraws\": \""+r.Verified[1].ID+"\",\n   \"by\": \"\""), "verified value 3 is not in order"},
	} {
		_, err := open(c.packed)
		if survey.KindOf(err) != survey.Invalid || !strings.Contains(fmt.Sprint(err), c.want) {
			t.Errorf("%s: got %v, want %q", name, err, c.want)
		}
	}
}
