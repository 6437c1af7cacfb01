package web

import (
	"errors"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// siteFields are what is asked about the site, by the keys that survey.Survey.Validate uses.
func siteFields() []survey.Field {
	return []survey.Field{
		{Key: "title", Label: "House", Hint: "what the office calls it", Type: survey.TypeText, Required: true},
		{Key: "address", Label: "Address", Type: survey.TypeText},
		{Key: "client", Label: "Client", Type: survey.TypeText},
		{Key: "contact", Label: "Contact", Hint: "telephone or mail of the client", Type: survey.TypeText},
		{Key: "visit_date", Label: "Day of the visit", Type: survey.TypeText},
		{Key: "surveyor", Label: "Surveyor", Type: survey.TypeText},
		{Key: "access", Label: "Access", Hint: "gate, dog, parking, power", Type: survey.TypeText},
		{Key: "notes", Label: "Notes", Hint: "internal, never shown to the homeowner", Type: survey.TypeText},
	}
}

// siteText is where a field's text lies in a survey.
func siteText(v *survey.Survey, key string) *string {
	return map[string]*string{
		"title": &v.Title, "address": &v.Address, "client": &v.Client, "contact": &v.Contact, "visit_date": &v.VisitDate,
		"surveyor": &v.Surveyor, "access": &v.Access, "notes": &v.Notes,
	}[key]
}

// setSite writes texts into a survey, by field key. Keys of no field are ignored.
func setSite(v *survey.Survey, texts map[string]string) {
	for key, text := range texts {
		if field := siteText(v, key); field != nil {
			*field = text
		}
	}
}

// siteControl gives the site's fields the controls that suit them.
func siteControl(v fieldView) fieldView {
	switch v.Key {
	case "visit_date":
		v.InputType = "date"
	case "access", "notes":
		v.Control = "area"
	}
	return v
}

// fieldTexts is what an error says of each field, empty when it says nothing.
func fieldTexts(err error) map[string]string {
	if e, ok := errors.AsType[*survey.Error](err); ok && e.Fields != nil {
		return e.Fields
	}
	return map[string]string{}
}

// saveSite changes what is written about the site. Two people may change different fields at once; about the same field they are
// asked.
func (s *Server) saveSite(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	saved := func(key string) string { return *siteText(&r.Survey, key) }
	changes, clashes := form.merge(siteFields(), saved)
	if len(clashes) > 0 {
		return s.showDeck(c, deckInput{record: r, site: &form, clashes: clashes, err: errClash})
	}
	changed := r.Survey
	setSite(&changed, changes)
	_, err = s.store.UpdateSurvey(c.Request.Context(), changed)
	switch {
	case survey.KindOf(err) == survey.Conflict:
		return s.retrySite(c, form)
	case err != nil: // whatever it is, what was typed stays on the page
		return s.showDeck(c, deckInput{record: r, site: &form, texts: fieldTexts(err), err: err})
	}
	return redirect(c, surveyPath(r.Survey.ID)+"?saved=site#site")
}

// retrySite shows the form against what somebody else saved in the very moment between reading and writing.
func (s *Server) retrySite(c *gin.Context, form typedForm) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	_, clashes := form.merge(siteFields(), func(key string) string { return *siteText(&r.Survey, key) })
	return s.showDeck(c, deckInput{record: r, site: &form, clashes: clashes, err: errClash})
}
