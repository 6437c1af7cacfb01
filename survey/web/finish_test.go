package web

import (
	"bytes"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/url"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
)

// approvedHouse is the demo's deck with a revision that the homeowner approved by a link, which is given.
func (w *site) approvedHouse() (survey.Survey, string) {
	w.t.Helper()
	house := w.offered()
	at := w.link(house.ID, 1)
	approve := w.get(at).form(approveForm)
	approve.Set("name", "J. Quill")
	w.post(at+"/decide", approve).wants(http.StatusSeeOther)
	return house, at
}

// finishForm is the form of finishing as it stands, with what a crew types where nothing went wrong.
func (w *site) finishForm(in survey.SurveyID) url.Values {
	w.t.Helper()
	form := w.get(finishPath(in)).wants(http.StatusOK).form("#finish")
	for key, text := range map[string]string{survey.FinishResult: "none", survey.FinishTestAt: "2026-01-02 14:10", survey.FinishMinutes: "20", survey.FinishPhoto: "1", survey.FinishBy: "K. Moss"} {
		form.Set(fieldPrefix+key, text)
	}
	for name := range form {
		if strings.HasPrefix(name, wasPrefix+"finish.left.") {
			form.Set(fieldPrefix+strings.TrimPrefix(name, wasPrefix), "yes")
		}
	}
	form.Set("do", "finish")
	return form
}

