package main

import (
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/password"
	"undercroft/survey/store"
	"undercroft/survey/web"
)

// ahead is how far the clock was ahead before it was set right.
const ahead = 40 * 24 * time.Hour

// TestClockSetBack fills a folder while the clock is weeks ahead, then serves it with the real program, whose clock is right: all is there, versions go on rising, what was changed last
// stands first, the chains hold, and nobody stays signed in for the weeks that the clock was ahead.
func TestClockSetBack(t *testing.T) {
	dir, list := filepath.Join(t.TempDir(), "data"), newCallers(t)
	serveAhead(t, dir, func(p *process) {
		drive(t, p, list, func() { awaitMore(t, p, acknowledged, list, 20*callers) })
	})
	p := start(t, dir)
	settleAll(t, p, list, true)
	wantWorking(t, p, list)
	for _, c := range list {
		last := c.saveSurvey()
		if err := last.send(c); err != nil {
			t.Fatal(err)
		}
		c.now = c.now.after(last.outcomes[0])
		_, page := fetch(t, p.address+"/surveys")
		if got := regexp.MustCompile(`/surveys/([0-9a-f-]{36})`).FindStringSubmatch(page); got == nil || got[1] != c.now.ID {
			t.Errorf("the first of the surveys is %q, want the one that was changed last, %s", got, c.now.ID)
		}
	}
	checkStopped(t, p, dir, list)
	wantRisingHistory(t, dir)
}

// serveAhead serves a folder from within the test, by a clock that is ahead, as long as do takes.
func serveAhead(t *testing.T, dir string, do func(*process)) {
	t.Helper()
	clock := func() time.Time { return time.Now().Add(ahead) }
	s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	reader, err := photoReader()
	if err != nil {
		t.Fatal(err)
	}
	server, err := web.New(web.Config{Store: s, Photos: reader, Now: clock, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	at := httptest.NewServer(server.Handler())
	do(&process{address: at.URL, stderr: os.DevNull, ended: make(chan struct{})})
	at.Close()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

// wantRisingHistory wants that the order of changes is that in which they were made, whatever the clock said: the versions of each row do not fall along the sequence.
func wantRisingHistory(t *testing.T, dir string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "undercroft.db")+"?mode=ro&immutable=1")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, c := range []struct {
		query string
		least int
		most  int
	}{
		{`SELECT count(*) FROM history`, 20 * callers, 1 << 20},
		{`SELECT count(*) FROM (SELECT at < lag(at) OVER (ORDER BY seq) AS back FROM history) WHERE back`, 1, 1}, // the clock was set back once
		{`SELECT count(*) FROM (SELECT version < lag(version) OVER (PARTITION BY survey, kind, record ORDER BY seq) AS back FROM history) WHERE back`, 0, 0},
	} {
		var n int
		if err := db.QueryRow(c.query).Scan(&n); err != nil || n < c.least || n > c.most {
			t.Errorf("%s: %d, %v, want %d to %d", c.query, n, err, c.least, c.most)
		}
	}
}

// TestSessionsDoNotOutliveAWrongClock: one that began while the clock was ahead would last that much longer.
func TestSessionsDoNotOutliveAWrongClock(t *testing.T) {
	for name, c := range map[string]struct {
		by   time.Duration
		want int
	}{
		"weeks ahead":   {ahead, http.StatusSeeOther}, // to the page to sign in
		"an hour ahead": {time.Hour, http.StatusSeeOther},
		"right":         {0, http.StatusOK},
		"an hour ago":   {-time.Hour, http.StatusOK},
		"too long ago":  {-survey.SessionIdle - time.Hour, http.StatusSeeOther},
	} {
		dir := filepath.Join(t.TempDir(), "data")
		token := beginSession(t, dir, time.Now().Add(c.by))
		p := start(t, dir)
		r, err := http.NewRequest(http.MethodGet, p.address+"/account", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.AddCookie(&http.Cookie{Name: "undercroft", Value: token})
		r.Header.Set("Accept", "text/html")
		answer, err := http.DefaultTransport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != c.want {
			t.Errorf("a session from %s: status %d, want %d", name, answer.StatusCode, c.want)
		}
		p.stop(t)
	}
}

// beginSession signs a person in at a time by the clock, and gives the cookie's value.
func beginSession(t *testing.T, dir string, at time.Time) string {
	t.Helper()
	s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: func() time.Time { return at }})
	if err != nil {
		t.Fatal(err)
	}
	token := sha256.Sum256([]byte(at.String()))
	p, err := s.AddPerson(t.Context(), survey.Person{Name: "R. Vance", Role: survey.RoleOffice}, password.Nobody())
	if err != nil {
		t.Fatal(err)
	}
	if err := s.BeginSession(t.Context(), p.ID, sha256.Sum256(token[:]), store.TokenSum{}); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return base64.RawURLEncoding.EncodeToString(token[:])
}
