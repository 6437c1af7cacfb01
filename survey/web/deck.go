package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/templates"
)

// errClash is why a form is shown again although nothing in it is wrong.
var errClash = survey.Errorf(survey.Conflict, "Somebody else changed some of this meanwhile. Nothing of yours was saved yet.")

// deckPage is Site and deck: two forms, one for what is written about the site and one for the facts of the deck.
type deckPage struct {
	basePage
	SiteAction, DeckAction   string
	HistoryHref              string
	ReviewHref, Reviewed     string // Reviewed is who has reviewed the survey, empty for nobody
	SiteUnsaved, DeckUnsaved bool
	SiteSaved, DeckSaved     string
	Problem                  problemView
	Needed                   stateView
	Site                     []fieldView
	Groups                   []fieldGroup
	Last                     int // number of the last group
}

// fieldGroup is one numbered sheet of the deck's form. Sides are the fields of each side of the deck, when the group asks by side.
type fieldGroup struct {
	Number       int
	Title, Aside string
	Fields       []fieldView
	Sides        []sideGroup
}

// sideGroup is what is asked about one side of the deck.
type sideGroup struct {
	Title  string
	Fields []fieldView
}

// deckInput is what the page is made of: the record, and, when a form is shown again, that form with what is wrong with it.
type deckInput struct {
	record     survey.Record
	site, deck *typedForm
	texts      map[string]string // problem by field key
	clashes    map[string]bool
	err        error
}

// deckPage shows the site and the deck.
func (s *Server) deckPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showDeck(c, deckInput{record: r})
}

// showDeck renders the page, with the status of what went wrong, if anything.
func (s *Server) showDeck(c *gin.Context, in deckInput) error {
	r := in.record
	page := deckPage{
		basePage: s.surveyPage("Site and deck", screenSite, r), SiteAction: surveyPath(r.Survey.ID) + "/site", DeckAction: surveyPath(r.Survey.ID) + "/deck", HistoryHref: historyPath(r.Survey.ID, "fact", ""),
		ReviewHref: surveyPath(r.Survey.ID) + "/review", Reviewed: s.reviewedText(r),
		SiteUnsaved: in.site != nil, DeckUnsaved: in.deck != nil, Site: s.siteViews(in),
	}
	facts := survey.ResolveFacts(r)
	views := s.factViews(in, facts)
	page.Groups = groupFields(views, facts)
	page.Last = 1 + len(page.Groups)
	page.Needed = neededState(facts)
	status := http.StatusOK
	if in.err != nil {
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: append(problems(page.Site), problems(views)...)}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	} else {
		page.SiteSaved, page.DeckSaved = savedText(c.Query("saved"))
	}
	return s.render(c, status, "deck", page)
}

// savedText confirms what was just saved.
func savedText(what string) (site, deck string) {
	switch what {
	case "site":
		return "The site is saved.", ""
	case "deck":
		return "", "The deck is saved."
	}
	return "", ""
}

// siteViews are the site's fields with what was typed, or what is saved.
func (s *Server) siteViews(in deckInput) []fieldView {
	form := typedForm{}
	texts, clashes := map[string]string{}, map[string]bool{}
	if in.site != nil {
		form, texts, clashes = *in.site, in.texts, in.clashes
	}
	when := templates.When(s.now(), in.record.Survey.UpdatedAt)
	var views []fieldView
	for _, f := range siteFields() {
		v := siteControl(newFieldView(f, fieldPrefix+f.Key, ""))
		views = append(views, form.view(v, *siteText(&in.record.Survey, f.Key), when, texts[f.Key], clashes[f.Key]))
	}
	return views
}

// factViews are the deck's fields with what was typed or saved, and where each value comes from.
func (s *Server) factViews(in deckInput, facts survey.FactSet) []fieldView {
	form := typedForm{}
	texts, clashes := map[string]string{}, map[string]bool{}
	if in.deck != nil {
		form, texts, clashes = *in.deck, in.texts, in.clashes
	}
	var views []fieldView
	for _, fact := range facts.All() {
		saved := in.record.Facts[fact.Field.Key]
		v := form.view(newFieldView(fact.Field, fieldPrefix+fact.Field.Key, fact.Field.Key), saved.Text, templates.When(s.now(), saved.UpdatedAt),
			texts[fact.Field.Key], clashes[fact.Field.Key])
		views = append(views, withSources(v, in.record, fact))
	}
	return views
}

// withSources adds where the value comes from, and the sources that disagree or among which a person has chosen.
func withSources(v fieldView, r survey.Record, fact survey.Resolved) fieldView {
	if v.Text == v.Was && fact.Known() {
		v.Source = viewSource(r.Survey.ID, fact.Source)
		if v.Text == "" && fact.State != survey.FactAssumed {
			v.ReadWord = "is"
			v.Read, v.Exact = splitRead(fact.Value.Read)
		}
	}
	if len(fact.Candidates) == 0 {
		return v
	}
	chosen := r.Facts[survey.SettleFact(r.Survey.ID, v.Key, fact.Candidates[0], 0).Key].Text
	if len(fact.Candidates) < 2 || fact.State == survey.FactKnown && chosen == "" {
		return v
	}
	switch fact.State {
	case survey.FactDiffers:
		v.Dispute = stateView{weightWarn, "differ by less than 1/2″: the taped one stands"}
	case survey.FactConflict:
		v.Dispute = stateView{weightWarn, "two sources disagree: unset until one is chosen"}
	}
	for i, c := range fact.Candidates {
		v.Candidates = append(v.Candidates, candidateView{
			Letter: string(rune('A' + i)), Read: c.Value.Read, Choice: survey.SettleFact(r.Survey.ID, v.Key, c, 0).Text,
			Source: viewSource(r.Survey.ID, c.Source), Used: fact.Known() && c.Source == fact.Source,
		})
	}
	return v
}

