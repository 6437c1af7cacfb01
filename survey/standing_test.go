package survey

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func standingDay(n int) time.Time { return time.Date(2026, 6, n, 9, 0, 0, 0, time.UTC) }

// standingCases are surveys on their way. The states and what is waited for are this project's own (common practice, no source).
var standingCases = []struct {
	name  string
	in    Standing
	state State
	waits []Wait
}{
	{"just begun", Standing{ContentAt: standingDay(1)}, StateDraft, []Wait{{PartySurveyor, WaitFinishSurvey, 0}}},
	{"ready, nobody has reviewed it", Standing{Ready: true, ContentAt: standingDay(1)}, StateReady, []Wait{{PartyInstaller, WaitReview, 0}}},
	{"ready and reviewed", Standing{Ready: true, ContentAt: standingDay(1), ReviewedAt: standingDay(2)}, StateReady, nil},
	{"changed since the review", Standing{Ready: true, ContentAt: standingDay(3), ReviewedAt: standingDay(2)}, StateReady, []Wait{{PartyInstaller, WaitReview, 0}}},
	{"the crew asks", Standing{Ready: true, ContentAt: standingDay(1), ReviewedAt: standingDay(2), Questions: 2}, StateReady, []Wait{{PartySurveyor, WaitAnswerCrew, 2}}},
	{"issued, with a link", Standing{Newest: 1, NewestAt: standingDay(2), ContentAt: standingDay(1), Linked: true}, StateIssued, []Wait{{PartyHomeowner, WaitDecide, 0}}},
	{"issued, without a link", Standing{Newest: 1, NewestAt: standingDay(2), ContentAt: standingDay(1)}, StateIssued, []Wait{{PartyOffice, WaitSend, 0}}},
	{"issued, the homeowner asks", Standing{Newest: 1, NewestAt: standingDay(2), Linked: true, Inquiries: 1}, StateIssued, []Wait{{PartyHomeowner, WaitDecide, 0}, {PartyOffice, WaitAnswer, 1}}},
	{"issued although something stops", Standing{Newest: 1, NewestAt: standingDay(2), Stopped: true}, StateDraft, []Wait{{PartySurveyor, WaitSettle, 0}}},
	{"approved", Standing{Newest: 1, NewestAt: standingDay(2), ContentAt: standingDay(1), Decision: Approved, Approved: 1, ReviewedAt: standingDay(1)}, StateApproved, nil},
	{"approved, not reviewed", Standing{Newest: 1, NewestAt: standingDay(2), ContentAt: standingDay(1), Decision: Approved, Approved: 1}, StateApproved, []Wait{{PartyInstaller, WaitReview, 0}}},
	{"changed at the moment of issue", Standing{Newest: 1, NewestAt: standingDay(2), ContentAt: standingDay(2), Decision: Approved, Approved: 1, ReviewedAt: standingDay(2)}, StateApproved, nil},
	{"changed since approval", Standing{Newest: 1, NewestAt: standingDay(2), ContentAt: standingDay(3), Decision: Approved, Approved: 1}, StateChanged, []Wait{{PartyOffice, WaitReissue, 0}}},
	{"a second revision waits", Standing{Newest: 2, NewestAt: standingDay(4), ContentAt: standingDay(3), Approved: 1, Linked: true}, StateIssued, []Wait{{PartyHomeowner, WaitDecide, 0}}},
	{"a second revision is stopped", Standing{Newest: 2, NewestAt: standingDay(4), ContentAt: standingDay(3), Approved: 1, Stopped: true}, StateChanged,
		[]Wait{{PartySurveyor, WaitSettle, 0}, {PartyOffice, WaitReissue, 0}}},
	{"declined", Standing{Newest: 1, NewestAt: standingDay(2), Decision: Declined, DecidedAt: standingDay(3)}, StateDeclined, []Wait{{PartyOffice, WaitFollowUp, 0}}},
	{"finished", Standing{Newest: 1, NewestAt: standingDay(2), ContentAt: standingDay(4), Decision: Approved, Approved: 1, FinishedAt: standingDay(5)}, StateFinished, []Wait{{PartyHomeowner, WaitSignOff, 0}}},
	{"finished and signed off", Standing{Newest: 1, NewestAt: standingDay(2), Decision: Approved, Approved: 1, FinishedAt: standingDay(5), SignedOff: true}, StateFinished, nil},
	{"archived", Standing{ContentAt: standingDay(1), Filed: Archived, Inquiries: 1}, StateArchived, nil},
	{"deleted", Standing{ContentAt: standingDay(1), Filed: Deleted, Questions: 1}, StateDeleted, nil},
	{"taken back", Standing{ContentAt: standingDay(1), Filed: Returned}, StateDraft, []Wait{{PartySurveyor, WaitFinishSurvey, 0}}},
}