// TestFinishedAndSignedOff: a crew finishes what it built otherwise than approved, the client signs off by the link, a change afterwards is told, and the survey is opened again
// for a reason, finished anew and signed in person.
func TestFinishedAndSignedOff(t *testing.T) {
	w := newSite(t)
	house, at := w.approvedHouse()
	home := finishPath(house.ID)
	w.get(at + "/finish").wants(http.StatusSeeOther)
	w.get(at + "/care.pdf").wants(http.StatusNotFound)
	w.get(home + "/record.pdf").wants(http.StatusNotFound)
	if draft := w.get(home + "/care.pdf").wants(http.StatusOK); !strings.HasPrefix(draft.Body.String(), "%PDF-") {
		t.Error("the draft of the care sheet is no PDF")
	}
	if got := w.get(home).page().Find("#built").Text(); !strings.Contains(got, "Revision 1, approved by J. Quill") || !strings.Contains(got, "Nothing differs") {
		t.Errorf("as built: %s", got)
	}
	w.facts(house.ID, map[string]string{"fall.per_foot": "1/4"})
	built := w.get(home).page().Find("#built .built li")
	if built.Length() == 0 || !strings.Contains(built.Text(), "Fall per foot") {
		t.Fatalf("%d lines were built otherwise: %s", built.Length(), built.Text())
	}
	form := w.finishForm(house.ID)
	refused := w.post(home, form).wants(http.StatusUnprocessableEntity).page()
	if n := refused.Find(`.problem a[href^="#c-f-finish-why"]`).Length(); n != built.Length() || refused.Find(`[name="f.finish.test.minutes"]`).AttrOr("value", "") != "20" || w.record(house.ID).Ended.Finished() {
		t.Errorf("asked why %d times of %d, minutes %q", n, built.Length(), refused.Find(`[name="f.finish.test.minutes"]`).AttrOr("value", ""))
	}
	form = w.finishForm(house.ID)
	form.Set(fieldPrefix+survey.FinishWhyAll, "<b>steeper</b> was wished")
	w.post(home, form).wants(http.StatusSeeOther)
	w.post(home, form).wants(http.StatusConflict)
	done := w.get(home).wants(http.StatusOK).page()
	if got := done.Find("#done").Text(); !strings.Contains(got, "by K. Moss") || !strings.Contains(got, "waits for the client") || !strings.Contains(done.Find("#changed").Text(), "Nothing has changed since.") {
		t.Errorf("finished: %s; %s", got, done.Find("#changed").Text())
	}

	if site := w.get(surveyPath(house.ID)).page(); site.Find(".since").Length() != 0 || site.Find("aside.endstrip").Length() != 1 {
		t.Error("finished work is told as changed since the approval, or not as finished")
	}
	page := w.get(at + "/finish").wants(http.StatusOK).page()
	if got := page.Find(".doc").Text(); !strings.Contains(got, "<b>steeper</b> was wished") || !strings.Contains(got, "No drip was seen.") || !strings.Contains(got, "promises nothing about other rain") {
		t.Errorf("the client reads %s", got)
	}
	for _, word := range []string{"watertight", "waterproof", " dry"} {
		if strings.Contains(strings.ToLower(page.Text()), word) {
			t.Errorf("the client reads %q", word)
		}
	}
	w.get(page.Find(".doc img").AttrOr("src", "")).wants(http.StatusOK)
	if spanish := w.get(at + "/finish?lang=es").page(); spanish.Find("html").AttrOr("lang", "") != "es" || !strings.Contains(spanish.Text(), "No se vio ninguna gota.") || !strings.Contains(spanish.Find("#sign").Text(), "renunciar a ningún derecho") {
		t.Error("it is not in Spanish")
	}
	if got := w.get(at).page().Find(`a[href="` + at + `/finish"]`).Length(); got != 1 {
		t.Errorf("%d ways from the scope to the finished work", got)
	}
	sign := w.get(at + "/finish").form(`form[data-form="signoff"]`)
	sign.Del("consent")
	if bad := w.post(at+"/finish", sign).wants(http.StatusUnprocessableEntity).page(); bad.Find("#name-read").Length() != 1 || bad.Find(".consent.bad").Length() != 1 {
		t.Error("neither name nor consent is asked for")
	}
	sign.Set("name", " J.  Quill ")
	sign.Set("consent", "yes")
	for _, key := range []string{"sha256", "agreed"} { // another finishing, another text to agree to
		was := sign.Get(key)
		sign.Set(key, strings.Repeat("0", 64))
		w.post(at+"/finish", sign).wants(http.StatusConflict)
		sign.Set(key, was)
	}
	w.post(at+"/finish", sign).wants(http.StatusSeeOther)
	w.post(at+"/finish", sign).wants(http.StatusConflict)
	if got := w.get(at + "/finish").page(); !strings.Contains(got.Find("#sign").Text(), "Signed off by J. Quill") || got.Find("form").Length() != 0 {
		t.Error("once signed it can be signed again")
	}
	for _, paper := range []string{"/record.pdf", "/care.pdf", "/record.pdf?lang=es", "/care.pdf?lang=es"} {
		mine, theirs := w.get(home+paper).wants(http.StatusOK), w.get(at+paper).wants(http.StatusOK)
		if !strings.HasPrefix(mine.Body.String(), "%PDF-") || !bytes.Equal(mine.Body.Bytes(), theirs.Body.Bytes()) {
			t.Errorf("%s: both sides do not get the same PDF", paper)
		}
	}

	w.now = w.now.Add(time.Minute)
	w.facts(house.ID, map[string]string{"fall.per_foot": "3/16"})
	if got := w.get(home).page().Find("#changed").Text(); !strings.Contains(got, "Fall per foot") {
		t.Errorf("changed after finishing: %s", got)
	}
	if got := w.get(surveyPath(house.ID) + "/photos").page().Find("aside.endstrip").Text(); !strings.Contains(got, "Finished and signed off") || !strings.Contains(got, "Changed after finishing.") {
		t.Errorf("another page says %q", got)
	}
	w.issue(house.ID, 2, url.Values{"f.by": {"Ana"}}).wants(http.StatusSeeOther)
	later := w.link(house.ID, 2)
	approve := w.get(later).form(approveForm)
	approve.Set("name", "J. Quill")
	w.post(later+"/decide", approve).wants(http.StatusSeeOther)
	w.get(later + "/finish").wants(http.StatusSeeOther)
	if got := w.get(home).page().Find("#done").Text(); !strings.Contains(got, "Compared with: Revision 1, approved by J. Quill") {
		t.Errorf("after a later approval the finished work says %s", got)
	}
	reopen := w.get(home).form("#reopen form")
	reopen.Set("f.by", "Ana")
	reopen.Set("f.reason", " ")
	w.post(home+"/reopen", reopen).wants(http.StatusUnprocessableEntity)
	reopen.Set("f.reason", "a panel is missing")
	w.post(home+"/reopen", reopen).wants(http.StatusSeeOther)
	w.post(home+"/reopen", reopen).wants(http.StatusConflict)
	w.get(at + "/finish").wants(http.StatusSeeOther)
	again := w.get(home).page()
	if !strings.Contains(again.Text(), "a panel is missing") || again.Find("#acts .act").Length() != 3 || w.get(surveyPath(house.ID)).page().Find("aside.endstrip").Length() != 0 {
		t.Errorf("opened again: %s", again.Find("#acts").Text())
	}
	if kept := w.record(house.ID).Facts; kept[survey.FinishMinutes].Text != "" || kept["finish.left.care"].Text != "" || kept[survey.FinishWhyAll].Text == "" {
		t.Errorf("the test of before counts again: %+v", kept[survey.FinishMinutes])
	}
	w.get(home + "/record.pdf?act=1").wants(http.StatusOK)
	w.get(home + "/record.pdf?act=2").wants(http.StatusNotFound)

	form = w.finishForm(house.ID)
	w.post(home, form).wants(http.StatusSeeOther)
	inPerson := w.get(home + "/sign?lang=es").form(`form[data-form="signoff"]`)
	inPerson.Set("name", "Zoë Quill")
	inPerson.Set("signature", "[[[1,2],[3")
	w.post(home+"/sign?lang=es", inPerson).wants(http.StatusUnprocessableEntity)
	inPerson.Set("signature", "[[[20,120],[200,40]]]")
	w.post(home+"/sign?lang=es", inPerson).wants(http.StatusSeeOther)
	acts, err := w.store.Finishes(t.Context(), house.ID)
	if err != nil || len(acts) != 5 {
		t.Fatalf("%d acts, %v", len(acts), err)
	}
	last := acts[4]
	if last.By != "K. Moss" || last.Name != "Zoë Quill" || last.Lang != "es" || !strings.Contains(last.Consent, "no es mi intención renunciar") || last.Signature == "" || last.Link != "" || acts[1].Link == "" || acts[1].By != "" || acts[1].Signature != "" || acts[1].Agent == "" && acts[1].Address == "" {
		t.Errorf("signed in person: %+v", last)
	}
}

