package store

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

func askedAbout(p survey.Pin, text string) survey.Remark {
	id := survey.NewID()
	return survey.Remark{ID: id, Survey: p.Survey, Question: id, Kind: survey.RemarkAsk, Subject: survey.SubjectPin, Target: string(p.ID), About: "Note 1 on photo 1", Text: text, By: "B. Quill"}
}

func answerTo(m survey.Remark, text string) survey.Remark {
	return survey.Remark{ID: survey.NewID(), Survey: m.Survey, Question: m.ID, Kind: survey.RemarkAnswer, Text: text, By: "K. Vale"}
}

func TestRemarks(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	house := addSurvey(t, s)
	photo := addTestPhoto(t, s, house.ID, 1)
	pin := addTestPin(t, s, photo)
	before := must(s.Record(ctx, house.ID))(t)
	question := askedAbout(pin, "How deep?")
	kept := must(s.Remark(ctx, question))(t)
	if question.At = kept.At; kept != question || kept.At.IsZero() {
		t.Errorf("got %+v", kept)
	}
	if again := must(s.Remark(ctx, askedAgain(question, "Something else")))(t); again != kept {
		t.Errorf("the same id again: got %+v", again)
	}
	answer := answerTo(question, "1/2 in.")
	answer.Photo = photo.ID
	must(s.Remark(ctx, answer))(t)
	late := errorOf(s.Remark(ctx, answerTo(question, "No: 5/8.")))
	wantKind(t, late, survey.Conflict)
	if text := survey.Message(late); !strings.Contains(text, "K. Vale answered this question before you") {
		t.Errorf("a second answer: %q", text)
	}
	more := answerTo(question, "Which side?")
	more.Kind = survey.RemarkAsk
	must(s.Remark(ctx, more))(t)
	second := askedAgain(more, "How long?")
	second.ID, second.By = survey.NewID(), "B. Quill"
	late = errorOf(s.Remark(ctx, second))
	wantKind(t, late, survey.Conflict)
	if text := survey.Message(late); !strings.Contains(text, "K. Vale asked a follow-up before you") {
		t.Errorf("a second follow-up: %q", text)
	}
	must(s.Remark(ctx, more))(t) // sent again it is what it was
	must(s.Remark(ctx, answerTo(question, "Left.")))(t)
	r := must(s.Record(ctx, house.ID))(t)
	if threads := survey.Threads(r.Remarks); len(threads) != 1 || len(threads[0]) != 4 || threads[0].Open() || threads[0][1].Photo != photo.ID {
		t.Errorf("got %+v", threads)
	}
	if r.ChangedAt != before.ChangedAt {
		t.Error("a question changes the survey")
	}
	other := addSurvey(t, s)
	elsewhere := answerTo(question, "From next door")
	elsewhere.Survey = other.ID
	strange := answerTo(question, "With a picture")
	strange.Kind, strange.Photo = survey.RemarkAsk, survey.PhotoID(survey.NewID())
	for name, m := range map[string]survey.Remark{"another survey": elsewhere, "no such question": answerTo(askedAbout(pin, "x"), "y"), "no such photo": strange} {
		if err := errorOf(s.Remark(ctx, m)); survey.KindOf(err) != survey.NotFound {
			t.Errorf("%s: got %v", name, err)
		}
	}
	wantKind(t, errorOf(s.Remark(ctx, askedAbout(pin, ""))), survey.Invalid)
}

func askedAgain(m survey.Remark, text string) survey.Remark {
	m.Text = text
	return m
}

