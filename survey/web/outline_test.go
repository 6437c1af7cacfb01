package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
)

// rectangle is a survey of a deck 28 by 14 ft whose joists are known.
func (w *site) rectangle() survey.Survey {
	v := w.survey("Larkmoor house")
	w.facts(v.ID, map[string]string{"width": "28'", "projection": "14'", "joist.direction": "y", "joist.spacing": "16", "built_before_1978": "no", "edge.0.surface": "wood", "edge.2.kind": "open"})
	return v
}

// outline does one thing to the outline as the page's form does.
func (w *site) outline(in survey.SurveyID, do string, form url.Values) answer {
	w.t.Helper()
	form.Set("do", do)
	if !form.Has("was") {
		form.Set("was", outlineState(w.record(in)))
	}
	return w.post(surveyPath(in)+"/outline", form)
}

func TestOutlineByForms(t *testing.T) {
	w := newSite(t)
	v := w.rectangle()
	page := w.get(surveyPath(v.ID) + "/plan?side=1").wants(http.StatusOK).page()
	if n := page.Find("svg.outline a.side").Length(); n != 4 {
		t.Fatalf("%d sides can be tapped, want 4", n)
	}
	if got := flat(page.Find("#side h3").Text()); !strings.Contains(got, "14′ 0″ out from the house") {
		t.Errorf("the chosen side is %q", got)
	}

	// An L: the area is 28 × 14 less 10 × 6 = 332 ft², by hand.
	w.outline(v.ID, "jog", url.Values{"index": {"1"}, "f.from": {"8'"}, "f.wide": {""}, "f.deep": {"10'"}, "f.way": {"in"}}).wants(http.StatusSeeOther)
	r := w.record(v.ID)
	if got := r.Facts["outline"].Text; strings.Count(got, "\n") != 5 {
		t.Errorf("the L's corners are %q", got)
	}
	ceiling := survey.Compute(r)
	if ceiling.Plan == nil {
		t.Fatalf("no ceiling under the L: %s %v", ceiling.Refusal, ceiling.Findings)
	}
	page = w.get(surveyPath(v.ID) + "/plan").wants(http.StatusOK).page()
	if n := page.Find("svg.outline a.side").Length(); n != 6 {
		t.Errorf("the L has %d sides", n)
	}

	// A length: the foot of the L is 18 ft wide, 2 ft more.
	w.outline(v.ID, "length", url.Values{"index": {"4"}, "f.length": {"20'"}}).wants(http.StatusSeeOther)
	if got := flat(w.get(surveyPath(v.ID) + "/plan").page().Find(".sides").Text()); !strings.Contains(got, "Side 5, 20′ 0″ along the house") {
		t.Errorf("the sides are %s", got)
	}

	// What a side is.
	w.outline(v.ID, "side", url.Values{"index": {"0"}, "f.edge.0.kind": {"wall"}, "f.edge.0.surface": {"brick"}, "f.edge.0.wall_end": {""}, "f.edge.0.member_drop": {""}}).wants(http.StatusSeeOther)
	if got := w.record(v.ID).Facts["edge.0.surface"].Text; got != "brick" {
		t.Errorf("the house side is %q", got)
	}

	// A stair opening, and away with it.
	w.outline(v.ID, "hole", url.Values{"f.along": {"4'"}, "f.out": {"3'"}, "f.wide": {"3'"}, "f.deep": {"4'"}}).wants(http.StatusSeeOther)
	if in := survey.Assemble(w.record(v.ID)).Input; len(in.Holes) != 1 {
		t.Errorf("the calculator gets %d openings", len(in.Holes))
	}
	w.outline(v.ID, "fill", url.Values{"f.hole": {"hole"}}).wants(http.StatusSeeOther)
	if len(survey.Holes(w.record(v.ID))) != 0 {
		t.Error("the opening is still there")
	}
}

