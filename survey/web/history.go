package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report"
)

// historyPage is History: what was done to the survey, by whom and when, the newest first. Nothing of it can be edited.
type historyPage struct {
	basePage
	Heading      string // of what the page is the history, when not of all
	AllHref      string // to all of it, when only a part is shown
	Action       string
	Kinds        []survey.Option
	Kind         string
	People       []survey.Option
	By           string
	Keep         []hiddenField // what else chooses, when it is not in the form
	Days         []historyDay
	Newer, Older string
	Page         int
}

// hiddenField is a form's control that is not shown.
type hiddenField struct{ Name, Value string }

// historyDay is what was done on one day.
type historyDay struct {
	Day   string
	Lines []historyLine
}

// historyLine is one event in words: what it is about, with what was done, and what differs. OneHref leads to the history of that one thing.
type historyLine struct {
	At       time.Time
	Time, By string
	About    string
	Href     string
	Done     string
	Changes  []report.Difference
	Said     string
	OneHref  string
}

// historyKind is one answer to what the history is of.
type historyKind struct {
	value, label string
	kinds        []survey.EventKind
}

func historyKinds() []historyKind {
	return []historyKind{
		{"", "Everything", nil},
		{"site", "Site", []survey.EventKind{survey.EventSurvey}},
		{"photo", "Photos", []survey.EventKind{survey.EventPhoto}},
		{"pin", "Pins", []survey.EventKind{survey.EventPin, survey.EventVerified}},
		{"fact", "Deck, walk and scope", []survey.EventKind{survey.EventFact}},
		{"office", "Reports, links and approval", []survey.EventKind{survey.EventRevision, survey.EventLink, survey.EventInquiry, survey.EventDecision}},
		{"crew", "Review and crew’s questions", []survey.EventKind{survey.EventReview, survey.EventRemark, survey.EventVerified}},
		{"end", "Finishing and filing", []survey.EventKind{survey.EventFinish, survey.EventFiling}},
	}
}

// historyChoice is what an address asks for: kind one of historyKinds, of one record's id or key with its kind, on a photo's id, by a person, page from 1.
type historyChoice struct {
	kind, of, on, by string
	page             int
}

func readHistory(c *gin.Context) historyChoice {
	k := historyChoice{kind: c.Query("kind"), of: clipped(cleanText(c.Query("of")), 100), on: clipped(cleanText(c.Query("on")), 100), by: clipped(cleanText(c.Query("by")), 200)}
	k.page, _ = strconv.Atoi(c.Query("page")) // what is no number is the first page
	k.page = min(max(k.page, 1), survey.EventPages+1)
	if !slices.ContainsFunc(historyKinds(), func(h historyKind) bool { return h.value == k.kind }) {
		k.kind = ""
	}
	return k
}

// filter is the choice as the store takes it. A record is one of one kind; the first kind of the choice.
func (k historyChoice) filter() survey.EventFilter {
	f := survey.EventFilter{By: k.by, On: survey.PhotoID(k.on), Page: k.page - 1}
	for _, h := range historyKinds() {
		if h.value == k.kind {
			f.Kinds = h.kinds
		}
	}
	if k.of != "" && len(f.Kinds) > 0 {
		f.Record, f.Kinds = k.of, f.Kinds[:1]
	}
	return f
}

// query asks for the same again on another page.
func (k historyChoice) query(page int) string {
	v := url.Values{}
	for name, value := range map[string]string{"kind": k.kind, "of": k.of, "on": k.on, "by": k.by} {
		if value != "" {
			v.Set(name, value)
		}
	}
	if page > 1 {
		v.Set("page", strconv.Itoa(page))
	}
	if len(v) == 0 {
		return ""
	}
	return "?" + v.Encode()
}

// historyPath is the history of one record: kind "pin", "fact" or "site" with its id or key.
func historyPath(in survey.SurveyID, kind, of string) string {
	return surveyPath(in) + "/history" + historyChoice{kind: kind, of: of}.query(1)
}

// photoHistoryPath is the history of a photo and of the pins on it.
func photoHistoryPath(p survey.Photo) string {
	return surveyPath(p.Survey) + "/history" + historyChoice{on: string(p.ID)}.query(1)
}

// historyPage shows what was done to the survey.
func (s *Server) historyPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	k := readHistory(c)
	events, err := s.store.Events(c.Request.Context(), r.Survey.ID, k.filter())
	if err != nil {
		return err
	}
	at := surveyPath(r.Survey.ID) + "/history"
	page := historyPage{basePage: s.surveyPage("History", screenHistory, r), Action: at, Kind: k.kind, By: k.by, Page: k.page}
	for _, h := range historyKinds() {
		page.Kinds = append(page.Kinds, survey.Option{Value: h.value, Label: h.label})
	}
	page.People = []survey.Option{{Value: "", Label: "Anybody"}}
	for _, name := range events.People {
		page.People = append(page.People, survey.Option{Value: name, Label: name})
	}
	words := newHistoryWords(r, events.Photos)
	page.Days = s.historyDays(words, events.List)
	if page.Heading = words.heading(k); page.Heading != "" {
		page.AllHref = at
		page.Keep = []hiddenField{{"of", k.of}, {"on", k.on}}
	}
	if k.page > 1 {
		page.Newer = at + k.query(k.page-1)
	}
	if events.More && k.page <= survey.EventPages {
		page.Older = at + k.query(k.page+1)
	}
	return s.render(c, http.StatusOK, "history", page)
}

// historyDays puts events into words, day by day.
func (s *Server) historyDays(words historyWords, events []survey.Event) []historyDay {
	var days []historyDay
	for _, e := range events {
		at := e.At.In(s.now().Location())
		line := words.line(e)
		line.At, line.Time, line.By = e.At, at.Format("15:04"), e.By
		day := at.Format("Monday 2 January 2006")
		if len(days) == 0 || days[len(days)-1].Day != day {
			days = append(days, historyDay{Day: day})
		}
		last := &days[len(days)-1]
		last.Lines = append(last.Lines, line)
	}
	return days
}
