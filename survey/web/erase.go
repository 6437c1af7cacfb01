package web

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// erasePage says what goes and what stays when a survey is erased, and asks for the word of who does it.
type erasePage struct {
	basePage
	Problem problemView
	Goes    []string
	Stays   []totalView
	Reason  fieldView
	Confirm fieldView
	Action  string
	Bundle  string
}

// totalView is one figure that stays.
type totalView struct{ What, Figure string }

// erasedPage lists what was erased.
type erasedPage struct {
	basePage
	Erased []erasedView
}

// erasedView is one erasure with the totals that stay.
type erasedView struct {
	When, By, Why string
	Totals        []totalView
}

// eraseInput is what the page is made of: what is known of the survey, and, when the form is shown again, what was typed with what is wrong with it.
type eraseInput struct {
	held
	form *typedForm
	err  error
}

// held is everything that is known of a survey that may be erased.
type held struct {
	record   survey.Record
	snapshot survey.Snapshot
	standing survey.Standing
	totals   survey.Totals
}

// heldOf reads it and computes the totals.
func (s *Server) heldOf(ctx context.Context, id survey.SurveyID) (held, error) {
	snapshot, err := s.store.Snapshot(ctx, id)
	if err != nil {
		return held{}, err
	}
	standing, err := s.store.Standing(ctx, id)
	if err != nil {
		return held{}, err
	}
	h := held{record: snapshot.Record, snapshot: snapshot, standing: standing}
	h.totals = survey.TotalsOf(h.record, survey.Compute(h.record), snapshot.Revisions, snapshot.Approvals, standing)
	return h, nil
}

// erasePage asks.
func (s *Server) erasePage(c *gin.Context) error {
	id, err := surveyID(c)
	if err != nil {
		return err
	}
	h, err := s.heldOf(c.Request.Context(), id)
	if err != nil {
		return err
	}
	return s.showErase(c, eraseInput{held: h})
}

// showErase renders the page, with the status of what went wrong, if anything.
func (s *Server) showErase(c *gin.Context, in eraseInput) error {
	company, err := s.store.Company(c.Request.Context())
	if err != nil {
		return err
	}
	home := surveyPath(in.record.Survey.ID)
	page := erasePage{basePage: s.surveyPage("Erase", screenSite, in.record), Goes: in.goes(), Stays: totalViews(in.totals), Action: home + "/erase", Bundle: home + "/bundle.zip"}
	reasons := []survey.Option{{Value: string(survey.ErasedAsked), Label: "The homeowner asked"}, {Value: string(survey.ErasedKept), Label: "Kept long enough"}}
	page.Reason = newFieldView(survey.Field{Key: "reason", Label: "Why", Type: survey.TypeChoice, Options: reasons, Required: true}, fieldPrefix+"reason", "")
	page.BackHref, page.BackLabel = home+"/filing", "Archive or delete"
	if due := in.standing.DueOn(company.KeepYears); !due.IsZero() && !s.now().Before(due) {
		page.Reason.Text = string(survey.ErasedKept)
	}
	page.Confirm = newFieldView(survey.Field{Key: "confirm", Label: "Type the house’s name to erase it", Hint: in.record.Survey.Title, Type: survey.TypeText, Required: true}, fieldPrefix+"confirm", "")
	status := http.StatusOK
	if in.err != nil {
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		texts := fieldTexts(in.err)
		page.Reason.Text, page.Reason.Problem = in.form.text["reason"], texts["reason"]
		page.Confirm.Text, page.Confirm.Problem = in.form.text["confirm"], texts["confirm"]
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems([]fieldView{page.Reason, page.Confirm})}
	}
	return s.render(c, status, "erase", page)
}

