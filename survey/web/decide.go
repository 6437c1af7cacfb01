package web

import (
	"bytes"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/report/document"
)

// maxAgent is how much of a browser's own name is kept with a decision.
const maxAgent = 300

// decide keeps what the form decides. The form says which content and which text to agree to the person saw: others are a Conflict, and so is a revision that was decided on meanwhile.
func (s *Server) decide(c *gin.Context, o offer, link survey.LinkID) error {
	if _, err := readForm(c); err != nil {
		return err
	}
	form, w := c.Request.PostForm, o.words()
	a := survey.Approval{Survey: o.revision.Survey, Number: o.revision.Number, SHA256: form.Get("sha256"), Decision: survey.Decision(form.Get("decision")), Name: oneLine(form.Get("name")), Lang: string(o.lang), Link: link, With: o.with,
		Address: c.ClientIP(), Agent: clipped(oneLine(c.Request.UserAgent()), maxAgent)}
	if o.with != "" {
		a.Signature = form.Get("signature")
	}
	if a.Decision == survey.Declined {
		a.Reason, a.Signature = cleanText(form.Get("reason")), ""
	}
	a.Consent = w.Consent(a.Decision)
	err := a.Validate()
	ticked := form.Get("consent") == "yes"
	switch {
	case err != nil && !ticked:
		fieldTexts(err)["consent"] = "Tick it."
	case err != nil:
	case !ticked:
		err = &survey.Error{Kind: survey.Invalid, Message: "The consent was not given.", Fields: map[string]string{"consent": "Tick it."}}
	case form.Get("agreed") != a.ConsentSum():
		err = survey.Errorf(survey.Conflict, "Another text was agreed to.")
	default:
		_, err = s.store.Decide(c.Request.Context(), a)
	}
	switch survey.KindOf(err) {
	case survey.Invalid, survey.Conflict:
		return s.undecided(c, o, a, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, o.at+o.query("")+"#decision")
}

// undecided shows the form again with what was typed and what is wrong with it; after a Conflict with what stands now.
func (s *Server) undecided(c *gin.Context, o offer, a survey.Approval, err error) error {
	requestOf(c.Request.Context()).err = err
	fresh, failed := s.loadOffer(c, o.revision, o.at)
	if failed != nil {
		return failed
	}
	fresh.asks, fresh.with = o.asks, o.with
	p, failed := s.offerPage(fresh)
	if failed != nil {
		return failed
	}
	w, texts, d := p.Words, fieldTexts(err), &p.Decide
	d.Name, d.Reason, d.Declining = a.Name, a.Reason, a.Decision == survey.Declined
	p.Problem = problemView{Weight: weightWarn, Head: w.Changed}
	if survey.KindOf(err) == survey.Conflict {
		return s.showOffer(c, http.StatusConflict, p)
	}
	p.Problem = problemView{Weight: weightStop, Head: w.LookAgain}
	for _, f := range []struct {
		key, id, label, text string
		approve, decline     *string
	}{
		{"name", "name", w.FullName, w.NeedName, &d.NameProblem, &d.DeclineName}, {"reason", "reason", w.Why, w.NeedReason, &d.ReasonProblem, &d.ReasonProblem},
		{"signature", "signpad", w.Drawn, w.NeedDrawing, &d.SignatureProblem, &d.SignatureProblem}, {"consent", "consent", w.TickFirst, w.TickFirst, &d.TickProblem, &d.DeclineTick},
	} {
		if texts[f.key] == "" {
			continue
		}
		at, id := f.approve, f.id
		if d.Declining {
			at = f.decline
			id = "decline-" + id
		}
		*at = f.text
		p.Problem.Fields = append(p.Problem.Fields, problemField{id, f.label, f.text})
	}
	if texts["signature"] == "" {
		d.Signature = a.Signature
	}
	return s.showOffer(c, http.StatusUnprocessableEntity, p)
}

// oneLine is a clean text without line ends.
func oneLine(text string) string { return strings.Join(strings.Fields(cleanText(text)), " ") }

// clipped is at most most bytes of a text, whole letters of it.
func clipped(text string, most int) string {
	if len(text) > most {
		text = strings.ToValidUTF8(text[:most], "")
	}
	return text
}

// sendPainted sends a document that nobody has kept as a PDF.
func (s *Server) sendPainted(c *gin.Context, doc document.Document, name string) error {
	var out bytes.Buffer
	if err := s.paintFile(c, &out, doc, reportChoice{paper: "letter"}, kindPDF); err != nil {
		return err
	}
	c.Header("Content-Disposition", attachment(name))
	c.Header("Content-Length", strconv.Itoa(out.Len()))
	c.Header("Cache-Control", "no-store")
	c.Data(http.StatusOK, fileTypes[kindPDF], out.Bytes())
	return nil
}
