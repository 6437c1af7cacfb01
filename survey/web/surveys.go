package web

import (
	"cmp"
	"context"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/calc/length"
	"undercroft/survey"
)

// surveysAPage is how many surveys one page of the list shows.
const surveysAPage = 50

// stateDue is the list's own state: finished and declined surveys that were kept as long as the company keeps them.
const stateDue survey.State = "due"

// surveysPage lists surveys: those that match what is looked for, sorted, a page of them.
type surveysPage struct {
	basePage
	Heading              string // the state that is shown, empty for all
	Query                string
	Total                int // surveys there are, but for archived and deleted ones
	Found                int // that match all that was asked for
	Asked                bool
	Keep                 []option // what the form sends along
	Tabs, Parties, Sorts []choice
	Surveys              []surveyRow
	Saved                string
	Due, DueYears        int // surveys that the office may look through
	DueHref              string
	From, To             int
	Newer, Older         string
}

// option is a field of a form that nobody sees.
type option struct{ Name, Value string }

// choice is a link that changes one thing of what is shown.
type choice struct {
	Href, Label string
	Count       int
	Current     bool
}

// surveyRow is one survey of the list. The drawing is the deck from above, in px of its box, 0 wide when it is not measured. Href is empty for a deleted survey; then Return
// brings it back.
type surveyRow struct {
	Href, Title, Address, Size string
	State                      stateView
	Detail                     string
	Waits                      []waitView
	Photos, Pins               int
	Visit                      string
	ChangedAt                  time.Time
	DrawX, DrawW, DrawH        int
	Return                     string
}

// waitView is what waits for whom.
type waitView struct{ For, What string }

// listQuery is what is asked of the list. An empty State is everything but what was put away.
type listQuery struct {
	text  string
	state survey.State
	waits survey.Party
	sort  string
	page  int
}

// The orders of the list.
const (
	sortChanged = "changed"
	sortVisit   = "visit"
	sortTitle   = "title"
)

// readListQuery reads the address. What is not known is as if it were not there.
func readListQuery(c *gin.Context) listQuery {
	q := listQuery{text: cleanText(c.Query("q")), sort: sortChanged, page: 1}
	if state := survey.State(c.Query("state")); state == stateDue || slices.Contains(survey.States(), state) {
		q.state = state
	}
	if party := survey.Party(c.Query("waits")); slices.Contains(survey.Parties(), party) {
		q.waits = party
	}
	if sort := c.Query("sort"); sort == sortVisit || sort == sortTitle {
		q.sort = sort
	}
	if n, err := strconv.Atoi(c.Query("page")); err == nil && n > 1 {
		q.page = n
	}
	return q
}

// options are what a form or a link carries to ask the same again, but for the page.
func (q listQuery) options() []option {
	var list []option
	for _, o := range []option{{"q", q.text}, {"state", string(q.state)}, {"waits", string(q.waits)}, {"sort", q.sort}} {
		if o.Value != "" && o != (option{"sort", sortChanged}) {
			list = append(list, o)
		}
	}
	return list
}

// href is the address that asks for this.
func (q listQuery) href() string {
	v := url.Values{}
	for _, o := range q.options() {
		v.Set(o.Name, o.Value)
	}
	if q.page > 1 {
		v.Set("page", strconv.Itoa(q.page))
	}
	if len(v) == 0 {
		return "/surveys"
	}
	return "/surveys?" + v.Encode()
}

