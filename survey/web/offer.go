package web

import (
	"fmt"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
)

// offerPage is the scope of one revision as the homeowner reads it, asks about it and decides on it: by a link, or on the phone of who stands there. It has no way into
// the rest of the site.
type offerPage struct {
	basePage
	Lang      string
	Languages []offerLanguage
	Words     report.OfferWords
	Report    report.Page
	Print     string
	At        string // the address of the page, without a query
	Query     string // what keeps the language in the address of a form
	PDFHref   string
	Saved     string
	Problem   problemView

	Asks      bool // questions can be asked here
	Inquiries []inquiryView
	Ask       askView

	Decision    string // who decided what and when; empty while nobody has
	Weight      string
	Reason      string
	ReceiptHref string
	FinishHref  string // of the finished work, empty while it is not finished
	Closed      string // why nothing can be decided, empty when it can
	Decide      decideView
}

// offerLanguage is a language in which the page can be read.
type offerLanguage struct {
	Href, Label, Lang string
	Current           bool
}

// inquiryView is a question with its answer.
type inquiryView struct {
	ID, Name, Text, When, Answer, AnsweredBy, AnsweredWhen string
	Action, Typed, Problem                                 string // of the form for the answer, empty when it has one
}

// askView is the form for a question, with what was typed.
type askView struct{ ID, Name, Text, TextProblem, NameProblem string }

// decideView are the forms that approve and decline, with what was typed into the one that was sent. In person a signature may be drawn, in a field of Wide by High.
type decideView struct {
	SHA256, Name, Reason, Signature            string
	Agreed, AgreedNo                           string // sums of the texts that are agreed to: by approving, and by the other form
	NameProblem, TickProblem, SignatureProblem string // of the form that approves
	DeclineName, DeclineTick, ReasonProblem    string // of the other
	Declining, InPerson                        bool
	Wide, High                                 int
}

// offer is what an offer page is made of.
type offer struct {
	revision  survey.Revision
	content   report.Content
	issued    []survey.Revision
	made      []survey.Approval
	inquiries []survey.Inquiry
	lang      catalogue.Lang
	at        string
	asks      bool
	with      string // who hands the phone over; empty by a link
	finished  bool   // the work was finished, held against this revision
}

// loadOffer reads what belongs to a revision.
func (s *Server) loadOffer(c *gin.Context, v survey.Revision, at string) (offer, error) {
	ctx := c.Request.Context()
	o := offer{revision: v, at: at, lang: catalogue.English}
	if c.Query("lang") == string(catalogue.Spanish) {
		o.lang = catalogue.Spanish
	}
	var err error
	if o.content, err = s.content(v); err != nil {
		return offer{}, err
	}
	if o.issued, err = s.store.Revisions(ctx, v.Survey); err != nil {
		return offer{}, err
	}
	if o.made, err = s.store.Approvals(ctx, v.Survey); err != nil {
		return offer{}, err
	}
	acts, err := s.store.Finishes(ctx, v.Survey)
	if err != nil {
		return offer{}, err
	}
	done := survey.FinishNow(acts).Done
	o.finished = done.Seq > 0 && done.Approved == v.Number
	o.inquiries, err = s.store.Inquiries(ctx, v.Survey)
	return o, err
}

func (o offer) words() report.OfferWords { return report.NewOfferWords(o.lang, o.content) }

// query keeps the language, and says what was done.
func (o offer) query(done string) string {
	text := ""
	if o.lang != catalogue.English {
		text = "?lang=" + string(o.lang)
	}
	if done != "" {
		text = map[bool]string{true: "?", false: text + "&"}[text == ""] + "done=" + done
	}
	return text
}

// page fills what the page shows when nothing was typed yet.
func (s *Server) offerPage(o offer) (offerPage, error) {
	doc, err := o.content.Document(document.Scope, o.lang, false, o.revision.SHA256)
	if err != nil {
		return offerPage{}, err
	}
	w := o.words()
	p := offerPage{basePage: s.plainPage(doc.Title), Lang: string(o.lang), Words: w, Print: survey.Fingerprint(o.revision.SHA256), At: o.at, Query: o.query(""), Asks: o.asks, PDFHref: o.at + "/scope.pdf" + o.query(""),
		Report: report.NewPage(doc, "letter", func(sha256 string) string { return o.at + "/pictures/" + sha256 }), Ask: askView{ID: survey.NewID()},
		Decide: decideView{SHA256: o.revision.SHA256, Agreed: w.ConsentSum(survey.Approved), AgreedNo: w.ConsentSum(survey.Declined), InPerson: o.with != "", Wide: survey.StrokesWide, High: survey.StrokesHigh}}
	p.House = o.content.Site.Title
	if o.finished && o.asks {
		p.FinishHref = o.at + "/finish" + o.query("")
	}
	for _, l := range []struct {
		lang  catalogue.Lang
		label string
	}{{catalogue.English, "English"}, {catalogue.Spanish, "Español"}} {
		in := o
		in.lang = l.lang
		p.Languages = append(p.Languages, offerLanguage{Href: o.at + in.query(""), Label: l.label, Lang: string(l.lang), Current: l.lang == o.lang})
	}
	for _, q := range o.inquiries {
		if q.Number == o.revision.Number {
			p.Inquiries = append(p.Inquiries, inquiryView{Name: q.Name, Text: q.Text, When: w.Day(q.At.In(p.Now.Location())), Answer: q.Answer, AnsweredBy: q.AnsweredBy})
		}
	}
	p.decided(o)
	return p, nil
}

