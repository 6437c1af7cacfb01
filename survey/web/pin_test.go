package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

// chosenForm is the form beside the picture, not those that wait for the script.
const chosenForm = `[data-part="form"] form`

func pinAPI(p survey.Pin) string {
	return fmt.Sprintf("/api/surveys/%s/pins/%s", p.Survey, p.ID)
}

func (w *site) putPin(p survey.Pin, query string) answer {
	w.t.Helper()
	body, err := json.Marshal(p)
	if err != nil {
		w.t.Fatal(err)
	}
	return w.put(pinAPI(p)+query, bytes.NewReader(body), "Content-Type", "application/json")
}

// newPin is a hanger on the photo that is not saved yet.
func newPin(photo survey.Photo) survey.Pin {
	return survey.Pin{ID: survey.PinID(survey.NewID()), Survey: photo.Survey, Photo: photo.ID, Kind: survey.PinHanger, X: 0.1234567890123456, Y: 2.0 / 3, Values: map[string]string{"drop": "7/16"}}
}

func TestPinAPIKeepsEveryBitOfTheFractions(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	p := newPin(photo)
	var saved survey.Pin
	w.putPin(p, "").wants(http.StatusOK).json(&saved)
	if saved.X != p.X || saved.Y != p.Y || saved.Number != 1 || saved.Version != 1 {
		t.Errorf("got %v, %v, number %d, version %d; want %v, %v, 1, 1", saved.X, saved.Y, saved.Number, saved.Version, p.X, p.Y)
	}
	var again survey.Pin
	w.putPin(p, "").wants(http.StatusOK).json(&again)
	if again.Version != 1 || len(w.record(photo.Survey).Pins) != 1 {
		t.Errorf("repeating made version %d and %d pins", again.Version, len(w.record(photo.Survey).Pins))
	}
}

func TestPinAPIConflictCarriesTheStoredPin(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	p := newPin(photo)
	var saved survey.Pin
	w.putPin(p, "").wants(http.StatusOK).json(&saved)
	first, second := saved, saved
	first.X = 0.5
	w.putPin(first, "").wants(http.StatusOK)
	second.Note = "rusty"
	var problem struct {
		Detail  string
		Current struct {
			survey.Pin
			Deleted bool
		}
	}
	w.putPin(second, "").wants(http.StatusConflict).json(&problem)
	if problem.Current.X != 0.5 || problem.Current.Version != 2 || problem.Current.Deleted || problem.Detail == "" {
		t.Errorf("got conflict %+v", problem)
	}
	second.Version = problem.Current.Version
	w.putPin(second, "").wants(http.StatusOK)
}

// Changing a pin that somebody deleted is a conflict that says so; bringing it back on purpose keeps its number.
func TestPinAPIDeletedMeanwhile(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	var saved survey.Pin
	w.putPin(newPin(photo), "").wants(http.StatusOK).json(&saved)
	w.do(requestWithBody(http.MethodDelete, fmt.Sprintf("%s?version=%d", pinAPI(saved), saved.Version), nil)).wants(http.StatusNoContent)
	saved.Note = "changed too late"
	var problem struct{ Current struct{ Deleted bool } }
	w.putPin(saved, "").wants(http.StatusConflict).json(&problem)
	if !problem.Current.Deleted {
		t.Error("the conflict does not say that the pin is deleted")
	}
	var back survey.Pin
	w.putPin(saved, "?restore=1").wants(http.StatusOK).json(&back)
	if back.Number != 1 || back.Note != "changed too late" {
		t.Errorf("got number %d, note %q back", back.Number, back.Note)
	}
}

