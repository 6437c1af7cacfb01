package web

import (
	"bytes"
	"context"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/annotate"
	"undercroft/survey"
	"undercroft/survey/store"
)

// file archives or deletes a survey by the form.
func (w *site) file(in survey.SurveyID, act survey.FilingAct) answer {
	w.t.Helper()
	return w.post(surveyPath(in)+"/filing", url.Values{"f.act": {string(act)}})
}

// holding lists the files of the data folder that hold any of a few words.
func (w *site) holding(words ...[]byte) []string {
	w.t.Helper()
	var found []string
	err := filepath.WalkDir(w.dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(name)
		for _, word := range words {
			if bytes.Contains(body, word) {
				found = append(found, filepath.Base(name)+" holds "+string(word[:min(20, len(word))]))
			}
		}
		return err
	})
	if err != nil {
		w.t.Fatal(err)
	}
	return found
}

func TestArchiveAndBringBack(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	at := w.link(house.ID, 1)
	page := w.get(surveyPath(house.ID)).page()
	if page.Find(`a[href$="/filing"]`).Length() != 1 {
		t.Error("the survey's page does not lead to the archive")
	}
	filing := w.get(surveyPath(house.ID) + "/filing").wants(http.StatusOK).page()
	if got := plainText(filing.Find(".page")); !strings.Contains(got, "1 link sent to the homeowner stops working") || !strings.Contains(got, "For 30 days") {
		t.Errorf("the page says %s", got)
	}
	form := formOf(filing.Find(`form[action$="/filing"]`).First())
	if to := w.post(surveyPath(house.ID)+"/filing", form).wants(http.StatusSeeOther).Header().Get("Location"); to != "/surveys?saved=archived" {
		t.Errorf("led to %q", to)
	}
	list := w.get("/surveys?saved=archived").wants(http.StatusOK).page()
	if list.Find(".list li").Length() != 0 || !strings.Contains(list.Find(".done").Text(), "archive") {
		t.Errorf("the archived survey is listed with the others, or nothing says that it is archived")
	}
	if got := plainText(w.get(surveyPath(house.ID) + "/ceiling").wants(http.StatusOK).page().Find(`aside[aria-label="Where the survey is kept"]`)); got != "In the archive since 31 May 2026." {
		t.Errorf("its pages say %q", got)
	}
	w.get(at).wants(http.StatusOK) // links go on working
	list = w.get("/surveys?state=archived").wants(http.StatusOK).page()
	if got := plainText(list.Find(".list li")); !strings.Contains(got, "archivedrevision 1 issued") {
		t.Errorf("in the archive it is %s", got)
	}
	back := w.get(surveyPath(house.ID) + "/filing").page()
	if got := plainText(back.Find(".sheet ul")); !strings.Contains(got, "put into the archive") {
		t.Errorf("the acts: %s", got)
	}
	if to := w.post(back.Find(`form[action$="/return"]`).AttrOr("action", ""), nil).wants(http.StatusSeeOther).Header().Get("Location"); to != surveyPath(house.ID) {
		t.Errorf("brought back, it leads to %q", to)
	}
	if w.get(surveyPath(house.ID)).page().Find(`aside[aria-label="Where the survey is kept"]`).Length() != 0 {
		t.Error("brought back, its pages still say that it is in the archive")
	}
	if n := w.get("/surveys").page().Find(".list li").Length(); n != 1 {
		t.Errorf("brought back, the list has %d", n)
	}
	w.file(house.ID, "burned").wants(http.StatusUnprocessableEntity)
}

