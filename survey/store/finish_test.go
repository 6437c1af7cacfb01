package store

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

// done is an act about the end of the work on a revision.
func done(t *testing.T, s *Store, v survey.Revision, act survey.FinishAct) survey.Finish {
	t.Helper()
	f := survey.Finish{Survey: v.Survey, Act: act, SHA256: frozen(t, s, `{"survey":"`+string(v.Survey)+`","work":{"approved":1}}`), Approved: v.Number, By: "K. Moss"}
	switch act {
	case survey.SignedOff:
		f.Name, f.Consent, f.Lang, f.Address, f.Agent = "J. Quill", "I have seen it.", "en", "192.0.2.7", "a phone"
	case survey.Reopened:
		f.Reason = "a panel is missing"
	}
	return f
}

// TestFinish: finished, signed off by the link, opened again; each act with the store's time, in a chain that holds, and the record and the snapshot say so.
func TestFinish(t *testing.T) {
	s := newStore(t)
	now := time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	s.now = func() time.Time { return now }
	ctx := t.Context()
	v, l, _ := offered(t, s)
	if err := errorOf(s.Finish(ctx, done(t, s, v, survey.Finished))); survey.KindOf(err) != survey.Conflict {
		t.Errorf("held against a revision that nobody approved: %v", err)
	}
	must(s.Decide(ctx, decided(v, l.ID)))(t)
	for name, c := range map[string]struct {
		change func(f *survey.Finish)
		want   survey.Kind
	}{
		"no such content": {func(f *survey.Finish) { f.SHA256 = strings.Repeat("0", 64) }, survey.NotFound}, "no survey": {func(f *survey.Finish) { f.Survey = survey.SurveyID(survey.NewID()) }, survey.NotFound},
		"nobody": {func(f *survey.Finish) { f.By = "" }, survey.Invalid}, "no act": {func(f *survey.Finish) { f.Act = "other" }, survey.Invalid}, "another revision": {func(f *survey.Finish) { f.Approved = 0 }, survey.Conflict},
	} {
		f := done(t, s, v, survey.Finished)
		c.change(&f)
		if err := errorOf(s.Finish(ctx, f)); survey.KindOf(err) != c.want {
			t.Errorf("%s: %v", name, err)
		}
	}
	first := must(s.Finish(ctx, done(t, s, v, survey.Finished)))(t)
	if first.At != now || first.Seq != 1 || first.Prev != "" || len(first.Hash) != 64 {
		t.Errorf("got %+v", first)
	}
	if err := errorOf(s.Finish(ctx, done(t, s, v, survey.Finished))); survey.KindOf(err) != survey.Conflict {
		t.Errorf("finished twice: %v", err)
	}
	signed := done(t, s, v, survey.SignedOff)
	signed.By, signed.Link, signed.Approved = "", l.ID, 7 // the store knows which revision it is about
	second := must(s.Finish(ctx, signed))(t)
	if second.Approved != 1 || second.Prev != first.Hash {
		t.Errorf("got %+v", second)
	}
	if r := must(s.Record(ctx, v.Survey))(t); r.Ended.Done != first || r.Ended.Sign != second {
		t.Errorf("the record says %+v", r.Ended)
	}
	third := must(s.Finish(ctx, done(t, s, v, survey.Reopened)))(t)
	if r := must(s.Record(ctx, v.Survey))(t); r.Ended.Finished() || r.Ended.Again != third {
		t.Errorf("the record says %+v", r.Ended)
	}
	acts := must(s.Finishes(ctx, v.Survey))(t)
	if diff := cmp.Diff([]survey.Finish{first, second, third}, acts); diff != "" {
		t.Error(diff)
	}
	snap := must(s.Snapshot(ctx, v.Survey))(t)
	if err := survey.CheckFinishes(snap.Finishes, snap.Revisions); err != nil || len(snap.Finishes) != 3 {
		t.Errorf("%d acts, %v", len(snap.Finishes), err)
	}
	if err := survey.CheckSeals(snap); err != nil {
		t.Error(err)
	}
}