// TestFinishedWithoutApproval: with nothing approved it takes a reason, which the record tells; then no link signs it off.
func TestFinishedWithoutApproval(t *testing.T) {
	w := newSite(t)
	house := w.offered()
	at := w.link(house.ID, 1)
	form := w.finishForm(house.ID)
	if refused := w.post(finishPath(house.ID), form).wants(http.StatusUnprocessableEntity).page(); refused.Find(`.problem a[href="#c-f-finish-although"]`).Length() != 1 || !strings.Contains(refused.Find("#end").Text(), "No revision was approved") {
		t.Error("no reason is asked for")
	}
	form = w.finishForm(house.ID)
	form.Set(fieldPrefix+survey.FinishAlthough, "agreed by word on the day")
	w.post(finishPath(house.ID), form).wants(http.StatusSeeOther)
	if got := w.get(finishPath(house.ID) + "/sign").page().Find(".cover").Text(); !strings.Contains(got, "agreed by word on the day") {
		t.Errorf("the client is not told: %s", got)
	}
	w.get(at + "/finish").wants(http.StatusSeeOther)
}

// TestFinishPhotoComesAlong: a photo of the hose test sent with the form is in the survey and chosen, nothing typed is lost, and sending it twice makes one photo.
func TestFinishPhotoComesAlong(t *testing.T) {
	w := newSite(t)
	house, _ := w.approvedHouse()
	before := len(w.record(house.ID).Photos)
	form := w.finishForm(house.ID)
	form.Del(fieldPrefix + survey.FinishPhoto)
	form.Set("do", "save")
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, image.NewGray(image.Rect(0, 0, 40, 30)), nil); err != nil {
		t.Fatal(err)
	}
	send := func(photo []byte) answer {
		var body bytes.Buffer
		parts := multipart.NewWriter(&body)
		for name, values := range form {
			if err := parts.WriteField(name, values[0]); err != nil {
				t.Fatal(err)
			}
		}
		file, err := parts.CreateFormFile("photos", "hose.jpg")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := file.Write(photo); err != nil {
			t.Fatal(err)
		}
		if err := parts.Close(); err != nil {
			t.Fatal(err)
		}
		return w.as(nil, http.MethodPost, finishPath(house.ID), body.String(), "Content-Type", parts.FormDataContentType())
	}
	for range 2 {
		send(picture.Bytes()).wants(http.StatusSeeOther)
	}
	r := w.record(house.ID)
	i := slices.IndexFunc(r.Photos, func(p survey.Photo) bool { return p.Name == "hose.jpg" })
	if len(r.Photos) != before+1 || i < 0 || r.Facts[survey.FinishPhoto].Text != strconv.Itoa(r.Photos[i].Number) || r.Facts[survey.FinishMinutes].Text != "20" {
		t.Fatalf("%d photos before, %d after, the facts say %+v", before, len(r.Photos), r.Facts[survey.FinishPhoto])
	}
	form.Set(fieldPrefix+survey.FinishNotes, "one more trim piece")
	if bad := send(nil).wants(http.StatusUnprocessableEntity).page(); bad.Find(".problem").Length() != 1 || w.record(house.ID).Facts[survey.FinishNotes].Text != "one more trim piece" {
		t.Error("a photo without bytes is taken, or what was typed is lost")
	}
}

