package survey

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func finishing(act FinishAct) Finish {
	f := Finish{Survey: "0b0e", Act: act, SHA256: strings.Repeat("a", 64), Approved: 2, By: "K. Moss", At: time.Date(2026, 6, 4, 9, 30, 0, 120e6, time.UTC)}
	switch act {
	case SignedOff:
		f.Name, f.Consent, f.Lang, f.Address, f.Agent = "Zoë <Quill>", "I have seen it.", "en", "192.0.2.7", "A phone"
	case Reopened:
		f.Reason = "a panel is missing"
	}
	return f
}

// TestFinishSum holds the hash against the canonical JSON written out by hand after RFC 8785: members sorted by name, no space, no escapes but those of JSON.
func TestFinishSum(t *testing.T) {
	hash := func(text string) string {
		sum := sha256.Sum256([]byte(text))
		return hex.EncodeToString(sum[:])
	}
	f := finishing(SignedOff)
	f.Seq = 2
	f.Prev = strings.Repeat("b", 64)
	canonical := `{"act":"signed","address":"192.0.2.7","agent":"A phone","approved":2,"at":"2026-06-04T09:30:00.12Z","by":"K. Moss","consent_sha256":"` + hash("I have seen it.") + `","lang":"en","link":"","name":"Zoë <Quill>","prev":"` +
		f.Prev + `","reason":"","seq":2,"sha256":"` + f.SHA256 + `","signature_sha256":"` + hash("") + `","survey":"0b0e"}`
	if got, err := f.Sum(); err != nil || got != hash(canonical) {
		t.Errorf("got %s, %v, want the sum of %s", got, err, canonical)
	}
}

// ended is a survey that was finished, signed off, opened again, finished and signed off again.
func ended(t *testing.T) []Finish {
	t.Helper()
	var acts []Finish
	for _, act := range []FinishAct{Finished, SignedOff, Reopened, Finished, SignedOff} {
		f := finishing(act)
		if len(acts) >= 3 {
			f.SHA256 = strings.Repeat("c", 64)
		}
		f, err := NextFinish(f, acts)
		if err != nil {
			t.Fatal(err)
		}
		acts = append(acts, f)
	}
	return acts
}

