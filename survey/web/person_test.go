package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"

	"undercroft/survey"
	"undercroft/survey/password"
	"undercroft/survey/store"
)

const longPassword = "brass ladder tuesday"

// person adds somebody who signs in with longPassword.
func (w *site) person(name string, role survey.Role) survey.Person {
	w.t.Helper()
	p, err := w.store.AddPerson(w.t.Context(), survey.Person{Name: name, Role: role}, password.Hash(longPassword))
	if err != nil {
		w.t.Fatal(err)
	}
	return p
}

// session signs somebody in without the form and gives the cookie.
func (w *site) session(p survey.Person) *http.Cookie {
	w.t.Helper()
	value, sum := newToken()
	if err := w.store.BeginSession(w.t.Context(), p.ID, sum, store.TokenSum{}); err != nil {
		w.t.Fatal(err)
	}
	return &http.Cookie{Name: cookieName, Value: value}
}

// as sends a request with a cookie, from a page of this site.
func (w *site) as(cookie *http.Cookie, method, path, body string, header ...string) answer {
	w.t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	r.Header.Set("Accept", "text/html")
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	if cookie != nil {
		r.AddCookie(cookie)
	}
	return w.do(r)
}

// signIn sends the form.
func (w *site) signIn(name, typed string, more ...string) answer {
	w.t.Helper()
	form := url.Values{"name": {name}, "password": {typed}}
	for i := 0; i+1 < len(more); i += 2 {
		form.Set(more[i], more[i+1])
	}
	return w.post("/signin", form)
}

// cookieOf is the session's cookie that an answer sets, nil when it sets none.
func cookieOf(a answer) *http.Cookie {
	for _, c := range a.Result().Cookies() {
		if c.Name == cookieName || c.Name == secureCookieName {
			return c
		}
	}
	return nil
}