func TestPinAPIRefuses(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	other := w.photo(w.survey("Elsewhere").ID)
	x := 0.5
	for name, c := range map[string]struct {
		change func(*survey.Pin)
		status int
		field  string
	}{
		"outside the picture":    {func(p *survey.Pin) { p.X = 1.0000001 }, http.StatusUnprocessableEntity, "end"},
		"no length":              {func(p *survey.Pin) { p.Values = map[string]string{"drop": "a bit"} }, http.StatusUnprocessableEntity, "drop"},
		"unknown field":          {func(p *survey.Pin) { p.Values = map[string]string{"colour": "red"} }, http.StatusUnprocessableEntity, "colour"},
		"second end of one":      {func(p *survey.Pin) { p.X2, p.Y2 = &x, &x }, http.StatusUnprocessableEntity, "end2"},
		"unknown kind":           {func(p *survey.Pin) { p.Kind = "ghost" }, http.StatusUnprocessableEntity, ""},
		"photo of another house": {func(p *survey.Pin) { p.Photo = other.ID }, http.StatusNotFound, ""},
	} {
		t.Run(name, func(t *testing.T) {
			p := newPin(photo)
			c.change(&p)
			var problem struct{ Fields map[string]string }
			w.putPin(p, "").wants(c.status).json(&problem)
			if c.field != "" && problem.Fields[c.field] == "" {
				t.Errorf("got fields %v, want one about %s", problem.Fields, c.field)
			}
		})
	}
	for _, body := range []string{"", "{", `{"x": "left"}`, `{"nonsense": 1}`, `{} {}`} {
		w.put(pinAPI(newPin(photo)), strings.NewReader(body)).wants(http.StatusBadRequest)
	}
	w.do(requestWithBody(http.MethodDelete, pinAPI(newPin(photo))+"?version=1", nil)).wants(http.StatusNotFound)
	w.do(requestWithBody(http.MethodDelete, pinAPI(newPin(photo)), nil)).wants(http.StatusBadRequest)
}

// Without script: the kinds are links, the form asks the place in percent, and what was typed is shown again when something is wrong.
func TestPinsByForms(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	page := w.get(photoPath(photo)).wants(http.StatusOK).page()
	link, ok := page.Find(`[data-nojs] a[data-kind="dimension"]`).Attr("href")
	if !ok {
		t.Fatal("no link to place a length")
	}
	form := formOf(w.get(strings.TrimSuffix(link, "#pin")).wants(http.StatusOK).page().Find(chosenForm))
	form.Set("at.x", "10")
	form.Set("at.y", "25.5 %")
	form.Set("at.x2", "nowhere")
	form.Set("at.y2", "30")
	form.Set("v.names", "joist.spacing")
	form.Set("v.length", "16 in")
	bad := w.post(photoPath(photo)+"/pins", form).wants(http.StatusUnprocessableEntity).page()
	if got := bad.Find(chosenForm+` input[name="at.x2"]`).AttrOr("value", ""); got != "nowhere" {
		t.Errorf("the form shows %q again", got)
	}
	if bad.Find(chosenForm+` .field.bad input[name="at.x2"]`).Length() != 1 || bad.Find(chosenForm+` input[name="v.length"]`).AttrOr("value", "") != "16 in" {
		t.Error("the wrong field is not marked, or another lost its text")
	}
	form.Set("at.x2", "40")
	to := w.post(photoPath(photo)+"/pins", form).wants(http.StatusSeeOther).Header().Get("Location")
	if !strings.HasSuffix(to, "#p1") {
		t.Errorf("sent on to %s", to)
	}
	w.post(photoPath(photo)+"/pins", form).wants(http.StatusSeeOther)
	pins := w.record(photo.Survey).Pins
	if len(pins) != 1 {
		t.Fatalf("sending the form twice made %d pins", len(pins))
	}
	if p := pins[0]; p.X != 0.1 || p.Y != 0.255 || *p.X2 != 0.4 || *p.Y2 != 0.3 || p.Values["length"] != "16 in" {
		t.Errorf("got pin %+v", p)
	}
	row := w.get(photoPath(photo)).page().Find("#p1")
	if got := row.Find("b").Text() + " " + row.Find("[data-words]").Text(); got != "Joist spacing 1′\u00a04″" {
		t.Errorf("the list says %q", got)
	}
}

// A form that changes another field must not move the pin, however its fraction prints.
func TestPinFormKeepsExactPlace(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	p := newPin(photo)
	w.putPin(p, "").wants(http.StatusOK)
	form := formOf(w.get(photoPath(photo) + "?pin=" + string(p.ID)).wants(http.StatusOK).page().Find(chosenForm))
	form.Set("note", "bent flange")
	w.post(pinPath(p), form).wants(http.StatusSeeOther)
	saved, _ := w.record(photo.Survey).Pin(p.ID)
	if saved.X != p.X || saved.Y != p.Y || saved.Note != "bent flange" {
		t.Errorf("got %v, %v, %q; want %v, %v", saved.X, saved.Y, saved.Note, p.X, p.Y)
	}
}

