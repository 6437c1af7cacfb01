package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// finishPage is how the work ends: while it is not finished the form of that, then what was said, the sign-off, and what has changed since.
type finishPage struct {
	basePage
	Action  string
	Unsaved bool
	Saved   string
	Problem problemView
	Damaged string

	Approved string // which revision the work is held against; empty when none was approved
	Seen     string // the sum of this and of Built
	Built    []builtView
	WhyAll   *fieldView
	Notes    fieldView
	Test     []fieldView
	Shots    []shotView
	MaxText  string
	PhotoID  string // of the form, so that sending it twice makes one photo
	Left     []fieldView
	Open     []string
	By       fieldView
	Although fieldView

	Done   *doneView // the finishing that holds
	Again  string    // why it was opened again, when nothing was finished since
	Acts   []actView // the newest first
	CareEN string    // the care sheet as it is or would be now
	CareES string
}

// endedView is what every page of a survey says about finished work; an empty Text shows nothing.
type endedView struct {
	Text, Changed, Href string
}

// endedView says that the work is finished, and whether anything was changed since.
func (s *Server) endedView(r survey.Record) endedView {
	if !r.Ended.Finished() {
		return endedView{}
	}
	v := endedView{Text: "Finished " + templates.When(s.now(), r.Ended.Done.At) + ", not signed off yet.", Href: finishPath(r.Survey.ID)}
	if r.Ended.Signed() {
		v.Text = "Finished and signed off " + templates.When(s.now(), r.Ended.Sign.At) + "."
	}
	if r.ChangedAt.After(r.Ended.Done.At) {
		v.Changed = "Changed after finishing."
	}
	return v
}

func finishPath(id survey.SurveyID) string { return surveyPath(id) + "/finish" }

// finishPage shows how the work ends.
func (s *Server) finishPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showFinish(c, factForm{record: r})
}

// ending is what is known of a survey's end besides its record.
type ending struct {
	ceiling  survey.Ceiling
	issued   []survey.Revision
	made     []survey.Approval
	acts     []survey.Finish
	approval survey.Approval // the newest, Number 0 when there is none
	approved *report.Content // what it approved
	built    []survey.Built  // what differs from it, in English
}

func (s *Server) ending(c *gin.Context, r survey.Record) (ending, error) {
	ctx, id := c.Request.Context(), r.Survey.ID
	e := ending{ceiling: survey.Compute(r)}
	var err error
	if e.issued, err = s.store.Revisions(ctx, id); err != nil {
		return ending{}, err
	}
	if e.made, err = s.store.Approvals(ctx, id); err != nil {
		return ending{}, err
	}
	if e.acts, err = s.store.Finishes(ctx, id); err != nil {
		return ending{}, err
	}
	if a, ok := survey.NewestApproved(e.made); ok && a.Number <= len(e.issued) {
		e.approval = a
		if e.approved, err = s.lastContent(e.issued[:a.Number]); err != nil {
			return ending{}, err
		}
		e.built = report.AsBuilt(*e.approved, r, e.ceiling, catalogue.English)
	}
	return e, nil
}

// seen is the sum of what the finisher is shown to hold the work against: the approved revision and the lines as built. Nobody finishes what they have not seen.
func (e ending) seen() (string, error) {
	shown, err := json.Marshal(struct {
		Approved int
		Built    []survey.Built
	}{e.approval.Number, e.built})
	if err != nil {
		return "", fmt.Errorf("sum up what was built: %w", err)
	}
	sum := sha256.Sum256(shown)
	return hex.EncodeToString(sum[:]), nil
}

// damaged is nil when what was approved and what was finished are what they were.
func (e ending) damaged() error {
	if err := survey.CheckApprovals(e.made, e.issued); err != nil {
		return err
	}
	return survey.CheckFinishes(e.acts, e.issued)
}