// TestOutlineThatIsRefused: each says what is wrong, keeps what was typed and changes nothing.
func TestOutlineThatIsRefused(t *testing.T) {
	w := newSite(t)
	v := w.rectangle()
	before := outlineState(w.record(v.ID))
	for name, c := range map[string]struct {
		do     string
		form   url.Values
		status int
		says   string
		typed  string
	}{
		"no length":              {"length", url.Values{"index": {"1"}, "f.length": {"wide"}}, 422, "could not be read", "wide"},
		"a jog beyond its side":  {"jog", url.Values{"index": {"1"}, "f.from": {"15'"}, "f.deep": {"2'"}}, 422, "14' 0\" long", "15'"},
		"a jog through the deck": {"jog", url.Values{"index": {"1"}, "f.from": {"4'"}, "f.wide": {"2'"}, "f.deep": {"30'"}}, 422, "cross itself", "30'"},
		"an opening outside":     {"hole", url.Values{"f.along": {"27'"}, "f.out": {"3'"}, "f.wide": {"3'"}, "f.deep": {"4'"}}, 422, "reaches out", "27'"},
		"no corners to take":     {"taped", url.Values{}, 422, "diagonals are needed", ""},
		"nothing to do":          {"paint", url.Values{}, 422, "Nothing is known", ""},
		"an outline of before":   {"length", url.Values{"index": {"1"}, "f.length": {"12'"}, "was": {"{}"}}, 409, "Somebody else", ""},
		"a state of elsewhere":   {"restore", url.Values{"state": {`{"facts":{"price":"1"}}`}}, 422, "cannot be read", ""},
		"a state that crosses":   {"restore", url.Values{"state": {`{"facts":{"outline":"0, 0\n12', 0\n0, 10'\n12', 10'"}}`}}, 422, "cross itself", ""},
	} {
		a := w.outline(v.ID, c.do, c.form)
		if a.Code != c.status {
			t.Errorf("%s: status %d, want %d", name, a.Code, c.status)
			continue
		}
		page := a.page()
		if got := flat(page.Find(".problem").Text()); !strings.Contains(got, c.says) {
			t.Errorf("%s: it says %q, want %q", name, got, c.says)
		}
		if c.typed != "" && page.Find(`input[value="`+c.typed+`"]`).Length() == 0 {
			t.Errorf("%s: %q, which was typed, is lost", name, c.typed)
		}
		if outlineState(w.record(v.ID)) != before {
			t.Fatalf("%s: it changed the outline", name)
		}
	}
}

// TestOutlineIsBroughtBack: a kept state brings back corners, what is known of the sides and the pins that name them.
func TestOutlineIsBroughtBack(t *testing.T) {
	w := newSite(t)
	v := w.rectangle()
	photo := w.photo(v.ID)
	w.pin(survey.Pin{Survey: v.ID, Photo: photo.ID, Kind: survey.PinWall, X: 0.5, Y: 0.5, Values: map[string]string{"edge": "2", "surface": "brick"}})
	before := outlineState(w.record(v.ID))
	w.outline(v.ID, "jog", url.Values{"index": {"1"}, "f.from": {"8'"}, "f.deep": {"10'"}}).wants(http.StatusSeeOther)
	if got := w.record(v.ID).Pins[0].Values["edge"]; got != "4" {
		t.Errorf("after the jog the wall's pin names side %s", got)
	}
	w.outline(v.ID, "restore", url.Values{"state": {before}}).wants(http.StatusSeeOther)
	if got := outlineState(w.record(v.ID)); got != before {
		t.Errorf("it came back as\n%s\nwant\n%s", got, before)
	}
}

func TestZonesAndSquareOnThePlan(t *testing.T) {
	w := newSite(t)
	v := w.demo()
	page := w.get(surveyPath(v.ID) + "/plan").wants(http.StatusOK).page()
	if n := page.Find(`#openings input[type=checkbox]:checked`).Length(); n != 2 {
		t.Fatalf("the demo's ceiling has two zones, both built; %d are ticked", n)
	}
	w.outline(v.ID, "zones", url.Values{"f.zone.z1": {"yes"}}).wants(http.StatusSeeOther)
	r := w.record(v.ID)
	if c := survey.Compute(r); r.Facts["cover"].Text != "z1" || c.Plan == nil || len(c.Plan.Zones) != 1 {
		t.Errorf("after the second zone was left out: %q", r.Facts["cover"].Text)
	}
	page = w.get(surveyPath(v.ID) + "/plan").page()
	if n := page.Find("svg.outline .zone.unbuilt").Length(); n != 1 {
		t.Errorf("%d zones are drawn as not built", n)
	}
	w.facts(v.ID, map[string]string{"square.diagonal-out": `31' 5"`, "square.diagonal-home": `31' 9"`})
	if got := flat(w.get(surveyPath(v.ID) + "/plan").page().Find("#square").Text()); !strings.Contains(got, "of square") || !strings.Contains(got, "3-4-5") {
		t.Errorf("two diagonals that differ say %q", got)
	}
	w.outline(v.ID, "taped", url.Values{}).wants(http.StatusSeeOther)
	if got := w.record(v.ID).Facts["outline"].Text; strings.Count(got, "\n") != 3 {
		t.Errorf("the taped corners are %q", got)
	}
}
