package web

import (
	"net/http"
	"net/url"
	"testing"

	"undercroft/survey"
)

// Without script an unlikely length comes back as a Check beside its field, with nothing saved and nothing typed lost; saying that it is right saves it, and
// so does another length.
func TestUnlikelyFactIsAskedAbout(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	form := func(more ...string) url.Values {
		sent := url.Values{"f.width": {"28"}, "was.width": {""}, "f.projection": {"14'"}, "was.projection": {""}}
		for i := 0; i+1 < len(more); i += 2 {
			sent.Set(more[i], more[i+1])
		}
		return sent
	}
	page := w.post(surveyPath(v.ID)+"/deck", form()).wants(http.StatusUnprocessableEntity).page()
	check := page.Find(`.field:has([name="f.width"]) .check-length`)
	if text := check.Find("b").First().Text(); text != "Deck width 2′\u00a04″: or 28′\u00a00″?" {
		t.Errorf("the question is %q", text)
	}
	right := check.Find(`input[type="checkbox"]`)
	if name, _ := right.Attr("name"); name != "right.f.width" || page.Find(`[name="f.width"]`).AttrOr("value", "") != "28" || page.Find(`[name="f.projection"]`).AttrOr("value", "") != "14'" {
		t.Errorf("the box is %q", name)
	}
	if page.Find(`.problem a[href="#c-f-width"]`).Length() != 1 || len(w.record(v.ID).Facts) > 0 {
		t.Error("no way to the field, or something was saved")
	}
	w.post(surveyPath(v.ID)+"/deck", form("right.f.width", "27")).wants(http.StatusUnprocessableEntity)
	w.post(surveyPath(v.ID)+"/deck", form("right.f.width", right.AttrOr("value", ""))).wants(http.StatusSeeOther)
	if got := w.record(v.ID).Facts["width"].Text; got != "28" {
		t.Errorf("saved %q", got)
	}
	if w.get(surveyPath(v.ID)).page().Find(".check-length").Length() != 0 {
		t.Error("the length that was said to be right is asked about again")
	}
}

// The same for a pin's form.
func TestUnlikelyPinIsAskedAbout(t *testing.T) {
	d := newSite(t)
	photo := d.photo(d.survey("Larkmoor house").ID)
	p := d.pin(survey.Pin{Survey: photo.Survey, Photo: photo.ID, Kind: survey.PinDimension, X: 0.2, Y: 0.2, X2: new(float64), Y2: new(float64)})
	form := url.Values{"version": {"1"}, "v.names": {"width"}, "v.length": {"28"}, "at.x": {percentText(p.X)}, "at.y": {percentText(p.Y)}, "at.x2": {"0"}, "at.y2": {"0"}}
	page := d.post(pinPath(p), form).wants(http.StatusUnprocessableEntity).page()
	if text := page.Find(`[data-part="form"] .check-length b`).First().Text(); text != "Length 2′\u00a04″: or 28′\u00a00″?" {
		t.Errorf("the question is %q", text)
	}
	form.Set("v.names", "joist.spacing")
	d.post(pinPath(p), form).wants(http.StatusSeeOther)
	form.Set("v.names", "width")
	form.Set("v.length", "29")
	form.Set("version", "2")
	form.Set("right.v.length", "29")
	d.post(pinPath(p), form).wants(http.StatusSeeOther)
	if saved, _ := d.record(p.Survey).Pin(p.ID); saved.Values["length"] != "29" {
		t.Errorf("saved %v", saved.Values)
	}
}
