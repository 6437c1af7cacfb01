package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/survey"
)

func TestCoverPage(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	w.photo(v.ID)
	path := surveyPath(v.ID) + "/cover"
	doc := w.get(path).wants(http.StatusOK).page()
	questions := survey.CoverQuestions()
	if got := doc.Find("form#cover .cov > li").Length(); got != len(questions) {
		t.Fatalf("%d questions on the page, want %d", got, len(questions))
	}
	for _, q := range questions {
		if got := doc.Find(`[name="f.` + q.Key + `"][type=radio]`); got.Length() != 3 || got.Filter("[checked]").Length() != 0 {
			t.Errorf("%s: %d answers, %d of them chosen", q.Key, got.Length(), got.Filter("[checked]").Length())
		}
	}
	form := formOf(doc.Find("form#cover"))
	form.Set("f.cover.rot", "yes")
	form.Set("f.cover.rot.photo", "1")
	form.Set("f.cover.ledger-flashing", "not-seen")
	form.Set("f.around.hot-tub", "not-seen")
	if to := w.post(path, form).wants(http.StatusSeeOther).Header().Get("Location"); to != path+"?saved=cover" {
		t.Errorf("led to %q", to)
	}
	facts := w.record(v.ID).Facts
	if len(facts) != 4 || facts["cover.rot"].Text != "yes" || facts["cover.rot.photo"].Text != "1" || facts["around.hot-tub"].Text != "not-seen" {
		t.Errorf("stored %v", facts)
	}
	doc = w.get(path + "?saved=cover").page()
	rot := doc.Find(`[name="f.cover.rot"]`).First().Closest("li")
	if rot.Find(".caut.warn").Length() != 1 || !strings.Contains(rot.Find(".caut").Text(), "IRC R317") || rot.Find(".shot img").Length() != 1 {
		t.Errorf("the row of rot says %q", rot.Text())
	}
	if got := doc.Find(".done[role=status]").Text(); !strings.Contains(got, "saved") {
		t.Errorf("the page does not confirm: %q", got)
	}
	if got := doc.Find(".tally").Text(); !strings.Contains(got, "3 to check") || !strings.Contains(got, "15 not answered") {
		t.Errorf("the tally says %q", got)
	}
	deck := w.get(surveyPath(v.ID)).page()
	if got, _ := deck.Find(`[name="f.around.hot-tub"] option[selected]`).Attr("value"); got != "not-seen" {
		t.Errorf("Site and deck has the answer %q: the two pages share one fact", got)
	}
}

// TestLookedAtAGroup: the button answers no to what is open in its group, keeps what was answered otherwise, and leaves the other groups alone.
func TestLookedAtAGroup(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	w.facts(v.ID, map[string]string{"cover.hangers": "not-seen"})
	path := surveyPath(v.ID) + "/cover"
	doc := w.get(path).page()
	button := doc.Find(`button[name=looked]`).FilterFunction(func(_ int, b *goquery.Selection) bool { return b.AttrOr("value", "") == "Ledger and framing" })
	if got := button.Text(); got != "No to the last 4: I looked" {
		t.Fatalf("the button says %q", got)
	}
	form := formOf(doc.Find("form#cover"))
	form.Set("f.cover.rot", "yes")
	form.Set("f.cover.gas", "no")
	form.Set("looked", "Ledger and framing")
	w.post(path, form).wants(http.StatusSeeOther)
	for _, q := range survey.CoverQuestions() {
		want := map[string]string{"cover.hangers": "not-seen", "cover.rot": "yes", "cover.gas": "no"}[q.Key]
		if want == "" && q.Group == "Ledger and framing" {
			want = "no"
		}
		if got := w.record(v.ID).Facts[q.Key].Text; got != want {
			t.Errorf("%s: stored %q, want %q", q.Key, got, want)
		}
	}
	if got := w.get(path).page().Find(`button[name=looked][value="Ledger and framing"]`).Length(); got != 0 {
		t.Error("the button is still there")
	}
}

