package store

import (
	"testing"
	"time"

	"undercroft/survey"
)

// TestSessionEnds: by the server's clock, idle and at the longest; never later, and at most seenEvery earlier.
func TestSessionEnds(t *testing.T) {
	start := time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)
	now := start
	s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: func() time.Time { return now }}))(t)
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	p := addPerson(t, s, "R. Vance", survey.RoleOffice)
	begin := func(token TokenSum) {
		now = start
		if err := s.BeginSession(t.Context(), p.ID, token, TokenSum{}); err != nil {
			t.Fatal(err)
		}
	}
	at := func(token TokenSum, since time.Duration) bool {
		now = start.Add(since)
		got, err := s.Session(t.Context(), token)
		if err == nil && got != p || err != nil && survey.KindOf(err) != survey.NotFound {
			t.Errorf("got %+v, %v", got, err)
		}
		return err == nil
	}
	begin(TokenSum{1})
	if !at(TokenSum{1}, 12*time.Hour-seenEvery) || !at(TokenSum{1}, 24*time.Hour-2*seenEvery) {
		t.Error("a session in use has ended")
	}
	if at(TokenSum{1}, 36*time.Hour+time.Second) {
		t.Error("a session lasts more than 12 h without use")
	}
	begin(TokenSum{2})
	for since := time.Duration(0); since <= 30*24*time.Hour; since += 11 * time.Hour {
		if !at(TokenSum{2}, since) {
			t.Fatalf("a session in use has ended after %v", since)
		}
	}
	if at(TokenSum{2}, 30*24*time.Hour+time.Second) {
		t.Error("a session lasts more than 30 days")
	}
	// What is over is removed when the next begins.
	start = start.Add(40 * 24 * time.Hour)
	begin(TokenSum{3})
	var kept int
	if err := s.reader.QueryRow(`SELECT count(*) FROM session`).Scan(&kept); err != nil || kept != 1 {
		t.Errorf("%d sessions are kept (%v)", kept, err)
	}
}

// TestSessionAheadOfTheClock: when the clock was set back, a session of before would live longer by as much. It is over, except after a small correction.
func TestSessionAheadOfTheClock(t *testing.T) {
	begun := time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)
	for _, c := range []struct {
		back time.Duration
		want bool
	}{{0, true}, {time.Second, true}, {clockSlack, true}, {clockSlack + time.Second, false}, {time.Hour, false}, {31 * 24 * time.Hour, false}} {
		now := begun
		s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: func() time.Time { return now }}))(t)
		p := addPerson(t, s, "R. Vance", survey.RoleOffice)
		if err := s.BeginSession(t.Context(), p.ID, TokenSum{1}, TokenSum{}); err != nil {
			t.Fatal(err)
		}
		now = begun.Add(-c.back)
		if _, err := s.Session(t.Context(), TokenSum{1}); (err == nil) != c.want {
			t.Errorf("set back by %v: %v", c.back, err)
		}
		if err := s.BeginSession(t.Context(), p.ID, TokenSum{2}, TokenSum{}); err != nil {
			t.Fatal(err)
		}
		now = begun // the clock is right again: what was over stays over
		if _, err := s.Session(t.Context(), TokenSum{1}); (err == nil) != c.want {
			t.Errorf("set back by %v and forward again: %v", c.back, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

func TestSessionsEndWithTheirPerson(t *testing.T) {
	s := newStore(t)
	p, q := addPerson(t, s, "R. Vance", survey.RoleOffice), addPerson(t, s, "J. Fenn", survey.RoleSurveyor)
	in := func(token TokenSum) bool {
		_, err := s.Session(t.Context(), token)
		return err == nil
	}
	begin := func() {
		for i, id := range []survey.PersonID{p.ID, p.ID, q.ID} {
			if err := s.BeginSession(t.Context(), id, TokenSum{byte(i)}, TokenSum{byte(i)}); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name, end := range map[string]func() error{
		"disabled":   func() error { return fails(s.DisablePerson(t.Context(), "R. Vance")) },
		"reset":      func() error { return fails(s.ResetPerson(t.Context(), "R. Vance", "new")) },
		"everywhere": func() error { return s.EndSessions(t.Context(), p.ID) },
		"each by itself": func() error {
			if err := s.EndSession(t.Context(), TokenSum{0}); err != nil || !in(TokenSum{1}) {
				t.Errorf("the other one ended, too (%v)", err)
			}
			return s.EndSession(t.Context(), TokenSum{1})
		},
	} {
		must(s.ResetPerson(t.Context(), "R. Vance", "h"))(t)
		begin()
		if !in(TokenSum{0}) || !in(TokenSum{1}) || !in(TokenSum{2}) {
			t.Fatalf("%s: not signed in", name)
		}
		if err := end(); err != nil {
			t.Fatal(err)
		}
		if in(TokenSum{0}) || in(TokenSum{1}) || !in(TokenSum{2}) {
			t.Errorf("%s: %t, %t, another person %t", name, in(TokenSum{0}), in(TokenSum{1}), in(TokenSum{2}))
		}
	}
	must(s.DisablePerson(t.Context(), "R. Vance"))(t)
	if err := s.BeginSession(t.Context(), p.ID, TokenSum{9}, TokenSum{}); survey.KindOf(err) != survey.NotFound {
		t.Errorf("a disabled person signed in: %v", err)
	}
}