// TestForgedFinishesAreFound changes each field of each act, and the chain; also where the forger sums the changed one up anew.
func TestForgedFinishesAreFound(t *testing.T) {
	acts, issued := ended(t), make([]Revision, 2)
	if err := CheckFinishes(acts, issued); err != nil {
		t.Fatal(err)
	}
	forge := map[string]func(f *Finish){
		"survey": func(f *Finish) { f.Survey = "other" }, "seq": func(f *Finish) { f.Seq++ }, "act": func(f *Finish) {
			f.Act = map[FinishAct]FinishAct{Finished: SignedOff, SignedOff: Reopened, Reopened: SignedOff}[f.Act]
		},
		"content": func(f *Finish) { f.SHA256 = strings.Repeat("0", 64) }, "revision": func(f *Finish) { f.Approved = 1 }, "by": func(f *Finish) { f.By = "Eve" }, "reason": func(f *Finish) { f.Reason += "e" },
		"name": func(f *Finish) { f.Name += "e" }, "consent": func(f *Finish) { f.Consent += "e" }, "lang": func(f *Finish) { f.Lang = "es" }, "link": func(f *Finish) { f.Link = "l" },
		"address": func(f *Finish) { f.Address += "0" }, "agent": func(f *Finish) { f.Agent += "0" }, "signature": func(f *Finish) { f.Signature = "[[[1,1]]]" },
		"time": func(f *Finish) { f.At = f.At.Add(time.Millisecond) }, "prev": func(f *Finish) { f.Prev = strings.Repeat("0", 64) }, "hash": func(f *Finish) { f.Hash = strings.Repeat("0", 64) },
	}
	for i := range acts {
		for name, change := range forge {
			bad := slices.Clone(acts)
			change(&bad[i])
			if err := CheckFinishes(bad, issued); KindOf(err) != Invalid {
				t.Errorf("the %s of act %d: got %v", name, i+1, err)
			}
			if i == len(acts)-1 || name == "hash" {
				continue // the newest, summed up anew, is found by its record alone
			}
			bad[i].Hash, _ = bad[i].Sum()
			if err := CheckFinishes(bad, issued); KindOf(err) != Invalid {
				t.Errorf("the %s of act %d with a new sum: got %v", name, i+1, err)
			}
		}
	}
	for name, bad := range map[string][]Finish{"the first is gone": acts[1:], "one between is gone": {acts[0], acts[2]}, "another order": {acts[1], acts[0]}, "twice": {acts[0], acts[0]}} {
		if err := CheckFinishes(bad, issued); KindOf(err) != Invalid {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if err := CheckFinishes(acts, issued[:1]); KindOf(err) != Invalid {
		t.Errorf("without its revision: got %v", err)
	}
}

// TestWhatMayFollow: an act that cannot follow those that are there is a Conflict, also when the hashes would be right.
func TestWhatMayFollow(t *testing.T) {
	acts := ended(t)
	other := finishing(SignedOff)
	other.SHA256 = strings.Repeat("d", 64)
	for name, c := range map[string]struct {
		made []Finish
		next Finish
		ok   bool
	}{
		"first finished": {nil, finishing(Finished), true}, "signed before": {nil, finishing(SignedOff), false}, "reopened before": {nil, finishing(Reopened), false},
		"finished twice": {acts[:1], finishing(Finished), false}, "signed": {acts[:1], finishing(SignedOff), true}, "signed what is not there": {acts[:1], other, false}, "signed twice": {acts[:2], finishing(SignedOff), false},
		"reopened unsigned": {acts[:1], finishing(Reopened), true}, "reopened signed": {acts[:2], finishing(Reopened), true}, "signed after reopening": {acts[:3], finishing(SignedOff), false}, "again": {acts[:3], finishing(Finished), true},
	} {
		_, err := NextFinish(c.next, c.made)
		if (err == nil) != c.ok || err != nil && KindOf(err) != Conflict {
			t.Errorf("%s: got %v", name, err)
		}
	}
	for n, want := range []FinishState{{}, {Done: acts[0]}, {Done: acts[0], Sign: acts[1]}, {Again: acts[2]}, {Done: acts[3]}, {Done: acts[3], Sign: acts[4]}} {
		if diff := cmp.Diff(want, FinishNow(acts[:n])); diff != "" {
			t.Errorf("after %d acts: %s", n, diff)
		}
	}
}

func TestFinishingOf(t *testing.T) {
	acts := ended(t)
	for seq, want := range map[int][2]Finish{1: {acts[0], acts[1]}, 4: {acts[3], acts[4]}} {
		if done, sign, ok := FinishingOf(acts, seq); !ok || done != want[0] || sign != want[1] {
			t.Errorf("act %d: %+v, %+v, %t", seq, done, sign, ok)
		}
	}
	if _, sign, ok := FinishingOf(acts[:4], 4); !ok || sign.Seq != 0 {
		t.Errorf("not signed off yet: %+v, %t", sign, ok)
	}
	for _, seq := range []int{-1, 0, 2, 3, 5, 6} {
		if _, _, ok := FinishingOf(acts, seq); ok {
			t.Errorf("act %d is no finishing", seq)
		}
	}
}

// worked is a record with two photos, of which one cannot be shown, and the facts of a finishing.
func worked(facts map[string]string) Record {
	r := Record{Photos: []Photo{{Number: 1}, {Number: 4, Screen: strings.Repeat("e", 64), Thumb: strings.Repeat("f", 64)}}, Facts: map[string]Fact{}}
	for key, text := range facts {
		r.Facts[key] = Fact{Key: key, Text: text}
	}
	return r
}

// inOrder are the facts of a finishing that lacks nothing; more replaces some.
func inOrder(more map[string]string) map[string]string {
	facts := map[string]string{FinishResult: "none", FinishTestAt: "2026-06-03T14:10", FinishMinutes: "20", FinishPhoto: "4", FinishWhyAll: "the hanger was lower", FinishNotes: "a trim piece more"}
	for _, q := range leftQuestions() {
		facts[finishLeft+q.key] = LeftYes
	}
	maps.Copy(facts, more)
	return facts
}

func TestReadWork(t *testing.T) {
	now := time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	issued := []Revision{{Number: 1}, {Number: 2}}
	made := []Approval{{Number: 2, Decision: Approved}}
	built := []Built{{What: "Gutter", Was: "a", Now: "b"}, {What: "Notch", Was: "1/2", Now: "5/8"}}
	for name, c := range map[string]struct {
		facts  map[string]string
		made   []Approval
		by     string
		missed []string // the keys that are asked about
		open   []string
	}{
		"in order":                     {inOrder(nil), made, "K. Moss", nil, nil},
		"nothing said":                 {nil, made, "", []string{FinishBy, FinishResult, finishLeft + "care", finishLeft + "debris", finishLeft + "downspouts", finishLeft + "gutter", finishLeft + "panels", finishLeft + "photos", FinishWhy(built[0]), FinishWhy(built[1])}, nil},
		"no approval":                  {inOrder(nil), nil, "K. Moss", []string{FinishAlthough}, []string{"no-approval"}},
		"no approval, with reason":     {inOrder(map[string]string{FinishAlthough: "agreed by word"}), nil, "K. Moss", nil, []string{"no-approval"}},
		"an older one was approved":    {inOrder(nil), []Approval{{Number: 1, Decision: Approved}, {Number: 2, Decision: Declined}}, "K. Moss", []string{FinishAlthough}, []string{"superseded"}},
		"drips":                        {inOrder(map[string]string{FinishResult: "drips"}), made, "K. Moss", []string{FinishAlthough, FinishWhere}, []string{"drips"}},
		"repaired":                     {inOrder(map[string]string{FinishResult: "repaired", FinishWhere: "left corner: sealed"}), made, "K. Moss", nil, nil},
		"not made":                     {inOrder(map[string]string{FinishResult: "not-made", FinishPhoto: "", FinishMinutes: "", FinishTestAt: ""}), made, "K. Moss", []string{FinishAlthough}, []string{"untested"}},
		"not cleaned up":               {inOrder(map[string]string{finishLeft + "debris": LeftNo, finishLeft + "panels": LeftNone}), made, "K. Moss", []string{FinishAlthough}, []string{"left.debris"}},
		"none of what every house has": {inOrder(map[string]string{finishLeft + "care": LeftNone}), made, "K. Moss", []string{finishLeft + "care"}, nil},
		"one why of two":               {inOrder(map[string]string{FinishWhyAll: "", FinishWhy(built[1]): "none"}), made, "K. Moss", []string{FinishWhy(built[0])}, nil},
		"bad test":                     {inOrder(map[string]string{FinishTestAt: "yesterday", FinishMinutes: "-3", FinishPhoto: "1"}), made, "K. Moss", []string{FinishMinutes, FinishPhoto, FinishTestAt}, nil},
		"test to come":                 {inOrder(map[string]string{FinishTestAt: "2026-06-05 09:31", FinishMinutes: "601", FinishPhoto: "9"}), made, "K. Moss", []string{FinishMinutes, FinishPhoto, FinishTestAt}, nil},
		"bounds":                       {inOrder(map[string]string{FinishTestAt: "2026-06-05 09:30", FinishMinutes: "600"}), made, strings.Repeat("m", 200), nil, nil},
		"long texts":                   {inOrder(map[string]string{FinishResult: "drips", FinishWhere: "w", FinishAlthough: strings.Repeat("a", 1001)}), made, strings.Repeat("m", 201), []string{FinishAlthough, FinishBy}, []string{"drips"}},
	} {
		w, err := ReadWork(worked(c.facts), built, issued, c.made, c.by, now)
		var missed []string
		if err != nil {
			missed = slices.Sorted(maps.Keys(err.(*Error).Fields))
		}
		want := slices.Sorted(slices.Values(c.missed))
		if diff := cmp.Diff(want, missed); diff != "" || !slices.Equal(w.Open, c.open) {
			t.Errorf("%s: asked about (-want +got)\n%s, open %v, want %v", name, diff, w.Open, c.open)
		}
	}
	w, err := ReadWork(worked(inOrder(map[string]string{FinishWhy(built[0]): "wished"})), built, issued, made, "K. Moss", now)
	want := Work{Approved: 2, Open: []string{}, Built: []Built{{"Gutter", "a", "b", "wished"}, {"Notch", "1/2", "5/8", "the hanger was lower"}}, Notes: "a trim piece more",
		Test: HoseTest{Result: TestNone, At: "2026-06-03 14:10", Minutes: 20, Photos: []int{4}}, By: "K. Moss"}
	for _, q := range leftQuestions() {
		want.Left = append(want.Left, LeftItem{q.key, LeftYes})
	}
	if diff := cmp.Diff(want, w); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
}

// TestForgetTest: after it the test and the check list are asked about again, and what was built otherwise is not.
func TestForgetTest(t *testing.T) {
	r := worked(inOrder(map[string]string{FinishAlthough: "frost"}))
	var keys []string
	for _, f := range ForgetTest(r) {
		keys = append(keys, f.Key)
		if f.Text != "" {
			t.Errorf("%s says %q", f.Key, f.Text)
		}
	}
	want := []string{FinishResult, FinishTestAt, FinishMinutes, FinishPhoto, finishLeft + "panels", finishLeft + "downspouts", finishLeft + "gutter", finishLeft + "debris", finishLeft + "photos", finishLeft + "care", FinishAlthough}
	if diff := cmp.Diff(want, keys); diff != "" {
		t.Error(diff)
	}
}

// TestFinishFieldsAreFacts: every key that the form saves is known as a fact of the survey, and is no change of the house.
func TestFinishFieldsAreFacts(t *testing.T) {
	r := worked(nil)
	for _, f := range FinishFields(r, []Built{{What: "Gutter", Was: "a", Now: "b"}}) {
		if _, ok := FactField(r, f.Key); !ok || !Bookkeeping(f.Key) {
			t.Errorf("%s: known %t, bookkeeping %t", f.Key, ok, Bookkeeping(f.Key))
		}
	}
	if _, ok := FactField(r, "finish.left.nothing"); ok {
		t.Error("a key that no form has is known")
	}
}