// decided says what was decided, or why nothing can be.
func (p *offerPage) decided(o offer) {
	w := p.Words
	a, done := survey.DecisionOn(o.made, o.revision.Number)
	switch {
	case survey.CheckApprovals(o.made, o.issued) != nil:
		p.Closed = w.Failed
	case done:
		p.Decision, p.Reason, p.Weight = w.Decided(a), a.Reason, map[survey.Decision]string{survey.Approved: weightFine, survey.Declined: weightNote}[a.Decision]
		p.ReceiptHref = o.at + "/receipt.pdf" + o.query("")
		if o.revision.Number < len(o.issued) {
			p.Closed = w.Newer
		}
	case o.revision.Number < len(o.issued):
		p.Closed = w.Newer
	case o.revision.Although != "":
		p.Closed = w.Stopped
	}
}

// showOffer renders the page.
func (s *Server) showOffer(c *gin.Context, status int, p offerPage) error {
	return s.render(c, status, "offer", p)
}

// openOffer shows the page as it stands, with what was just done.
func (s *Server) openOffer(c *gin.Context, o offer) error {
	p, err := s.offerPage(o)
	if err != nil {
		return err
	}
	if c.Query("done") == "asked" {
		p.Saved = p.Words.QuestionSent
	}
	return s.showOffer(c, http.StatusOK, p)
}

// ask sends a question that came by a link.
func (s *Server) ask(c *gin.Context, o offer, link survey.LinkID) error {
	if _, err := readForm(c); err != nil {
		return err
	}
	form := c.Request.PostForm
	q := survey.Inquiry{ID: form.Get("id"), Link: link, Name: cleanText(form.Get("name")), Text: cleanText(form.Get("question"))}
	if _, err := survey.ParseID(q.ID); err != nil {
		q.ID = survey.NewID()
	}
	_, err := s.store.Ask(c.Request.Context(), q)
	if err == nil {
		return redirect(c, o.at+o.query("asked")+"#questions")
	}
	if survey.KindOf(err) != survey.Invalid {
		return err
	}
	p, failed := s.offerPage(o)
	if failed != nil {
		return failed
	}
	requestOf(c.Request.Context()).err = err
	texts := fieldTexts(err)
	p.Ask.Name, p.Ask.Text = q.Name, q.Text
	head := p.Words.TooMany
	if texts["question"] != "" {
		p.Ask.TextProblem, head = p.Words.NeedQuestion, p.Words.LookAgain
		p.Problem.Fields = append(p.Problem.Fields, problemField{"question", p.Words.YourQuestion, p.Words.NeedQuestion})
	}
	if texts["name"] != "" {
		p.Ask.NameProblem, head = p.Words.NeedName, p.Words.LookAgain
		p.Problem.Fields = append(p.Problem.Fields, problemField{"ask-name", p.Words.YourName, p.Words.NeedName})
	}
	p.Problem.Weight, p.Problem.Head = weightStop, head
	return s.showOffer(c, http.StatusUnprocessableEntity, p)
}

// offerPicture sends a picture that the scope shows, and no other of the revision.
func (s *Server) offerPicture(c *gin.Context, o offer) error {
	doc, err := o.content.Document(document.Scope, o.lang, false, o.revision.SHA256)
	if err != nil {
		return err
	}
	sum := c.Param("sha256")
	if sum == "" || !slices.ContainsFunc(doc.Blocks, func(b document.Block) bool { return b.Photo != nil && b.Photo.SHA256 == sum }) {
		return survey.Errorf(survey.NotFound, "There is no such picture.")
	}
	c.Header("Content-Type", "image/jpeg")
	return s.sendBlob(c, sum, "no-store")
}

// offerReceipt sends the receipt of the decision about the revision.
func (s *Server) offerReceipt(c *gin.Context, o offer) error {
	a, done := survey.DecisionOn(o.made, o.revision.Number)
	if !done {
		return survey.Errorf(survey.NotFound, "Nothing was decided yet.")
	}
	if err := survey.CheckApprovals(o.made, o.issued); err != nil {
		return fmt.Errorf("the decisions of a survey are damaged: %s", survey.Message(err))
	}
	return s.sendPainted(c, report.Receipt(o.content, a, o.lang), fmt.Sprintf("receipt-revision-%d.pdf", a.Number))
}
