package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"

	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// revisionsPage is Reports and approval: what was issued, what has changed since, and the form that issues the next revision.
type revisionsPage struct {
	basePage
	Revisions  []revisionView // the newest first
	Next       int
	Changes    []report.Difference
	Unchanged  bool // the newest revision is the survey as it stands
	Stops      []cautionView
	Action     string
	By         fieldView
	Although   fieldView
	Problem    problemView
	Saved      string
	BundleHref string
	Lists      []action
	Decided    decidedView
	Link       *madeLink // that was just made
	Days       []survey.Option
}

// revisionView is one revision in the list.
type revisionView struct {
	Number                                int
	Href, When, By, Although, Fingerprint string
	Files                                 []action

	State                                     stateView // of the homeowner's decision
	Reason, ReceiptHref, SignHref, LinkAction string
	Links                                     []linkView
	Inquiries                                 []inquiryView
}

// issueInput is what the page is made of: the record, and, when the form is shown again, what was typed with what is wrong with it.
type issueInput struct {
	record survey.Record
	form   *typedForm
	err    error

	link              *madeLink
	answering, answer string // the question that an answer was for, and what was typed
	answerErr         error
}

// revisionsPage shows what was issued.
func (s *Server) revisionsPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showRevisions(c, issueInput{record: r})
}

// showRevisions renders the page, with the status of what went wrong, if anything.
func (s *Server) showRevisions(c *gin.Context, in issueInput) error {
	r := in.record
	issued, err := s.store.Revisions(c.Request.Context(), r.Survey.ID)
	if err != nil {
		return err
	}
	ceiling := survey.Compute(r)
	home := surveyPath(r.Survey.ID)
	page := revisionsPage{basePage: s.surveyPage("Reports and approval", screenReport, r), Next: len(issued) + 1, Action: home + "/revisions", BundleHref: home + "/bundle.zip",
		Lists: []action{{home + "/lists/takeoff.csv", "Takeoff"}, {home + "/lists/cutting.csv", "Cutting plan"}, {home + "/lists/notches.csv", "Notches"}}}
	page.BackHref, page.BackLabel = home+"/report", "Report"
	for _, v := range slices.Backward(issued) {
		page.Revisions = append(page.Revisions, s.viewRevision(home, v))
	}
	for _, item := range survey.Leave(r, ceiling).Items {
		if item.Severity == survey.SeverityMissing {
			page.Stops = append(page.Stops, leaveCaution(r, item))
		}
	}
	if page.Changes, err = s.changesSince(c, r, ceiling, issued); err != nil {
		return err
	}
	page.Unchanged = len(issued) > 0 && len(page.Changes) == 0
	page.Link, page.Days = in.link, linkDays()
	if err := s.addDecided(c, &page, in, issued, ceiling); err != nil {
		return err
	}
	page.addForm(r, in)
	page.By = signedBy(c.Request.Context(), page.By)
	status := http.StatusOK
	if in.err != nil {
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems([]fieldView{page.By, page.Although})}
	} else if in.answerErr != nil {
		status = page.answered(c, in)
	} else if len(issued) > 0 {
		page.Saved = map[string]string{"issued": fmt.Sprintf("Revision %d is issued. Nothing of it changes from now on.", len(issued)), "revoked": "The link does not work any more.",
			"answered": "The answer is sent: it stands on the link’s page now."}[c.Query("saved")]
	}
	return s.render(c, status, "revisions", page)
}

// addForm fills the form that issues the next revision.
func (p *revisionsPage) addForm(r survey.Record, in issueInput) {
	by := r.Readiness().By
	if by == "" {
		by = r.Survey.Surveyor
	}
	p.By = readyField("by", "Your name", by, leaveInput{record: r, form: in.form, err: in.err})
	p.Although = readyField("although", "Why it is issued although something is open", r.Readiness().Reason, leaveInput{record: r, form: in.form, err: in.err})
	p.Although.Control = "area"
}

