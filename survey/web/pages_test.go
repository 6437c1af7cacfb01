package web

import (
	"strings"
	"testing"
	"time"

	"github.com/jba/templatecheck"

	"undercroft/survey"
	"undercroft/templates"
)

// samples are full data for every page: each field filled, so that every branch that a value opens is executed.
func samples() map[string]any {
	base := basePage{
		Title: "Title", House: "Larkmoor house", HouseSize: "28′ 4″ × 14′ 0″ deck", SurveyID: "0198f0a0-0000-7000-8000-000000000001",
		Nav:      []navItem{{Href: "/surveys/1", Label: "Photos", Short: "Photos", Icon: "photos", Count: 3, CountOf: "photos", Alarm: true, Current: true}},
		BackHref: "/surveys", BackLabel: "All surveys", Now: time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC),
	}
	outside := basePage{Title: "Title", Now: base.Now}
	source := sourceView{Kind: "taped", Words: "taped · pin 51, photo 3", Href: "/surveys/1#p51"}
	field := newFieldView(survey.Field{Key: "width", Label: "Deck width", Hint: "along the house", Unit: "in", Type: survey.TypeLength, Required: true, Assumed: "28'"}, "f.width", "width")
	field.setText("28' 4")
	field.Source, field.WasName, field.Was = source, "was.width", "28'"
	field.Dispute = stateView{weightWarn, "they disagree"}
	field.Candidates = []candidateView{{Letter: "A", Read: "28′ 4″", Choice: "typed", Source: source, Used: true}, {Letter: "B", Read: "28′ 5″", Choice: "x", Source: source}}
	wrong := newFieldView(survey.Field{Key: "projection", Label: "Projection", Type: survey.TypeLength}, "f.projection", "projection")
	wrong.setText("14'' 0")
	exact := newFieldView(survey.Field{Key: "base", Label: "Base", Type: survey.TypeLength}, "f.base", "base")
	exact.setText("235 mm")
	seg := newFieldView(survey.Field{Key: "kind", Label: "Kind", Hint: "hint", Type: survey.TypeYesNo, Required: true}, "f.kind", "")
	seg.setText("yes")
	pick := newFieldView(survey.Field{Key: "wood", Label: "Wood", Type: survey.TypeChoice, Options: []survey.Option{{Value: "a", Label: "Spruce-pine-fir"}, {Value: "b", Label: "Redwood"}}}, "f.wood", "")
	pick.setText("a")
	area := newFieldView(survey.Field{Key: "outline", Label: "Outline", Type: survey.TypeCorners}, "f.outline", "outline")
	area.setText("0, 0\n1', 0\n0, 1'")
	clash := field
	clash.Conflict, clash.PickName, clash.Pick, clash.TextLabel, clash.WasLabel, clash.TheirsWhen = true, "pick.width", "mine", "28′ 4″", "28′", "today 9:40"
	fields := []fieldView{field, wrong, exact, seg, pick, area, clash}
	problem := problemView{weightStop, "Some fields need another look.", problems(fields)}
	caution := cautionView{Weight: weightWarn, Head: "Head.", Body: "Body.", Rule: "rule x", Actions: []action{{"/surveys", "Open"}}}
	return map[string]any{
		"surveys": surveysPage{basePage: outside, Query: "lark", Total: 2, Surveys: []surveyRow{
			{Href: "/surveys/1", Title: "Larkmoor house", Address: "14 Larkmoor lane", Size: "28′ 4″ × 14′ 0″", State: stateView{weightFine, "recorded"}, Photos: 1, Pins: 2, ChangedAt: base.Now, DrawX: 4, DrawW: 64, DrawH: 31},
			{Href: "/surveys/2", Title: "Orchard row", Size: "not measured yet", State: stateView{weightNote, "started"}, ChangedAt: base.Now}}},
		"newsurvey": newSurveyPage{basePage: outside, ID: base.SurveyID, Problem: problem, Made: &caution, Fields: fields},
		"deck": deckPage{basePage: base, SiteAction: "/s", DeckAction: "/d", SiteUnsaved: true, DeckUnsaved: true, SiteSaved: "Saved.", DeckSaved: "Saved.", Problem: problem,
			Needed: stateView{weightWarn, "2 answers still needed"}, Site: fields, Last: 2,
			Groups: []fieldGroup{{Number: 2, Title: "Walls", Aside: "2 needed", Fields: fields, Sides: []sideGroup{{Title: "House side", Fields: fields}}}}},
		"failure": failurePage{basePage: outside, Head: "Head", What: "What", Safe: "Safe", Fields: []problemField{{"c-1", "width", "wrong"}}, Actions: []action{{"/surveys", "Surveys"}}, Request: "ABC"},
	}
}

func TestEveryPageFitsItsStructAndRuns(t *testing.T) {
	set, err := templates.Load()
	if err != nil {
		t.Fatal(err)
	}
	data := samples()
	for _, page := range set.Pages() {
		t.Run(page, func(t *testing.T) {
			sample, ok := data[page]
			if !ok {
				t.Fatal("this page has no sample: add one")
			}
			if err := templatecheck.CheckHTML(set.Template(page), sample); err != nil {
				t.Error(err)
			}
			body, err := set.Render(page, sample)
			if err != nil {
				t.Fatal(err)
			}
			for _, bad := range []string{"<no value>", "ZgotmplZ", " style=", " onclick", "<style", "<script>"} {
				if strings.Contains(string(body), bad) {
					t.Errorf("the page contains %q", bad)
				}
			}
		})
	}
}