func TestStanding(t *testing.T) {
	seen, waited := map[State]bool{}, map[WaitKind]bool{}
	for _, test := range standingCases {
		if got := test.in.State(); got != test.state {
			t.Errorf("%s: it is %s, want %s", test.name, got, test.state)
		}
		if diff := cmp.Diff(test.waits, test.in.Waits()); diff != "" {
			t.Errorf("%s: %s", test.name, diff)
		}
		seen[test.state] = true
		for _, w := range test.waits {
			waited[w.What] = true
			if !test.in.WaitsFor(w.For) {
				t.Errorf("%s: it does not wait for the %s", test.name, w.For)
			}
		}
	}
	for _, s := range States() {
		if !seen[s] {
			t.Errorf("no case is %s", s)
		}
	}
	if len(waited) != 10 {
		t.Errorf("the cases wait for %d different things, want all 10", len(waited))
	}
}

func TestDueOn(t *testing.T) {
	finished := Standing{FinishedAt: standingDay(5), ChangedAt: standingDay(4)}
	declined := Standing{Newest: 1, Decision: Declined, DecidedAt: standingDay(3), ChangedAt: standingDay(6)}
	archived, deleted := finished, finished
	archived.Filed, deleted.Filed = Archived, Deleted
	for _, test := range []struct {
		name  string
		in    Standing
		years int
		want  time.Time
	}{
		{"finished", finished, 2, standingDay(5).AddDate(2, 0, 0)},
		{"declined, changed later", declined, 1, standingDay(6).AddDate(1, 0, 0)},
		{"archived", archived, 10, standingDay(5).AddDate(10, 0, 0)},
		{"deleted goes by itself", deleted, 1, time.Time{}},
		{"kept for ever", finished, 0, time.Time{}},
		{"still being made", Standing{ChangedAt: standingDay(1)}, 1, time.Time{}},
	} {
		if got := test.in.DueOn(test.years); !got.Equal(test.want) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

func TestStandingMatches(t *testing.T) {
	s := Standing{Survey: Survey{Title: "Larkmoor house", Address: "14 Mill lane", Client: "J. Quill", Contact: "555-0134"}}
	for query, want := range map[string]bool{"": true, "LARK mill": true, "0134": true, "quill": true, "larkmoor orchard": false} {
		if got := s.Matches(query); got != want {
			t.Errorf("%q: %v", query, got)
		}
	}
}

func TestCheckFiling(t *testing.T) {
	for _, test := range []struct {
		now, act FilingAct
		again    bool
		kind     Kind
	}{
		{"", Archived, false, Internal}, {"", Deleted, false, Internal}, {"", Returned, true, Internal},
		{Archived, Archived, true, Internal}, {Archived, Deleted, false, Internal}, {Archived, Returned, false, Internal},
		{Deleted, Deleted, true, Internal}, {Deleted, Archived, false, NotFound}, {Deleted, Returned, false, Internal},
		{Returned, Archived, false, Internal}, {Returned, Returned, true, Internal}, {"", "burned", false, Invalid},
	} {
		again, err := CheckFiling(Filing{Act: test.now}, test.act)
		if again != test.again || KindOf(err) != test.kind || (err == nil) != (test.kind == Internal) {
			t.Errorf("%q, then %q: %v, %v", test.now, test.act, again, err)
		}
	}
	deleted := Filing{Act: Deleted, At: standingDay(1)}
	for _, restored := range []time.Time{{}, standingDay(1).Add(-time.Hour)} {
		if got := deleted.ErasedOn(restored); !got.Equal(time.Date(2026, 7, 1, 9, 0, 0, 0, time.UTC)) {
			t.Errorf("restored %v: erased on %v, want 30 days after it was deleted", restored, got)
		}
	}
	if got := deleted.ErasedOn(standingDay(1).AddDate(0, 2, 0)); !got.Equal(time.Date(2026, 8, 31, 9, 0, 0, 0, time.UTC)) {
		t.Errorf("erased on %v, want 30 days after the restore", got)
	}
	if !(Filing{Act: Archived, At: standingDay(1)}).ErasedOn(standingDay(9)).IsZero() {
		t.Error("what is archived is never erased by itself")
	}
}
