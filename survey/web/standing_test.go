package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

// titlesOf are the houses of the rows, in their order.
func (a answer) titlesOf() []string {
	a.t.Helper()
	rows := a.wants(http.StatusOK).page().Find(".list li b")
	list := make([]string, rows.Length())
	for i := range list {
		list[i] = rows.Eq(i).Text()
	}
	return list
}

// choicesOf are the links of a row of choices with their counts; the one that holds has a star.
func (a answer) choicesOf(label string) []string {
	a.t.Helper()
	links := a.page().Find(`nav[aria-label="` + label + `"] a`)
	list := make([]string, links.Length())
	for i := range list {
		list[i] = plainText(links.Eq(i))
		if links.Eq(i).AttrOr("aria-current", "") != "" {
			list[i] += "*"
		}
	}
	return list
}

// TestSurveysByStateAndWaits: one survey in each of a few states, found by state, by what waits for whom, by every text that is searched, and in every order.
func TestSurveysByStateAndWaits(t *testing.T) {
	w := newSite(t)
	house := w.offered() // issued, without a link
	at := w.link(house.ID, 1)
	w.now = w.now.Add(time.Hour)
	draft := w.survey("Orchard row 5")
	draft.Address, draft.Client, draft.Contact, draft.VisitDate = "5 Mill lane", "B. Fenn", "555-0134", "2026-06-01"
	if _, err := w.store.UpdateSurvey(t.Context(), draft); err != nil {
		t.Fatal(err)
	}
	w.now = w.now.Add(time.Hour)
	ready := w.survey("Birch cottage")
	w.facts(ready.ID, map[string]string{"ready": "now", "ready.by": "Ana", "ready.reason": "x"})

	all := w.get("/surveys")
	if diff := cmp.Diff([]string{"Birch cottage", "Orchard row 5", "Larkmoor house"}, all.titlesOf()); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"All3*", "On site1", "Ready1", "With homeowner1"}, all.choicesOf("State")); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"surveyor1", "installer1", "homeowner1"}, all.choicesOf("Waits for")); diff != "" {
		t.Error(diff)
	}
	for path, want := range map[string][]string{
		"/surveys?state=draft":                 {"Orchard row 5"},
		"/surveys?state=issued":                {"Larkmoor house"},
		"/surveys?state=nonsense&sort=upwards": {"Birch cottage", "Orchard row 5", "Larkmoor house"},
		"/surveys?waits=homeowner":             {"Larkmoor house"},
		"/surveys?waits=installer":             {"Birch cottage"},
		"/surveys?waits=office":                {},
		"/surveys?sort=title":                  {"Birch cottage", "Larkmoor house", "Orchard row 5"},
		"/surveys?sort=visit":                  {"Orchard row 5", "Birch cottage", "Larkmoor house"},
		"/surveys?q=mill+ROW":                  {"Orchard row 5"},
		"/surveys?q=fenn":                      {"Orchard row 5"},
		"/surveys?q=0134":                      {"Orchard row 5"},
		"/surveys?q=house&state=draft":         {},
	} {
		if diff := cmp.Diff(want, w.get(path).titlesOf()); diff != "" {
			t.Errorf("%s: %s", path, diff)
		}
	}
	form := formOf(w.get("/surveys?state=draft&sort=title&waits=surveyor&q=row").page().Find(`form[role=search]`))
	if diff := cmp.Diff(url.Values{"q": {"row"}, "state": {"draft"}, "sort": {"title"}, "waits": {"surveyor"}}, form); diff != "" {
		t.Errorf("the form keeps %s", diff)
	}

	question := w.get(at).form(`#questions form`)
	question.Set("question", "Which color?")
	w.post(at+"/ask", question).wants(http.StatusSeeOther)
	approve := w.get(at).form(approveForm)
	approve.Set("name", "J. Quill")
	w.post(at+"/decide", approve).wants(http.StatusSeeOther)
	row := plainText(w.get("/surveys?state=approved").wants(http.StatusOK).page().Find(".list li"))
	for _, want := range []string{"revision 1 approved", "installer: review before arriving", "office: answer 1 question of the homeowner"} {
		if !strings.Contains(row, want) {
			t.Errorf("the approved survey: %s, want %q", row, want)
		}
	}
	w.now = w.now.Add(time.Hour)
	w.facts(house.ID, map[string]string{"fall.per_foot": `1/4"`})
	row = plainText(w.get("/surveys?state=changed").wants(http.StatusOK).page().Find(".list li"))
	if !strings.Contains(row, "changed since approval") || !strings.Contains(row, "office: issue a new revision") {
		t.Errorf("the changed survey: %s", row)
	}
}

// TestEveryWaitHasWords: every state has a name, and everything that is waited for is said.
func TestEveryWaitHasWords(t *testing.T) {
	for _, s := range append(survey.States(), stateDue) {
		if stateLabel(s) == "" {
			t.Errorf("%s has no name", s)
		}
	}
	words := map[string]bool{}
	for _, w := range []survey.WaitKind{survey.WaitFinishSurvey, survey.WaitSettle, survey.WaitAnswerCrew, survey.WaitReview, survey.WaitDecide, survey.WaitSignOff, survey.WaitAnswer, survey.WaitSend,
		survey.WaitReissue, survey.WaitFollowUp} {
		words[waitWords(survey.Wait{What: w, Count: 2})] = true
	}
	if len(words) != 10 || words[""] {
		t.Errorf("not everything that is waited for has words of its own: %v", words)
	}
}

// TestSurveysPages: 50 a page, each survey on exactly one; a page that is not there is the last one.
func TestSurveysPages(t *testing.T) {
	w := newSite(t)
	for i := range 101 {
		w.survey(fmt.Sprintf("House %03d", i))
	}
	var seen []string
	sizes := []int{}
	path := "/surveys?sort=title"
	for path != "" {
		a := w.get(path)
		titles := a.titlesOf()
		seen, sizes = append(seen, titles...), append(sizes, len(titles))
		path = a.page().Find(`a[rel=next]`).AttrOr("href", "")
	}
	if diff := cmp.Diff([]int{50, 50, 1}, sizes); diff != "" {
		t.Error(diff)
	}
	if !slices.IsSorted(seen) || len(slices.Compact(seen)) != 101 {
		t.Errorf("%d different surveys, in order: %v", len(slices.Compact(seen)), slices.IsSorted(seen))
	}
	last := w.get("/surveys?page=999")
	if n := len(last.titlesOf()); n != 1 || last.page().Find(`a[rel=prev]`).Length() != 1 || !strings.Contains(plainText(last.page().Find(".pages")), "101 to 101 of 101") {
		t.Errorf("past the end: %d rows, %s", n, plainText(last.page().Find(".pages")))
	}
}
