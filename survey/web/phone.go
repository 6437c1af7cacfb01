package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// surveyJSON is a survey as programs see it.
type surveyJSON struct {
	ID        survey.SurveyID `json:"id"`
	Title     string          `json:"title"`
	Address   string          `json:"address"`
	Client    string          `json:"client"`
	Contact   string          `json:"contact"`
	Surveyor  string          `json:"surveyor"`
	VisitDate string          `json:"visit_date"`
	Access    string          `json:"access"`
	Notes     string          `json:"notes"`
	Version   int             `json:"version"`
	CreatedAt time.Time       `json:"created_at"`
	UpdatedAt time.Time       `json:"updated_at"`
}

// factJSON is a fact as programs see it, and as they send it.
type factJSON struct {
	Key       string     `json:"key"`
	Text      string     `json:"text"`
	Version   int        `json:"version"`
	UpdatedAt *time.Time `json:"updated_at,omitempty"`
}

// recordJSON is a whole survey as programs see it; where photos were taken is not in it.
type recordJSON struct {
	Survey surveyJSON   `json:"survey"`
	Photos []photoJSON  `json:"photos"`
	Pins   []survey.Pin `json:"pins"`
	Facts  []factJSON   `json:"facts"`
}

// factsJSON is what is sent to save facts, and the answer.
type factsJSON struct {
	Facts []factJSON `json:"facts"`
}

// readJSON reads one JSON document of known fields, each named once (survey.CheckJSON). What is wrong with it is a *jsonError.
func readJSON(c *gin.Context, v any) error {
	text, err := io.ReadAll(c.Request.Body)
	if err != nil {
		return unreadable(err)
	}
	if err := survey.CheckJSON(text); err != nil {
		return &jsonError{err}
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(v); err != nil {
		return &jsonError{err}
	}
	return nil
}

// jsonError is what is wrong with a document that a program sent, and safe to say.
type jsonError struct{ why error }

// mostOfWhy is how many characters are said of what is wrong: a decoder repeats an unknown key, however long.
const mostOfWhy = 200

// Error says it in one line.
func (e *jsonError) Error() string {
	text := []rune(cleanText(strings.TrimPrefix(e.why.Error(), "json: ")))
	if len(text) > mostOfWhy {
		text = append(text[:mostOfWhy], '…')
	}
	return "The document cannot be read: " + string(text) + "."
}

// Unwrap makes it one of those that could not be read.
func (e *jsonError) Unwrap() error { return errUnreadable }

// sendRecord answers with the whole survey.
func (s *Server) sendRecord(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	all := recordJSON{Survey: surveyJSON(r.Survey), Photos: []photoJSON{}, Pins: append([]survey.Pin{}, r.Pins...), Facts: []factJSON{}}
	for _, p := range r.Photos {
		all.Photos = append(all.Photos, photoAnswer(p))
	}
	for _, key := range slices.Sorted(maps.Keys(r.Facts)) {
		all.Facts = append(all.Facts, factAnswer(r.Facts[key]))
	}
	return sendJSON(c, http.StatusOK, all)
}

// putSurvey saves what is written about the site, or makes the survey; its id is made by the client.
func (s *Server) putSurvey(c *gin.Context) error {
	id, err := surveyID(c)
	if err != nil {
		return err
	}
	var sent surveyJSON
	if err := readJSON(c, &sent); err != nil {
		return err
	}
	if sent.ID != "" && sent.ID != id {
		return survey.Errorf(survey.Invalid, "The id in the survey is not the one in the address.")
	}
	v := survey.Survey(sent)
	v.ID = id
	for _, f := range siteFields() {
		text := siteText(&v, f.Key)
		*text = cleanText(*text)
	}
	save := s.store.UpdateSurvey
	if v.Version == 0 {
		save = s.store.CreateSurvey
	}
	saved, err := save(c.Request.Context(), v)
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusOK, surveyJSON(saved))
}

// putFacts saves facts of one survey, all or none. A conflict is answered with every fact that differs from the one it was made from.
func (s *Server) putFacts(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	var sent factsJSON
	if err := readJSON(c, &sent); err != nil {
		return err
	}
	facts := make([]survey.Fact, len(sent.Facts))
	for i, f := range sent.Facts {
		facts[i] = survey.Fact{Survey: r.Survey.ID, Key: f.Key, Text: cleanText(f.Text), Version: f.Version}
		// The same text is no conflict whatever its version. If it changes in this moment, its version goes on and the store sees that.
		if stored := r.Facts[f.Key]; stored.Text == facts[i].Text {
			facts[i].Version = stored.Version
		}
	}
	if err := withoutReady(facts); err != nil {
		return err
	}
	if !mayNow(c.Request.Context(), "POST /surveys/:survey/scope") && slices.ContainsFunc(facts, ofScope) {
		return errNotAllowed
	}
	if err := survey.ValidateFacts(withFacts(r, facts), facts); err != nil {
		return err
	}
	saved, err := s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts)
	if survey.KindOf(err) == survey.Conflict {
		return s.differingFacts(c, facts, err)
	}
	if err != nil {
		return err
	}
	answer := factsJSON{Facts: []factJSON{}}
	for _, f := range saved {
		answer.Facts = append(answer.Facts, factAnswer(f))
	}
	return sendJSON(c, http.StatusOK, answer)
}

// withoutReady refuses the facts that mark a survey ready for the crew: what must be there for that is looked at where the page's form is saved.
func withoutReady(facts []survey.Fact) error {
	fields := map[string]string{}
	for _, f := range facts {
		if f.Key == "ready" || strings.HasPrefix(f.Key, "ready.") {
			fields[f.Key] = "Mark the survey ready on its page, with a connection."
		}
	}
	if len(fields) > 0 {
		return &survey.Error{Kind: survey.Invalid, Message: "A survey is marked ready on its page only. Nothing was changed.", Fields: fields}
	}
	return nil
}

// ofScope tells whether a fact is of the homeowner's scope: its price and words, which have a rule of their own.
func ofScope(f survey.Fact) bool {
	return slices.ContainsFunc(survey.ScopeFields(), func(field survey.Field) bool { return field.Key == f.Key })
}

// withFacts is the survey as it will be with these facts: which fields there are depends on some of them.
func withFacts(r survey.Record, facts []survey.Fact) survey.Record {
	r.Facts = maps.Clone(r.Facts)
	for _, f := range facts {
		r.Facts[f.Key] = f
	}
	return r
}

// differingFacts puts into a conflict the stored facts that are not what was sent nor what it was made from.
func (s *Server) differingFacts(c *gin.Context, sent []survey.Fact, err error) error {
	now, loadErr := s.record(c)
	if loadErr != nil {
		return loadErr
	}
	differing := []factJSON{}
	for _, f := range sent {
		stored := now.Facts[f.Key]
		stored.Key = f.Key
		if stored.Version != f.Version && stored.Text != f.Text {
			differing = append(differing, factAnswer(stored))
		}
	}
	e, _ := errors.AsType[*survey.Error](err)
	marked := *e
	marked.Current = differing
	return &marked
}

func factAnswer(f survey.Fact) factJSON {
	answer := factJSON{Key: f.Key, Text: f.Text, Version: f.Version}
	if f.Version > 0 {
		answer.UpdatedAt = &f.UpdatedAt
	}
	return answer
}
