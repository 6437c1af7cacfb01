package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

// asked is a survey with one open question.
func (w *site) asked() survey.Remark {
	w.t.Helper()
	id := survey.NewID()
	m, err := w.store.Remark(w.t.Context(), survey.Remark{ID: id, Survey: w.survey("Larkmoor house").ID, Question: id, Kind: survey.RemarkAsk, Subject: survey.SubjectSurvey, About: "The survey", Text: "Is the seat bent?", By: "B. Quill"})
	if err != nil {
		w.t.Fatal(err)
	}
	return m
}

// sendParts posts a form in parts, as a browser sends one with files: the texts first, then the files under one name.
func (w *site) sendParts(cookie *http.Cookie, path string, form url.Values, name string, files ...sent) answer {
	w.t.Helper()
	var body bytes.Buffer
	parts := multipart.NewWriter(&body)
	check := func(err error) {
		if err != nil {
			w.t.Fatal(err)
		}
	}
	for key, values := range form {
		if key != name {
			check(parts.WriteField(key, values[0]))
		}
	}
	for _, f := range files {
		part, err := parts.CreateFormFile(name, f.name)
		check(err)
		_, err = part.Write([]byte(f.body))
		check(err)
	}
	check(parts.Close())
	return w.as(cookie, http.MethodPost, path, body.String(), "Content-Type", parts.FormDataContentType())
}

// replyTo gives the form that goes on with a question and where it is sent, with a text and a name typed into it.
func replyTo(page *goquery.Document, m survey.Remark, text, by string) (path string, form url.Values) {
	f := page.Find("#q-" + m.Question + " form")
	form = formOf(f)
	form.Set("f.text", text)
	form.Set("f.by", by)
	return f.AttrOr("action", ""), form
}

// TestAReplyIsWhatItsFormSaid: of two who answer one open question the second is told and asks nothing by it; of two who ask further the second is told and answers nothing by it. What
// was typed stands in the form that comes back, which is open and says what it is now.
func TestAReplyIsWhatItsFormSaid(t *testing.T) {
	w := newSite(t)
	m := w.asked()
	page := w.get(questionsPath(m.Survey)).page()
	to, first := replyTo(page, m, "No, only rusty.", "K. Vale")
	_, second := replyTo(w.get(questionsPath(m.Survey)).page(), m, "Yes, at the left.", "R. Vance")
	w.sendParts(nil, to, first, "file").wants(http.StatusSeeOther)
	back := w.sendParts(nil, to, second, "file").wants(http.StatusConflict).page()
	thread := back.Find("#answered #q-" + m.ID)
	if got := w.record(m.Survey); len(got.Remarks) != 2 || len(got.OpenThreads()) != 0 {
		t.Fatalf("the second answer is kept: %+v", got.Remarks)
	}
	if got := plainText(back.Find(".problem")); !strings.Contains(got, "Your answer was not sent: K. Vale answered this question before you.") {
		t.Errorf("it says %q", got)
	}
	if thread.Find(`details[open] textarea[name="f.text"]`).Text() != "Yes, at the left." || thread.Find(`[name="f.by"]`).AttrOr("value", "") != "R. Vance" || thread.Find(`[name="kind"]`).AttrOr("value", "") != "ask" {
		t.Error("what was typed is not in the form that comes back, or that form says that it answers")
	}
	if back.Find(`.problem a[href="#text-`+m.ID+`"]`).Length() != 1 {
		t.Error("no way leads to what was typed")
	}
	w.sendParts(nil, to, first, "file").wants(http.StatusSeeOther) // sent twice it is the one that was kept

	_, first = replyTo(w.get(questionsPath(m.Survey)).page(), m, "Which one?", "B. Quill")
	_, second = replyTo(w.get(questionsPath(m.Survey)).page(), m, "Since when?", "R. Vance")
	w.sendParts(nil, to, first, "file").wants(http.StatusSeeOther)
	back = w.sendParts(nil, to, second, "file").wants(http.StatusConflict).page()
	if got := w.record(m.Survey); len(got.Remarks) != 3 || len(got.OpenThreads()) != 1 {
		t.Fatalf("the second follow-up closes the first: %+v", got.Remarks)
	}
	thread = back.Find("#openlist #q-" + m.ID)
	if thread.Find(`textarea[name="f.text"]`).Text() != "Since when?" || thread.Find(`[name="kind"]`).AttrOr("value", "") != "answer" || !strings.Contains(plainText(back.Find(".problem")), "B. Quill asked a follow-up before you") {
		t.Errorf("the form that comes back: %q, under %q", plainText(thread.Find("form")), plainText(back.Find(".problem")))
	}
	first.Del("kind")
	first.Set("id", survey.NewID())
	if back = w.sendParts(nil, to, first, "file").wants(http.StatusUnprocessableEntity).page(); back.Find(`#openlist textarea[name="f.text"]`).Text() != "Which one?" || len(w.record(m.Survey).Remarks) != 3 {
		t.Error("a form that does not say what it is was kept, or its text is lost")
	}
}

