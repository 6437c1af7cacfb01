package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

// stepForm is the form of one question as a browser without script would send it by its main button.
func stepForm(doc *goquery.Document, key string) url.Values {
	form := formOf(doc.Find("#q-" + key + " form"))
	form.Set("f."+survey.LaterKey(key), "")
	return form
}

// walkStep opens the walk list, fills one question's form and sends it. It gives the address that the answer leads to.
func (w *site) walkStep(id survey.SurveyID, key string, fields map[string]string) string {
	w.t.Helper()
	path := surveyPath(id) + "/walk"
	form := stepForm(w.get(path).wants(http.StatusOK).page(), key)
	for name, text := range fields {
		form.Set(name, text)
	}
	return w.post(path, form).wants(http.StatusSeeOther).Header().Get("Location")
}

func openStep(doc *goquery.Document) string {
	return doc.Find("details.step[open]").AttrOr("id", "")
}

func TestWalkListOfANewSurvey(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	doc := w.get(surveyPath(v.ID) + "/walk?saved=new").wants(http.StatusOK).page()
	if got := doc.Find("details.step form").Length(); got != 14 {
		t.Errorf("%d questions with a form, want 14", got)
	}
	if got := doc.Find(".ticks li").Length(); got != 14 || doc.Find(".tallyhead .big").Text() != "14 left" {
		t.Errorf("%d ticks, %q", got, doc.Find(".tallyhead").Text())
	}
	if got := openStep(doc); got != "q-size" {
		t.Errorf("%s is open, want the first", got)
	}
	if got := doc.Find(".bar [aria-current]").Text(); !strings.Contains(got, "Walk") || !strings.Contains(got, "14 questions left") {
		t.Errorf("the current screen is %q", got)
	}
	if got := doc.Find(`.assumed .src`).Length(); got != 6 || doc.Find(`form [name="f.rain.inches_per_hour"], form [name="f.joist.wood"], form [name="f.system"]`).Length() != 0 {
		t.Errorf("%d assumed values are shown, and some are asked", got)
	}
	if got := doc.Find(`.slot`).Length(); got != 11 || doc.Find(".slot.due").Length() != 9 {
		t.Errorf("%d slots, of which %d are the next of their question", got, doc.Find(".slot.due").Length())
	}
}

// TestWalkThroughTheForms: without script, one form a step. A ready answer stands for the field behind it, the joists' step comes back with its sum, and
// each form leads to the next question that is not done.
func TestWalkThroughTheForms(t *testing.T) {
	w := newSite(t)
	id := w.survey("Larkmoor house").ID
	for _, row := range []struct {
		step   string
		fields map[string]string
		to     string
	}{
		{"size", map[string]string{"f.width": "28' 4", "f.projection": "14'"}, "ground"},
		{"ground", map[string]string{"f.means": "scaffold"}, "water"},
		{"right", map[string]string{"f.edge.1.kind": "wall", "f.edge.1.surface": "brick", "f.edge.1.wall_end": "5'"}, "house"},
		{"openings", map[string]string{"f.walk.openings.none": "yes"}, "onwall"},
		{"left", map[string]string{"f.edge.2.kind": "open", "f.edge.3.kind": "open"}, "joists"},
		{"joists", map[string]string{"f.joist.direction": "y", "r.joist.spacing": "16", "r.joist.depth": "other", "f.joist.depth": "9 1/2", "r.joist.first": "16"}, "joists"},
		{"joists", map[string]string{"f.joist.count": "21"}, "header"},
		{"header", map[string]string{"f.walk.header.later": "yes"}, "hangers"},
	} {
		if got, want := w.walkStep(id, row.step, row.fields), surveyPath(id)+"/walk?q="+row.to+"#q-"+row.to; got != want {
			t.Errorf("%s led to %s, want %s", row.step, got, want)
		}
	}
	facts := w.record(id).Facts
	for key, want := range map[string]string{"width": "28' 4", "joist.spacing": "16", "joist.depth": "9 1/2", "joist.first": "16", "joist.count": "21", "edge.1.surface": "brick", "walk.header.later": "yes", "walk.openings.none": "yes"} {
		if got := facts[key].Text; got != want {
			t.Errorf("%s is stored as %q, want %q", key, got, want)
		}
	}
	doc := w.get(surveyPath(id) + "/walk?q=joists").page()
	if got := doc.Find(`#q-joists [name="r.joist.depth"][checked]`).AttrOr("value", ""); got != "other" {
		t.Errorf("a depth of 9 1/2 is shown as %q", got)
	}
	if got := doc.Find("#q-joists .result").Text(); !strings.Contains(got, "21 counted") {
		t.Errorf("the sum says %q", got)
	}
	if doc.Find("#q-header summary .state.later").Length() != 1 || doc.Find("#q-openings summary .state.fine").Length() != 1 || doc.Find("#q-left summary .state.warn").Length() != 1 {
		t.Error("a state is wrong: header put off, openings done, left end's photo missing")
	}
	if to := w.walkStep(id, "openings", map[string]string{"f.walk.openings.none": ""}); w.record(id).Facts["walk.openings.none"].Text != "" {
		t.Errorf("what was looked at cannot be taken back; led to %s", to)
	}
}

