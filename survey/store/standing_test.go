package store

import (
	"fmt"
	"testing"
	"time"

	"undercroft/survey"
)

// standingOf reads one survey's standing both ways, which must agree.
func standingOf(t *testing.T, s *Store, id survey.SurveyID) survey.Standing {
	t.Helper()
	one := must(s.Standing(t.Context(), id))(t)
	for _, v := range must(s.Standings(t.Context()))(t) {
		if v.ID == id {
			if v != one {
				t.Errorf("the list says %+v, alone it is %+v", v, one)
			}
			return one
		}
	}
	t.Fatalf("%s is not in the list", id)
	return survey.Standing{}
}

// TestStandingFollowsTheSurvey takes one survey from its beginning to the archive, act by act.
func TestStandingFollowsTheSurvey(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v := addSurvey(t, s)
	wantState := func(state survey.State) survey.Standing {
		t.Helper()
		got := standingOf(t, s, v.ID)
		if got.State() != state {
			t.Errorf("it is %s, want %s: %+v", got.State(), state, got)
		}
		return got
	}
	begun := wantState(survey.StateDraft)
	if begun.Survey != v || !begun.ContentAt.Equal(v.CreatedAt) {
		t.Errorf("at first: %+v", begun)
	}
	must(s.PutFacts(ctx, v.ID, []survey.Fact{{Key: "ready", Text: "now"}, {Key: "ready.by", Text: "Ana"}, {Key: "walk.ground.late", Text: "1"}, {Key: "finish.notes", Text: "x"}}))(t)
	if got := wantState(survey.StateReady); !got.ContentAt.Equal(begun.ContentAt) {
		t.Error("what only keeps the books counts as a change of the house")
	}
	r := survey.NextRevision(v.ID, nil)
	r.SHA256, r.By, r.At = frozen(t, s, `{"number":1}`), "Ana", milliseconds(s.now())
	must(s.Issue(ctx, r))(t)
	if got := wantState(survey.StateIssued); got.Linked || !got.NewestAt.Equal(r.At) {
		t.Errorf("issued: %+v", got)
	}
	l := must(s.CreateLink(ctx, linkTo(r, s.now().Add(time.Hour)), TokenSum{1}))(t)
	asked := must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Name: "J. Quill", Text: "Which color?"}))(t)
	if got := wantState(survey.StateIssued); !got.Linked || got.Inquiries != 1 {
		t.Errorf("with a link and a question: %+v", got)
	}
	must(s.Answer(ctx, v.ID, asked.ID, "White.", "Ana"))(t)
	must(s.Decide(ctx, decided(r, l.ID)))(t)
	if got := wantState(survey.StateApproved); got.Approved != 1 || got.Inquiries != 0 || got.DecidedAt.IsZero() {
		t.Errorf("approved: %+v", got)
	}
	must(s.PutFacts(ctx, v.ID, []survey.Fact{{Key: "width", Text: "16'"}}))(t)
	wantState(survey.StateChanged)
	must(s.File(ctx, v.ID, survey.Archived))(t)
	if got := wantState(survey.StateArchived); got.Job() != survey.StateChanged || got.FiledAt.IsZero() {
		t.Errorf("archived: %+v", got)
	}
	must(s.File(ctx, v.ID, survey.Deleted))(t)
	wantState(survey.StateDeleted)
	must(s.File(ctx, v.ID, survey.Returned))(t)
	wantState(survey.StateChanged)
	wantKind(t, errorOf(s.Standing(ctx, survey.SurveyID(survey.NewID()))), survey.NotFound)
}

