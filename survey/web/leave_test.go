package web

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

func TestLeavePageOfAnEmptySurvey(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	doc := w.get(surveyPath(v.ID) + "/leave").wants(http.StatusOK).page()
	if got := doc.Find(".verdict .big").Text(); got != "Not yet." {
		t.Errorf("the verdict is %q", got)
	}
	stops := doc.Find(".caut.stop")
	check := survey.Leave(w.record(v.ID), survey.Compute(w.record(v.ID)))
	if stops.Length() != check.Count(survey.SeverityMissing) || stops.Length() < 5 {
		t.Errorf("%d stops on the page, want %d", stops.Length(), check.Count(survey.SeverityMissing))
	}
	if doc.Find(".caut .btn[href]").Length() != doc.Find(".caut").Length() {
		t.Error("something leads nowhere")
	}
	for _, href := range doc.Find(".caut .btn").Map(func(_ int, a *goquery.Selection) string { return a.AttrOr("href", "") }) {
		page, anchor, _ := strings.Cut(href, "#")
		target := w.get(page).wants(http.StatusOK).page()
		if anchor != "" && target.Find("#"+anchor).Length() != 1 {
			t.Errorf("%s names no place on its page", href)
		}
	}
	if doc.Find(".inorder").Length() != 0 {
		t.Error("something of an empty survey is called in order")
	}
	id := w.demo().ID
	full := survey.Leave(w.record(id), survey.Compute(w.record(id)))
	if got := w.get(surveyPath(id) + "/leave").page().Find(".inorder li").Length(); got != len(full.Fine) || got == 0 {
		t.Errorf("%d things in order on the page, want %d", got, len(full.Fine))
	}
}

// TestReadyForTheCrew marks a survey ready although something stops, looks for it in the report, changes something, and takes the mark back.
func TestReadyForTheCrew(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID)
	form := formOf(w.get(path + "/leave").page().Find("#ready form"))
	form.Set("f.by", "J. Fenn")
	doc := w.post(path+"/ready", form).wants(http.StatusUnprocessableEntity).page()
	if doc.Find(`[name="f.reason"][aria-invalid=true]`).Length() != 1 || doc.Find(`[name="f.by"]`).AttrOr("value", "") != "J. Fenn" {
		t.Error("the missing reason is not marked, or the name is lost")
	}
	form.Set("f.reason", "The rest is taped on Monday.")
	w.post(path+"/ready", form).wants(http.StatusSeeOther)
	doc = w.get(path + "/leave?saved=ready").page()
	if got := doc.Find("#ready").Text(); !strings.Contains(got, "Marked ready by J. Fenn") || !strings.Contains(got, "Although: The rest is taped on Monday.") || strings.Contains(got, "Changed since") {
		t.Errorf("the page says %q", got)
	}
	cover := func() string { return w.get(path + "/report").page().Find(".cover").Text() }
	if got := cover(); !strings.Contains(got, "Marked ready for the crew by J. Fenn") || !strings.Contains(got, "Although: The rest is taped on Monday.") {
		t.Errorf("the report's cover says %q", got)
	}

	w.now = w.now.Add(time.Minute)
	w.facts(v.ID, map[string]string{"width": "28'"})
	if got := w.get(path + "/leave").page().Find("#ready").Text(); !strings.Contains(got, "Changed since") {
		t.Errorf("after a change the page says %q", got)
	}
	if got := cover(); !strings.Contains(got, "changed since") {
		t.Errorf("after a change the report says %q", got)
	}
	form.Set("f.reason", "Still on Monday.")
	w.post(path+"/ready", form).wants(http.StatusConflict) // the form is from before the change
	w.now = w.now.Add(time.Minute)
	form = formOf(w.get(path + "/leave").page().Find("#ready form").Last())
	w.post(path+"/ready", form).wants(http.StatusSeeOther)
	if got := w.record(v.ID).Readiness(); got.Changed || !got.At.Equal(w.now) || got.Reason != "The rest is taped on Monday." {
		t.Errorf("marked anew: %+v", got)
	}
	w.post(path+"/ready", formOf(w.get(path+"/leave").page().Find("#ready form").First())).wants(http.StatusSeeOther)
	if got := w.record(v.ID).Readiness(); got.Marked {
		t.Errorf("taken back: %+v", got)
	}
	if got := cover(); strings.Contains(got, "Marked ready") {
		t.Errorf("the report still says %q", got)
	}
}

