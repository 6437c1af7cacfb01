package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
)

// Without script a row of hangers is one answer, too: the server fills in its ends. What cannot be a row comes back with its reason beside the field.
func TestRowByForm(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor house").ID)
	w.facts(photo.Survey, map[string]string{"width": "28' 4", "projection": "14'", "joist.direction": "y", "joist.spacing": "16", survey.FirstJoist: "16"})
	p := w.pin(survey.Pin{Survey: photo.Survey, Photo: photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5})
	form := func(version string, more ...string) url.Values {
		sent := url.Values{"version": {version}, "v.drop": {"1/16"}, "v.wx": {"1 5/8"}, "v.wy": {"2"}, "v.row_at": {survey.AtLedger}, "at.x": {percentText(p.X)}, "at.y": {percentText(p.Y)}}
		for i := 0; i+1 < len(more); i += 2 {
			sent.Set(more[i], more[i+1])
		}
		return sent
	}
	page := w.get(photoPath(photo) + "?pin=" + string(p.ID)).page().Find(`[data-part="form"]`)
	if labels := page.Find(`.rowat .seg label`).Length(); labels != 4 || page.Find(`[name="v.row_at"][value=""]`).AttrOr("checked", "-") == "-" {
		t.Errorf("a row has %d answers", labels)
	}
	w.post(pinPath(p), form("1")).wants(http.StatusSeeOther)
	saved, _ := w.record(photo.Survey).Pin(p.ID)
	if row, ok := saved.Row(); !ok || row.String() != "joists 1 to 21 along the ledger" || saved.Count() != 21 {
		t.Fatalf("saved %v", saved.Values)
	}
	doc := w.get(photoPath(photo) + "?pin=" + string(p.ID)).page()
	if text := doc.Find(".plist").Text(); !strings.Contains(text, "×21 · joists 1 to 21 along the ledger") {
		t.Errorf("the list says %q", text)
	}
	if text := doc.Find(`[data-part="form"] [data-fresh="where"]`).Text(); !strings.Contains(text, "One pin, 21 of them") {
		t.Errorf("the form says %q", text)
	}
	if line := doc.Find(`[data-part="form"] .field:has([name="v.pm"]) .read .say`).Text(); line != "assumed 3/8″ until it is said" {
		t.Errorf("how well the row is known: %q", line)
	}

	back := w.post(pinPath(p), form("2", "v.row_from", "9", "v.row_to", "4", "v.row_out", "2")).wants(http.StatusUnprocessableEntity).page()
	if text := back.Find(`.field:has([name="v.row_to"]) .read`).First().Text(); !strings.Contains(text, "write 9 or more") {
		t.Errorf("the last joist before the first: %q", text)
	}
	if back.Find(`[name="v.row_out"]`).AttrOr("value", "") != "2" {
		t.Error("what was typed is lost")
	}
	w.post(pinPath(p), form("2", "v.row_from", "1", "v.row_to", "21", "v.row_out", "14 and 15")).wants(http.StatusUnprocessableEntity)
	w.post(pinPath(p), form("2", "v.row_from", "1", "v.row_to", "21", "v.row_out", "15, 14")).wants(http.StatusSeeOther)
	if saved, _ = w.record(photo.Survey).Pin(p.ID); saved.Count() != 19 {
		t.Errorf("saved %v", saved.Values)
	}
}

// A first joist that cannot be right is asked about on the walk list, and may stand.
func TestFirstJoistIsAskedAbout(t *testing.T) {
	w := newSite(t)
	id := w.survey("Larkmoor house").ID
	send := func(more ...string) answer {
		sent := url.Values{"step": {"joists"}, "r." + survey.FirstJoist: {"other"}, "f." + survey.FirstJoist: {"16'"}, "was." + survey.FirstJoist: {""}}
		for i := 0; i+1 < len(more); i += 2 {
			sent.Set(more[i], more[i+1])
		}
		return w.post(surveyPath(id)+"/walk", sent)
	}
	page := send().wants(http.StatusUnprocessableEntity).page()
	if text := page.Find(`.check-length b`).First().Text(); !strings.Contains(text, "16′\u00a00″: or 1′\u00a04″?") {
		t.Errorf("the question is %q", text)
	}
	send("right.f."+survey.FirstJoist, "16'").wants(http.StatusSeeOther)
	if got := w.record(id).Facts[survey.FirstJoist].Text; got != "16'" {
		t.Errorf("saved %q", got)
	}
}