// TestReopenedForgetsTheTest: what was said of the hose test is taken back with the reopening, also what was written last, or nothing is done at all.
func TestReopenedForgetsTheTest(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v, l, _ := offered(t, s)
	must(s.Decide(ctx, decided(v, l.ID)))(t)
	put := func(key, text string, version int) {
		t.Helper()
		must(s.PutFacts(ctx, v.Survey, []survey.Fact{{Key: key, Text: text, Version: version}}))(t)
	}
	put(survey.FinishResult, "drips", 0)
	put(survey.FinishNotes, "one more trim piece", 0)
	must(s.Finish(ctx, done(t, s, v, survey.Finished)))(t)
	put(survey.FinishResult, "none", 1)
	must(s.writer.ExecContext(ctx, `CREATE TRIGGER full BEFORE UPDATE ON fact BEGIN SELECT RAISE(ABORT, 'no room'); END`))(t)
	if err := errorOf(s.Finish(ctx, done(t, s, v, survey.Reopened))); err == nil {
		t.Error("it was opened again although the test could not be taken back")
	}
	if r := must(s.Record(ctx, v.Survey))(t); !r.Ended.Finished() || r.Facts[survey.FinishResult].Text != "none" {
		t.Errorf("half done: %+v, %+v", r.Ended, r.Facts[survey.FinishResult])
	}
	must(s.writer.ExecContext(ctx, `DROP TRIGGER full`))(t)
	must(s.Finish(ctx, done(t, s, v, survey.Reopened)))(t)
	r := must(s.Record(ctx, v.Survey))(t)
	if f := r.Facts[survey.FinishResult]; r.Ended.Finished() || f.Text != "" || f.Version != 3 || r.Facts[survey.FinishNotes].Text == "" {
		t.Errorf("opened again: %+v, %+v", r.Ended, r.Facts)
	}
	if err := survey.CheckSeals(must(s.Snapshot(ctx, v.Survey))(t)); err != nil {
		t.Error(err)
	}
}

// TestChangedWhileItWasFinished: a change between the reading and the keeping of a finishing or a review is later than it; a sign-off is when the store says, and nothing is later.
func TestChangedWhileItWasFinished(t *testing.T) {
	s := newStore(t)
	now := time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	s.now = func() time.Time { return now }
	ctx := t.Context()
	v, l, _ := offered(t, s)
	must(s.Decide(ctx, decided(v, l.ID)))(t)
	read := now.Add(time.Second)
	now = read.Add(time.Second)
	must(s.PutFacts(ctx, v.Survey, []survey.Fact{{Key: "fall.per_foot", Text: "1/4"}}))(t)
	now = now.Add(time.Second)
	f := done(t, s, v, survey.Finished)
	f.At = read.In(time.FixedZone("", -7*3600))
	must(s.Finish(ctx, f))(t)
	must(s.Review(ctx, survey.Review{Survey: v.Survey, By: "B. Quill", SHA256: f.SHA256, At: read}))(t)
	r := must(s.Record(ctx, v.Survey))(t)
	last, _ := r.LastReview()
	if r.Ended.Done.At != read || !r.ChangedAt.After(r.Ended.Done.At) || last.At != read {
		t.Errorf("read %v, changed %v, finished %v, reviewed %v", read, r.ChangedAt, r.Ended.Done.At, last.At)
	}
	signed := done(t, s, v, survey.SignedOff)
	signed.At = read
	if got := must(s.Finish(ctx, signed))(t); got.At != now {
		t.Errorf("signed off %v, not %v", got.At, now)
	}
	if got := must(s.Review(ctx, survey.Review{Survey: v.Survey, By: "Ana", SHA256: f.SHA256, At: now.Add(time.Hour)}))(t); got.At != now {
		t.Errorf("reviewed %v, not %v", got.At, now)
	}
	if err := survey.CheckSeals(must(s.Snapshot(ctx, v.Survey))(t)); err != nil {
		t.Error(err)
	}
}

