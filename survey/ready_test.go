package survey

import (
	"strings"
	"testing"
	"time"
)

// kept is a record after facts were saved at a time, as the store does it.
func kept(r Record, facts []Fact, at time.Time) Record {
	for _, f := range facts {
		f.Version, f.UpdatedAt = f.Version+1, at
		r.Facts[f.Key] = f
	}
	r.ChangedAt = at
	return r
}

func TestReady(t *testing.T) {
	at := time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)
	r := deckRecord(plainFacts())
	if got := r.Readiness(); got != (Readiness{}) {
		t.Errorf("before: %+v", got)
	}
	facts, err := MarkReady(r, "J. Fenn", "a reason that is not needed", 0, at)
	if err != nil {
		t.Fatal(err)
	}
	if err := ValidateFacts(r, facts); err != nil {
		t.Error(err)
	}
	r = kept(r, facts, at)
	if got := r.Readiness(); got != (Readiness{Marked: true, By: "J. Fenn", At: at}) {
		t.Errorf("marked: %+v", got)
	}
	r.ChangedAt = at.Add(time.Minute)
	if got := r.Readiness(); !got.Changed {
		t.Errorf("after a change: %+v", got)
	}
	again, err := MarkReady(r, "J. Fenn", "", 0, at.Add(time.Hour))
	if err != nil || again[0].Text == facts[0].Text || again[0].Version != 1 {
		t.Errorf("marked anew: %+v, %v; the mark's text must change, or the store keeps the old time", again, err)
	}
	r = kept(r, UnmarkReady(r), at.Add(2*time.Hour))
	if got := r.Readiness(); got != (Readiness{}) {
		t.Errorf("taken back: %+v", got)
	}
}

func TestReadyAlthoughSomethingStops(t *testing.T) {
	r := deckRecord(plainFacts())
	at := time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)
	for name, test := range map[string]struct {
		by, reason string
		field      string
	}{
		"nobody": {"", "because", "by"}, "no reason": {"J. Fenn", "", "reason"}, "a long reason": {"J. Fenn", strings.Repeat("x", 1001), "reason"}, "a long name": {strings.Repeat("x", 201), "because", "by"},
	} {
		_, err := MarkReady(r, test.by, test.reason, 2, at)
		if e, ok := err.(*Error); !ok || e.Kind != Invalid || len(e.Fields) != 1 || e.Fields[test.field] == "" {
			t.Errorf("%s: got %v, want only %s refused", name, err, test.field)
		}
	}
	facts, err := MarkReady(r, "J. Fenn", "The flue is moved on Monday.", 1, at)
	if got := kept(r, facts, at).Readiness(); err != nil || got.Reason != "The flue is moved on Monday." {
		t.Errorf("got %+v, %v", got, err)
	}
}