// TestStandingOfLaterParts reads what other parts keep: reviews, questions between staff, how it ended. Their rows are written as SQL here.
func TestStandingOfLaterParts(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v := addSurvey(t, s)
	do := func(text string, args ...any) {
		t.Helper()
		if _, err := s.writer.ExecContext(ctx, text, args...); err != nil {
			t.Fatal(err)
		}
	}
	sum := sumOf([]byte("x"))
	do(`INSERT INTO review (survey, seq, by, at, revision, sha256) VALUES (?, 1, 'Ben', 5000, 0, ?)`, v.ID, sum)
	if got := standingOf(t, s, v.ID); !got.ReviewedAt.Equal(time.UnixMilli(5000)) {
		t.Errorf("reviewed: %v", got.ReviewedAt)
	}
	question, answer := survey.NewID(), survey.NewID()
	say := `INSERT INTO remark (id, survey, question, kind, subject, target, about, text, photo, by, at) VALUES (?, ?, ?, ?, ?, '', '', 'text', '', 'Ben', ?)`
	do(say, question, v.ID, question, "ask", "survey", 1)
	if got := standingOf(t, s, v.ID).Questions; got != 1 {
		t.Errorf("asked: %d questions wait", got)
	}
	do(say, answer, v.ID, question, "answer", "", 2)
	if got := standingOf(t, s, v.ID).Questions; got != 0 {
		t.Errorf("answered: %d questions wait", got)
	}
	do(say, survey.NewID(), v.ID, question, "ask", "", 3)
	if got := standingOf(t, s, v.ID).Questions; got != 1 {
		t.Errorf("asked further: %d questions wait", got)
	}
	act := `INSERT INTO finish (survey, seq, act, sha256, approved, by, reason, name, consent, lang, link, address, agent, signature, at, prev, hash) VALUES (?1, ?2, ?3, ?4, 0, 'Ben', ?5, ?6, '', '', '', '', '', '', ?7, ?8, ?4)`
	do(act, v.ID, 1, "finished", sum, "", "", 7000, "")
	if got := standingOf(t, s, v.ID); got.State() != survey.StateFinished || !got.FinishedAt.Equal(time.UnixMilli(7000)) || got.SignedOff {
		t.Errorf("finished: %+v", got)
	}
	do(act, v.ID, 2, "signed", sum, "", "J. Quill", 8000, sum)
	if got := standingOf(t, s, v.ID); got.State() != survey.StateFinished || !got.SignedOff {
		t.Errorf("signed off: %+v", got)
	}
	do(act, v.ID, 3, "reopened", sum, "a leak", "", 9000, sum)
	if got := standingOf(t, s, v.ID); got.State() != survey.StateDraft || got.SignedOff {
		t.Errorf("opened again: %+v", got)
	}
	do(act, v.ID, 4, "finished", sum, "", "", 9500, sum)
	if got := standingOf(t, s, v.ID); got.State() != survey.StateFinished || got.SignedOff || !got.FinishedAt.Equal(time.UnixMilli(9500)) {
		t.Errorf("finished again: %+v", got)
	}
	do(`INSERT INTO verification (id, survey, seq, pin, set_values, was_values, before_words, withdraws, by, at) VALUES (?, ?, 1, '', '{}', '{}', '', '', 'Ben', 4000000000000)`, survey.NewID(), v.ID)
	if got := standingOf(t, s, v.ID); !got.ContentAt.Equal(time.UnixMilli(4_000_000_000_000)) {
		t.Errorf("verified on site: changed %v", got.ContentAt)
	}
}

// TestBookkeepingIsOne: what the database does not count as a change of the house is what survey.Bookkeeping says.
func TestBookkeepingIsOne(t *testing.T) {
	s := newStore(t)
	for _, key := range []string{"ready", "ready.by", "readymade", "walk.ground.late", "walk", "walker.x", "finish.notes", "finish", "finished.x", "width", "cover.flue"} {
		v := addSurvey(t, s)
		must(s.PutFacts(t.Context(), v.ID, []survey.Fact{{Key: key, Text: "1"}}))(t)
		if counts := !standingOf(t, s, v.ID).ContentAt.Equal(v.CreatedAt); counts == survey.Bookkeeping(key) {
			t.Errorf("%s: it counts %v, and bookkeeping is %v", key, counts, survey.Bookkeeping(key))
		}
	}
}

