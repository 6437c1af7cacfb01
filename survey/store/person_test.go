package store

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

func addPerson(t *testing.T, s *Store, name string, role survey.Role) survey.Person {
	t.Helper()
	return must(s.AddPerson(t.Context(), survey.Person{Name: name, Role: role}, "hash of "+name))(t)
}

func TestPeople(t *testing.T) {
	s := newStore(t)
	if must(s.AnyPerson(t.Context()))(t) {
		t.Error("an empty store knows somebody")
	}
	vance, fenn := addPerson(t, s, "R. Vance", survey.RoleOffice), addPerson(t, s, "J. Fenn", survey.RoleSurveyor)
	if !must(s.AnyPerson(t.Context()))(t) {
		t.Error("nobody is known")
	}
	if diff := cmp.Diff([]survey.Person{fenn, vance}, must(s.People(t.Context()))(t)); diff != "" {
		t.Error(diff)
	}
	p, hash, err := s.Credentials(t.Context(), "r.  VANCE ")
	if err != nil || p != vance || hash != "hash of R. Vance" {
		t.Errorf("got %+v, %q, %v", p, hash, err)
	}
	for name, bad := range map[string]survey.Person{
		"taken": {Name: "r. vance", Role: survey.RoleOffice}, "no name": {Role: survey.RoleOffice}, "no role": {Name: "K. Moss"}, "two lines": {Name: "K.\nMoss", Role: survey.RoleOffice},
		"turned": {Name: "K. \u202eMoss", Role: survey.RoleOffice}, "spaces around": {Name: " K. Moss", Role: survey.RoleOffice},
	} {
		if _, err := s.AddPerson(t.Context(), bad, "h"); survey.KindOf(err) != survey.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := s.RenewHash(t.Context(), vance.ID, "another", "wrong"); err != nil {
		t.Error(err)
	}
	if err := s.RenewHash(t.Context(), vance.ID, "hash of R. Vance", "renewed"); err != nil {
		t.Error(err)
	}
	if _, hash, err := s.Credentials(t.Context(), "R. Vance"); hash != "renewed" || err != nil {
		t.Errorf("got %q, %v", hash, err)
	}
	for _, err := range []error{
		fails(s.DisablePerson(t.Context(), "Nobody")), fails(s.ResetPerson(t.Context(), "Nobody", "h")),
	} {
		if survey.KindOf(err) != survey.NotFound {
			t.Errorf("got %v", err)
		}
	}
	if _, err := s.writer.Exec(`DELETE FROM person`); err == nil {
		t.Error("a person was deleted")
	}
}

func fails(_ survey.Person, err error) error { return err }

// TestHistoryNamesWhoIsSignedIn: every change under a person's context is that person's, a deletion too; without one, a pin's is of who placed it.
func TestHistoryNamesWhoIsSignedIn(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	ctx := survey.WithPerson(t.Context(), addPerson(t, s, "R. Vance", survey.RoleOffice))
	v.Client = "A client"
	must(s.UpdateSurvey(ctx, v))(t)
	must(s.PutFacts(ctx, v.ID, []survey.Fact{{Survey: v.ID, Key: "width", Text: "28'"}}))(t)
	history := must(s.Snapshot(t.Context(), v.ID))(t).History
	if len(history) != 3 || history[0].By != "" || history[1].By != "R. Vance" || history[2].By != "R. Vance" {
		t.Errorf("got %+v", history)
	}
}

// TestOpenPeopleBesideAServer: what is done about people beside a process that has the folder, which sees it at once and loses nothing.
func TestOpenPeopleBesideAServer(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := openAt(t, dir)
	v := addSurvey(t, s)
	people := must(OpenPeople(t.Context(), Config{Dir: dir, Now: time.Now}))(t)
	p := must(people.AddPerson(t.Context(), survey.Person{Name: "R. Vance", Role: survey.RoleOffice}, "hash"))(t)
	if err := s.BeginSession(t.Context(), p.ID, TokenSum{1}, TokenSum{}); err != nil {
		t.Fatal(err)
	}
	must(s.Session(t.Context(), TokenSum{1}))(t)
	must(people.DisablePerson(t.Context(), "R. Vance"))(t)
	if _, err := s.Session(t.Context(), TokenSum{1}); survey.KindOf(err) != survey.NotFound {
		t.Errorf("a disabled person's session: %v", err)
	}
	if err := people.Close(); err != nil {
		t.Error(err)
	}
	other := addSurvey(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = openAt(t, dir)
	must(s.Survey(t.Context(), v.ID))(t)
	must(s.Survey(t.Context(), other.ID))(t)
	if got := must(s.People(t.Context()))(t); len(got) != 1 || !got[0].Disabled {
		t.Errorf("got %+v", got)
	}
}