// surveysPage shows the list.
func (s *Server) surveysPage(c *gin.Context) error {
	ctx := c.Request.Context()
	all, err := s.store.Standings(ctx)
	if err != nil {
		return err
	}
	company, err := s.store.Company(ctx)
	if err != nil {
		return err
	}
	q := readListQuery(c)
	page := surveysPage{basePage: s.plainPage("Surveys"), Query: q.text, Asked: q.text != "" || q.state != "" || q.waits != "", Saved: listSaved(c.Query("saved"))}
	list := newListing(all, q, company.KeepYears, s.now())
	page.Total, page.Found, page.Tabs, page.Parties, page.Sorts = list.total, len(list.found), list.tabs(), list.parties(), list.sorts()
	if page.Due, page.DueYears = list.due, company.KeepYears; q.state == stateDue || !mayNow(ctx, "POST /surveys/:survey/erase") {
		page.Due = 0
	}
	if q.state != "" {
		page.Heading = strings.ToLower(stateLabel(q.state))
	}
	page.DueHref = listQuery{state: stateDue, page: 1}.href()
	for _, o := range q.options() {
		if o.Name != "q" {
			page.Keep = append(page.Keep, o)
		}
	}
	if err := s.addRows(ctx, &page, list); err != nil {
		return err
	}
	return s.render(c, http.StatusOK, "surveys", page)
}

// addRows fills the rows of one page, the last one when there is none of the number that was asked for, and the ways to the pages beside it.
func (s *Server) addRows(ctx context.Context, page *surveysPage, list listing) error {
	last := max(1, (len(list.found)+surveysAPage-1)/surveysAPage)
	q := list.query
	q.page = min(q.page, last)
	from := (q.page - 1) * surveysAPage
	rows := list.found[from:min(from+surveysAPage, len(list.found))]
	for _, v := range rows {
		row, err := s.viewRow(ctx, v)
		if err != nil {
			return err
		}
		if q.state == stateDue && mayNow(ctx, "GET /surveys/:survey/erase") {
			row.Href += "/erase"
		}
		page.Surveys = append(page.Surveys, row)
	}
	page.From, page.To = from+1, from+len(rows)
	if q.page > 1 {
		newer := q
		newer.page--
		page.Newer = newer.href()
	}
	if q.page < last {
		older := q
		older.page++
		page.Older = older.href()
	}
	return nil
}

// listSaved confirms what was just done to a survey.
func listSaved(what string) string {
	return map[string]string{
		"archived": "The survey is in the archive. Nothing of it is changed.",
		"deleted":  "The survey is deleted. It can be brought back for 30 days.",
		"erased":   "The survey is erased. Its totals stay.",
		"erasing":  "The survey is erased, but for files that are being read or could not be removed: they go within the hour.",
	}[what]
}

// listing is the surveys that match a query, sorted, with the counts of what else could be asked for.
type listing struct {
	query  listQuery
	found  []survey.Standing
	states map[survey.State]int // of those that match the text
	waits  map[survey.Party]int // of those that match the text and the state
	total  int
	due    int // whatever is asked for
}

// newListing looks through all surveys. years is how long finished and declined ones are kept.
func newListing(all []survey.Standing, q listQuery, years int, now time.Time) listing {
	l := listing{query: q, states: map[survey.State]int{}, waits: map[survey.Party]int{}}
	for _, v := range all {
		state := v.State()
		away := state == survey.StateArchived || state == survey.StateDeleted
		if !away {
			l.total++
		}
		dueOn := v.DueOn(years)
		due := !dueOn.IsZero() && !now.Before(dueOn)
		if due {
			l.due++
		}
		if !v.Matches(q.text) {
			continue
		}
		l.states[state]++
		if due {
			l.states[stateDue]++
		}
		if !away {
			l.states[""]++
		}
		if q.state == "" && away || q.state == stateDue && !due || q.state != "" && q.state != stateDue && q.state != state {
			continue
		}
		for _, p := range survey.Parties() {
			if v.WaitsFor(p) {
				l.waits[p]++
			}
		}
		if q.waits == "" || v.WaitsFor(q.waits) {
			l.found = append(l.found, v)
		}
	}
	slices.SortFunc(l.found, order(q.sort))
	return l
}

