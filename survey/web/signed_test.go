package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestPinsNameWhoPlacedThem: whoever is signed in, whatever the program says; who moves or brings back a pin does not become the one who placed it,
// and the history says who did what.
func TestPinsNameWhoPlacedThem(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	p := w.photo(v.ID)
	vance, moss := w.session(w.person("R. Vance", survey.RoleSurveyor)), w.session(w.person("K. Moss", survey.RoleInstaller))
	id := survey.NewID()
	path := "/api/surveys/" + string(v.ID) + "/pins/" + id
	put := func(cookie *http.Cookie, body string) survey.Pin {
		t.Helper()
		w.as(cookie, http.MethodPut, path, body, "Content-Type", "application/json").wants(http.StatusOK)
		pin, ok := w.record(v.ID).Pin(survey.PinID(id))
		if !ok {
			t.Fatal("no pin")
		}
		return pin
	}
	pin := put(vance, `{"photo":"`+string(p.ID)+`","kind":"note","x":0.5,"y":0.5,"note":"soft board","by":"Somebody else"}`)
	if by := w.lastBy(v.ID); pin.By != "R. Vance" || by != "R. Vance" {
		t.Errorf("placed by %q, history %q", pin.By, by)
	}
	again := put(vance, `{"photo":"`+string(p.ID)+`","kind":"note","x":0.5,"y":0.5,"note":"soft board"}`)
	if again.Version != pin.Version {
		t.Error("sending it again changed it")
	}
	pin = put(moss, `{"photo":"`+string(p.ID)+`","kind":"note","x":0.25,"y":0.5,"note":"soft board","version":1}`)
	if by := w.lastBy(v.ID); pin.By != "R. Vance" || by != "K. Moss" || pin.X != 0.25 {
		t.Errorf("placed by %q at %v, history %q", pin.By, pin.X, by)
	}
	w.as(moss, http.MethodDelete, path+"?version=2", "").wants(http.StatusNoContent)
	if by := w.lastBy(v.ID); by != "K. Moss" {
		t.Errorf("deleted by %q", by)
	}
}

// TestSignaturesAreOfWhoIsSignedIn: marks and revisions carry the name of the person who is signed in, not one that was typed, and the forms do not ask
// for one.
func TestSignaturesAreOfWhoIsSignedIn(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	cookie := w.session(w.person("R. Vance", survey.RoleOffice))
	home := surveyPath(v.ID)
	for page, form := range map[string]string{home + "/leave": `form[action$="/ready"]`, home + "/revisions": `form[action$="/revisions"]`} {
		doc := w.as(cookie, http.MethodGet, page, "").wants(http.StatusOK).page()
		f := doc.Find(form)
		if f.Length() == 0 || f.Find(`[name="f.by"]`).Length() != 0 || !strings.Contains(f.Text(), "R. Vance") {
			t.Errorf("%s asks for a name: %s", page, f.Text())
		}
		values := formOf(f)
		values.Set("f.by", "Somebody else")
		values.Set("f.reason", "because")
		values.Set("f.although", "because")
		w.as(cookie, http.MethodPost, f.AttrOr("action", ""), values.Encode(), "Content-Type", "application/x-www-form-urlencoded").wants(http.StatusSeeOther)
	}
	if by := w.record(v.ID).Readiness().By; by != "R. Vance" {
		t.Errorf("marked by %q", by)
	}
	issued, err := w.store.Revisions(t.Context(), v.ID)
	if err != nil || len(issued) != 1 || issued[0].By != "R. Vance" {
		t.Errorf("got %+v, %v", issued, err)
	}
	if by := w.lastBy(v.ID); by != "R. Vance" {
		t.Errorf("the history says %q", by)
	}
}

// TestShellNamesNobody: the empty pages that a phone keeps are the same for everybody.
func TestShellNamesNobody(t *testing.T) {
	w := newSite(t)
	cookie := w.session(w.person("R. Vance", survey.RoleOffice))
	var list struct{ Pages []string }
	w.as(cookie, http.MethodGet, "/shell", "").wants(http.StatusOK).json(&list)
	for _, page := range append(list.Pages, "/waiting", "/signin?to="+url.QueryEscape("/waiting")) {
		if a := w.as(cookie, http.MethodGet, page, ""); strings.Contains(a.Body.String(), "Vance") || len(list.Pages) == 0 {
			t.Errorf("%s names who is signed in", page)
		}
	}
}
