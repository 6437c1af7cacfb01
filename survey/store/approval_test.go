package store

import (
	"context"
	"crypto/sha256"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

// offered is a survey with one revision and a link to it, made at the store's time.
func offered(t *testing.T, s *Store) (survey.Revision, survey.Link, TokenSum) {
	t.Helper()
	house := must(s.CreateSurvey(t.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house"}))(t)
	v := survey.NextRevision(house.ID, nil)
	v.SHA256, v.By, v.At = frozen(t, s, `{"number":1}`), "Ana", time.UnixMilli(0).UTC()
	must(s.Issue(t.Context(), v))(t)
	token := TokenSum(sha256.Sum256([]byte(survey.NewID())))
	return v, must(s.CreateLink(t.Context(), linkTo(v, s.now().Add(24*time.Hour)), token))(t), token
}

func linkTo(v survey.Revision, expires time.Time) survey.Link {
	return survey.Link{ID: survey.LinkID(survey.NewID()), Survey: v.Survey, Number: v.Number, By: "Ana", Expires: expires}
}

func decided(v survey.Revision, by survey.LinkID) survey.Approval {
	return survey.Approval{Survey: v.Survey, Number: v.Number, SHA256: v.SHA256, Decision: survey.Approved, Name: "J. Quill", Consent: "I agree.", Lang: "en", Link: by, Address: "192.0.2.7", Agent: "a phone"}
}

func TestLinks(t *testing.T) {
	s := newStore(t)
	now := time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	s.now = func() time.Time { return now }
	ctx := t.Context()
	v, l, token := offered(t, s)
	if got := must(s.LinkOf(ctx, token))(t); got != l || got.By != "Ana" || !got.Open(now) {
		t.Errorf("got %+v, want %+v", got, l)
	}
	unknown := errorOf(s.LinkOf(ctx, TokenSum{1}))
	now = l.Expires.Add(-time.Millisecond)
	must(s.LinkOf(ctx, token))(t)
	now = l.Expires
	if err := errorOf(s.LinkOf(ctx, token)); survey.KindOf(err) != survey.NotFound || err.Error() != unknown.Error() {
		t.Errorf("expired: got %v, want %v", err, unknown)
	}
	second := TokenSum{2}
	k := must(s.CreateLink(ctx, linkTo(v, now.Add(time.Hour)), second))(t)
	for range 2 {
		if err := s.RevokeLink(ctx, v.Survey, k.ID, "Ben"); err != nil {
			t.Fatal(err)
		}
	}
	if err := errorOf(s.LinkOf(ctx, second)); survey.KindOf(err) != survey.NotFound || err.Error() != unknown.Error() {
		t.Errorf("revoked: got %v, want %v", err, unknown)
	}
	if list := must(s.Links(ctx, v.Survey))(t); len(list) != 2 || list[1].RevokedBy != "Ben" || list[1].Revoked != now {
		t.Errorf("got %+v", list)
	}
	for name, err := range map[string]error{
		"no revision":    errorOf(s.CreateLink(ctx, linkTo(survey.Revision{Survey: v.Survey, Number: 2}, now.Add(time.Hour)), TokenSum{3})),
		"another survey": s.RevokeLink(ctx, survey.SurveyID(survey.NewID()), k.ID, "Eve"),
		"asked by it":    errorOf(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: k.ID, Text: "Why?"})),
		"decided by it":  errorOf(s.Decide(ctx, decided(v, k.ID))),
	} {
		if survey.KindOf(err) != survey.NotFound {
			t.Errorf("%s: got %v", name, err)
		}
	}
	for name, expires := range map[string]time.Time{"at once": now, "too late": now.AddDate(0, 0, survey.LinkDaysMax).Add(time.Second)} {
		if err := errorOf(s.CreateLink(ctx, linkTo(v, expires), TokenSum{4})); survey.KindOf(err) != survey.Invalid {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func TestInquiries(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v, l, _ := offered(t, s)
	q := survey.Inquiry{ID: survey.NewID(), Link: l.ID, Name: "J. Quill", Text: "Will the light be as bright?"}
	asked := must(s.Ask(ctx, q))(t)
	if asked.Survey != v.Survey || asked.Number != 1 {
		t.Errorf("got %+v", asked)
	}
	if again := must(s.Ask(ctx, q))(t); again != asked {
		t.Errorf("sent again: %+v", again)
	}
	answered := must(s.Answer(ctx, v.Survey, q.ID, "Yes.", "Ana"))(t)
	must(s.Answer(ctx, v.Survey, q.ID, "Yes.", "Ana"))(t)
	if err := errorOf(s.Answer(ctx, v.Survey, q.ID, "No.", "Ana")); survey.KindOf(err) != survey.Conflict {
		t.Errorf("another answer: got %v", err)
	}
	if diff := cmp.Diff([]survey.Inquiry{answered}, must(s.Inquiries(ctx, v.Survey))(t)); diff != "" || answered.Answer != "Yes." {
		t.Error(diff)
	}
	for name, err := range map[string]error{"nothing asked": errorOf(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID})), "nothing answered": errorOf(s.Answer(ctx, v.Survey, q.ID, "", "Ana"))} {
		if survey.KindOf(err) != survey.Invalid {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if err := errorOf(s.Answer(ctx, survey.SurveyID(survey.NewID()), q.ID, "Yes.", "Eve")); survey.KindOf(err) != survey.NotFound {
		t.Errorf("of another survey: got %v", err)
	}
	for n := 1; n < survey.MaxInquiries; n++ {
		must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Text: fmt.Sprint(n)}))(t)
	}
	if err := errorOf(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Text: "one more"})); survey.KindOf(err) != survey.Invalid {
		t.Errorf("one too many: got %v", err)
	}
}