// order compares two surveys: the newest change or visit first, or by title; those without a date last. The newest change is that which was made last, whatever the clock said.
func order(by string) func(a, b survey.Standing) int {
	newest := func(a, b survey.Standing) int {
		return cmp.Or(cmp.Compare(b.ChangedSeq, a.ChangedSeq), b.ChangedAt.Compare(a.ChangedAt), cmp.Compare(b.ID, a.ID))
	}
	switch by {
	case sortVisit:
		return func(a, b survey.Standing) int { return cmp.Or(cmp.Compare(b.VisitDate, a.VisitDate), newest(a, b)) }
	case sortTitle:
		return func(a, b survey.Standing) int {
			return cmp.Or(cmp.Compare(strings.ToLower(a.Title), strings.ToLower(b.Title)), newest(a, b))
		}
	}
	return newest
}

// tabs are the states that there are, with how many.
func (l listing) tabs() []choice {
	list := []choice{l.tab("", "All")}
	for _, state := range survey.States() {
		if l.states[state] > 0 || l.query.state == state {
			list = append(list, l.tab(state, stateLabel(state)))
		}
	}
	if l.query.state == stateDue {
		list = append(list, l.tab(stateDue, "Kept long enough"))
	}
	return list
}

func (l listing) tab(state survey.State, label string) choice {
	q := l.query
	q.state, q.waits, q.page = state, "", 1
	return choice{q.href(), label, l.states[state], l.query.state == state}
}

// parties are those for whom something waits; none while nothing does.
func (l listing) parties() []choice {
	var list []choice
	for _, p := range survey.Parties() {
		if l.waits[p] == 0 && l.query.waits != p {
			continue
		}
		q := l.query
		q.waits, q.page = p, 1
		if l.query.waits == p {
			q.waits = ""
		}
		list = append(list, choice{q.href(), string(p), l.waits[p], l.query.waits == p})
	}
	return list
}

// sorts are the orders.
func (l listing) sorts() []choice {
	var list []choice
	for _, o := range []choice{{Href: sortChanged, Label: "last change"}, {Href: sortVisit, Label: "visit"}, {Href: sortTitle, Label: "name"}} {
		q := l.query
		q.sort, q.page = o.Href, 1
		list = append(list, choice{q.href(), o.Label, 0, l.query.sort == o.Href})
	}
	return list
}

// viewRow makes a row of the list. The size is what the survey's facts come to, taped lengths included, so it is the same as on the
// survey's own page.
func (s *Server) viewRow(ctx context.Context, v survey.Standing) (surveyRow, error) {
	r, err := s.store.Record(ctx, v.ID)
	if err != nil {
		return surveyRow{}, err
	}
	facts := survey.ResolveFacts(r)
	row := surveyRow{
		Href: surveyPath(v.ID), Title: v.Title, Address: v.Address, Size: "not measured yet", Photos: len(r.Photos), Pins: len(r.Pins), ChangedAt: v.ChangedAt, Waits: waitViews(v),
		Visit: visitDay(v.VisitDate, s.now()),
	}
	row.State, row.Detail = standingState(v, r, facts, s.store.Restored(), s.now())
	if v.Filed == survey.Deleted {
		row.Href, row.Return = "", surveyPath(v.ID)+"/return"
	}
	if !facts.Get("width").Known() || !facts.Get("projection").Known() {
		return row, nil
	}
	width, projection := facts.Get("width").Value.Inches(), facts.Get("projection").Value.Inches()
	area := float64(width*projection) / float64(length.PerFoot*length.PerFoot)
	row.Size = width.Typeset() + " × " + projection.Typeset() + " · " + strconv.FormatFloat(math.Round(area), 'f', -1, 64) + "\u00a0ft²"
	scale := math.Min(64/float64(width), 40/float64(projection))
	row.DrawW, row.DrawH = max(2, int(scale*float64(width))), max(2, int(scale*float64(projection)))
	row.DrawX = (72 - row.DrawW) / 2
	return row, nil
}

// visitDay says the day of the visit, without the year in this one; empty when none is known.
func visitDay(date string, now time.Time) string {
	day, err := time.Parse(time.DateOnly, date)
	switch {
	case err != nil:
		return ""
	case day.Year() == now.Year():
		return "visit\u00a0" + day.Format("2\u00a0Jan")
	}
	return "visit\u00a0" + day.Format("2\u00a0Jan\u00a02006")
}