// TestAReplyTakesOnePhoto: a second one is refused before it is kept, the first is chosen in the form that comes back, and nothing was said yet.
func TestAReplyTakesOnePhoto(t *testing.T) {
	w := newSite(t)
	m := w.asked()
	to, form := replyTo(w.get(questionsPath(m.Survey)).page(), m, "Both sides.", "K. Vale")
	back := w.sendParts(nil, to, form, "file", sent{"left.jpg", string(gradient(t))}, sent{"right.jpg", "another"}).wants(http.StatusUnprocessableEntity).page()
	r := w.record(m.Survey)
	if len(r.Photos) != 1 || r.Photos[0].Name != "left.jpg" || len(r.Remarks) != 1 {
		t.Fatalf("%d photos and %d remarks are kept", len(r.Photos), len(r.Remarks))
	}
	if got := plainText(back.Find(".problem")); !strings.Contains(got, "One photo goes with a reply.") || back.Find("#openlist option[selected]").AttrOr("value", "") != string(r.Photos[0].ID) || back.Find(`#openlist textarea`).Text() != "Both sides." {
		t.Errorf("it says %q", got)
	}
}

// TestPhotosWithFormsAreCounted: a photo sent with a reply or with the form of finishing is one of the 300 that a person may send in a row. It is refused with how long to wait before
// it is kept, and what was typed beside it is not lost.
func TestPhotosWithFormsAreCounted(t *testing.T) {
	w := newSite(t)
	m, person := w.asked(), w.person("R. Vance", survey.RoleOffice)
	cookie := w.session(person)
	to, reply := replyTo(w.as(cookie, http.MethodGet, questionsPath(m.Survey), "").page(), m, "No.", "")
	finish := w.as(cookie, http.MethodGet, finishPath(m.Survey), "").form("#finish")
	finish.Set("do", "save")
	finish.Set(fieldPrefix+survey.FinishNotes, "one more trim piece")
	for range 300 {
		if err := w.server.mayBeginPhoto(survey.WithPerson(t.Context(), person)); err != nil {
			t.Fatal(err)
		}
	}
	a := w.sendParts(cookie, to, reply, "file", sent{"rust.jpg", string(gradient(t))})
	a.wantWait(http.StatusTooManyRequests)
	if a.page().Find(`#openlist textarea`).Text() != "No." {
		t.Error("the answer's text is lost")
	}
	w.sendParts(cookie, finishPath(m.Survey), finish, "photos", sent{"hose.jpg", string(gradient(t))}).wants(http.StatusTooManyRequests)
	r := w.record(m.Survey)
	if len(r.Photos) != 0 || len(r.Remarks) != 1 || r.Facts[survey.FinishNotes].Text != "one more trim piece" {
		t.Errorf("%d photos, %d remarks, the notes are %q", len(r.Photos), len(r.Remarks), r.Facts[survey.FinishNotes].Text)
	}
}

// TestAThirdPhotoOfTheHoseTestIsRefused, by its name, whether the three come in one form or two are chosen already; what was typed is saved.
func TestAThirdPhotoOfTheHoseTestIsRefused(t *testing.T) {
	w := newSite(t)
	id := w.survey("Larkmoor house").ID
	three := []sent{{"one.jpg", string(gradient(t))}, {"two.jpg", "no picture, but kept"}, {"three.jpg", "a third"}}
	w.photo(id)
	w.photo(id)
	for name, files := range map[string][]sent{"in one form": three, "chosen already": three[2:]} {
		form, chosen := w.get(finishPath(id)).form("#finish"), [2]string{}
		if len(files) == 1 {
			chosen = [2]string{"1", "2"}
		}
		form.Set("do", "save")
		form.Set(fieldPrefix+survey.FinishNotes, name)
		form.Set(fieldPrefix+survey.FinishPhoto, chosen[0])
		form.Set(fieldPrefix+survey.FinishPhotoToo, chosen[1])
		before := len(w.record(id).Photos)
		page := w.sendParts(nil, finishPath(id), form, "photos", files...).wants(http.StatusUnprocessableEntity).page()
		r := w.record(id)
		if got := plainText(page.Find(".problem")); !strings.Contains(got, "three.jpg was not taken in") {
			t.Errorf("%s: it says %q", name, got)
		}
		if len(r.Photos) != before+len(files)-1 || r.Facts[survey.FinishNotes].Text != name || r.Facts[survey.FinishPhoto].Text == "" || r.Facts[survey.FinishPhotoToo].Text == "" {
			t.Errorf("%s: %d photos before, %d after, the facts %v", name, before, len(r.Photos), r.Facts)
		}
	}
}

// TestALinkTakes256KiB: no form by a homeowner's link takes more than the table of limits says.
func TestALinkTakes256KiB(t *testing.T) {
	w := newSite(t)
	house, at := w.approvedHouse()
	w.post(finishPath(house.ID), w.finishForm(house.ID)).wants(http.StatusSeeOther)
	for _, path := range []string{"/ask", "/decide", "/finish"} {
		w.post(at+path, url.Values{"name": {strings.Repeat("x", 256<<10)}}).wants(http.StatusRequestEntityTooLarge)
	}
}