// TestWalkAsksAboutTheSum: until somebody has counted, and again when the count differs.
func TestWalkAsksAboutTheSum(t *testing.T) {
	w := newSite(t)
	id := w.survey("Larkmoor house").ID
	w.facts(id, map[string]string{"width": "28' 4", "projection": "14'", "joist.direction": "y", "joist.spacing": "16", "joist.depth": "9 1/4", "joist.first": "16"})
	sum := w.get(surveyPath(id) + "/walk?q=joists").page().Find("#q-joists .result")
	if got := strings.ReplaceAll(sum.Text(), "\u00a0", " "); !strings.Contains(got, "21 joists and two rims fit 28′ 4″. Count them: do you see 21?") {
		t.Errorf("the sum says %q", got)
	}
	if got := sum.Find(`button[name="f.joist.count"]`).AttrOr("value", ""); got != "21" {
		t.Errorf("the button answers %q", got)
	}
	w.facts(id, map[string]string{"joist.count": "20"})
	sum = w.get(surveyPath(id) + "/walk?q=joists").page().Find("#q-joists .result")
	if sum.Find(".state.warn").Length() != 1 || !strings.Contains(sum.Text(), "you counted 20") {
		t.Errorf("a count that differs says %q", sum.Text())
	}
}

// TestWalkSlots: one photo fills two slots; what is no photo's id is refused and said; a photo that is not there leaves the slot empty.
func TestWalkSlots(t *testing.T) {
	w := newSite(t)
	id := w.survey("Larkmoor house").ID
	photo := w.photo(id)
	w.walkStep(id, "size", map[string]string{"f.slot.yard": string(photo.ID)})
	w.walkStep(id, "left", map[string]string{"f.slot.left": string(photo.ID)})
	w.walkStep(id, "right", map[string]string{"f.slot.right": survey.NewID()})
	path := surveyPath(id) + "/walk"
	doc := w.get(path).page()
	for key, filled := range map[string]bool{"yard": true, "left": true, "right": false, "ground": false} {
		slot := doc.Find(`[data-slot="slot.` + key + `"]`)
		if got := slot.Find("img").Length() == 1 && !slot.HasClass("empty"); got != filled {
			t.Errorf("%s: filled %v, want %v", key, got, filled)
		}
	}
	if got := doc.Find(".tallyhead").Text(); !strings.Contains(got, "2 of 11 photos") {
		t.Errorf("the head says %q", got)
	}
	form := stepForm(doc, "ground")
	form.Set("f.slot.ground", "no photo")
	form.Set("f.means", "lift")
	doc = w.post(path, form).wants(http.StatusUnprocessableEntity).page()
	if got := doc.Find("#q-ground .bad").Length(); got != 1 || openStep(doc) != "q-ground" || doc.Find(`#q-ground [name="f.means"][value="lift"][checked]`).Length() != 1 {
		t.Errorf("%d bad fields in %s; what was chosen is kept: %v", got, openStep(doc), doc.Find(`#q-ground [value="lift"][checked]`).Length())
	}
}