// TestTwoFinishAtOnce: what somebody else typed meanwhile is shown, and neither is lost.
func TestTwoFinishAtOnce(t *testing.T) {
	w := newSite(t)
	house, _ := w.approvedHouse()
	form := w.finishForm(house.ID)
	w.facts(house.ID, map[string]string{survey.FinishMinutes: "35"})
	page := w.post(finishPath(house.ID), form).wants(http.StatusConflict).page()
	if got := page.Find("#c-f-finish-test-minutes").Text(); !strings.Contains(got, "20") || !strings.Contains(got, "35") {
		t.Errorf("the choice is %q", got)
	}
}

// TestNothingIsFinishedOnAForgedApproval: while the record of the decisions is damaged, the work is not finished, and what was typed is kept.
func TestNothingIsFinishedOnAForgedApproval(t *testing.T) {
	w := newSite(t)
	house, _ := w.approvedHouse()
	form := w.finishForm(house.ID)
	tamper(t, filepath.Join(w.dir, "undercroft.db"), `DROP TRIGGER approval_is_not_updated`, `UPDATE approval SET name = 'Eve'`)
	page := w.post(finishPath(house.ID), form).wants(http.StatusConflict).page()
	if !strings.Contains(page.Find(".problem").Text(), "is damaged") || !strings.Contains(page.Find(".caut.stop").Text(), "was changed after it was made") || page.Find(`[name="f.finish.test.minutes"]`).AttrOr("value", "") != "20" {
		t.Errorf("the page says %s", page.Find(".problem, .caut.stop").Text())
	}
	if w.record(house.ID).Ended.Finished() {
		t.Error("it is finished")
	}
}

// TestDamagedEndIsNotShown: an act that was changed in the database gives neither paper nor sign-off, and the page says so.
func TestDamagedEndIsNotShown(t *testing.T) {
	w := newSite(t)
	house, at := w.approvedHouse()
	w.post(finishPath(house.ID), w.finishForm(house.ID)).wants(http.StatusSeeOther)
	tamper(t, filepath.Join(w.dir, "undercroft.db"), `DROP TRIGGER finish_is_not_updated`, `UPDATE finish SET by = 'Eve'`)
	w.get(at + "/finish").wants(http.StatusInternalServerError)
	w.get(finishPath(house.ID) + "/record.pdf").wants(http.StatusInternalServerError)
	if got := w.get(finishPath(house.ID)).wants(http.StatusOK).page().Find(".caut.stop").Text(); !strings.Contains(got, "was changed after it was made") {
		t.Errorf("the page says %q", got)
	}
}
