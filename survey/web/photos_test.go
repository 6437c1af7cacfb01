package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/annotate"
	"undercroft/survey"
)

func TestPhotosPage(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor")
	home := surveyPath(v.ID) + "/photos"
	if got := w.get(home).wants(http.StatusOK).page().Find("h2").First().Text(); got != "Nothing here yet" {
		t.Errorf("an empty survey says %q", got)
	}
	shown := w.photo(v.ID)
	w.put("/api"+home+"/"+survey.NewID(), strings.NewReader("this is no picture"), "X-Photo-Name", "notes%20to%20self.txt").wants(http.StatusCreated)
	w.putPin(newPin(shown), "").wants(http.StatusOK)
	page := w.get(home).wants(http.StatusOK).page()
	cards := page.Find(".shots .shot")
	if cards.Length() != 2 {
		t.Fatalf("got %d photos", cards.Length())
	}
	if got := cards.Eq(0).Find(".what").Text(); !strings.Contains(got, "1\u00a0pin") || cards.Eq(0).Find("img").Length() != 1 {
		t.Errorf("the first says %q", got)
	}
	if got := cards.Eq(1).Find(".state").Text(); !strings.Contains(got, "cannot be shown: ") || len(got) < 40 {
		t.Errorf("the second does not say why it is not shown: %q", got)
	}
	form := page.Find("form[enctype='multipart/form-data']")
	if form.AttrOr("action", "") != home || form.Find("input[type=file][name=photos][multiple]").Length() != 1 {
		t.Error("no form that sends photos without script")
	}
}

func TestCaption(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	form := formOf(w.get(photoPath(photo)).page().Find("#about form"))
	form.Set("caption", "Header hangers")
	to := w.post(photoPath(photo), form).wants(http.StatusSeeOther).Header().Get("Location")
	if got := w.get(to).page().Find(".done").Text(); got != "The caption is saved." {
		t.Errorf("said %q", got)
	}
	form.Set("caption", "Something else")
	page := w.post(photoPath(photo), form).wants(http.StatusConflict).page()
	if got := page.Find("#about .bad .say").Text(); !strings.Contains(got, "Header hangers") {
		t.Errorf("a conflict does not show what is saved: %q", got)
	}
	if got := page.Find("#c-caption").AttrOr("value", ""); got != "Something else" {
		t.Errorf("what was typed is lost: %q", got)
	}
	w.post(photoPath(photo), formOf(page.Find("#about form"))).wants(http.StatusSeeOther)
	now, _ := w.record(photo.Survey).Photo(photo.ID)
	if now.Caption != "Something else" {
		t.Errorf("choosing again saved %q", now.Caption)
	}
	w.post(photoPath(photo), url.Values{"version": {"3"}, "caption": {strings.Repeat("x", maxCaption+1)}}).wants(http.StatusUnprocessableEntity)
}

func TestRemovePhotoAsksFirst(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	w.putPin(newPin(photo), "").wants(http.StatusOK)
	link := w.get(photoPath(photo)).page().Find("#about a.drop").AttrOr("href", "")
	page := w.get(link).wants(http.StatusOK).page()
	if got := page.Find("section").Text(); !strings.Contains(got, "Hanger 1") || !strings.Contains(got, "no button that brings them back") {
		t.Errorf("the question does not say what goes: %q", got)
	}
	if len(w.record(photo.Survey).Photos) != 1 {
		t.Fatal("asking removed the photo")
	}
	action := page.Find("section form").AttrOr("action", "")
	w.post(action, url.Values{"version": {"9"}}).wants(http.StatusConflict)
	to := w.post(action, formOf(page.Find("section form"))).wants(http.StatusSeeOther).Header().Get("Location")
	if got := w.get(to).page().Find(".done").Text(); got != "Photo 1 is removed." {
		t.Errorf("said %q", got)
	}
	if r := w.record(photo.Survey); len(r.Photos) != 0 || len(r.Pins) != 0 {
		t.Errorf("%d photos and %d pins left", len(r.Photos), len(r.Pins))
	}
	w.get(photoPath(photo)).wants(http.StatusNotFound)
}

func TestPhotoThatCannotBeShown(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor")
	id := survey.NewID()
	w.put("/api"+surveyPath(v.ID)+"/photos/"+id, strings.NewReader("this is no picture")).wants(http.StatusCreated)
	page := w.get(photoPathOf(v.ID, survey.PhotoID(id))).wants(http.StatusOK).page()
	if page.Find(".stage").Length() != 0 || page.Find(".noshow .caut b").Text() != "This picture cannot be shown." {
		t.Error("a picture that is none is shown, or not explained")
	}
	if page.Find("#about a[download]").Length() != 1 {
		t.Error("the original cannot be had")
	}
}

// TestPictureWithPins: a photo can be had with its pins drawn into it, and nothing but pixels is in it.
func TestPictureWithPins(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	photo := w.record(v.ID).Photos[0]
	a := w.get(photoPath(photo) + "/pinned.jpg").wants(http.StatusOK)
	if err := annotate.PixelsOnly(a.Body.Bytes()); err != nil || !strings.Contains(a.Header().Get("Content-Disposition"), "photo-1-pins.jpg") {
		t.Errorf("%v, %v", err, a.Header())
	}
	page := w.get(photoPath(photo)).wants(http.StatusOK).page()
	if page.Find(`a[href="`+photoPath(photo)+`/pinned.jpg"]`).Length() != 1 {
		t.Error("the photo's page does not offer it")
	}
}