// showFinish renders the page, with the status of what went wrong, if anything.
func (s *Server) showFinish(c *gin.Context, in factForm) error {
	r := in.record
	e, err := s.ending(c, r)
	if err != nil {
		return err
	}
	page := finishPage{basePage: s.surveyPage("Finish", screenFinish, r), Action: finishPath(r.Survey.ID), Unsaved: in.form != nil, MaxText: fmt.Sprintf("%d MB", survey.MaxPhotoBytes>>20), PhotoID: survey.NewID()}
	page.CareEN, page.CareES = page.Action+"/care.pdf", page.Action+"/care.pdf?lang=es"
	s.addActs(&page, r, e)
	var fields []fieldView
	if !r.Ended.Finished() {
		if page.Seen, err = e.seen(); err != nil {
			return err
		}
		page.Approved = s.approvalText(e.approval)
		fields = page.addForm(c, in, e, s.now())
	} else if page.Done, err = s.doneView(c, in, e); err == nil {
		page.Approved = s.approvalText(page.Done.against)
		fields = []fieldView{page.Done.Reason, page.Done.By}
	} else {
		return err
	}
	status := http.StatusOK
	if in.err != nil {
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: problems(fields)}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	} else {
		page.Saved = map[string]string{"draft": "It is saved. It is not finished yet.", "photo": "The photo is saved and chosen for the hose test.", "finished": "The work is finished. Now the client can sign it off.", "again": "The survey is open again."}[c.Query("saved")]
	}
	return s.render(c, status, "finish", page)
}

// approvalText says which revision was approved by whom; nothing for the zero Approval.
func (s *Server) approvalText(a survey.Approval) string {
	if a.Number == 0 {
		return ""
	}
	return fmt.Sprintf("Revision %d, approved by %s %s", a.Number, a.Name, templates.When(s.now(), a.At))
}

// addActs lists what was done about the end, and says what is damaged.
func (s *Server) addActs(page *finishPage, r survey.Record, e ending) {
	if err := e.damaged(); err != nil {
		page.Damaged = survey.Message(err)
	}
	for _, f := range slices.Backward(e.acts) {
		v := s.actView(page.Action, f)
		if f.Seq == r.Ended.Done.Seq { // its papers stand above
			v.Papers = nil
		}
		page.Acts = append(page.Acts, v)
	}
	if again := r.Ended.Again; again.Seq > 0 {
		page.Again = fmt.Sprintf("Opened again by %s %s: %s", again.By, templates.When(s.now(), again.At), again.Reason)
	}
}

// addForm fills in the form of finishing and gives its fields in order.
func (p *finishPage) addForm(c *gin.Context, in factForm, e ending, now time.Time) []fieldView {
	r, form := in.record, typedForm{}
	if in.form != nil {
		form = *in.form
	}
	by := signer(c.Request.Context(), r.Facts[survey.FinishBy].Text)
	work, _ := survey.ReadWork(r, e.built, e.issued, e.made, by, now) // what is missing is asked when it is finished
	for _, key := range work.Open {
		p.Open = append(p.Open, survey.OpenText(key).String())
	}
	var views []fieldView
	for i, f := range survey.FinishFields(r, e.built) {
		saved := r.Facts[f.Key]
		v := finishControl(newFieldView(f, fieldPrefix+f.Key, ""))
		v = form.view(v, saved.Text, templates.When(now, saved.UpdatedAt), in.texts[f.Key], in.clashes[f.Key])
		switch {
		case i < len(e.built):
			v.Label = "Why"
			p.Built = append(p.Built, builtView{e.built[i].What, e.built[i].Was, e.built[i].Now, v})
		case f.Key == survey.FinishWhyAll:
			p.WhyAll = &v
		case f.Key == survey.FinishNotes:
			p.Notes = v
		case f.Key == survey.FinishBy:
			v = signedBy(c.Request.Context(), v)
			p.By = v
		case f.Key == survey.FinishAlthough:
			p.Although = v
		case strings.HasPrefix(f.Key, survey.FinishTest):
			p.Test = append(p.Test, v)
		default:
			p.Left = append(p.Left, v)
		}
		views = append(views, v)
	}
	for _, n := range work.Test.Photos {
		for _, photo := range r.Photos {
			if photo.Number == n {
				p.Shots = append(p.Shots, shotView{photoPath(photo), thumbPath(photo), "Photo " + strconv.Itoa(n)})
			}
		}
	}
	return views
}

// finishControl is the control that a field of the finishing is typed with.
func finishControl(v fieldView) fieldView {
	v.NothingLabel, v.emptyLine = "Not said", true
	switch v.Key {
	case survey.FinishNotes, survey.FinishWhere, survey.FinishAlthough:
		v.Control = "area"
	case survey.FinishMinutes:
		v.InputMode = "numeric"
	case survey.FinishPhoto, survey.FinishPhotoToo:
		v.Control, v.NothingLabel = "select", "No photo"
	case survey.FinishResult:
		v.Control = "select"
	}
	return v
}