func TestReviews(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	house := addSurvey(t, s)
	state, later := putBlob(t, s, []byte("one state")).SHA256, putBlob(t, s, []byte("a later state")).SHA256
	v := survey.Review{Survey: house.ID, By: "B. Quill", SHA256: state}
	first := must(s.Review(ctx, v))(t)
	if again := must(s.Review(ctx, v))(t); again != first || first.Seq != 1 {
		t.Errorf("got %+v and %+v", first, again)
	}
	v.SHA256 = later
	must(s.Review(ctx, v))(t)
	r := must(s.Record(ctx, house.ID))(t)
	if last, ok := r.LastReview(); !ok || len(r.Reviews) != 2 || last.Seq != 2 || last.SHA256 != later {
		t.Errorf("got %+v", r.Reviews)
	}
	v.SHA256 = strings.Repeat("0", 64)
	wantKind(t, errorOf(s.Review(ctx, v)), survey.NotFound)
	v.SHA256, v.By = later, ""
	wantKind(t, errorOf(s.Review(ctx, v)), survey.Invalid)
	v.By, v.Survey = "B. Quill", survey.SurveyID(survey.NewID())
	wantKind(t, errorOf(s.Review(ctx, v)), survey.NotFound)
}

// measured is a verification of one value of a pin as VerifyPin makes it.
func measured(p survey.Pin, key, text string) survey.Verification {
	return survey.Verification{ID: survey.NewID(), Survey: p.Survey, Pin: p.ID, Set: map[string]string{key: text}, Was: map[string]string{key: p.Values[key]}, Before: "size: 1 1/2″ (typed)", By: "B. Quill"}
}

func TestVerify(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	house := addSurvey(t, s)
	pin := addTestPin(t, s, addTestPhoto(t, s, house.ID, 1))
	v := measured(pin, "size", "1 3/4")
	kept := must(s.Verify(ctx, v))(t)
	if v.Seq, v.At = 1, kept.At; !cmp.Equal(kept, v) {
		t.Error(cmp.Diff(v, kept))
	}
	if again := must(s.Verify(ctx, v))(t); !cmp.Equal(again, kept) {
		t.Errorf("sent twice: got %+v", again)
	}
	r := must(s.Record(ctx, house.ID))(t)
	now, _ := r.Pin(pin.ID)
	if now.Values["size"] != "1 3/4" || now.Version != pin.Version+1 || now.By != "Kim" || !cmp.Equal(r.Verified, []survey.Verification{kept}) {
		t.Errorf("got %+v, %+v", now, r.Verified)
	}
	stale := measured(pin, "size", "2") // from before the first
	wantKind(t, errorOf(s.Verify(ctx, stale)), survey.Conflict)
	back := must(survey.Withdraw(r, v.ID, "B. Quill"))(t)
	back.ID = survey.NewID()
	must(s.Verify(ctx, back))(t)
	r = must(s.Record(ctx, house.ID))(t)
	if now, _ = r.Pin(pin.ID); now.Values["size"] != "1 1/2" || len(r.Verified) != 2 {
		t.Errorf("taken back: got %+v", now)
	}
	// A value that was not there is taken away again.
	none := measured(now, "depth", "9")
	must(s.Verify(ctx, none))(t)
	back = must(survey.Withdraw(must(s.Record(ctx, house.ID))(t), none.ID, "B. Quill"))(t)
	back.ID = survey.NewID()
	must(s.Verify(ctx, back))(t)
	r = must(s.Record(ctx, house.ID))(t)
	if now, _ = r.Pin(pin.ID); !cmp.Equal(now.Values, pin.Values) {
		t.Errorf("got %+v", now.Values)
	}
	fact := survey.Verification{ID: survey.NewID(), Survey: house.ID, Set: map[string]string{"width": "24'"}, Was: map[string]string{"width": ""}, By: "B. Quill"}
	must(s.Verify(ctx, fact))(t)
	if got := must(s.Record(ctx, house.ID))(t).Facts["width"]; got.Text != "24'" {
		t.Errorf("got %+v", got)
	}
	if err := s.DeletePin(ctx, house.ID, pin.ID, now.Version); err != nil {
		t.Fatal(err)
	}
	wantKind(t, errorOf(s.Verify(ctx, measured(now, "size", "2"))), survey.NotFound)
}

