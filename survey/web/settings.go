package web

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/templates"
)

// settingsPage is the contractor's own texts, which the scope prints.
type settingsPage struct {
	basePage
	Unsaved bool
	Saved   string
	Problem problemView
	Fields  []fieldView // that the scope prints
	Own     []fieldView // that are for the office alone
	State   stateView
}

// companyFields are what is asked about the contractor, by the keys that survey.Company.Validate uses.
func companyFields() []survey.Field {
	return []survey.Field{
		{Key: "name", Label: "Company", Type: survey.TypeText},
		{Key: "address", Label: "Address", Type: survey.TypeText},
		{Key: "phone", Label: "Telephone", Hint: "and mail, if you like", Type: survey.TypeText},
		{Key: "license", Label: "License", Hint: "number and who gave it", Type: survey.TypeText},
		{Key: "valid_days", Label: "A price holds for", Unit: "days", Hint: "empty: no date is printed", Type: survey.TypeText},
		{Key: "terms", Label: "Terms", Hint: "payment, warranty, who cleans up: as your lawyer wrote them", Type: survey.TypeText},
		{Key: "cancellation", Label: "Cancellation", Hint: "the text that your state asks for", Type: survey.TypeText},
		{Key: "care", Label: "Care", Hint: "how to look after the finished ceiling", Type: survey.TypeText},
		{Key: "keep_years", Label: "Finished and declined surveys are kept for", Unit: "years", Hint: "empty: for ever", Type: survey.TypeText},
	}
}

// companyText is what is written in a field of a company.
func companyText(k survey.Company, key string) string {
	if n := companyCount(&k, key); n != nil {
		if *n == 0 {
			return ""
		}
		return strconv.Itoa(*n)
	}
	return *companyField(&k, key)
}

// companyCount is where a number lies in a company; nil for a key that has none.
func companyCount(k *survey.Company, key string) *int {
	return map[string]*int{"valid_days": &k.ValidDays, "keep_years": &k.KeepYears}[key]
}

// companyField is where a text lies in a company; nil for a key that has none.
func companyField(k *survey.Company, key string) *string {
	return map[string]*string{"name": &k.Name, "address": &k.Address, "phone": &k.Phone, "license": &k.License, "terms": &k.Terms, "cancellation": &k.Cancellation, "care": &k.Care}[key]
}

// setCompany writes texts into a company, by field key. What is no number becomes one that Validate refuses.
func setCompany(k *survey.Company, texts map[string]string) {
	for key, text := range texts {
		if field := companyField(k, key); field != nil {
			*field = text
		} else if count := companyCount(k, key); count != nil {
			n, err := strconv.Atoi(text)
			switch {
			case text == "":
				n = 0
			case err != nil || n == 0:
				n = -1
			}
			*count = n
		}
	}
}

// settingsInput is what the page is made of: what is saved, and, when the form is shown again, what was typed with what is wrong with it.
type settingsInput struct {
	company survey.Company
	form    *typedForm
	clashes map[string]bool
	err     error
}

// settingsPage shows the texts.
func (s *Server) settingsPage(c *gin.Context) error {
	k, err := s.store.Company(c.Request.Context())
	if err != nil {
		return err
	}
	return s.showSettings(c, settingsInput{company: k})
}

// showSettings renders the page, with the status of what went wrong, if anything.
func (s *Server) showSettings(c *gin.Context, in settingsInput) error {
	page := settingsPage{basePage: s.plainPage("Company’s texts"), Unsaved: in.form != nil, State: stateView{weightNote, "nothing saved yet"}}
	page.BackHref, page.BackLabel = "/surveys", "All surveys"
	if in.company.Version > 0 {
		page.State = stateView{weightFine, "saved " + templates.When(s.now(), in.company.UpdatedAt)}
	}
	form, texts := typedForm{}, fieldTexts(in.err)
	if in.form != nil {
		form = *in.form
	}
	for _, f := range companyFields() {
		v := newFieldView(f, fieldPrefix+f.Key, "")
		switch f.Key {
		case "terms", "cancellation", "care", "address":
			v.Control = "area"
		case "valid_days", "keep_years":
			v.InputMode = "numeric"
		}
		v = form.view(v, companyText(in.company, f.Key), templates.When(s.now(), in.company.UpdatedAt), texts[f.Key], in.clashes[f.Key])
		if f.Key == "keep_years" {
			page.Own = append(page.Own, v)
		} else {
			page.Fields = append(page.Fields, v)
		}
	}
	status := http.StatusOK
	switch {
	case in.err != nil:
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: append(problems(page.Fields), problems(page.Own)...)}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	case c.Query("saved") == "company":
		page.Saved = "The company’s texts are saved. Scopes that were issued before keep what they said."
	}
	return s.render(c, status, "settings", page)
}

// saveSettings changes what is written about the company. Two people may change different fields at once; about the same field they are asked.
func (s *Server) saveSettings(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	for try := 0; ; try++ {
		k, err := s.store.Company(c.Request.Context())
		if err != nil {
			return err
		}
		changes, clashes := form.merge(companyFields(), func(key string) string { return companyText(k, key) })
		if len(clashes) > 0 {
			return s.showSettings(c, settingsInput{company: k, form: &form, clashes: clashes, err: errClash})
		}
		changed := k
		setCompany(&changed, changes)
		_, err = s.store.SaveCompany(c.Request.Context(), changed)
		switch {
		case survey.KindOf(err) == survey.Conflict && try == 0: // somebody saved in the very moment between reading and writing
			continue
		case err != nil: // whatever it is, what was typed stays on the page
			return s.showSettings(c, settingsInput{company: k, form: &form, err: err})
		}
		return redirect(c, "/settings?saved=company")
	}
}