// TestDeletedIsNotThere asks every route of a deleted survey: none answers but the one that brings it back. Its links stop working, and work again afterwards.
func TestDeletedIsNotThere(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	p := w.record(house.ID).Photos
	if len(p) == 0 {
		w.photo(house.ID)
		p = w.record(house.ID).Photos
	}
	at := w.link(house.ID, 1)
	w.file(house.ID, survey.Deleted).wants(http.StatusSeeOther)
	before := w.dump()
	fill := strings.NewReplacer(":survey", string(house.ID), ":photo", string(p[0].ID), ":number", "1", ":sha256", p[0].Thumb, ":list", "takeoff.csv", ":pin", survey.NewID(), ":question", survey.NewID(), ":link", survey.NewID())
	asked := 0
	for _, route := range w.server.engine.Routes() {
		if !strings.Contains(route.Path, "/:survey") || route.Path == returnRoute {
			continue
		}
		asked++
		a := w.as(nil, route.Method, fill.Replace(route.Path), "f.act=archived", "Content-Type", "application/x-www-form-urlencoded")
		if a.Code != http.StatusNotFound {
			t.Errorf("%s %s: got status %d, want 404", route.Method, route.Path, a.Code)
		}
	}
	if asked < 40 {
		t.Errorf("only %d routes were asked", asked)
	}
	for name, rows := range w.dump() {
		if rows != before[name] {
			t.Errorf("the table %s was changed", name)
		}
	}
	for _, path := range []string{at, at + "/scope.pdf"} {
		w.get(path).wants(http.StatusNotFound)
	}
	w.post(at+"/ask", url.Values{"id": {survey.NewID()}, "question": {"Is it there?"}}).wants(http.StatusNotFound)
	list := w.get("/surveys?state=deleted").wants(http.StatusOK).page()
	row := list.Find(".list li")
	if row.Find("a").Length() != 0 || !strings.Contains(plainText(row), "erased on 30 Jun 2026") {
		t.Errorf("the row of a deleted survey: %s", plainText(row))
	}
	w.post(row.Find("form").AttrOr("action", ""), nil).wants(http.StatusSeeOther)
	w.get(surveyPath(house.ID)).wants(http.StatusOK)
	w.get(at).wants(http.StatusOK)
}

// TestDeletedIsErasedAfterItsDays: not a moment before 30 days are over, and then with its totals; one that was taken back stays.
func TestDeletedIsErasedAfterItsDays(t *testing.T) {
	w := newSite(t)
	gone, kept := w.offered(), w.survey("Orchard row 5")
	for _, v := range []survey.Survey{gone, kept} {
		w.file(v.ID, survey.Deleted).wants(http.StatusSeeOther)
	}
	w.post(surveyPath(kept.ID)+"/return", nil).wants(http.StatusSeeOther)
	deleted := w.now
	for _, step := range []struct {
		now  time.Time
		want int
	}{{deleted.AddDate(0, 0, 30).Add(-time.Millisecond), 0}, {deleted.AddDate(0, 0, 30), 1}, {deleted.AddDate(1, 0, 0), 0}} {
		w.now = step.now
		if n, err := w.server.eraseOverdue(t.Context()); n != step.want || err != nil {
			t.Errorf("%v: %d erased (%v), want %d", step.now, n, err, step.want)
		}
	}
	w.get(surveyPath(kept.ID)).wants(http.StatusOK)
	if _, err := w.store.Survey(t.Context(), gone.ID); survey.KindOf(err) != survey.NotFound {
		t.Errorf("the deleted survey: %v", err)
	}
	page := w.get("/surveys/erased").wants(http.StatusOK).page()
	if got := plainText(page.Find(".page")); !strings.Contains(got, "it was deleted, and not brought back in time") || !strings.Contains(got, "Area of the ceiling") || strings.Contains(got, gone.Title) {
		t.Errorf("the erased surveys: %s", got)
	}
}