func TestPinFormConflictShowsBothVersions(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	p := newPin(photo)
	var saved survey.Pin
	w.putPin(p, "").wants(http.StatusOK).json(&saved)
	form := formOf(w.get(photoPath(photo) + "?pin=" + string(p.ID)).page().Find(chosenForm))
	saved.Values = map[string]string{"drop": "1/2"}
	w.putPin(saved, "").wants(http.StatusOK)

	form.Set("v.drop", "9/16")
	page := w.post(pinPath(p), form).wants(http.StatusConflict).page()
	var cells []string
	page.Find(".versions tbody td").Each(func(_ int, s *goquery.Selection) { cells = append(cells, s.Text()) })
	if strings.Join(cells, "|") != "9/16″|1/2″" {
		t.Errorf("side by side: %q", cells)
	}
	if now, _ := w.record(photo.Survey).Pin(p.ID); now.Values["drop"] != "1/2" {
		t.Errorf("overwritten with %q", now.Values["drop"])
	}
	w.post(pinPath(p), formOf(page.Find(chosenForm))).wants(http.StatusSeeOther)
	if now, _ := w.record(photo.Survey).Pin(p.ID); now.Values["drop"] != "9/16" {
		t.Errorf("keeping mine left %q", now.Values["drop"])
	}
}

func TestPinFormDeletes(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	p := newPin(photo)
	w.putPin(p, "").wants(http.StatusOK)
	page := w.get(photoPath(photo) + "?pin=" + string(p.ID)).page()
	to, ok := page.Find(chosenForm + " [data-delete]").Attr("formaction")
	if !ok {
		t.Fatal("no button to delete")
	}
	w.post(to, url.Values{"version": {"7"}}).wants(http.StatusConflict)
	after := w.post(to, formOf(page.Find(chosenForm))).wants(http.StatusSeeOther).Header().Get("Location")
	if got := w.get(after).page().Find(".done").Text(); got != "Pin 1 is deleted." {
		t.Errorf("said %q", got)
	}
	if n := len(w.record(photo.Survey).Pins); n != 0 {
		t.Errorf("%d pins left", n)
	}
}

// Every kind has a form that asks its fields, in the order of the kind, and a control for each.
func TestEveryKindHasItsForm(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	page := w.get(photoPath(photo)).page()
	for _, k := range survey.PinKinds() {
		form := w.get(photoPath(photo) + "?kind=" + string(k.Kind)).wants(http.StatusOK).page().Find(chosenForm)
		for _, f := range k.Fields {
			if form.Find(fmt.Sprintf(`[name="v.%s"]`, f.Key)).Length() == 0 {
				t.Errorf("%s: nothing asks for %s", k.Kind, f.Key)
			}
		}
		if page.Find(fmt.Sprintf(`template[data-form="%s"]`, k.Kind)).Length() != 1 {
			t.Errorf("%s: no form for the script", k.Kind)
		}
		if page.Find(fmt.Sprintf(`symbol#k-%s`, k.Kind)).Length() != 1 {
			t.Errorf("%s: no mark", k.Kind)
		}
	}
}

// What is typed into pins and captions reaches every page as text.
func TestPinTextsAreInert(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	for _, payload := range payloads() {
		p := newPin(photo)
		p.Kind, p.Values, p.Note = survey.PinReference, map[string]string{"name": payload}, payload
		w.putPin(p, "").wants(http.StatusOK)
		inert(t, "form", w.get(photoPath(photo)+"?pin="+string(p.ID)).wants(http.StatusOK))
		p.Values["x"] = payload
		w.putPin(p, "").wants(http.StatusUnprocessableEntity)
		form := url.Values{"id": {survey.NewID()}, "kind": {"level"}, "v.height": {payload}, "note": {payload}, "at.x": {payload}, "at.y": {payload}}
		inert(t, "form, refused", w.post(photoPath(photo)+"/pins", form).wants(http.StatusUnprocessableEntity))
		version := strconv.Itoa(w.record(photo.Survey).Photos[0].Version)
		w.post(photoPath(photo), url.Values{"version": {version}, "caption": {payload}}).wants(http.StatusSeeOther)
		for _, page := range []string{photoPath(photo), photoPath(photo) + "/remove", surveyPath(photo.Survey) + "/photos"} {
			inert(t, page, w.get(page).wants(http.StatusOK))
		}
	}
}