// groupFields gathers the fields under their headings, and the fields about sides under each side.
func groupFields(views []fieldView, facts survey.FactSet) []fieldGroup {
	var groups []fieldGroup
	for _, v := range views {
		if len(groups) == 0 || groups[len(groups)-1].Title != v.Group {
			groups = append(groups, fieldGroup{Number: len(groups) + 2, Title: v.Group, Aside: neededText(facts, v.Group)})
		}
		g := &groups[len(groups)-1]
		rest, ofSide := strings.CutPrefix(v.Key, "edge.")
		if !ofSide {
			g.Fields = append(g.Fields, v)
			continue
		}
		if strings.HasSuffix(rest, ".kind") {
			g.Sides = append(g.Sides, sideGroup{Title: v.Label})
			v.Label = "This side is"
		} else if _, after, ok := strings.Cut(v.Label, ": "); ok {
			v.Label = strings.ToUpper(after[:1]) + after[1:]
		}
		side := &g.Sides[len(g.Sides)-1]
		side.Fields = append(side.Fields, v)
	}
	return groups
}

// missing counts the needed facts of a group that are not there or not settled; every group when the name is empty.
func missing(facts survey.FactSet, group string) int {
	n := 0
	for _, f := range facts.All() {
		if (group == "" || f.Field.Group == group) && (f.State == survey.FactConflict || f.State == survey.FactMissing && f.Field.Required) {
			n++
		}
	}
	return n
}

func neededText(facts survey.FactSet, group string) string {
	if n := missing(facts, group); n > 0 {
		return fmt.Sprintf("%d still needed", n)
	}
	return ""
}

// neededState says how many answers are still needed.
func neededState(facts survey.FactSet) stateView {
	switch n := missing(facts, ""); n {
	case 0:
		return stateView{weightFine, "nothing needed is missing"}
	case 1:
		return stateView{weightWarn, "1 answer still needed"}
	default:
		return stateView{weightWarn, fmt.Sprintf("%d answers still needed", n)}
	}
}

// saveDeck changes the facts that were typed differently, and records the choice between two sources when its button was pressed.
func (s *Server) saveDeck(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	changes, clashes := form.merge(survey.FactFields(r), func(key string) string { return r.Facts[key].Text })
	if len(clashes) > 0 {
		return s.showDeck(c, deckInput{record: r, deck: &form, clashes: clashes, err: errClash})
	}
	facts := changedFacts(r, survey.FactFields(r), changes)
	if form.button != "" {
		choice, err := settlement(r, form.button)
		if err != nil {
			return s.showDeck(c, deckInput{record: r, deck: &form, err: err})
		}
		facts = append(facts, choice)
	}
	if err := survey.ValidateFacts(r, facts); err != nil {
		return s.showDeck(c, deckInput{record: r, deck: &form, texts: fieldTexts(err), err: err})
	}
	if err := askFacts(r, facts, form); err != nil {
		return s.showDeck(c, deckInput{record: r, deck: &form, texts: fieldTexts(err), err: err})
	}
	_, err = s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts)
	switch {
	case survey.KindOf(err) == survey.Conflict:
		return s.retryDeck(c, form)
	case err != nil: // whatever it is, what was typed stays on the page
		return s.showDeck(c, deckInput{record: r, deck: &form, err: err})
	}
	return redirect(c, surveyPath(r.Survey.ID)+"?saved=deck#deck")
}

// changedFacts are the facts to save, in the order of the form's fields.
func changedFacts(r survey.Record, fields []survey.Field, changes map[string]string) []survey.Fact {
	var facts []survey.Fact
	for _, f := range fields {
		if text, ok := changes[f.Key]; ok {
			facts = append(facts, survey.Fact{Survey: r.Survey.ID, Key: f.Key, Text: text, Version: r.Facts[f.Key].Version})
		}
	}
	return facts
}

// settlement reads the button that settles two sources, "key=choice". The choice must be one of the sources there are.
func settlement(r survey.Record, button string) (survey.Fact, error) {
	key, choice, _ := strings.Cut(button, "=")
	for _, c := range survey.ResolveFacts(r).Get(key).Candidates {
		fact := survey.SettleFact(r.Survey.ID, key, c, 0)
		if fact.Text == choice {
			fact.Version = r.Facts[fact.Key].Version
			return fact, nil
		}
	}
	return survey.Fact{}, survey.Errorf(survey.Conflict, "The sources have changed meanwhile. Look at them again; nothing was saved yet.")
}

// retryDeck shows the form against what somebody else saved in the very moment between reading and writing.
func (s *Server) retryDeck(c *gin.Context, form typedForm) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	_, clashes := form.merge(survey.FactFields(r), func(key string) string { return r.Facts[key].Text })
	return s.showDeck(c, deckInput{record: r, deck: &form, clashes: clashes, err: errClash})
}