// goes lists what will be gone.
func (h held) goes() []string {
	v := h.snapshot
	list := []string{"name, address, client, contact, access and notes of the house", countOf(len(v.Record.Photos), "photo", "photos") + " and those that were removed, with their files and where they were taken",
		countOf(len(v.Record.Pins), "pin", "pins") + " with their notes, and every answer about the deck"}
	for _, part := range []struct {
		n         int
		one, many string
	}{
		{len(v.Revisions), "revision with its content and reports", "revisions with their contents and reports"},
		{len(v.Links), "link for the homeowner", "links for the homeowner"},
		{len(v.Inquiries), "question of the homeowner", "questions of the homeowner"},
		{len(v.Approvals), "decision with its name, time, address and signature", "decisions with their names, times, addresses and signatures"},
		{len(v.Finishes), "record of how the work ended", "records of how the work ended"},
		{len(v.Record.Remarks), "question or answer among the staff", "questions and answers among the staff"},
		{len(v.History), "entry of the history", "entries of the history"},
	} {
		if part.n > 0 {
			list = append(list, countOf(part.n, part.one, part.many))
		}
	}
	return list
}

// totalViews are the totals that are known, in words.
func totalViews(t survey.Totals) []totalView {
	var list []totalView
	add := func(what, figure string) {
		if figure != "" && figure != "0" {
			list = append(list, totalView{what, figure})
		}
	}
	add("Photos", strconv.Itoa(t.Photos))
	add("Pins", strconv.Itoa(t.Pins))
	add("Panels", strconv.Itoa(t.Panels))
	if t.AreaSqFt > 0 {
		add("Area of the ceiling", fmt.Sprintf("%.1f\u00a0ft²", t.AreaSqFt))
	}
	if t.PriceCents != 0 {
		add("Price", fmt.Sprintf("$%d.%02d", t.PriceCents/100, max(t.PriceCents%100, -t.PriceCents%100)))
	}
	add("Revisions issued", strconv.Itoa(t.Revisions))
	add("Decisions", strconv.Itoa(t.Decisions))
	for _, day := range []struct{ what, date string }{{"Visit", t.Visit}, {"Issued last", t.Issued}, {"Approved last", t.Approved}, {"Finished", t.Finished}} {
		if d, err := time.Parse(time.DateOnly, day.date); err == nil {
			add(day.what, d.Format("2\u00a0Jan\u00a02006"))
		}
	}
	return list
}

// eraseSurvey erases a survey for good, once its name was typed.
func (s *Server) eraseSurvey(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	id, err := surveyID(c)
	if err != nil {
		return err
	}
	h, err := s.heldOf(c.Request.Context(), id)
	if err != nil {
		return err
	}
	e := survey.Erasure{Survey: id, Reason: survey.ErasureReason(form.text["reason"]), Totals: h.totals}
	fields := map[string]string{}
	if survey.NameKey(form.text["confirm"]) != survey.NameKey(h.record.Survey.Title) {
		fields["confirm"] = "This is not the house’s name. Type it as it stands above."
	}
	if e.Reason != survey.ErasedAsked && e.Reason != survey.ErasedKept {
		fields["reason"] = "Choose why it is erased."
	}
	if len(fields) > 0 {
		err = &survey.Error{Kind: survey.Invalid, Message: "Nothing was erased.", Fields: fields}
	} else {
		_, err = s.store.Erase(c.Request.Context(), e)
	}
	if err != nil {
		return s.showErase(c, eraseInput{held: h, form: &form, err: err})
	}
	left, err := s.store.Unswept(c.Request.Context())
	if err != nil {
		return err
	}
	if len(left) > 0 {
		return redirect(c, "/surveys?saved=erasing")
	}
	return redirect(c, "/surveys?saved=erased")
}

// erasedPage lists the erasures with their totals.
func (s *Server) erasedPage(c *gin.Context) error {
	all, err := s.store.Erasures(c.Request.Context())
	if err != nil {
		return err
	}
	page := erasedPage{basePage: s.plainPage("Erased surveys")}
	page.BackHref, page.BackLabel = "/surveys", "All surveys"
	for _, e := range all {
		page.Erased = append(page.Erased, erasedView{e.At.In(s.now().Location()).Format("2\u00a0Jan\u00a02006"), e.By, erasedWords(e.Reason), totalViews(e.Totals)})
	}
	return s.render(c, http.StatusOK, "erased", page)
}

// erasedWords say why.
func erasedWords(r survey.ErasureReason) string {
	return map[survey.ErasureReason]string{survey.ErasedAsked: "the homeowner asked for it", survey.ErasedKept: "it was kept long enough", survey.ErasedDeleted: "it was deleted, and not brought back in time"}[r]
}
