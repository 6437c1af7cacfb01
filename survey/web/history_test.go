package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

// history gives the lines of the history at an address: what is said, with single spaces.
func (w *site) history(path string) []string {
	w.t.Helper()
	var lines []string
	w.get(path).wants(http.StatusOK).page().Find(".events > li").Each(func(_ int, li *goquery.Selection) {
		lines = append(lines, strings.Join(strings.Fields(li.Find(".did").Text()), " "))
	})
	return lines
}

// TestHistorySaysItInTradeWords: each thing that was done, the newest first, with what differs, and a way to what it was done to.
func TestHistorySaysItInTradeWords(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	home := surveyPath(v.ID)
	photo := w.photo(v.ID)
	hanger := w.pin(survey.Pin{Survey: v.ID, Photo: photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5, By: "Kim", Values: map[string]string{"drop": "1/2", "wx": "2", "wy": "2"}})
	w.facts(v.ID, map[string]string{"joist.spacing": "16"})
	hanger.Values = map[string]string{"drop": "5/8", "wx": "2", "wy": "2"}
	if _, err := w.store.PutPin(t.Context(), hanger); err != nil {
		t.Fatal(err)
	}
	w.facts(v.ID, map[string]string{"joist.spacing": "24", "slot.yard": string(photo.ID)})
	w.facts(v.ID, map[string]string{"joist.spacing": ""})
	w.facts(v.ID, map[string]string{"settle.width": "typed"})
	w.facts(v.ID, map[string]string{"ready": "2026-05-31T09:42:00Z", "ready.by": "Ana", "ready.reason": "the rain stops"})
	w.post(home+"/site", url.Values{"f.title": {"Larkmoor house"}, "was.title": {"Larkmoor house"}, "f.address": {"12 Elm"}, "was.address": {""}}).wants(http.StatusSeeOther)
	if err := w.store.DeletePin(t.Context(), v.ID, hanger.ID, 2); err != nil {
		t.Fatal(err)
	}
	got := strings.Join(w.history(home+"/history"), "\n")
	for _, want := range []string{
		"Hanger 1 on photo 1 removed", "Site changed Address: 12 Elm", "Survey marked ready for the crew by Ana, although something stops it: the rain stops", "Deck width: source that stands what was typed",
		"Deck: Joist spacing taken back 2′ 0″", "Walk list: Photo of the deck from the yard photo 1", "Deck: Joist spacing changed 1′ 4″ → is now 2′ 0″",
		"Hanger 1 on photo 1 changed Hangs below the joists: 1/2″ → is now 5/8″", "Deck: Joist spacing 1′ 4″", "Hanger 1 on photo 1 placed 1/2″ below", "Photo 1 sent", "Site survey begun House: Larkmoor house",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("it does not say %q:\n%s", want, got)
		}
	}
	page := w.get(home + "/history").page()
	page.Find(".events a, .page .btn[href]").Each(func(_ int, a *goquery.Selection) {
		href, _, _ := strings.Cut(a.AttrOr("href", "none"), "#")
		w.get(href).wants(http.StatusOK)
	})
	if forms := page.Find(`main form[method="post"]`).Length(); forms != 0 {
		t.Errorf("the page has %d forms that change something", forms)
	}
	if day := page.Find(".day h2").First().Text(); !strings.HasPrefix(day, "Sunday 31 May 2026") {
		t.Errorf("the day is %q", day)
	}
}

// TestHistoryOfOneThing: of a pin, of a photo with its pins, of a fact, by one person, from the pages of these; what is chosen stays chosen.
func TestHistoryOfOneThing(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	home := surveyPath(v.ID)
	photo, other := w.photo(v.ID), w.photo(v.ID)
	pin := w.pin(survey.Pin{Survey: v.ID, Photo: photo.ID, Kind: survey.PinNote, X: 0.5, Y: 0.5, Note: "look here", By: "Kim"})
	w.pin(survey.Pin{Survey: v.ID, Photo: other.ID, Kind: survey.PinNote, X: 0.5, Y: 0.5, Note: "and here", By: "Ana"})
	w.facts(v.ID, map[string]string{"width": "28'", "projection": "14'"})
	follow := func(page, selector string) string {
		t.Helper()
		href, ok := w.get(page).wants(http.StatusOK).page().Find(selector).Attr("href")
		if !ok {
			t.Fatalf("%s has no %s", page, selector)
		}
		return href
	}
	for name, c := range map[string]struct{ path, has, not string }{
		"pin":    {follow(photoPath(photo)+"?pin="+string(pin.ID), `#pin a[href*="/history"]`), "look here", "sent"},
		"photo":  {follow(photoPath(photo), `#about a[href*="/history"]`), "look here", "and here"},
		"deck":   {follow(home, `#deck a[href*="/history"]`), "Deck width", "look here"},
		"fact":   {follow(home+"/history?kind=fact", `.one a[href*="of=width"]`), "Deck width", "projection"},
		"person": {home + "/history?by=Ana", "and here", "look here"},
		"crew":   {home + "/history?kind=crew", "", "look here"},
	} {
		got := strings.Join(w.history(c.path), "\n")
		if !strings.Contains(got, c.has) || strings.Contains(got, c.not) {
			t.Errorf("%s: %s says %q", name, c.path, got)
		}
	}
	page := w.get(home + "/history?on=" + string(photo.ID) + "&by=Kim").page()
	if form := formOf(page.Find(".choose")); form.Get("on") != string(photo.ID) || form.Get("by") != "Kim" {
		t.Errorf("what was chosen is %v", form)
	}
	for _, odd := range []string{"?kind=nothing", "?page=-1", "?page=99999999", "?page=x", "?by=" + strings.Repeat("x", 5000), "?of=%00&kind=pin", "?on=%27+OR+1%3D1"} {
		w.get(home + "/history" + odd).wants(http.StatusOK)
	}
	w.get("/surveys/" + survey.NewID() + "/history").wants(http.StatusNotFound)
	w.post(home+"/history", url.Values{}).wants(http.StatusMethodNotAllowed)
}