// TestWhatWasSaidIsNeverChanged: rows are added to these tables and nothing else.
func TestWhatWasSaidIsNeverChanged(t *testing.T) {
	s := newStore(t)
	saidSurvey(t, s)
	for _, text := range []string{
		`UPDATE review SET by = 'Eve'`, `DELETE FROM review`, `INSERT OR REPLACE INTO review SELECT * FROM review`,
		`UPDATE remark SET text = 'Nothing.'`, `DELETE FROM remark`, `INSERT OR REPLACE INTO remark SELECT * FROM remark`,
		`UPDATE verification SET by = 'Eve'`, `DELETE FROM verification`, `INSERT OR REPLACE INTO verification SELECT * FROM verification`,
	} {
		if _, err := s.writer.ExecContext(t.Context(), text); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: got %v", text, err)
		}
	}
}

// saidSurvey is a survey with a review, a question, an answer and a verified value.
func saidSurvey(t *testing.T, s *Store) survey.SurveyID {
	t.Helper()
	ctx := t.Context()
	house := addSurvey(t, s)
	pin := addTestPin(t, s, addTestPhoto(t, s, house.ID, 1))
	must(s.Review(ctx, survey.Review{Survey: house.ID, By: "B. Quill", SHA256: putBlob(t, s, []byte("a state")).SHA256}))(t)
	question := must(s.Remark(ctx, askedAbout(pin, "How deep?")))(t)
	must(s.Remark(ctx, answerTo(question, "1/2 in.")))(t)
	must(s.Verify(ctx, measured(pin, "size", "1 3/4")))(t)
	return house.ID
}

// TestWhatWasSaidIsTakenElsewhere: a survey restored in another folder is the same, and one that lacks a state's file is refused.
func TestWhatWasSaidIsTakenElsewhere(t *testing.T) {
	s := newStore(t)
	id := saidSurvey(t, s)
	v := must(s.Snapshot(t.Context(), id))(t)
	to := newStore(t)
	if err := to.Restore(t.Context(), v); survey.KindOf(err) != survey.NotFound {
		t.Errorf("without its files: got %v", err)
	}
	for seed := uint64(1); seed <= 3; seed++ {
		putBlob(t, to, content(seed, map[uint64]int{1: 3000, 2: 900, 3: 90}[seed]))
	}
	if err := to.Restore(t.Context(), v); survey.KindOf(err) != survey.NotFound {
		t.Errorf("without the state: got %v", err)
	}
	putBlob(t, to, []byte("a state"))
	for range 2 {
		if err := to.Restore(t.Context(), v); err != nil {
			t.Fatal(err)
		}
	}
	got := must(to.Snapshot(t.Context(), id))(t).Record
	for name, pair := range map[string][2]any{"remarks": {got.Remarks, v.Record.Remarks}, "reviews": {got.Reviews, v.Record.Reviews}, "verified": {got.Verified, v.Record.Verified}} {
		if !cmp.Equal(pair[0], pair[1]) {
			t.Errorf("%s: %s", name, cmp.Diff(pair[1], pair[0]))
		}
	}
	v.Record.Remarks = append([]survey.Remark{}, v.Record.Remarks...)
	v.Record.Remarks[1].Text = "5/8 in."
	if err := to.Restore(t.Context(), v); survey.KindOf(err) != survey.Conflict || !strings.Contains(err.Error(), "what was said") {
		t.Errorf("another answer: got %v", err)
	}
}

// TestVerifyIsAllOrNothing: when the pin cannot be changed, nothing says that it was.
func TestVerifyIsAllOrNothing(t *testing.T) {
	s := newStore(t)
	house := addSurvey(t, s)
	pin := addTestPin(t, s, addTestPhoto(t, s, house.ID, 1))
	if _, err := s.writer.Exec(`CREATE TRIGGER no_pins BEFORE UPDATE ON pin BEGIN SELECT RAISE (ABORT, 'no'); END`); err != nil {
		t.Fatal(err)
	}
	if err := errorOf(s.Verify(t.Context(), measured(pin, "size", "2"))); err == nil || errors.Is(err, context.Canceled) {
		t.Fatalf("got %v", err)
	}
	if r := must(s.Record(t.Context(), house.ID))(t); len(r.Verified) != 0 || r.Pins[0].Values["size"] != "1 1/2" {
		t.Errorf("got %+v", r)
	}
}
