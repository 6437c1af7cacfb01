package web

import (
	"cmp"
	"fmt"
	"strconv"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// linkView is a link in the list of a revision's, without its address: that is shown once, when it is made.
type linkView struct {
	State  stateView
	By     string
	Action string // where it is revoked, empty when it does not work any more
}

// madeLink is a link that was just made, with its address.
type madeLink struct {
	Number         int
	Address, Until string
}

// approvedView is the newest approval, and what differs from the approved revision now.
type approvedView struct {
	Number     int
	Name, When string
	Superseded bool // a later revision was issued
	Changes    []report.Difference
}

// decidedView is what the revisions page says about links, questions and decisions.
type decidedView struct {
	Approved *approvedView
	Damaged  string
	Open     int // questions without an answer
}

// linkDays are the lengths of time that a link can be made for.
func linkDays() []survey.Option {
	var list []survey.Option
	for _, days := range []int{survey.LinkDays, 7, 30, 90, survey.LinkDaysMax} {
		list = append(list, survey.Option{Value: strconv.Itoa(days), Label: fmt.Sprintf("%d days", days)})
	}
	return list
}

// makeLink makes a link to a revision and shows it, this once.
func (s *Server) makeLink(c *gin.Context) error {
	if _, err := readForm(c); err != nil {
		return err
	}
	v, err := s.revision(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	days, err := strconv.Atoi(c.Request.PostForm.Get("days"))
	if err != nil || days < 1 || days > survey.LinkDaysMax {
		return survey.Errorf(survey.Invalid, "Choose for how many days the link works, 1 to %d.", survey.LinkDaysMax)
	}
	value, sum := newLinkToken()
	l, err := s.store.CreateLink(c.Request.Context(), survey.Link{ID: survey.LinkID(survey.NewID()), Survey: v.Survey, Number: v.Number, By: signer(c.Request.Context(), v.By), Expires: s.now().AddDate(0, 0, days)}, sum)
	if err != nil {
		return err
	}
	scheme := map[bool]string{true: "https://", false: "http://"}[s.overTLS(c.Request)]
	return s.showRevisions(c, issueInput{record: r, link: &madeLink{Number: v.Number, Address: scheme + c.Request.Host + sharePrefix + value, Until: s.untilText(l)}})
}

// untilText says until when a link works.
func (s *Server) untilText(l survey.Link) string { return templates.When(s.now(), l.Expires) }

// answerInquiry answers a homeowner's question.
func (s *Server) answerInquiry(c *gin.Context) error {
	if _, err := readForm(c); err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	issued, err := s.store.Revisions(c.Request.Context(), r.Survey.ID)
	if err != nil || len(issued) == 0 {
		return cmp.Or(err, error(survey.Errorf(survey.NotFound, "There is no such question.")))
	}
	id := c.Param("question")
	text := cleanText(c.Request.PostForm.Get("answer"))
	_, err = s.store.Answer(c.Request.Context(), r.Survey.ID, id, text, signer(c.Request.Context(), issued[len(issued)-1].By))
	switch survey.KindOf(err) {
	case survey.Invalid, survey.Conflict:
		return s.showRevisions(c, issueInput{record: r, answering: id, answer: text, answerErr: err})
	}
	if err != nil {
		return err
	}
	return redirect(c, surveyPath(r.Survey.ID)+"/revisions?saved=answered#q-"+id)
}

// addDecided fills in what was asked and decided, and the links. issued are the survey's revisions; the page has a view of each, the newest first.
func (s *Server) addDecided(c *gin.Context, p *revisionsPage, in issueInput, issued []survey.Revision, ceiling survey.Ceiling) error {
	ctx, id := c.Request.Context(), in.record.Survey.ID
	links, err := s.store.Links(ctx, id)
	if err != nil {
		return err
	}
	inquiries, err := s.store.Inquiries(ctx, id)
	if err != nil {
		return err
	}
	made, err := s.store.Approvals(ctx, id)
	if err != nil {
		return err
	}
	if err := survey.CheckApprovals(made, issued); err != nil {
		p.Decided.Damaged = survey.Message(err)
	}
	for i := range p.Revisions {
		v := &p.Revisions[i]
		s.addLinks(v, id, links)
		s.addInquiries(p, v, in, inquiries)
		v.decided(surveyPath(id), issued, made)
	}
	p.Decided.Approved, err = s.approved(c, in.record, ceiling, issued, made)
	return err
}

func (s *Server) addLinks(v *revisionView, in survey.SurveyID, links []survey.Link) {
	for _, l := range links {
		if l.Number != v.Number {
			continue
		}
		view := linkView{By: l.By, State: stateView{weightNote, "ran out " + templates.When(s.now(), l.Expires)}}
		switch {
		case !l.Revoked.IsZero():
			view.State.Text = "revoked " + templates.When(s.now(), l.Revoked)
		case l.Open(s.now()):
			view.State = stateView{weightFine, "works until " + s.untilText(l)}
			view.Action = fmt.Sprintf("%s/links/%s/revoke", surveyPath(in), l.ID)
		}
		v.Links = append(v.Links, view)
	}
}

func (s *Server) addInquiries(p *revisionsPage, v *revisionView, in issueInput, inquiries []survey.Inquiry) {
	for _, q := range inquiries {
		if q.Number != v.Number {
			continue
		}
		view := inquiryView{ID: q.ID, Name: q.Name, Text: q.Text, When: templates.When(s.now(), q.At), Answer: q.Answer, AnsweredBy: q.AnsweredBy}
		if q.Answered.IsZero() {
			p.Decided.Open++
			view.Action = fmt.Sprintf("%s/questions/%s", surveyPath(in.record.Survey.ID), q.ID)
		} else {
			view.AnsweredWhen = templates.When(s.now(), q.Answered)
		}
		if in.answering == q.ID {
			view.Typed = in.answer
			view.Problem = fieldTexts(in.answerErr)["answer"]
		}
		v.Inquiries = append(v.Inquiries, view)
	}
}

// decided says what the homeowner decided about a revision, or whether that is still open.
func (v *revisionView) decided(home string, issued []survey.Revision, made []survey.Approval) {
	w := report.NewOfferWords(catalogue.English, report.Content{})
	at := fmt.Sprintf("%s/revisions/%d/sign", home, v.Number)
	a, done := survey.DecisionOn(made, v.Number)
	switch {
	case done:
		v.State = stateView{map[survey.Decision]string{survey.Approved: weightFine, survey.Declined: weightWarn}[a.Decision], w.Decided(a)}
		v.Reason, v.ReceiptHref = a.Reason, at+"/receipt.pdf"
		if v.Number < len(issued) {
			v.State.Text += "; superseded by revision " + strconv.Itoa(len(issued))
		}
	case v.Number < len(issued):
		v.State = stateView{weightNote, "superseded by revision " + strconv.Itoa(len(issued)) + ", never decided on"}
	case v.Although != "":
		v.State = stateView{weightWarn, "cannot be approved: something stopped the job when it was issued"}
	default:
		v.State = stateView{weightNote, "waits for the homeowner"}
		v.SignHref = at
	}
}

// approved is the newest approval with what has changed since; nil when nothing was approved.
func (s *Server) approved(c *gin.Context, r survey.Record, ceiling survey.Ceiling, issued []survey.Revision, made []survey.Approval) (*approvedView, error) {
	a, ok := survey.NewestApproved(made)
	if !ok || a.Number > len(issued) {
		return nil, nil
	}
	v := &approvedView{Number: a.Number, Name: a.Name, When: templates.When(s.now(), a.At), Superseded: a.Number < len(issued)}
	var err error
	v.Changes, err = s.changesSince(c, r, ceiling, issued[:a.Number])
	return v, err
}

// approvedContent reads what the newest approved revision froze; nil when nothing was approved.
func (s *Server) approvedContent(c *gin.Context, issued []survey.Revision) (*report.Content, error) {
	if len(issued) == 0 {
		return nil, nil
	}
	made, err := s.store.Approvals(c.Request.Context(), issued[0].Survey)
	if err != nil {
		return nil, err
	}
	a, ok := survey.NewestApproved(made)
	if !ok || a.Number > len(issued) {
		return nil, nil
	}
	return s.lastContent(issued[:a.Number])
}

// answered shows the page with the status of an answer that was not taken.
func (p *revisionsPage) answered(c *gin.Context, in issueInput) int {
	requestOf(c.Request.Context()).err = in.answerErr
	p.Problem = problemView{Weight: weightStop, Head: survey.Message(in.answerErr)}
	if text := fieldTexts(in.answerErr)["answer"]; text != "" {
		p.Problem.Fields = []problemField{{"a-" + in.answering, "Answer", text}}
	}
	return statusOf(in.answerErr)
}
