package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
	"undercroft/survey/password"
)

// TestChangePassword: the password of now is needed, the new one is judged, every other session ends and this browser's goes on under another token (OWASP ASVS 5.0.0, 6.2.2,
// 6.2.3 and 7.4.3).
func TestChangePassword(t *testing.T) {
	w := newSite(t)
	p := w.person("R. Vance", survey.RoleInstaller)
	here, other := w.session(p), w.session(p)
	const next = "four copper gutters drip"
	send := func(now, next string) answer {
		return w.as(here, http.MethodPost, "/account/password", url.Values{"now": {now}, "next": {next}}.Encode(), "Content-Type", "application/x-www-form-urlencoded")
	}
	for name, c := range map[string]struct{ now, next, says string }{
		"a wrong password":     {"not this", next, "not your current password"},
		"too short a new one":  {longPassword, "short", "at least 12 characters"},
		"little but the name":  {longPassword, "R. VanceR. Vance", "little more than the name"},
		"nothing typed at all": {"", "", "at least 12"},
	} {
		page := send(c.now, c.next).wants(http.StatusUnprocessableEntity).page()
		if got := page.Find(".field.bad").Text(); !strings.Contains(got, c.says) || page.Find(".problem").Length() != 1 {
			t.Errorf("%s: it says %q", name, got)
		}
		if page.Find(`[type="password"][value]`).Length() != 0 {
			t.Errorf("%s: a password comes back", name)
		}
	}
	w.as(other, http.MethodGet, "/surveys", "").wants(http.StatusOK)

	after := cookieOf(send(longPassword, next).wants(http.StatusSeeOther))
	if after == nil || after.Value == here.Value {
		t.Fatalf("the session goes on as %v", after)
	}
	for _, c := range []*http.Cookie{here, other} {
		w.as(c, http.MethodGet, "/surveys", "").wants(http.StatusSeeOther)
	}
	if got := w.as(after, http.MethodGet, "/account?done=password", "").wants(http.StatusOK).page().Find(".done").Text(); !strings.Contains(got, "new password") {
		t.Errorf("it says %q", got)
	}
	w.signIn("R. Vance", longPassword).wants(http.StatusUnauthorized)
	w.signIn("R. Vance", next).wants(http.StatusSeeOther)
	if log := w.log.String(); strings.Contains(log, next) || strings.Contains(log, longPassword) {
		t.Error("a password is in the log")
	}
}

// TestChangePasswordIsThrottled: the password of now is not to be guessed here any faster than at signing in.
func TestChangePasswordIsThrottled(t *testing.T) {
	w := newSite(t)
	here := w.session(w.person("R. Vance", survey.RoleOffice))
	send := func() answer {
		return w.as(here, http.MethodPost, "/account/password", url.Values{"now": {"wrong"}, "next": {"four copper gutters drip"}}.Encode(), "Content-Type", "application/x-www-form-urlencoded")
	}
	for range triesByName {
		send().wants(http.StatusUnprocessableEntity)
	}
	if a := send().wants(http.StatusTooManyRequests); a.Header().Get("Retry-After") == "" || !strings.Contains(a.page().Find(".field.bad").Text(), "Too many tries") {
		t.Errorf("it says %s", a.page().Find("main").Text())
	}
}

// TestPasswordChangedMeanwhile: whoever was given another password, or was disabled, between the question and the change keeps that.
func TestPasswordChangedMeanwhile(t *testing.T) {
	w := newSite(t)
	p := w.person("R. Vance", survey.RoleOffice)
	_, was, err := w.store.Credentials(t.Context(), p.Name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.store.ResetPerson(t.Context(), p.Name, password.Hash("another of the office's")); err != nil {
		t.Fatal(err)
	}
	if err := w.store.ChangePassword(t.Context(), p.ID, was, password.Hash("four copper gutters drip")); survey.KindOf(err) != survey.Conflict {
		t.Errorf("after a reset: %v", err)
	}
	if _, was, err = w.store.Credentials(t.Context(), p.Name); err != nil {
		t.Fatal(err)
	}
	if _, err := w.store.DisablePerson(t.Context(), p.Name); err != nil {
		t.Fatal(err)
	}
	if err := w.store.ChangePassword(t.Context(), p.ID, was, password.Hash("four copper gutters drip")); survey.KindOf(err) != survey.Conflict {
		t.Errorf("after disabling: %v", err)
	}
}
