package web

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
)

// TestFinishedAsItWasSeen: what was changed or approved after the page was opened is not finished unread, what was typed is kept, and the page that comes back can be finished.
func TestFinishedAsItWasSeen(t *testing.T) {
	for name, meanwhile := range map[string]func(w *site, house survey.SurveyID){
		"changed": func(w *site, house survey.SurveyID) { w.facts(house, map[string]string{"fall.per_foot": "1/4"}) },
		"approved": func(w *site, house survey.SurveyID) {
			w.issue(house, 2, map[string][]string{"f.by": {"Ana"}}).wants(http.StatusSeeOther)
			later := w.link(house, 2)
			approve := w.get(later).form(approveForm)
			approve.Set("name", "J. Quill")
			w.post(later+"/decide", approve).wants(http.StatusSeeOther)
		},
	} {
		w := newSite(t)
		house, _ := w.approvedHouse()
		w.facts(house.ID, map[string]string{survey.FinishWhyAll: "it was wished"})
		form := w.finishForm(house.ID)
		meanwhile(w, house.ID)
		page := w.post(finishPath(house.ID), form).wants(http.StatusConflict).page()
		if got := page.Find(".problem").Text(); !strings.Contains(got, "changed after the page was opened") || page.Find(`[name="f.finish.test.minutes"]`).AttrOr("value", "") != "20" || w.record(house.ID).Ended.Finished() {
			t.Errorf("%s: the page says %s", name, got)
		}
		w.post(finishPath(house.ID), w.finishForm(house.ID)).wants(http.StatusSeeOther)
	}
}

// TestReopenedAsItWasSeen: a finishing that came after the page was opened is not opened again by it, and the reason that was typed is kept.
func TestReopenedAsItWasSeen(t *testing.T) {
	w := newSite(t)
	house, _ := w.approvedHouse()
	home := finishPath(house.ID)
	w.post(home, w.finishForm(house.ID)).wants(http.StatusSeeOther)
	mine := w.get(home).form("#reopen form")
	mine.Set("f.by", "Ana")
	mine.Set("f.reason", "a panel is missing")
	w.post(home+"/reopen", mine).wants(http.StatusSeeOther)
	w.now = w.now.Add(time.Minute)
	w.post(home, w.finishForm(house.ID)).wants(http.StatusSeeOther)
	page := w.post(home+"/reopen", mine).wants(http.StatusConflict).page()
	if got := page.Find(".problem").Text(); !strings.Contains(got, "finished anew") || page.Find(`[name="f.reason"]`).Text() != "a panel is missing" || !w.record(house.ID).Ended.Finished() {
		t.Errorf("the page says %s", got)
	}
	anew := w.get(home).form("#reopen form")
	anew.Set("f.by", "Ana")
	anew.Set("f.reason", "seen now")
	w.post(home+"/reopen", anew).wants(http.StatusSeeOther)
}

// TestFinishedInTheServersZone: the papers tell the day of the server's zone, as the staff's pages do; the time that is kept is from before the record was read, and in UTC.
func TestFinishedInTheServersZone(t *testing.T) {
	w := newSite(t)
	house, at := w.approvedHouse()
	w.now = time.Date(2026, 6, 2, 2, 10, 0, 0, time.UTC) // in the evening of the day before at the server
	zone := time.FixedZone("", -7*3600)
	var asked []time.Time
	w.server.now = func() time.Time {
		asked = append(asked, w.now)
		defer func() { w.now = w.now.Add(time.Second) }()
		return w.now.In(zone)
	}
	form := w.finishForm(house.ID)
	form.Set(fieldPrefix+survey.FinishTestAt, "2026-06-01 18:40")
	asked = nil
	w.post(finishPath(house.ID), form).wants(http.StatusSeeOther)
	done := w.record(house.ID).Ended.Done
	f, err := w.server.finishing(done)
	if err != nil {
		t.Fatal(err)
	}
	if !done.At.Equal(f.At) || f.At.Location() != time.UTC || !slices.ContainsFunc(asked, done.At.Equal) {
		t.Errorf("finished %v, frozen %v, the server asked for the time at %v", done.At, f.At, asked)
	}
	page := w.get(at + "/finish").page()
	if got := page.Find(".doc").Text(); !strings.Contains(got, "1\u00a0Jun\u00a02026, by K. Moss") {
		t.Errorf("the record says %s", page.Find(".cover").Text())
	}
	if got := page.Text(); strings.Contains(got, "2\u00a0Jun") || !strings.Contains(got, "inished 1\u00a0Jun\u00a02026") {
		t.Errorf("the page tells another day")
	}
	for _, care := range f.Care {
		if !strings.Contains(care.Issue, "1\u00a0") {
			t.Errorf("the care sheet is of %s", care.Issue)
		}
	}
}

// TestReviewedSinceItWasRead: a review is of the time before the record was read, not of when it was kept.
func TestReviewedSinceItWasRead(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	home := surveyPath(house.ID) + "/review"
	form := w.get(home).form(`form[action="` + home + `"]`)
	form.Set("f.by", "B. Quill")
	read := w.now
	w.server.now = func() time.Time { return read }
	w.now = w.now.Add(time.Second) // by the time that it is kept
	w.post(home, form).wants(http.StatusSeeOther)
	if last, ok := w.record(house.ID).LastReview(); !ok || !last.At.Equal(read) {
		t.Errorf("reviewed %v, read %v", last.At, read)
	}
}