// TestReadyNeedsNoReasonWhenNothingStops: the form asks for none, and one that is sent is not kept.
func TestReadyNeedsNoReasonWhenNothingStops(t *testing.T) {
	w := newSite(t)
	id := w.demo().ID
	path := surveyPath(id)
	r := w.record(id)
	texts := map[string]string{"built_before_1978": "no", "edge.0.surface": "fiber-cement"}
	for _, q := range survey.CoverQuestions() {
		texts[q.Key] = "no"
	}
	w.facts(id, texts)
	w.pin(survey.Pin{Survey: id, Photo: r.Photos[0].ID, Kind: survey.PinWater, X: 0.5, Y: 0.5, Values: map[string]string{"what": "discharge"}})
	w.pin(survey.Pin{Survey: id, Photo: r.Photos[0].ID, Kind: survey.PinLevel, X: 0.4, Y: 0.5, Values: map[string]string{"x": "10", "y": "10", "height": "106"}})
	doc := w.get(path + "/leave").page()
	if n := doc.Find(".caut.stop").Length(); n != 0 {
		t.Fatalf("%d stops: %s", n, doc.Find(".caut.stop").Text())
	}
	if got := doc.Find(".verdict .big").Text(); got != "You can leave." {
		t.Errorf("the verdict is %q", got)
	}
	form := formOf(doc.Find("#ready form"))
	if form.Has("f.reason") {
		t.Error("a reason is asked for")
	}
	form.Set("f.by", "J. Fenn")
	form.Set("f.reason", "none needed")
	w.post(path+"/ready", form).wants(http.StatusSeeOther)
	if got := w.record(id).Readiness(); !got.Marked || got.Reason != "" {
		t.Errorf("got %+v", got)
	}
}

func TestReportTellsWhatWillBeCovered(t *testing.T) {
	w := newSite(t)
	for _, id := range []survey.SurveyID{w.survey("Bare house").ID, w.demo().ID} {
		w.facts(id, map[string]string{"cover.rot": "yes", "cover.ledger-flashing": "not-seen", "cover.gas": "no", "cover.flue": "", "cover.exhaust": ""})
		got := w.get(surveyPath(id) + "/report").wants(http.StatusOK).page().Find("#cover").Text()
		for _, want := range []string{"Rotten wood holds neither", "Rot or soft wood: yes", "Ledger flashing missing or doubtful: not seen", "Looked for and not foundGas pipe", "Nobody has answeredFlue or direct vent"} {
			if !strings.Contains(got, want) {
				t.Errorf("the report lacks %q: %q", want, got)
			}
		}
	}
}

// TestCoverAndLeaveOnAPhone opens both pages and the menu at 360 px and on a desk, bare and full.
func TestCoverAndLeaveOnAPhone(t *testing.T) {
	w := newSite(t)
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	demo := w.demo().ID
	w.facts(demo, map[string]string{"cover.flue": "yes", "cover.rot": "yes", "cover.rot.photo": "1"})
	b := browser.Open(t)
	for _, width := range []int64{360, 1280} {
		tab := b.Tab(width, 740, width < 900)
		for _, id := range []survey.SurveyID{demo, w.survey("A house with a name that is rather long").ID} {
			for _, page := range []string{"/cover", "/leave"} {
				tab.Go(server.URL + surveyPath(id) + page)
				if width < 900 {
					tab.Press(".bar .more > summary")
					tab.Wait(`document.querySelector('.bar .morelist a').checkVisibility()`)
				}
				if got := browser.Eval[int64](tab, "document.documentElement.scrollWidth"); got > width {
					t.Errorf("%s is %d px wide in a window of %d", page, got, width)
				}
				if small := browser.Eval[string](tab, smallTargets); small != "" {
					t.Errorf("%s at %d px: too small to press: %s", page, width, small)
				}
			}
		}
	}
	tab := b.Tab(360, 740, true)
	tab.NoScript()
	id := w.survey("No script").ID
	tab.Go(server.URL + surveyPath(id) + "/cover")
	tab.Press(`button[name=looked]`)
	tab.Wait(`document.querySelector('.done')`)
	if got := w.record(id).Facts["cover.flue"].Text; got != "no" {
		t.Errorf("without scripts the group's button saved %q", got)
	}
}