// TestWalkKeepsWhatWasTyped: a length that cannot be read comes back with what is wrong; nothing of the step is saved.
func TestWalkKeepsWhatWasTyped(t *testing.T) {
	w := newSite(t)
	id := w.survey("Larkmoor house").ID
	path := surveyPath(id) + "/walk"
	form := stepForm(w.get(path).page(), "size")
	form.Set("f.width", "wide")
	form.Set("f.projection", "14'")
	doc := w.post(path, form).wants(http.StatusUnprocessableEntity).page()
	if got := doc.Find(`#q-size [name="f.width"]`); got.AttrOr("value", "") != "wide" || got.AttrOr("aria-invalid", "") != "true" {
		t.Error("what was typed is lost, or not marked")
	}
	if got := doc.Find(".problem a").AttrOr("href", ""); got != "#c-f-width" || len(w.record(id).Facts) != 0 {
		t.Errorf("the problem leads to %q; stored %v", got, w.record(id).Facts)
	}
	w.post(path, url.Values{"step": {"attic"}}).wants(http.StatusUnprocessableEntity)
	w.get("/surveys/" + survey.NewID() + "/walk").wants(http.StatusNotFound)
}

// TestTwoPeopleWalk: another answer meanwhile is shown beside one's own, in the question that is open; the same answer is no conflict.
func TestTwoPeopleWalk(t *testing.T) {
	w := newSite(t)
	id := w.survey("Larkmoor house").ID
	path := surveyPath(id) + "/walk"
	mine := stepForm(w.get(path).page(), "ground")
	w.facts(id, map[string]string{"means": "lift"})
	mine.Set("f.means", "ladder")
	doc := w.post(path, mine).wants(http.StatusConflict).page()
	if two := doc.Find("#q-ground fieldset.two"); two.Length() != 1 || !strings.Contains(two.Text(), "Ladders") || !strings.Contains(two.Text(), "Lift") {
		t.Fatalf("the two answers are not shown: %q", doc.Find("#q-ground").Text())
	}
	again := stepForm(doc, "ground")
	again.Set("pick.means", "mine")
	w.post(path, again).wants(http.StatusSeeOther)
	if got := w.record(id).Facts["means"].Text; got != "ladder" {
		t.Errorf("stored %q", got)
	}
	same := stepForm(w.get(path).page(), "ground")
	w.facts(id, map[string]string{"means": "scaffold"})
	same.Set("f.means", "scaffold")
	w.post(path, same).wants(http.StatusSeeOther)
}

// TestWalkListOfTheDemo: what the demo's pins and facts answer is done, with its gist; its one gap is that nobody took the ground's clearance.
func TestWalkListOfTheDemo(t *testing.T) {
	w := newSite(t)
	id := w.demo().ID
	doc := w.get(surveyPath(id) + "/walk").page()
	for key, want := range map[string]string{"size": "28′ 4″ · 14′ 0″", "right": "wall · brick", "level": "levels: 4", "hangers": "hangers and brackets: 23", "overhead": "things overhead: 1"} {
		if got := strings.ReplaceAll(doc.Find("#q-"+key+" summary .say").Text(), "\u00a0", " "); !strings.Contains(got, want) {
			t.Errorf("%s says %q, want %q", key, got, want)
		}
	}
	if got := doc.Find("#q-ground .wants .state").Text(); got != "pinned: 0 of 1" {
		t.Errorf("the clearance says %q", got)
	}
}