// TestSignedOffByAnotherLink: a link signs off the work on its own revision, as long as it works, and does nothing else.
func TestSignedOffByAnotherLink(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v, l, _ := offered(t, s)
	must(s.Decide(ctx, decided(v, l.ID)))(t)
	w := survey.NextRevision(v.Survey, []survey.Revision{v})
	w.SHA256, w.By = frozen(t, s, `{"number":2}`), "Ana"
	must(s.Issue(ctx, w))(t)
	later := must(s.CreateLink(ctx, linkTo(w, s.now().Add(time.Hour)), TokenSum{9}))(t)
	must(s.Finish(ctx, done(t, s, v, survey.Finished)))(t)
	revoked := must(s.CreateLink(ctx, linkTo(v, s.now().Add(time.Hour)), TokenSum{8}))(t)
	if err := s.RevokeLink(ctx, v.Survey, revoked.ID, "Ana"); err != nil {
		t.Fatal(err)
	}
	for name, id := range map[string]survey.LinkID{"of another revision": later.ID, "revoked": revoked.ID, "unknown": survey.LinkID(survey.NewID())} {
		f := done(t, s, v, survey.SignedOff)
		f.By, f.Link = "", id
		if err := errorOf(s.Finish(ctx, f)); survey.KindOf(err) != survey.NotFound {
			t.Errorf("a link %s: %v", name, err)
		}
	}
	f := done(t, s, v, survey.Reopened)
	f.By, f.Link = "", l.ID
	if err := errorOf(s.Finish(ctx, f)); survey.KindOf(err) != survey.NotFound {
		t.Errorf("a link opens it again: %v", err)
	}
}

// TestFinishesAreNeverChanged: the database refuses it, whoever asks.
func TestFinishesAreNeverChanged(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v, l, _ := offered(t, s)
	must(s.Decide(ctx, decided(v, l.ID)))(t)
	must(s.Finish(ctx, done(t, s, v, survey.Finished)))(t)
	for _, change := range []string{`UPDATE finish SET by = 'Eve'`, `DELETE FROM finish`, `INSERT OR REPLACE INTO finish SELECT survey, seq, act, sha256, approved, 'Eve', reason, name, consent, lang, link, address, agent, signature, at, prev, hash FROM finish`} {
		if _, err := s.writer.ExecContext(ctx, change); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: %v", change, err)
		}
	}
}

// TestEndedTravels: a snapshot with its end is restored elsewhere as the same, and a forged one is refused.
func TestEndedTravels(t *testing.T) {
	s, other := newStore(t), newStore(t)
	ctx := t.Context()
	v, l, _ := offered(t, s)
	must(s.Decide(ctx, decided(v, l.ID)))(t)
	must(s.Finish(ctx, done(t, s, v, survey.Finished)))(t)
	must(s.Finish(ctx, done(t, s, v, survey.SignedOff)))(t)
	snap := must(s.Snapshot(ctx, v.Survey))(t)
	if err := other.Restore(ctx, snap); survey.KindOf(err) != survey.NotFound {
		t.Errorf("without its bytes: %v", err)
	}
	frozen(t, other, `{"number":1}`)
	done(t, other, v, survey.Finished)
	forged := snap
	forged.Finishes = append([]survey.Finish{}, snap.Finishes...)
	forged.Finishes[1].Name = "Eve"
	if err := other.Restore(ctx, forged); survey.KindOf(err) != survey.Invalid {
		t.Errorf("forged: %v", err)
	}
	for range 2 {
		if err := other.Restore(ctx, snap); err != nil {
			t.Fatal(err)
		}
	}
	if got := must(other.Snapshot(ctx, v.Survey))(t); difference(snap, got) != "" || len(got.Finishes) != 2 {
		t.Errorf("differs in %q", difference(snap, got))
	}
	if err := other.Restore(ctx, forged); survey.KindOf(err) != survey.Conflict {
		t.Errorf("forged over the same: %v", err)
	}
}