// TestFiling: archiving, deleting and taking back, by whom and when, and what a deleted survey does not do any more.
func TestFiling(t *testing.T) {
	s := newStore(t)
	ctx := survey.WithPerson(t.Context(), survey.Person{Name: "Olive"})
	r, l, token := offered(t, s)
	changed := must(s.Record(ctx, r.Survey))(t).ChangedAt
	for i, act := range []survey.FilingAct{survey.Archived, survey.Archived, survey.Deleted, survey.Deleted} {
		f := must(s.File(ctx, r.Survey, act))(t)
		if f.Seq != i/2+1 || f.By != "Olive" || f.Act != act {
			t.Errorf("%s: %+v", act, f)
		}
	}
	if list := must(s.Surveys(ctx))(t); len(list) != 0 {
		t.Errorf("a deleted survey is listed: %+v", list)
	}
	wantKind(t, errorOf(s.LinkOf(ctx, token)), survey.NotFound)
	wantKind(t, errorOf(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Name: "J. Quill", Text: "Which color?"})), survey.NotFound)
	wantKind(t, errorOf(s.Decide(ctx, decided(r, l.ID))), survey.NotFound)
	wantKind(t, errorOf(s.File(ctx, r.Survey, survey.Archived)), survey.NotFound)
	must(s.File(t.Context(), r.Survey, survey.Returned))(t)
	must(s.LinkOf(ctx, token))(t)
	if list := must(s.Surveys(ctx))(t); len(list) != 1 {
		t.Errorf("taken back, it is not listed")
	}
	acts := must(s.Filings(ctx, r.Survey))(t)
	if len(acts) != 3 || acts[0].Act != survey.Archived || acts[1].Act != survey.Deleted || acts[2].Act != survey.Returned || acts[2].By != "" || acts[2].At.Before(acts[1].At) {
		t.Errorf("the acts: %+v", acts)
	}
	if now := must(s.Record(ctx, r.Survey))(t).ChangedAt; !now.Equal(changed) {
		t.Error("where it is kept counts as a change of the survey")
	}
	wantKind(t, errorOf(s.File(ctx, survey.SurveyID(survey.NewID()), survey.Archived)), survey.NotFound)
	wantKind(t, errorOf(s.File(ctx, r.Survey, "burned")), survey.Invalid)
}

// BenchmarkStandings lists 2,000 surveys on their way, each with a revision, a link and a decision.
func BenchmarkStandings(b *testing.B) {
	s := newStore(b)
	manySurveys(b, s, 2000)
	for b.Loop() {
		if list := must(s.Standings(b.Context()))(b); len(list) != 2000 {
			b.Fatal(len(list))
		}
	}
}

// manySurveys writes n surveys as SQL, in one transaction.
func manySurveys(tb testing.TB, s *Store, n int) {
	tb.Helper()
	t, err := s.writer.Begin()
	if err != nil {
		tb.Fatal(err)
	}
	defer t.Rollback()
	sum := sumOf([]byte("x"))
	for i := range n {
		id := survey.NewID()
		for _, text := range []string{
			`INSERT INTO survey (id, title, address, client, contact, surveyor, visit_date, access, notes, version, created_at, updated_at, changed_at, changed_seq)
				VALUES (?1, 'House ' || ?2, ?2 || ' Mill lane', 'J. Quill', '555-0134', 'Ana', '2026-05-30', '', '', 1, 0, 0, ?2, ?2)`,
			`INSERT INTO fact (survey, key, text, version, updated_at) VALUES (?1, 'ready', 'now', 1, ?2)`,
			fmt.Sprintf(`INSERT INTO revision (survey, number, sha256, prev, by, although, at) VALUES (?1, 1, '%s', '', 'Ana', '', ?2)`, sum),
			`INSERT INTO link (id, survey, number, token_sha256, by, at, expires_at) VALUES (?1, ?1, 1, randomblob(32), 'Ana', ?2, 9000000000000)`,
			fmt.Sprintf(`INSERT INTO approval (survey, seq, number, sha256, decision, name, reason, consent, lang, at, link, made_with, address, agent, signature, prev, hash)
				SELECT ?1, 1, 1, '%s', 'approved', 'J. Quill', '', '', 'en', ?2, ?1, '', '', '', '', '', '%s' WHERE ?2 %% 2 = 0`, sum, sum),
		} {
			if _, err := t.Exec(text, id, i); err != nil {
				tb.Fatal(err)
			}
		}
	}
	if err := t.Commit(); err != nil {
		tb.Fatal(err)
	}
}
