package bundle

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
	"undercroft/survey/store"
)

// finishedHouse is house with its work finished, signed off, opened again and finished anew; the hose test of the first finishing is on a photo that was removed since. It gives
// the sum of that photo's picture.
func finishedHouse(tb testing.TB, s *store.Store) (id survey.SurveyID, screen string) {
	tb.Helper()
	ctx := tb.Context()
	id = house(tb, s)
	blob := func(b []byte) string {
		return must(s.ReceiveBlob(ctx, bytes.NewReader(b), survey.MaxPhotoBytes))(tb).SHA256
	}
	original := append(picture(tb, 77, 64), "the test’s own notes"...)
	p := must(s.AddPhoto(ctx, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: id, Name: "hose.jpg", SHA256: blob(original), Bytes: int64(len(original)), Screen: blob(picture(tb, 88, 48)), Thumb: blob(picture(tb, 99, 16)), Width: 64, Height: 64}))(tb)
	act := func(act survey.FinishAct, sum string) survey.Finish {
		f := survey.Finish{Survey: id, Act: act, SHA256: sum, Approved: 2, By: "K. Moss"}
		switch act {
		case survey.SignedOff:
			f.Name, f.Consent, f.Lang, f.Signature = "J. Quill", "I have seen it.", "en", "[[[1,2],[3,4]]]"
		case survey.Reopened:
			f.Reason = "a panel is missing"
		}
		return must(s.Finish(ctx, f))(tb)
	}
	said := func(photos ...frozenPhoto) string {
		content := finishedContent{Survey: id, Photos: photos}
		content.Work.Approved = 2
		return blob(must(json.Marshal(content))(tb))
	}
	first := said(frozenPhoto{p.SHA256, p.Screen, p.Thumb})
	act(survey.Finished, first)
	act(survey.SignedOff, first)
	act(survey.Reopened, first)
	if err := s.DeletePhoto(ctx, id, p.ID, 1); err != nil {
		tb.Fatal(err)
	}
	act(survey.Finished, said())
	return id, p.Screen
}

// TestTheEndTravels: what was said at the end is in the bundle with its photos, and is the same elsewhere.
func TestTheEndTravels(t *testing.T) {
	s, _ := newStore(t)
	other, _ := newStore(t)
	id, screen := finishedHouse(t, s)
	packed := export(t, s, id)
	b := must(open(packed))(t)
	if b.sums["blobs/"+screen] != screen {
		t.Error("the picture of the hose test is not in the bundle")
	}
	if err := b.Import(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	want, got := must(s.Finishes(t.Context(), id))(t), must(other.Finishes(t.Context(), id))(t)
	if diff := cmp.Diff(want, got); diff != "" || len(got) != 4 {
		t.Errorf("%d acts: %s", len(got), diff)
	}
	if again := export(t, other, id); !bytes.Equal(packed, again) {
		t.Error("exported from there it is another bundle")
	}
}

// TestForgedEndsAreRefused changes what was said and done at the end, with every sum of the bundle mended.
func TestForgedEndsAreRefused(t *testing.T) {
	s, _ := newStore(t)
	id, screen := finishedHouse(t, s)
	packed := export(t, s, id)
	text := func(old, by string) []byte { return summed(t, packed, surveyName, replaced(old, by)) }
	for name, c := range map[string]struct {
		packed []byte
		want   string
	}{
		"another name": {text(`"name": "J. Quill",
   "consent": "I have seen it."`, `"name": "E. Quill",
   "consent": "I have seen it."`), "act 2 about the end of the work was changed"},
		"another reason":     {text("a panel is missing", "nothing is missing"), "act 3 about the end of the work was changed"},
		"another act":        {text(`"act": "reopened"`, `"act": "signed"`), "act 3 about the end of the work"},
		"other content":      {summed(t, packed, "finished/1.json", func(b []byte) []byte { return bytes.Replace(b, []byte(`"approved":2`), []byte(`"approved":1`), 1) }), "finished/1.json is not what was said"},
		"content taken away": {rebuilt(t, packed, func(name string, body []byte) []byte { return without(name, "finished/4.json", body) }), "SHA256SUMS names"},
		"picture taken away": {rebuilt(t, packed, func(name string, body []byte) []byte { return without(name, "blobs/"+screen, body) }), "SHA256SUMS names"},
		"a signature by none": {text(`"signature": "[[[1,2],[3,4]]]",
   "at"`, `"signature": "[[[9,2],[3,4]]]",
   "at"`), "act 2 about the end of the work was changed"},
	} {
		_, err := open(c.packed)
		if survey.KindOf(err) != survey.Invalid || !strings.Contains(fmt.Sprint(err), c.want) {
			t.Errorf("%s: got %v, want %q", name, err, c.want)
		}
	}
}
