package web

import (
	"crypto/rand"
	"encoding/base64"
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"

	"undercroft/survey"
)

// guesses is how many random secrets each test tries.
const guesses = 10000

// guess is a random secret of the right form, n bytes.
func guess(n int) string {
	secret := make([]byte, n)
	_, _ = rand.Read(secret)
	return base64.RawURLEncoding.EncodeToString(secret)
}

// TestLinksUnderGuessing: 10,000 tokens from one address and 10,000 from as many open nothing; the first address is held up after its burst, also with the right token.
func TestLinksUnderGuessing(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	at := w.link(house.ID, 1)
	ask := func(path, from string) int {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.RemoteAddr = from + ":1000"
		return w.do(r).Code
	}
	got := map[int]int{}
	for range guesses {
		got[ask("/s/"+guess(linkBytes), "198.51.100.7")]++
	}
	if got[http.StatusNotFound] != sharedBurst || got[http.StatusTooManyRequests] != guesses-sharedBurst {
		t.Errorf("from one address: got %v, want %d times 404, then 429", got, sharedBurst)
	}
	if code := ask(at, "198.51.100.7"); code != http.StatusTooManyRequests {
		t.Errorf("the right token from there: got status %d", code)
	}
	clear(got)
	for i := range guesses {
		got[ask("/s/"+guess(linkBytes), fmt.Sprintf("10.%d.%d.1", i/256, i%256))]++
	}
	if got[http.StatusNotFound] != guesses {
		t.Errorf("from many addresses: got %v, want 404 alone", got)
	}
	if code := ask(at, "203.0.113.9"); code != http.StatusOK {
		t.Errorf("whoever has the link gets status %d meanwhile", code)
	}
}

// TestSessionsUnderGuessing: 10,000 random cookies of the right form are nobody.
func TestSessionsUnderGuessing(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	right := w.session(w.person("R. Vance", survey.RoleOffice))
	path := "/api/surveys/" + string(v.ID)
	for range guesses {
		if a := w.as(&http.Cookie{Name: cookieName, Value: guess(tokenBytes)}, http.MethodGet, path, ""); a.Code != http.StatusUnauthorized && a.Code != http.StatusTooManyRequests {
			t.Fatalf("a guess got status %d", a.Code)
		}
	}
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.RemoteAddr = "203.0.113.9:1000"
	r.AddCookie(right)
	w.do(r).wants(http.StatusOK)
}

// TestPasswordsUnderGuessing: 10,000 passwords for one name from one address, and as many from as many addresses: no more are looked at than the limits say, and the person
// signs in when the limit has passed (at most 100 an hour for an account: OWASP ASVS 4.0.3, 2.2.1).
func TestPasswordsUnderGuessing(t *testing.T) {
	w := newSite(t)
	w.person("R. Vance", survey.RoleOffice)
	looked := 0
	for i := range guesses {
		r := newRequest(http.MethodPost, "/signin", fmt.Sprintf("name=R.+Vance&password=guess+%d", i), "Content-Type", "application/x-www-form-urlencoded", "Sec-Fetch-Site", "same-origin")
		if i%2 == 0 {
			r.RemoteAddr = fmt.Sprintf("10.%d.%d.1:1000", i/256, i%256)
		}
		switch a := w.do(r); a.Code {
		case http.StatusUnauthorized:
			looked++
		case http.StatusTooManyRequests:
			if a.Header().Get("Retry-After") == "" {
				t.Error("it does not say how long to wait")
			}
		default:
			t.Fatalf("guess %d: got status %d", i, a.Code)
		}
	}
	if looked != triesByName {
		t.Errorf("%d passwords were looked at, want %d", looked, triesByName)
	}
	w.now = w.now.Add(everyByName)
	w.signIn("R. Vance", longPassword).wants(http.StatusSeeOther)
}