func (s *Server) viewRevision(home string, v survey.Revision) revisionView {
	at := fmt.Sprintf("%s/revisions/%d", home, v.Number)
	return revisionView{Number: v.Number, Href: at, LinkAction: at + "/links", When: templates.When(s.now(), v.At), By: v.By, Although: v.Although, Fingerprint: survey.Fingerprint(v.SHA256), Files: []action{
		{at + "?for=crew", "Crew"}, {at + "?for=crew&lang=es", "Crew, Español"}, {at + "?for=scope", "Homeowner"}, {at + "?for=scope&lang=es", "Homeowner, Español"}, {at + "?for=survey", "Office"},
	}}
}

// changesSince tells what differs between the newest revision and the survey as it stands; nothing while none was issued.
func (s *Server) changesSince(c *gin.Context, r survey.Record, ceiling survey.Ceiling, issued []survey.Revision) ([]report.Difference, error) {
	last, err := s.lastContent(issued)
	if err != nil || last == nil {
		return nil, err
	}
	company, err := s.store.Company(c.Request.Context())
	if err != nil {
		return nil, err
	}
	return report.ChangesSince(*last, r, ceiling, company, catalogue.English), nil
}

// lastContent reads what the newest revision froze; nil while none was issued.
func (s *Server) lastContent(issued []survey.Revision) (*report.Content, error) {
	if len(issued) == 0 {
		return nil, nil
	}
	content, err := s.content(issued[len(issued)-1])
	if err != nil {
		return nil, err
	}
	return &content, nil
}

// content reads what a revision froze. Bytes that are not those that were issued are never shown.
func (s *Server) content(v survey.Revision) (report.Content, error) {
	f, err := s.store.OpenBlob(v.SHA256)
	if err != nil {
		return report.Content{}, fmt.Errorf("open revision %d: %w", v.Number, err)
	}
	defer f.Close()
	body, err := io.ReadAll(f)
	if err != nil {
		return report.Content{}, fmt.Errorf("read revision %d: %w", v.Number, err)
	}
	if sum := sha256.Sum256(body); hex.EncodeToString(sum[:]) != v.SHA256 {
		return report.Content{}, fmt.Errorf("revision %d is damaged: its content has another sum", v.Number)
	}
	return s.thawed.read(v.SHA256, body)
}

// issueRevision freezes the survey as it stands as its next revision.
func (s *Server) issueRevision(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	at := s.now() // before the record is read: a change that comes meanwhile is one since the revision
	r, err := s.record(c)
	if err != nil {
		return err
	}
	err = s.issue(c, r, form, at)
	if survey.KindOf(err) == survey.Invalid || survey.KindOf(err) == survey.Conflict {
		return s.showRevisions(c, issueInput{record: r, form: &form, err: err})
	}
	if err != nil {
		return err
	}
	return redirect(c, surveyPath(r.Survey.ID)+"/revisions?saved=issued")
}

// issue writes the next revision. The form says which number the person saw: another that was issued meanwhile is a Conflict.
func (s *Server) issue(c *gin.Context, r survey.Record, form typedForm, at time.Time) error {
	ctx := c.Request.Context()
	issued, err := s.store.Revisions(ctx, r.Survey.ID)
	if err != nil {
		return err
	}
	v := survey.NextRevision(r.Survey.ID, issued)
	if c.Request.PostForm.Get("number") != strconv.Itoa(v.Number) {
		return survey.Errorf(survey.Conflict, "Another revision was issued after the page was opened. Look at it before you issue the next.")
	}
	ceiling := survey.Compute(r)
	stops := survey.Leave(r, ceiling).Count(survey.SeverityMissing)
	v.By = signer(ctx, form.text["by"])
	if err := survey.ValidateIssue(v.By, form.text["although"], stops); err != nil {
		return err
	}
	v.At = at.UTC().Truncate(1e6)
	if stops > 0 {
		v.Although = form.text["although"]
	}
	company, err := s.store.Company(ctx)
	if err != nil {
		return err
	}
	last, err := s.lastContent(issued)
	if err != nil {
		return err
	}
	approved, err := s.approvedContent(c, issued)
	if err != nil {
		return err
	}
	content, sum, err := report.Freeze(v, r, ceiling, report.Options{Company: company, Last: last, Approved: approved})
	if err != nil {
		return err
	}
	v.SHA256 = sum
	if _, err := s.store.ReceiveBlob(ctx, bytes.NewReader(content), int64(len(content))); err != nil {
		return err
	}
	_, err = s.store.Issue(ctx, v)
	return err
}