// TestTakenBackWhileOthersAreErased: a survey that is taken back after the look for overdue ones, while others are being erased, stays. The others go.
func TestTakenBackWhileOthersAreErased(t *testing.T) {
	w := newSite(t)
	gone, back := w.survey("Larkmoor house"), w.survey("Orchard row 5")
	for _, v := range []survey.Survey{gone, back} {
		w.file(v.ID, survey.Deleted).wants(http.StatusSeeOther)
	}
	w.now = w.now.AddDate(0, 2, 0)
	stale, err := w.store.Standings(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	w.post(surveyPath(back.ID)+"/return", nil).wants(http.StatusSeeOther)
	if n, err := w.server.eraseListed(t.Context(), stale); n != 1 || err != nil {
		t.Errorf("%d erased (%v), want 1", n, err)
	}
	w.get(surveyPath(back.ID)).wants(http.StatusOK)
	if _, err := w.store.Survey(t.Context(), gone.ID); survey.KindOf(err) != survey.NotFound {
		t.Errorf("the deleted survey: %v", err)
	}
	if left, err := w.store.Unswept(t.Context()); err != nil || len(left) > 0 {
		t.Errorf("unswept are %v, %v", left, err)
	}
}

// TestRestoredSurveyIsNotErasedAtOnce: in a folder made of a backup the list tells the day that counts from the restore, and the first look erases nothing.
func TestRestoredSurveyIsNotErasedAtOnce(t *testing.T) {
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	if err := store.NoteRestored(root, time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	w := newSiteAt(t, dir, annotate.Child{Exe: exe})
	v := w.survey("Larkmoor house")
	w.file(v.ID, survey.Deleted).wants(http.StatusSeeOther) // on 31 May
	w.now = time.Date(2026, 9, 1, 12, 5, 0, 0, time.UTC)
	if n, err := w.server.eraseOverdue(t.Context()); n != 0 || err != nil {
		t.Errorf("%d erased (%v) minutes after the restore", n, err)
	}
	if got := plainText(w.get("/surveys?state=deleted").wants(http.StatusOK).page().Find(".list li")); !strings.Contains(got, "erased on 1 Oct 2026") {
		t.Errorf("the list says %s", got)
	}
	w.now = time.Date(2026, 10, 1, 12, 0, 0, 0, time.UTC)
	if n, err := w.server.eraseOverdue(t.Context()); n != 1 || err != nil {
		t.Errorf("%d erased (%v) 30 days after the restore", n, err)
	}
}

// sweeping lets sweepEach run until done says so, then ends it as the end of the server does.
func (w *site) sweeping(every time.Duration, done func() bool) {
	w.t.Helper()
	ctx, stop := context.WithCancel(w.t.Context())
	ended := make(chan struct{})
	go func() { w.server.sweepEach(ctx, every); close(ended) }()
	for !done() {
		time.Sleep(5 * time.Millisecond)
	}
	stop()
	<-ended
}

// TestSweepEndsWithTheServer: at once it finishes an erasure that was not finished, and erases nothing yet; at the next look it does. It ends when it is told to.
func TestSweepEndsWithTheServer(t *testing.T) {
	w := newSite(t)
	v, half := w.survey("Larkmoor house"), w.survey("Orchard row 5")
	w.file(v.ID, survey.Deleted).wants(http.StatusSeeOther)
	w.now = w.now.AddDate(0, 2, 0)
	if _, err := w.store.EraseRows(t.Context(), survey.Erasure{Survey: half.ID, Reason: survey.ErasedAsked}); err != nil {
		t.Fatal(err)
	}
	erased := func() int {
		list, err := w.store.Erasures(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return len(list)
	}
	w.sweeping(time.Hour, func() bool {
		left, err := w.store.Unswept(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return len(left) == 0
	})
	if n := erased(); n != 1 {
		t.Errorf("%d erased before the first look, want that which was asked for", n)
	}
	w.sweeping(time.Millisecond, func() bool { return erased() == 2 })
}

// TestWhoMayPutAway: what each role finds on the pages; may_test tries the routes themselves.
func TestWhoMayPutAway(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	for _, test := range []struct {
		role         survey.Role
		files, erase int
	}{{survey.RoleOffice, 1, 1}, {survey.RoleSurveyor, 1, 0}, {survey.RoleInstaller, 0, 0}} {
		cookie := w.session(w.person("The "+string(test.role), test.role))
		see := func(path, selector string, want int) {
			t.Helper()
			if got := w.as(cookie, http.MethodGet, path, "").wants(http.StatusOK).page().Find(selector).Length(); got != want {
				t.Errorf("%s: %s shows %d %s, want %d", test.role, path, got, selector, want)
			}
		}
		see(surveyPath(v.ID), `a[href$="/filing"]`, test.files)
		see("/surveys", `a[href="/surveys/erased"]`, test.erase)
		if test.files > 0 {
			see(surveyPath(v.ID)+"/filing", `a[href$="/erase"]`, test.erase)
		}
	}
	office := w.session(w.person("Olive", survey.RoleOffice))
	w.as(office, http.MethodPost, surveyPath(v.ID)+"/filing", "f.act=deleted", "Content-Type", "application/x-www-form-urlencoded").wants(http.StatusSeeOther)
	if got := plainText(w.as(office, http.MethodGet, "/surveys?state=deleted", "").page().Find(".list li")); !strings.Contains(got, "deleted by Olive") {
		t.Errorf("who deleted it is not told: %s", got)
	}
	w.as(office, http.MethodPost, surveyPath(v.ID)+"/return", "", "Content-Type", "application/x-www-form-urlencoded").wants(http.StatusSeeOther)
	if got := plainText(w.as(office, http.MethodGet, surveyPath(v.ID)+"/history", "").wants(http.StatusOK).page().Find("main")); !strings.Contains(got, "deleted") || strings.Count(got, "Olive") < 2 {
		t.Errorf("the history does not tell who deleted it and brought it back: %s", got)
	}
	w.as(office, http.MethodPost, surveyPath(v.ID)+"/filing", "f.act=deleted", "Content-Type", "application/x-www-form-urlencoded").wants(http.StatusSeeOther)
	installer := w.session(w.person("Ines", survey.RoleInstaller))
	if n := w.as(installer, http.MethodGet, "/surveys?state=deleted", "").page().Find(".list form").Length(); n != 0 {
		t.Error("an installer is offered to bring a survey back")
	}
}