func TestDecisions(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v, l, _ := offered(t, s)
	stale := decided(v, l.ID)
	stale.SHA256 = strings.Repeat("0", 64)
	if err := errorOf(s.Decide(ctx, stale)); survey.KindOf(err) != survey.Conflict {
		t.Errorf("what was seen is another: got %v", err)
	}
	a := must(s.Decide(ctx, decided(v, l.ID)))(t)
	if err := errorOf(s.Decide(ctx, decided(v, l.ID))); survey.KindOf(err) != survey.Conflict {
		t.Errorf("twice: got %v", err)
	}
	next := survey.NextRevision(v.Survey, []survey.Revision{v})
	next.SHA256, next.By, next.At = frozen(t, s, `{"number":2}`), "Ana", time.UnixMilli(0).UTC()
	must(s.Issue(ctx, next))(t)
	if err := errorOf(s.Decide(ctx, decided(next, l.ID))); survey.KindOf(err) != survey.NotFound {
		t.Errorf("by the link of another revision: got %v", err)
	}
	inPerson := decided(next, "")
	inPerson.With, inPerson.Decision, inPerson.Reason, inPerson.Signature = "Ana", survey.Declined, "the gutter is on the wrong side", "[[[1,2],[3,4]]]"
	b := must(s.Decide(ctx, inPerson))(t)
	if b.Prev != a.Hash || b.Seq != 2 || a.Prev != "" {
		t.Errorf("the chain is broken: %+v, %+v", a, b)
	}
	list := must(s.Approvals(ctx, v.Survey))(t)
	if diff := cmp.Diff([]survey.Approval{a, b}, list); diff != "" {
		t.Error(diff)
	}
	if err := survey.CheckApprovals(list, must(s.Revisions(ctx, v.Survey))(t)); err != nil {
		t.Error(err)
	}
}

// TestOneDecisionAtOnce: of eight that come at the same time one is kept.
func TestOneDecisionAtOnce(t *testing.T) {
	s := newStore(t)
	v, l, _ := offered(t, s)
	var all sync.WaitGroup
	kept := make(chan string, 8)
	for range cap(kept) {
		all.Go(func() {
			if a, err := s.Decide(t.Context(), decided(v, l.ID)); err == nil {
				kept <- a.Hash
			} else if survey.KindOf(err) != survey.Conflict {
				t.Errorf("got %v", err)
			}
		})
	}
	all.Wait()
	if len(kept) != 1 || len(must(s.Approvals(t.Context(), v.Survey))(t)) != 1 {
		t.Errorf("%d were kept", len(kept))
	}
}

// TestWhatWasDecidedIsNeverChanged: the database itself refuses, and what is changed behind its back is found.
func TestWhatWasDecidedIsNeverChanged(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v, l, _ := offered(t, s)
	must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Text: "Why?"}))(t)
	must(s.Decide(ctx, decided(v, l.ID)))(t)
	const rest = `survey, seq, number, sha256, decision, 'Eve', reason, consent, lang, at, link, made_with, address, agent, signature, prev, hash`
	for _, statement := range []string{
		`UPDATE approval SET name = 'Eve'`, `DELETE FROM approval`, `INSERT OR REPLACE INTO approval SELECT ` + rest + ` FROM approval`,
		`UPDATE inquiry SET text = 'Eve'`, `UPDATE inquiry SET text = 'Eve', answered_at = 1`, `DELETE FROM inquiry`, `REPLACE INTO inquiry SELECT * FROM inquiry`,
		`UPDATE link SET expires_at = expires_at + 1`, `UPDATE link SET revoked_at = 1, number = 2`, `DELETE FROM link`, `REPLACE INTO link SELECT * FROM link`,
	} {
		if _, err := s.writer.ExecContext(ctx, statement); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: got %v, want it refused", statement, err)
		}
	}
	for _, name := range []string{"approval_is_not_updated", "approval_is_not_deleted", "approval_is_not_replaced"} {
		if _, err := s.writer.ExecContext(ctx, `DROP TRIGGER `+name); err != nil {
			t.Fatal(err)
		}
	}
	issued := must(s.Revisions(ctx, v.Survey))(t)
	for column, value := range map[string]string{"name": "'Eve'", "decision": "'declined'", "reason": "'x'", "consent": "'x'", "at": "at + 1", "address": "'x'", "agent": "'x'", "signature": "'[]'", "hash": "replace(hash, '0', '1')"} {
		before := must(s.Approvals(ctx, v.Survey))(t)[0]
		if _, err := s.writer.ExecContext(ctx, `UPDATE approval SET `+column+` = `+value); err != nil {
			t.Fatal(err)
		}
		if err := survey.CheckApprovals(must(s.Approvals(ctx, v.Survey))(t), issued); survey.KindOf(err) != survey.Invalid {
			t.Errorf("the %s was changed: got %v", column, err)
		}
		if _, err := s.writer.ExecContext(ctx, `DELETE FROM approval`); err != nil {
			t.Fatal(err)
		}
		must(write(ctx, s, "put back", func(ctx context.Context, t *tx) (struct{}, error) { return struct{}{}, insertApproval(ctx, t, before) }))(t)
	}
}