func TestTwoPeopleAnswer(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID) + "/cover"
	mine, theirs := formOf(w.get(path).page().Find("form#cover")), formOf(w.get(path).page().Find("form#cover"))
	theirs.Set("f.cover.rot", "yes")
	theirs.Set("f.cover.gas", "no")
	w.post(path, theirs).wants(http.StatusSeeOther)
	mine.Set("f.cover.rot", "no")
	mine.Set("f.cover.hangers", "no")
	doc := w.post(path, mine).wants(http.StatusConflict).page()
	two := doc.Find("fieldset.two")
	if two.Length() != 1 || !strings.Contains(two.Text(), "Yes") || !strings.Contains(two.Text(), "No") {
		t.Fatalf("the two answers are not shown: %q", two.Text())
	}
	if w.record(v.ID).Facts["cover.hangers"].Text != "" {
		t.Error("a conflict saved something")
	}
	again := formOf(doc.Find("form#cover"))
	again.Set("pick.cover.rot", "theirs")
	w.post(path, again).wants(http.StatusSeeOther)
	if f := w.record(v.ID).Facts; f["cover.rot"].Text != "yes" || f["cover.hangers"].Text != "no" || f["cover.gas"].Text != "no" {
		t.Errorf("stored %v", f)
	}
}

func TestCoverRefusesWhatIsNoAnswer(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID) + "/cover"
	form := formOf(w.get(path).page().Find("form#cover"))
	form.Set("f.cover.rot", "perhaps")
	form.Set("f.cover.gas", "no")
	doc := w.post(path, form).wants(http.StatusUnprocessableEntity).page()
	if doc.Find("fieldset.bad").Length() != 1 || len(w.record(v.ID).Facts) != 0 {
		t.Errorf("%d fields are marked; stored %v", doc.Find("fieldset.bad").Length(), w.record(v.ID).Facts)
	}
	if _, ok := doc.Find(`[name="f.cover.gas"][value=no]`).Attr("checked"); !ok {
		t.Error("the other answer is lost")
	}
	w.get("/surveys/" + survey.NewID() + "/cover").wants(http.StatusNotFound)
}

// TestAFlueStopsTheCrew: on top of the page and in its row, until its pin says that it is moved.
func TestAFlueStopsTheCrew(t *testing.T) {
	w := newSite(t)
	id := w.demo().ID
	r := w.record(id)
	flue := w.pin(survey.Pin{Survey: id, Photo: r.Photos[0].ID, Kind: survey.PinFixture, X: 0.5, Y: 0.5, Values: map[string]string{"sort": "flue", "state": "existing", "at": "wall", "drop": "1"}})
	doc := w.get(surveyPath(id) + "/cover").wants(http.StatusOK).page()
	if got := doc.Find(".blocked").Text(); !strings.Contains(got, "would end above the ceiling") {
		t.Errorf("the top says %q", got)
	}
	row := doc.Find(`[name="f.cover.flue"]`).First().Closest("li")
	if href := row.Find(".caut.stop .btn").AttrOr("href", ""); !strings.HasSuffix(href, "#p"+strconv.Itoa(flue.Number)) {
		t.Errorf("its row leads to %q", href)
	}
	flue.Values["state"] = "moved"
	if _, err := w.store.PutPin(t.Context(), flue); err != nil {
		t.Fatal(err)
	}
	if got := w.get(surveyPath(id) + "/cover").page().Find(".blocked").Length(); got != 0 {
		t.Error("a flue that is to be moved still stops the crew")
	}
}

func TestNavigationNamesTheNewScreens(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	doc := w.get(surveyPath(v.ID) + "/leave").wants(http.StatusOK).page()
	var rail, bar, more []string
	doc.Find(".nav > a").Each(func(_ int, a *goquery.Selection) { rail = append(rail, strings.TrimSpace(a.Contents().First().Text())) })
	doc.Find(".bar > a").Each(func(_ int, a *goquery.Selection) { bar = append(bar, strings.TrimSpace(a.Contents().Eq(1).Text())) })
	doc.Find(".bar .morelist a").Each(func(_ int, a *goquery.Selection) { more = append(more, a.AttrOr("href", "")) })
	if want := []string{"Walk", "Photos", "Ceiling", "Leave"}; !slices.Equal(bar, want) || len(more) != 8 {
		t.Errorf("the bottom bar has %q and %d under More, want %q and 8: five in the bar with More", bar, len(more), want)
	}
	if len(rail) != len(bar)+len(more) {
		t.Errorf("the rail has %q", rail)
	}
	if got := doc.Find(`.nav a[aria-current]`).Text(); !strings.Contains(got, "Before you leave") || !strings.Contains(got, "to settle or check") {
		t.Errorf("the current screen is %q", got)
	}
}