// revision loads the revision that the address names.
func (s *Server) revision(c *gin.Context) (survey.Revision, error) {
	in, err := surveyID(c)
	if err != nil {
		return survey.Revision{}, err
	}
	number, err := strconv.Atoi(c.Param("number"))
	if err != nil {
		return survey.Revision{}, survey.Errorf(survey.NotFound, "There is no such revision.")
	}
	return s.store.Revision(c.Request.Context(), in, number)
}

// revisionPage shows a report of a revision as it was issued.
func (s *Server) revisionPage(c *gin.Context) error {
	v, err := s.revision(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	choice, views := readChoice(c)
	content, err := s.content(v)
	if err != nil {
		return err
	}
	doc, err := content.Document(choice.reader, choice.lang, choice.metric, v.SHA256)
	if err != nil {
		return err
	}
	at := fmt.Sprintf("%s/revisions/%d", surveyPath(v.Survey), v.Number)
	page := reportPage{basePage: s.surveyPage(fmt.Sprintf("Revision %d", v.Number), screenReport, r), Action: at, Choices: views, FileHref: at + "/report.html?" + choice.query(), PDFHref: at + "/report.pdf?" + choice.query(),
		RevisionsHref: surveyPath(v.Survey) + "/revisions",
		Report:        report.NewPage(doc, choice.paper, func(sha256 string) string { return at + "/pictures/" + sha256 })}
	page.BackHref, page.BackLabel = page.RevisionsHref, "Revisions"
	return s.render(c, http.StatusOK, "report", page)
}

// revisionPicture sends a picture that a revision stands on, also when its photo was removed from the survey since.
func (s *Server) revisionPicture(c *gin.Context) error {
	v, err := s.revision(c)
	if err != nil {
		return err
	}
	content, err := s.content(v)
	if err != nil {
		return err
	}
	sum := c.Param("sha256")
	for _, p := range content.Photos {
		if sum == p.Screen && sum != "" {
			c.Header("Content-Type", "image/jpeg")
			return s.sendBlob(c, sum, "private, max-age=31536000, immutable")
		}
	}
	return survey.Errorf(survey.NotFound, "There is no such picture.")
}

// revisionFile sends a report of a revision as one file: as it was first painted, for ever.
func (s *Server) revisionFile(c *gin.Context) error {
	v, err := s.revision(c)
	if err != nil {
		return err
	}
	choice, _ := readChoice(c)
	return s.sendRendition(c, v, choice, fileKind(c), "private, no-cache")
}

// sendRendition sends a report of a revision as it was first painted, painting it when nobody has asked for it before.
func (s *Server) sendRendition(c *gin.Context, v survey.Revision, choice reportChoice, kind, cache string) error {
	name := choice.rendition(kind)
	sum, err := s.store.Rendition(c.Request.Context(), v, name)
	if survey.KindOf(err) == survey.NotFound {
		sum, err = s.paint(c, v, choice, kind)
	}
	if err != nil {
		return err
	}
	c.Header("Content-Type", fileTypes[kind])
	c.Header("Content-Disposition", attachment(fmt.Sprintf("revision-%d-%s", v.Number, name)))
	return s.sendBlob(c, sum, cache)
}

// rendition names a report among those of a revision.
func (k reportChoice) rendition(ending string) string {
	name := fmt.Sprintf("%s-%s-%s", k.reader, k.lang, k.paper)
	if k.metric {
		name += "-metric"
	}
	return name + "." + ending
}

// paint paints a report of a revision for the first time and keeps it.
func (s *Server) paint(c *gin.Context, v survey.Revision, choice reportChoice, kind string) (string, error) {
	content, err := s.content(v)
	if err != nil {
		return "", err
	}
	doc, err := content.Document(choice.reader, choice.lang, choice.metric, v.SHA256)
	if err != nil {
		return "", err
	}
	var out bytes.Buffer
	if err := s.paintFile(c, &out, doc, choice, kind); err != nil {
		return "", err
	}
	blob, err := s.store.ReceiveBlob(c.Request.Context(), &out, int64(out.Len()))
	if err != nil {
		return "", err
	}
	return s.store.KeepRendition(c.Request.Context(), v, choice.rendition(kind), blob.SHA256)
}
